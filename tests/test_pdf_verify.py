"""Reading back: anything that differs from the plan is found, by how much it may be."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_samples import (
    SHEET,
    crop_marks,
    numbered,
    place,
    pt,
    scans,
    slug,
    two_up,
    with_side,
)

from impose.errors import PlanMismatchError
from impose.geometry.box import Size
from impose.geometry.sides import PageSides
from impose.pdf.read import Sources, open_sources
from impose.pdf.readback import ReadBack
from impose.pdf.verify import verify_sheets
from impose.pdf.verifymarks import Grains
from impose.pdf.write import write_sheets
from impose.plan.parts import Mark, MarkGroup, Shape
from impose.plan.plan import Plan
from impose.units import Length, points_text


@pytest.fixture
def sources(tmp_path: Path) -> Sources:
    return open_sources([numbered(tmp_path / "a.pdf", 8)])


def caught(plan: Plan, written: Plan, sources: Sources, target: Path) -> str:
    """The fault found when `written` was printed instead of `plan`."""
    write_sheets(plan, sources, target.with_suffix(".right.pdf"))
    verify_sheets(plan, sources, target.with_suffix(".right.pdf"))
    write_sheets(written, sources, target)
    with pytest.raises(PlanMismatchError) as fault:
        verify_sheets(plan, sources, target)
    return str(fault.value)


def front(plan: Plan) -> tuple:  # type: ignore[type-arg]
    return plan.sheets[0].front.placements


# -- plans that differ ------------------------------------------------------------------


def test_the_right_file_passes(sources: Sources, tmp_path: Path) -> None:
    for ink in ("black", "registration"):
        plan = two_up(sources.facts, ink=ink, shift=Length.mm("0.0123"))
        write_sheets(plan, sources, tmp_path / "o.pdf")
        verify_sheets(plan, sources, tmp_path / "o.pdf")


def test_a_page_a_thousandth_of_a_point_off(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    one, two = front(plan)
    moved = replace(one, art=one.art.moved(pt("0.001"), pt(0)))
    said = caught(plan, with_side(plan, placements=(moved, two)), sources, tmp_path / "o.pdf")
    assert "sheet 1, front" in said and "45.001 pt" in said and "45 pt" in said


def test_a_clip_a_thousandth_of_a_point_off(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    one, two = front(plan)
    wider = replace(one, bleed=PageSides(foot=pt("0.001")))
    fault = caught(plan, with_side(plan, placements=(wider, two)), sources, tmp_path / "o.pdf")
    assert "49.999 pt" in fault and "50 pt" in fault


def test_pages_exchanged(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    one, two = front(plan)
    other = (replace(one, page=two.page), replace(two, page=one.page))
    fault = caught(plan, with_side(plan, placements=other), sources, tmp_path / "o.pdf")
    assert "form drawn as page 1" in fault


def test_scans_exchanged(tmp_path: Path) -> None:
    """Their contents are the same to the byte; the images are not."""
    with open_sources([scans(tmp_path / "a.pdf", 4)]) as sources:
        plan = two_up(sources.facts)
        one, two = front(plan)
        other = (replace(one, page=two.page), replace(two, page=one.page))
        fault = caught(plan, with_side(plan, placements=other), sources, tmp_path / "o.pdf")
    assert "form drawn as page 1" in fault


def test_a_placement_missing(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    one, two = front(plan)
    other = (replace(one, page=None), two)
    assert "1 in the file, 2 in the plan" in caught(
        plan, with_side(plan, placements=other), sources, tmp_path / "o.pdf"
    )


def test_a_page_too_many(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    extra = place(3, pt(255), pt(50), size=Size(pt(200), pt(300)))
    other = (*front(plan), extra)
    assert "3 in the file, 2 in the plan" in caught(
        plan, with_side(plan, placements=other), sources, tmp_path / "o.pdf"
    )


def test_a_page_turned(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    one, two = front(plan)
    other = (replace(one, turn=180), two)
    assert "page 1" in caught(plan, with_side(plan, placements=other), sources, tmp_path / "o.pdf")


def test_a_sheet_of_another_size(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    size = Size(SHEET.width + pt("0.001"), SHEET.height)
    other = replace(plan, sheets=(replace(plan.sheets[0], size=size), *plan.sheets[1:]))
    assert "MediaBox" in caught(plan, other, sources, tmp_path / "o.pdf")


def test_a_sheet_missing(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    other = replace(plan, sheets=plan.sheets[:-1])
    assert "pages" in caught(plan, other, sources, tmp_path / "o.pdf")


@pytest.mark.parametrize("shape", list(Shape))
def test_a_mark_moved(sources: Sources, tmp_path: Path, shape: Shape) -> None:
    plan = two_up(sources.facts)
    marks = [
        replace(mark, x0=mark.x0 + pt("0.001"), x1=mark.x1 + pt("0.001"))
        if mark.shape is shape
        else mark
        for mark in crop_marks().marks
    ]
    other = with_side(plan, marks=(MarkGroup(tuple(marks)),))
    assert "group of marks" in caught(plan, other, sources, tmp_path / "o.pdf")


@pytest.mark.parametrize(
    "change",
    [
        lambda side: {"marks": ()},
        lambda side: {"own_marks": ()},
        lambda side: {"own_marks": (*side.own_marks, slug("more"))},
        lambda side: {"own_marks": (replace(side.own_marks[0], weight=pt(6)),)},
        lambda side: {"own_marks": (replace(side.own_marks[0], turn=90),)},
        lambda side: {
            "own_marks": (
                *side.own_marks,
                Mark("cut", Shape.LINE, pt(1), pt(1), pt(1), pt(9), pt(1)),
            )
        },
    ],
)
def test_marks_missing_or_other(
    sources: Sources, tmp_path: Path, change: Callable[..., dict[str, object]]
) -> None:
    plan = two_up(sources.facts)
    other = with_side(plan, **change(plan.sheets[0].front))
    assert "marks" in caught(plan, other, sources, tmp_path / "o.pdf")


def test_another_ink(sources: Sources, tmp_path: Path) -> None:
    plan = two_up(sources.facts)
    assert "marks" in caught(
        plan, replace(plan, mark_ink="registration"), sources, tmp_path / "o.pdf"
    )


def test_a_file_that_was_never_written_for_these_sources(tmp_path: Path) -> None:
    paths = [numbered(tmp_path / "a.pdf", 4)]
    with open_sources(paths) as sources:
        plan = two_up(sources.facts)
        write_sheets(plan, sources, tmp_path / "o.pdf")
    with open_sources(paths) as sources, pytest.raises(PlanMismatchError):
        verify_sheets(two_up(sources.facts), sources, tmp_path / "o.pdf")


# -- files that were changed ------------------------------------------------------------


def changed(path: Path, find: bytes, put: bytes) -> None:
    """The first match of the pattern replaced by as many other bytes."""
    data = path.read_bytes()
    found = re.search(find, data)
    assert found is not None and len(found[0]) == len(put), found
    path.write_bytes(data[: found.start()] + put + data[found.end() :])


@pytest.mark.parametrize(
    ("find", "put"),
    [
        (rb"cm/P1 Do Q\nq", b"cm/P2 Do Q\nq"),
        (rb"q 45 50 200", b"q 45 51 200"),
        (rb"1 0 0 1 45 50 cm", b"1 0 0 1 46 50 cm"),
        (rb"1 0 0 1 45 50 cm", b"9 0 0 1 45 50 cm"),
        (rb"/M1 Do", b"/M2 Do"),
        (rb"re W n", b"re f n"),
        (rb"100 8 Td", b"100 9 Td"),
        (rb"\nendstream endobj", b"\nendstreem endobj"),
        (rb"%%EOF", b"%%E0F"),
    ],
)
def test_changed_bytes_are_found(sources: Sources, tmp_path: Path, find: bytes, put: bytes) -> None:
    target = tmp_path / "o.pdf"
    plan = two_up(sources.facts, marks=MarkGroup(crop_marks().marks[:1]))
    write_sheets(plan, sources, target)
    changed(target, find, put)
    with pytest.raises(PlanMismatchError):
        verify_sheets(plan, sources, target)


def test_a_changed_page_is_found(sources: Sources, tmp_path: Path) -> None:
    target = tmp_path / "o.pdf"
    plan = two_up(sources.facts)
    write_sheets(plan, sources, target)
    data = bytearray(target.read_bytes())
    at = data.index(b"stream\n") + 20
    data[at] ^= 1
    target.write_bytes(data)
    with pytest.raises(PlanMismatchError):
        verify_sheets(plan, sources, target)


def test_a_truncated_file_is_found(sources: Sources, tmp_path: Path) -> None:
    target = tmp_path / "o.pdf"
    plan = two_up(sources.facts)
    write_sheets(plan, sources, target)
    target.write_bytes(target.read_bytes()[:-200])
    with pytest.raises(PlanMismatchError):
        verify_sheets(plan, sources, target)


class Delivery:
    """Five pages on two sheets, written once."""

    def __init__(self, folder: Path) -> None:
        self.sources = open_sources([numbered(folder / "a.pdf", 5)])
        self.plan = two_up(self.sources.facts, ink="registration")
        write_sheets(self.plan, self.sources, folder / "o.pdf")
        self.data = (folder / "o.pdf").read_bytes()
        self.target = folder / "spoiled.pdf"


@pytest.fixture(scope="module")
def delivery(tmp_path_factory: pytest.TempPathFactory) -> Delivery:
    return Delivery(tmp_path_factory.mktemp("delivery"))


@settings(max_examples=300, deadline=None)
@given(at=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_a_flipped_bit_is_found_or_changes_nothing_on_the_sheets(
    delivery: Delivery, at: float, bit: int
) -> None:
    """It never ends in another exception; what it may miss is in the font and the title."""
    spoiled = bytearray(delivery.data)
    spoiled[int(at * len(spoiled))] ^= 1 << bit
    delivery.target.write_bytes(spoiled)
    try:
        verify_sheets(delivery.plan, delivery.sources, delivery.target)
    except PlanMismatchError:
        return
    with (
        pypdfium2.PdfDocument(delivery.target) as found,
        pypdfium2.PdfDocument(delivery.data) as wanted,
    ):
        assert len(found) == len(wanted)
        for one, other in zip(found, wanted, strict=True):
            assert one.get_size() == other.get_size()
            pictures = [page.render().to_pil().convert("L") for page in (one, other)]
            inside = [picture.crop((45, 50, 455, 350)) for picture in pictures]
            assert inside[0].tobytes() == inside[1].tobytes()


# -- reading back -----------------------------------------------------------------------


def test_numbers_are_read_as_the_lengths_they_were() -> None:
    read = Grains()
    for grains in (0, 1, -1, 1_270_000, 123_456_789, -987_654_321, 635_000, 317):
        length = Length(grains)
        assert read[points_text(length).encode()] == grains
    with pytest.raises(ValueError):
        read[b"1e3"]


def test_every_object_of_a_large_file_is_found_again(sources: Sources, tmp_path: Path) -> None:
    with open_sources([numbered(tmp_path / "b.pdf", 300)]) as many:
        write_sheets(two_up(many.facts, shift=Length(1234)), many, tmp_path / "o.pdf")
    with ReadBack(tmp_path / "o.pdf") as written:
        pages = written.pages()
        assert len(pages) == 150
        assert all(written.text(page).startswith(b"<</Type/Page/Parent") for page in pages)
