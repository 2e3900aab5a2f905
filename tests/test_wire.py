"""`plan.json`: exact there and back, and as its JSON Schema says."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Any

import pytest
from benchplans import cut_plan
from coverplans import cover_job, covered, with_art
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from strategies import SCHEMES, Book, plan_of

from impose.bench.program import add_cuts
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.model.facts import PageFacts
from impose.model.job import Binding
from impose.plan.plan import PageFit, Plan
from impose.plan.printfacts import PrintFacts
from impose.plan.wire import from_data, from_text, to_data, to_text
from impose.units import ZERO, Length, points_text

mm = Length.mm
A5, A4 = Size(mm(148), mm(210)), Size(mm(210), mm(297))


@lru_cache(maxsize=1)
def schema() -> Draft202012Validator:
    """The schema as it is shipped in the package."""
    text = (resources.files("impose.plan") / "plan.schema.json").read_text(encoding="utf-8")
    loaded = json.loads(text)
    Draft202012Validator.check_schema(loaded)
    return Draft202012Validator(loaded)


def faults(data: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in schema().iter_errors(data)]


def saddle() -> Plan:
    return plan_of(8, binding=Binding.SADDLE, trim=A5, sheet=A4, supplied=mm(3))


def with_everything() -> Plan:
    """Guts with a cut list, a cover with art, and its score list."""
    job = cover_job({"art": with_art(front=True)}, printer="small-press", sheet="12in x 18in")
    page = Size(Length.inches("5.5"), Length.inches("8.5"))
    media = Box.at(ZERO, ZERO, page)
    plan = add_cuts(covered(job, 40, (PageFacts(media, media),)), job)
    return replace(plan, condition=PrintFacts(profile="press.icc", ready="X-3"))


# -- there and back --------------------------------------------------------------------


@pytest.mark.parametrize(
    "plan",
    [saddle(), cut_plan(24, binding="perfect", sheet="sra3"), with_everything()],
    ids=["saddle", "with cuts", "with everything"],
)
def test_to_text_and_back_is_the_identity(plan: Plan) -> None:
    assert from_text(to_text(plan)) == plan
    assert to_text(from_text(to_text(plan))) == to_text(plan)


def test_groups_of_marks_stay_shared() -> None:
    plan = plan_of(40, binding=Binding.SADDLE, trim=A5, sheet=Size(mm(450), mm(320)))
    again = from_text(to_text(plan))
    shared = {id(sheet.front.marks[0]) for sheet in again.sheets}
    assert len(plan.sheets) == 10
    assert len(shared) == 1
    assert len({id(sheet.lines) for sheet in again.sheets}) == 1


def test_a_scale_and_a_finding_come_back_as_they_were() -> None:
    page = PageFit(
        0, 7, Box(-mm(1), ZERO, mm(3), mm(4)), 270, Fraction(148, 215), Edges(left=Length(1))
    )
    finding = Finding(
        severity=saddle().findings[0].severity,
        code="a-code",
        message="with “words”",
        hint="—",
        file="a.pdf",
        pages=(3, 4),
        side="fore-edge",
        line=12,
        numbers={"asked": "3 mm", "blanks": 2},
    )
    plan = replace(saddle(), pages=(page,) * 8, findings=(finding,))
    assert from_text(to_text(plan)) == plan


@given(st.integers(-(10**13), 10**13).map(Length))
def test_every_length_survives_seven_decimals_of_a_point(length: Length) -> None:
    """Also as a JSON number: a double holds fifteen digits."""
    text = points_text(length)
    assert Length.points(Decimal(text)) == length
    written = json.dumps(float(text))
    assert Length.points(json.loads(written, parse_float=Decimal)) == length


def test_another_format_or_version_is_refused() -> None:
    data = to_data(saddle())
    with pytest.raises(ValueError, match="not a plan of version 2"):
        from_data(data | {"version": 1})
    with pytest.raises(ValueError, match="not a plan of version 2"):
        from_text('{"format": "another"}')


def test_the_hashes_of_what_was_made_stand_beside_the_plan() -> None:
    digest = "0123456789abcdef" * 4
    text = to_text(saddle(), [("guts.pdf", digest)])
    data = json.loads(text)
    assert data["made"] == {"guts.pdf": digest}
    assert faults(data) == []
    assert from_text(text) == saddle()


# -- the schema ------------------------------------------------------------------------


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(*SCHEMES.values()).filter(lambda book: book is None or book.plan.faces < 60))
def test_every_plan_is_as_the_schema_says(book: Book | None) -> None:
    if book is not None:
        assert faults(to_data(book.plan)) == []


@pytest.mark.parametrize(
    "plan",
    [
        saddle(),
        cut_plan(24, binding="perfect", sheet="sra3"),
        cut_plan(64, binding="sections", sheet="sra2", cutter="guillotine-hydraulic"),
        with_everything(),
    ],
    ids=["saddle", "leaves with cuts", "sections with cuts", "with everything"],
)
def test_plans_with_cuts_and_cover_are_as_the_schema_says(plan: Plan) -> None:
    assert faults(json.loads(to_text(plan))) == []


def test_the_plan_with_everything_has_everything() -> None:
    """So that the schema is tried on every part of it."""
    data = to_data(with_everything())
    empty = [key for key, value in data.items() if value in (None, [], {}, "")]
    assert empty == []
    assert {step["kind"] for step in data["score_steps"]} == {"measure", "score"}
    assert {step["kind"] for step in data["cut_steps"]} >= {"jog", "cut", "bind"}
    assert {sheet["role"] for sheet in data["sheets"]} == {"guts", "cover"}


def test_the_lengths_of_an_a5_booklet_read_as_points() -> None:
    data = to_data(saddle())
    assert data["units"] == "pt"
    assert data["trim_size"] == [
        pytest.approx(419.5276, abs=1e-4),
        pytest.approx(595.2756, abs=1e-4),
    ]
    first = data["sheets"][0]["front"]["placements"][0]
    assert (first["page"], first["turn"], first["shift"]) == (1, 0, 0)
    assert set(first["bleed"]) == {"head", "foot", "spine", "fore_edge"}


def shortened(data: Any) -> Any:
    """One of everything, so that looking at it often takes no time."""
    data["sheets"] = [data["sheets"][0], data["sheets"][-1]]
    data["cut_steps"] = [step for step in data["cut_steps"] if step["kind"] == "cut"]
    data["mark_groups"] = [data["mark_groups"][0][:1]]
    for key in ("pages", "findings", "cut_steps", "score_steps", "cuts"):
        data[key] = data[key][:1]
    for sheet in data["sheets"]:
        sheet["lines"] = sheet["lines"][:1]
        for side in ("front", "back"):
            sheet[side]["own_marks"] = sheet[side]["own_marks"][:1]
    return data


def objects(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The path of every object with fixed keys in the data, one for each kind."""
    found: dict[tuple[str, ...], tuple[str | int, ...]] = {}
    _walk(data, path, found)
    return list(found.values())


def _walk(
    data: Any, path: tuple[str | int, ...], found: dict[tuple[str, ...], tuple[str | int, ...]]
) -> None:
    if isinstance(data, dict):
        if path[-1:] not in (("numbers",), ("made",)):
            found.setdefault(tuple(data), path)
        for key, value in data.items():
            _walk(value, (*path, key), found)
    elif isinstance(data, list):
        for index, value in enumerate(data):
            _walk(value, (*path, index), found)


def at(data: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        data = data[step]
    return data


#: Left out where nothing is said of them.
OPTIONAL = {
    "press", "print", "profile", "ready", "two_up", "work", "spot", "sheet_name", "held_by"
}  # fmt: skip


def test_an_unknown_or_a_missing_key_is_a_fault_everywhere() -> None:
    whole = shortened(json.loads(to_text(with_everything())))
    assert faults(whole) == []
    paths = objects(whole)
    assert len(paths) > 20
    for path in paths:
        for key in at(whole, path):
            if (path, key) == ((), "made") or key in OPTIONAL:
                continue  # only in a file that was written, or where it says something
            less = _copied(whole, path)
            del at(less, path)[key]
            assert not schema().is_valid(less), f"{path}: {key} left out"
        more = _copied(whole, path)
        at(more, path)["another"] = 1
        assert not schema().is_valid(more), f"{path}: a key too many"


def _copied(data: Any, path: tuple[str | int, ...]) -> Any:
    """A copy of what leads to `path`, its end included; the rest is shared."""
    copied: Any = dict(data) if isinstance(data, dict) else list(data)
    if path:
        copied[path[0]] = _copied(data[path[0]], path[1:])
    return copied


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("units",), "mm"),
        (("faces",), 0),
        (("grind",), -1),
        (("sheets", 0, "turned"), "about noon"),
        (("sheets", 0, "front", "placements", 0, "turn"), 45),
        (("sheets", 0, "front", "placements", 0, "page"), 0),
        (("sheets", 0, "front", "placements", 0, "trim"), [0, 0, 1]),
        (("sheets", 0, "lines", 0, "kind"), "tear"),
        (("pages", 0, "scale"), "0.5"),
        (("findings", 0, "severity"), "perhaps"),
    ],
)
def test_a_value_that_cannot_be_is_a_fault(path: tuple[str | int, ...], value: object) -> None:
    data = json.loads(to_text(saddle()))
    wrong = _copied(data, path[:-1])
    at(wrong, path[:-1])[path[-1]] = value
    assert faults(data) == []
    assert len(faults(wrong)) == 1
