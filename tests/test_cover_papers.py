"""The papers of the example book against each other: cover over guts, ticket, cut list, plan.

Everything is read back from the written files by an independent reader
(pdfplumber), never from the values that they were made of.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from impose.cli.main import run
from impose.units import Length, parse_length

EXAMPLES = Path(__file__).parent.parent / "examples"
#: What independent readers, with their 32-bit floats, are held to.
CLOSE = Length.points("0.01")


@pytest.fixture(scope="module", params=["left", "right"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example book on a binder that mills the spine, with a measured stack of 3/8 in."""
    folder = tmp_path_factory.mktemp("job")
    (folder / "pages.pdf").write_bytes((EXAMPLES / "pages.pdf").read_bytes())
    job = (EXAMPLES / "perfect.toml").read_text()
    job = job.replace('binder = "small-clamp-binder"', 'binder = "milling-binder"')
    job = job.replace("[bench]", '[bench]\ncreaser = "valley-creaser"')
    job = job.replace('art = "cover.pdf"', 'fill = "cmyk 0 20 80 0"')  # made for another spine
    job = job.replace('spine = "from stock"', 'spine = "measured 3/8in"')
    job = job.replace("[book]", f'[book]\nbound_at = "{request.param}"')
    (folder / "job.toml").write_text(job)
    out = folder / "out"
    run(["make", str(folder / "job.toml"), "--out", str(out), "--no-check", "--quiet",
         "--only", "guts,cover,cuts,ticket,plan"])  # fmt: skip
    return out


def plan_of(folder: Path) -> dict[str, Any]:
    told: dict[str, Any] = json.loads((folder / "plan.json").read_text(), parse_float=Decimal)
    return told


class Ticks:
    """The short lines on the first page of a file: x of upright ones, y of level ones."""

    def __init__(self, path: Path) -> None:
        with pdfplumber.open(path) as pdf:
            page = pdf.pages[0]
            self.width, self.height = _pt(page.width), _pt(page.height)
            self.upright: set[Length] = set()
            self.level: set[Length] = set()
            for line in page.lines:
                x0, x1, y0, y1 = (_pt(line[key]) for key in ("x0", "x1", "y0", "y1"))
                if x0.near(x1, CLOSE):
                    self.upright.add(x0)
                elif y0.near(y1, CLOSE):
                    self.level.add(y0)

    def has_upright(self, x: Length) -> bool:
        return any(x.near(one, CLOSE) for one in self.upright)

    def has_level(self, y: Length) -> bool:
        return any(y.near(one, CLOSE) for one in self.level)


def _pt(number: float) -> Length:
    return Length.points(f"{number:.4f}")


def test_the_cover_laid_over_its_guts_lines_up_mark_on_mark(made: Path) -> None:
    """The crop marks of page 1 laid on those of the front panel: the fore-edge is a trimmed
    width from the ground spine, head and foot are level when the guts sit as the ticket says."""
    plan = plan_of(made)
    guts, cover = Ticks(made / "guts.pdf"), Ticks(made / "cover.pdf")
    grind = Length.points(plan["cover"]["guts"]["spine"])
    assert grind == Length.inches("1/8")
    right = plan["cover"]["front_at"] == "right"
    wide, high = Length.inches("5.5"), Length.inches("8.5")
    # Guts: the spine is the sheet's own edge, at the left of page 1 when left-bound.
    fore = grind + wide if right else guts.width - grind - wide
    assert guts.has_upright(fore)
    # Cover: the printed score of the front spine edge, and the crop mark of the front panel.
    front = Length.points(plan["cover"]["front_distance"])
    score = cover.width - front if right else front
    assert cover.has_upright(score)
    panel_end = score + wide if right else score - wide
    assert cover.has_upright(panel_end)
    # Head and foot: lay the guts' head edge below the cover's by what the plan says.
    down = Length.points(plan["cover"]["guts_below_cover_head"])
    assert down == Length.inches("1/8")
    level = {cover.height - down - (guts.height - y) for y in guts.level}
    on_both = [y for y in level if cover.has_level(y)]
    assert len(on_both) == 2
    assert (max(on_both, key=_grains) - min(on_both, key=_grains)).near(high, CLOSE)


def _grains(length: Length) -> int:
    return length.grains


def test_every_score_has_its_mark_where_the_list_says(made: Path) -> None:
    plan, cover = plan_of(made), Ticks(made / "cover.pdf")
    right = plan["cover"]["front_at"] == "right"
    steps = [step for step in plan["score_steps"] if step["kind"] == "score"]
    assert len(steps) == 4
    for step in steps:
        distance = Length.points(step["distance"])
        from_right = (step["at_stop"] == "front") == right
        assert cover.has_upright(cover.width - distance if from_right else distance), step


# -- words ------------------------------------------------------------------------------------


def lines_of(path: Path) -> list[str]:
    """Words that stand on one base line, from the left."""
    found: list[str] = []
    with pdfplumber.open(path) as pdf:
        for page in pdf.pages:
            rows: dict[int, list[dict[str, Any]]] = {}
            for word in page.extract_words(y_tolerance=1):
                rows.setdefault(round(word["bottom"]), []).append(word)
            base = sorted(rows)
            # Large and small letters on one line have bottoms a point or two apart.
            while base:
                near = [y for y in base if y - base[0] <= 2]
                words = sorted((w for y in near for w in rows[y]), key=lambda w: w["x0"])
                found.append(" ".join(word["text"] for word in words))
                base = [y for y in base if y not in near]
    return found


SCORE = re.compile(
    r"(?P<number>\d) (?P<title>[a-z ]+) (?P<face>INSIDE|OUTSIDE) up (?P<end>FRONT|BACK) at stop "
    r"(?P<reading>[\d /]+in) (?P<exact>~?[\d.]+ in) \(~?(?P<other>[\d.]+ mm)\) folds (?P<way>UP)"
)


def scores_told(folder: Path) -> Iterator[re.Match[str]]:
    for line in lines_of(folder / "ticket.pdf"):
        if match := SCORE.search(line):
            yield match


def test_the_printed_score_list_is_that_of_the_plan(made: Path) -> None:
    plan = plan_of(made)
    steps = [step for step in plan["score_steps"] if step["kind"] == "score"]
    told = list(scores_told(made))
    assert [int(row["number"]) for row in told] == [step["number"] for step in steps]
    for row, step in zip(told, steps, strict=True):
        distance = Length.points(step["distance"])
        assert row["title"] == step["title"]
        assert row["face"].lower() == step["face_up"]
        assert row["end"].lower() == step["at_stop"]
        assert parse_length(row["reading"].replace(" in", "in")) == distance
        assert parse_length(row["exact"].lstrip("~").replace(" ", "")).near(
            distance, Length.inches("0.00005")
        )
        assert parse_length(row["other"].replace(" ", "")).near(distance, Length.mm("0.0005"))
    lines = lines_of(made / "ticket.pdf")
    turns = [line.removeprefix("then ") for line in lines if line.startswith("then ")]
    assert turns == [step["turn"] for step in steps if step["turn"]]


def test_the_numbers_that_are_looked_for_first_are_the_plan_s(made: Path) -> None:
    told = " ".join(lines_of(made / "ticket.pdf"))
    cover = plan_of(made)["cover"]
    for name in ("front_distance", "back_distance"):
        distance = Length.points(cover[name])
        assert distance == parse_length("8 13/16in")
        assert f"({distance.text('mm')})" in told
    for text in ("Spine 3/8 in", "8 13/16 in", "Open cover: 11.375 x 8.5 in", "Hinge: 1/4 in"):
        assert all(word in told for word in text.split()), text
    down = Length.points(cover["guts_below_cover_head"])
    assert f"({down.text('mm')}) below" in told
    with pdfplumber.open(made / "ticket.pdf") as pdf:
        assert pdf.pages[1].extract_text().startswith("What to do now")


def test_the_printed_cut_list_is_that_of_the_plan(made: Path) -> None:
    """Every gauge, from the page and from the table, is the plan's own."""
    plan = plan_of(made)
    gauges = [
        Length.points(step["setting"]["gauge"]) for step in plan["cut_steps"] if step["setting"]
    ]
    assert len(gauges) == 3
    lines = lines_of(made / "cuts.pdf")
    shown = [match[1] for line in lines if (match := re.search(r"that is (~?[\d.]+ in) \(", line))]
    assert [parse_length(one.lstrip("~").replace(" ", "")) for one in shown] == gauges
    with (made / "cuts.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    told = [row["gauge pt"] for row in rows if row["gauge pt"]]
    assert [Length.points(number) for number in told] == gauges
