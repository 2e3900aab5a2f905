"""Parent sheets: cut first, with the grain right, followed by someone who reads nothing else."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from benchplans import cut_plan, job_for, library, plan_for
from benchreplay import operator_for, same
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box
from test_make import numbered_pdf

from impose.bench.parent import grain_on_sheet, parent_cut
from impose.bench.program import add_cuts
from impose.checks.papers import check_grain
from impose.cli.main import run
from impose.errors import JobError, PlanMismatchError
from impose.geometry.box import Size
from impose.model.job import NamedSize
from impose.model.stock import Grain
from impose.plan.cutsteps import StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.units import Length


def inches(width: str, height: str) -> NamedSize:
    size = Size(Length.inches(width), Length.inches(height))
    return NamedSize(size=size, name=f"{width} x {height}", unit="in")


def planned(parent: NamedSize, grain: Grain | None = None, **options: Any) -> tuple[Plan, Any]:
    asked = {"binding": "perfect", "trim": "half letter", "cutter": "guillotine-hydraulic"}
    job = job_for(**(asked | options))
    stock = replace(job.guts.stock, grain=grain)
    job = replace(job, guts=replace(job.guts, parent=parent, stock=stock))
    return add_cuts(plan_for(job, 64), job), job


def test_a_half_sheet_of_25_x_38() -> None:
    """Worked by hand: 25 x 38 in cut across its long side gives two sheets of 19 x 25 in, one
    cut, nothing left over."""
    plan, _ = planned(inches("25", "38"), sheet="19in x 25in")
    assert plan.cut_facts is not None and plan.cut_facts.parent is not None
    parent = plan.cut_facts.parent
    assert (parent.out, parent.waste, parent.handling.strokes) == (2, 0, 1)
    assert parent.count == -(-plan.cut_facts.sheets // 2)
    first = [step for step in plan.cut_steps if step.when is When.BEFORE_PRINTING]
    assert first == list(plan.cut_steps[: len(first)])
    cut = next(step for step in first if step.kind is StepKind.CUT)
    assert cut.setting is not None and cut.setting.gauge == Length.inches(19)
    assert cut.falls is not None and not cut.falls.waste


def test_the_grain_decides_which_way_the_parent_is_cut() -> None:
    """Worked by hand, 23 x 35 in: sheets of 12 x 18 in come out of it upright as 1 x 1, turned a
    quarter as 1 x 2. With the grain long (up the parent) only the upright way has it up the
    sheet; with the grain short only the turned one."""
    up, job = planned(inches("23", "35"), Grain.LONG, sheet="12in x 18in", up=4)
    way = parent_cut(up, job)
    assert way is not None and (way.turned, way.out, way.grain_up) == (False, 1, True)
    assert grain_on_sheet(up, job) is Grain.LONG
    assert [f.code for f in up.findings if f.code.startswith("parent")] == ["parent-grain-costs"]
    assert not check_grain(up, job)
    across, job = planned(inches("23", "35"), Grain.SHORT, sheet="12in x 18in", up=4)
    way = parent_cut(across, job)
    assert way is not None and (way.turned, way.out, way.grain_up) == (True, 2, True)
    assert not check_grain(across, job)


def test_grain_that_no_way_gets_right_is_warned_of() -> None:
    """12 x 18 in out of 13 x 19 in comes out one way only."""
    plan, job = planned(inches("13", "19"), Grain.SHORT, sheet="12in x 18in", up=4)
    assert [f.code for f in check_grain(plan, job)] == ["grain-across"]


@given(
    width=st.integers(300, 1000),
    height=st.integers(430, 1000),
    grain=st.sampled_from([None, Grain.LONG, Grain.SHORT]),
)
@settings(max_examples=60, deadline=None)
def test_a_parent_cut_by_the_list_leaves_exactly_the_sheets(
    width: int, height: int, grain: Grain | None
) -> None:
    size = Size(Length.mm(width), Length.mm(height))
    parent = NamedSize(size=size, name="mill sheet")
    try:
        plan, job = planned(parent, grain, sheet="a4", trim="a5", cutter="guillotine-hydraulic")
    except JobError:  # nothing comes out; the case below
        return
    way = parent_cut(plan, job)
    assert way is not None
    operator = operator_for(plan)
    points = [float(n.as_points) for n in (way.parent.width, way.parent.height)]
    piles = operator.cut_paper("parent sheets", points[0], points[1])
    w, h = (float(n.as_points) for n in (way.sheet.width, way.sheet.height))
    wanted = [box(w * c, h * r, w * c + w, h * r + h) for c in range(way.columns)
              for r in range(way.rows)]  # fmt: skip
    assert len(piles) == len(wanted)
    for paper in piles.values():
        assert any(same(paper, one) for one in wanted)
    facts = plan.cut_facts
    assert facts is not None and facts.parent is not None
    assert operator.turns == facts.parent.handling.turns <= facts.parent.plain.turns
    assert operator.settings <= facts.parent.plain.settings
    assert from_text(to_text(plan)) == plan


def test_a_sheet_that_does_not_come_out_is_refused_with_both_sizes() -> None:
    with pytest.raises(JobError, match=r"12 x 18 in does not come out.*11 x 17 in"):
        planned(inches("11", "17"), sheet="12in x 18in", up=4)


def test_overs_are_cut_from_parents_too() -> None:
    parent = inches("25", "38")
    plan, _ = planned(parent, sheet="19in x 25in", guts={"overs": 5})
    assert plan.cut_facts is not None and plan.cut_facts.parent is not None
    sheets = plan.cut_facts.sheets
    assert plan.cut_facts.parent.count == -(-(sheets + 5 * sheets) // 2)


def test_a_list_that_leaves_another_sheet_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    import impose.bench.parent as module

    true = module.parent_sheet_cuts

    def off(way: module.ParentCut) -> Any:
        wider = replace(way, sheet=Size(way.sheet.width - Length.mm(1), way.sheet.height))
        return true(wider)

    monkeypatch.setattr(module, "parent_sheet_cuts", off)
    with pytest.raises(PlanMismatchError, match="of the parent sheet"):
        planned(inches("25", "38"), sheet="19in x 25in")


def test_paper_at_size_has_no_cut_before_printing() -> None:
    plan, _ = planned(inches("8.5", "11"), sheet="letter", up=1)
    assert not [step for step in plan.cut_steps if step.when is When.BEFORE_PRINTING]
    assert plan.cut_facts is not None and plan.cut_facts.parent is not None
    assert plan.cut_facts.parent.out == 1


def test_waste_by_hand() -> None:
    """Four of 12 x 18 in out of 25 x 38 in: 950 - 864 = 86 of 950 square inches, 9.05 %."""
    plan, _ = planned(inches("25", "38"), Grain.LONG, sheet="12in x 18in", up=4)
    assert plan.cut_facts is not None and plan.cut_facts.parent is not None
    assert plan.cut_facts.parent.waste == Fraction(905, 100)


def test_a_job_without_parent_is_as_before() -> None:
    plan = cut_plan(64, binding="perfect", sheet="sra3")
    assert plan.cut_facts is not None and plan.cut_facts.parent is None
    assert library().cutter("guillotine-hydraulic").widest >= Length.inches(25)


def test_the_job_file_names_the_parent(tmp_path: Path) -> None:
    numbered_pdf(tmp_path / "p.pdf", 8)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "saddle"\ntrim = "a5"\n[guts]\nsheet = "sra4"\n'
        'parent = "sra3"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    rows = (out / "cuts.csv").read_text().splitlines()
    assert rows[1].startswith("1,before printing,Jog the parent sheets")
    plan = from_text((out / "plan.json").read_text())
    assert plan.cut_facts is not None and plan.cut_facts.parent is not None
    assert plan.cut_facts.parent.out == 2


@pytest.mark.parametrize(
    ("parent", "told"),
    [
        ("415mm x 320mm", ["white paper, 415 x 110 mm: large", "white paper, 210 x 118 mm: large"]),
        ("396mm x 309mm", ["waste, a strip of 99 mm", "waste, a strip of 99 mm"]),
    ],
)
def test_white_paper_wide_enough_to_keep_is_no_waste(
    parent: str, told: list[str], tmp_path: Path
) -> None:
    """Landscape A4 (297 x 210 mm) out of a parent that gives one."""
    numbered_pdf(tmp_path / "p.pdf", 8)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "saddle"\ntrim = "a5"\n[guts]\nsheet = "a4"\n'
        f'parent = "{parent}"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    rows = [r for r in (out / "cuts.csv").read_text().splitlines() if "before printing" in r]
    assert len(rows) == 4
    assert [one in row for one, row in zip(told, rows[1:3], strict=True)] == [True, True]
