"""A digital press: no plates, no gripper, every side printed is a click."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pdf_samples import numbered
from strategies import asked_for, mm, plan_of

import impose
from impose.bench.clicks import add_clicks
from impose.bench.program import add_cuts
from impose.cli.main import run
from impose.errors import JobError
from impose.geometry.box import Size
from impose.geometry.turning import Flip
from impose.model.job import Binding, MarkSettings
from impose.model.machines import Printer
from impose.model.overrides import Overrides
from impose.model.prices import Prices
from impose.model.profiles import Library
from impose.model.resolve import job_from_options
from impose.plan.wire import from_text, to_text
from impose.reports.layout_table import notes
from impose.reports.press_rows import press_rows

MARGIN = mm(4)
DIGITAL = Printer(
    name="the copier", press=True, digital=True, lead=MARGIN, tail=MARGIN, left=MARGIN,
    right=MARGIN, flip=Flip.LONG_EDGE, registration_ink=True,
)  # fmt: skip
A5, A4 = Size(mm(148), mm(210)), Size(mm(210), mm(297))


def test_it_is_told_by_its_technique() -> None:
    shipped = Library().printer("digital-press")
    assert shipped.digital and shipped.press and not shipped.plates
    plate = Library().printer("small-press")
    assert plate.plates and not plate.digital


@pytest.mark.parametrize("key", ['side_lay = "left"', 'bar = "6mm"', "perfects = true"])
def test_it_has_nothing_of_a_plate_press(
    key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.toml"
    own.write_text(f'kind = "printer"\nname = "Own"\ntechnique = "digital"\n{key}\n')
    assert run(["profiles", "check", str(own)]) == 2
    assert f"a digital press has no {key.split()[0]}" in capsys.readouterr().err


def test_a_booklet_may_lie_to_the_edge_of_its_sheet() -> None:
    """Two A5 pages are as large as A4: nothing is held by grippers, a white edge is told."""
    plan = plan_of(8, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=DIGITAL)
    assert plan.press is None
    assert "unprintable-margin" in {f.code for f in plan.findings}
    plate = replace(DIGITAL, digital=False)
    with pytest.raises(JobError, match="less the gripper"):
        plan_of(8, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=plate)


def test_its_clicks_are_counted_with_overs_and_kept_in_the_plan() -> None:
    """24 pages are 6 sheets a copy: 30 copies take 180, overs 2 of each 12, both sides printed."""
    asked = asked_for(
        24, binding=Binding.SADDLE, trim=A5, sheet=Size(mm(320), mm(450)), printer=DIGITAL,
        copies=30, overs=2,
    )  # fmt: skip
    plan = add_clicks(add_cuts(asked.planned(), asked.job), asked.job)
    assert plan.clicks is not None
    assert (plan.clicks.sheets, plan.clicks.overs, plan.clicks.clicks) == (180, 12, 384)
    rows = dict(press_rows(plan))
    assert rows["Clicks"] == "384: 180 sheets and 12 for spoilage, printed on both sides"
    assert not {"Plates", "Pass 1, front"} & set(rows)
    assert from_text(to_text(plan, [])) == plan
    assert add_clicks(plan_of(4, binding=Binding.SADDLE, trim=A5, sheet=A4), asked.job).clicks


def test_its_marks_are_those_of_a_press_without_gripper_and_bar() -> None:
    sheet = Size(mm(360), mm(320))
    said: dict[str, Any] = {"binding": Binding.SADDLE, "trim": A5, "sheet": sheet}
    plan = plan_of(8, printer=DIGITAL, **said)
    kinds = {m.kind for _, s in plan.sheets[0].sides for g in s.marks for m in g.marks}
    assert "registration" in kinds and not {"gripper", "lay"} & kinds
    assert not plan.sheets[0].front.fills
    asked = MarkSettings(kinds=frozenset({"crop", "colour bar", "gripper", "lay"}))
    plan = plan_of(8, printer=DIGITAL, marks=asked, **said)
    kinds = {m.kind for _, s in plan.sheets[0].sides for g in s.marks for m in g.marks}
    assert plan.sheets[0].front.fills and not {"gripper", "lay"} & kinds
    (found,) = [f for f in plan.findings if f.code == "press-mark-unknown"]
    assert "gripper and lay" in found.message


def test_ways_of_printing_with_plates_are_refused(tmp_path: Path) -> None:
    pages = numbered(tmp_path / "pages.pdf", 8)
    asked = Overrides(
        pages=(str(pages),), binding="sections", sheet="sra3", printer="digital-press",
        work="work and turn",
    )  # fmt: skip
    with pytest.raises(JobError, match="a way of printing with plates"):
        job_from_options(asked, tmp_path)


def test_tickets_and_layouts_speak_of_clicks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pages = numbered(tmp_path / "pages.pdf", 8)
    args = [str(pages), "--binding", "loose", "--sheet", "sra3", "--printer", "digital-press"]
    assert run(["layouts", *args, "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["layouts"]
    assert rows and all(row["clicks"] and row["plates"] is None for row in rows)
    out = tmp_path / "out"
    assert run(["make", *args, "--out", str(out), "--only", "ticket,plan", "--quiet"]) in (0, 1)
    data = json.loads((out / "plan.json").read_text("utf-8"))
    assert "press" not in data and data["clicks"]["clicks"] == 2 * data["clicks"]["sheets"]
    schema = Path(str(impose.__file__)).parent / "plan" / "plan.schema.json"
    jsonschema.validate(data, json.loads(schema.read_text("utf-8")))


def test_a_price_for_plates_that_it_has_not_is_told() -> None:
    asked = asked_for(
        4, binding=Binding.LOOSE, trim=A5, sheet=A4, printer=DIGITAL,
        prices=Prices(plate=Fraction(9)),
    )  # fmt: skip
    said = "Plates have a price, and the copier has none: they are not counted."
    assert said in list(notes(asked.job))
    plate = replace(asked.job.guts, printer=replace(DIGITAL, digital=False))
    assert said not in list(notes(replace(asked.job, guts=plate)))
