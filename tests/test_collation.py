"""Collation marks on the spines of gathered sections, as they are printed: a stair that breaks
when a section is missing, doubled or in another's place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image
from proofbook import make_job, make_source

from impose.marks.drawing import add_marks
from impose.model.presswork import Work
from impose.pdf.read import open_sources
from impose.pdf.write import write_sheets
from impose.plan.parts import LineKind
from impose.plan.plan import Plan
from impose.schemes.leaves import expand_pages
from impose.schemes.planning import plan_sheets

DOTS = 72  # a pixel is a point
SECTIONS = 24
#: A page of 90 mm is 255 pt high: 18 steps of 14 pt, less the first and the last one.
STEPS = 16
#: Where the mark is on one spine, from the head: first row and rows.
Seen = tuple[int, int]


@pytest.fixture(scope="module", params=[None, Work.TURN], ids=["sheetwise", "work and turn"])
def spines(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> list[Image.Image]:
    """The outside of each folded section at its spine, six points wide, cut to the page."""
    folder: Path = tmp_path_factory.mktemp("collation")
    source = make_source(folder / "source.pdf", 4 * SECTIONS)
    guts = {"work": request.param}
    sheet = "a4" if request.param else "a5"
    job = make_job(str(source), guts, binding="sections", up=2, section_pages=4, sheet=sheet)
    job = replace(job, marks=replace(job.marks, kinds=frozenset({"collation"})))
    with open_sources([source]) as sources:
        pages, faces = expand_pages(job.pages, [str(source)], sources.facts)
        plan = add_marks(plan_sheets(job, pages, faces, [source.name]), job)
        write_sheets(plan, sources, folder / "guts.pdf")
    return rendered(plan, folder / "guts.pdf")


def rendered(plan: Plan, guts: Path) -> list[Image.Image]:
    found = []
    with pypdfium2.PdfDocument(guts) as pdf:
        for index, sheet in enumerate(plan.sheets):
            page = pdf[index * len(plan.printed(sheet))]
            picture: Image.Image = page.render(scale=DOTS / 72, grayscale=True).to_pil()
            first = [
                p for p in sheet.front.placements if p.position in (4 * index + 1, 4 * index + 4)
            ]
            right = max(first, key=lambda p: p.trim.x0.grains)
            fold = next(
                line.x0 for line in sheet.lines
                if line.kind is LineKind.FOLD and line.x0 == right.trim.x0
            )  # fmt: skip
            x, low, high = (float(n.as_points) for n in (fold, right.trim.y0, right.trim.y1))
            top = picture.height - high
            box = (round(x) - 2, round(top), round(x) + 2, round(top + high - low))
            found.append(picture.crop(box))
    return found


def stair(spines: Sequence[Image.Image]) -> list[Seen]:
    """The longest run of black on each spine."""
    return [max(_runs(spine), key=lambda run: run[1]) for spine in spines]


def _runs(spine: Image.Image) -> list[Seen]:
    rows = spine.resize((1, spine.height), Image.Resampling.BOX).tobytes()
    runs, start = [], None
    for y, grey in enumerate((*rows, 255)):
        if grey < 40 and start is None:
            start = y
        elif grey >= 40 and start is not None:
            runs.append((start, y - start))
            start = None
    return runs or [(-1, 0)]


def breaks(marks: Sequence[Seen]) -> list[int]:
    """Places in the pile where the next mark is not one step lower, or at the head again with
    steps of the next length."""
    found = []
    for place in range(1, len(marks)):
        (before, long), (here, length) = marks[place - 1], marks[place]
        lower = abs(here - before - 14) <= 1 and abs(length - long) <= 1
        again = abs(before - here - 14 * (STEPS - 1)) <= 1 and length < long
        if not (lower or again):
            found.append(place)
    return found


def test_gathered_sections_show_a_stair(spines: list[Image.Image]) -> None:
    marks = stair(spines)
    assert len(marks) == SECTIONS
    assert breaks(marks) == []
    assert [round((top - marks[0][0]) / 14) for top, _ in marks[:STEPS]] == list(range(STEPS))
    # the second round begins at the head with steps half as long
    assert abs(marks[STEPS][0] - marks[0][0]) <= 1
    assert abs(marks[STEPS][1] * 2 - marks[0][1]) <= 2


@pytest.mark.parametrize("at", [0, 7, STEPS - 2, STEPS, SECTIONS - 2])
def test_a_swapped_section_breaks_it(spines: list[Image.Image], at: int) -> None:
    pile = list(spines)
    pile[at], pile[at + 1] = pile[at + 1], pile[at]
    assert breaks(stair(pile)) != []


@pytest.mark.parametrize("at", [1, STEPS - 1, STEPS, SECTIONS - 2])
def test_a_missing_or_doubled_section_breaks_it(spines: list[Image.Image], at: int) -> None:
    assert at in breaks(stair([*spines[:at], *spines[at + 1 :]]))
    assert at + 1 in breaks(stair([*spines[: at + 1], *spines[at:]]))


def test_sections_a_whole_round_apart_are_told_by_their_length(spines: list[Image.Image]) -> None:
    pile = list(spines)
    pile[2], pile[2 + STEPS] = pile[2 + STEPS], pile[2]
    assert {2, 3} <= set(breaks(stair(pile)))
