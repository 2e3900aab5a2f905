"""From what was asked to the faces of the book: ranges, explicit blanks, filling up."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import page_facts

from impose.errors import JobError
from impose.geometry.box import Size
from impose.model.facts import SourceFacts
from impose.model.job import BlanksAt, PagesItem
from impose.schemes.leaves import Faces, expand_pages, fill_up
from impose.units import Length

A5 = Size(Length.mm(148), Length.mm(210))
FACTS = page_facts(A5)
Ranges = tuple[tuple[int, int | None], ...]


def source(name: str, pages: int) -> SourceFacts:
    return SourceFacts(name, (FACTS,) * pages)


def item(name: str, *ranges: tuple[int, int | None]) -> PagesItem:
    return PagesItem(file=Path(name), ranges=ranges)


def numbers(*items: PagesItem, **pages: int) -> tuple[list[tuple[int, int]], Faces]:
    """File index and page number of each page, and the faces."""
    sources = [source(f"{name}.pdf", count) for name, count in pages.items()]
    book, faces = expand_pages(items, [s.file for s in sources], sources)
    return [(page.file, page.number) for page in book], faces


def test_a_whole_file_in_order() -> None:
    assert numbers(item("body.pdf"), body=3) == ([(0, 1), (0, 2), (0, 3)], (1, 2, 3))


def test_ranges_run_either_way_and_to_the_end() -> None:
    picked, faces = numbers(item("body.pdf", (4, None), (2, 1), (3, 3)), body=5)
    assert [number for _, number in picked] == [4, 5, 2, 1, 3]
    assert faces == (1, 2, 3, 4, 5)


def test_files_and_blanks_in_the_order_they_are_named() -> None:
    picked, faces = numbers(
        item("front.pdf"), PagesItem(blank=2), item("body.pdf", (2, 3)), front=1, body=3
    )
    assert picked == [(0, 1), (1, 2), (1, 3)]
    assert faces == (1, None, None, 2, 3)


def test_the_same_page_asked_for_twice_is_two_pages_of_the_book() -> None:
    picked, faces = numbers(item("body.pdf", (1, 1), (1, 1)), body=2)
    assert picked == [(0, 1), (0, 1)]
    assert faces == (1, 2)


@given(st.integers(1, 30), st.data())
def test_ranges_give_every_page_of_them_once(count: int, data: st.DataObject) -> None:
    ends = st.integers(1, count)
    ranges: Ranges = tuple(data.draw(st.lists(st.tuples(ends, ends | st.none()), min_size=1)))
    picked, faces = numbers(item("body.pdf", *ranges), body=count)
    expected = []
    for first, last in ranges:
        end = count if last is None else last
        expected += [*range(first, end + 1)] if end >= first else [*range(first, end - 1, -1)]
    assert [number for _, number in picked] == expected
    assert faces == tuple(range(1, len(expected) + 1))


def test_a_range_outside_its_file_names_both_numbers() -> None:
    with pytest.raises(JobError) as caught:
        numbers(item("body.pdf", (3, 90), (0, 2)), item("front.pdf", (2, None)), body=12, front=1)
    said = [(fault.code, fault.message) for fault in caught.value.faults]
    assert said == [
        ("page-range", "body.pdf: pages 3-90 asked for, the file has 12"),
        ("page-range", "body.pdf: pages 0-2 asked for, the file has 12"),
        ("page-range", "front.pdf: pages 2- asked for, the file has 1"),
    ]
    assert {fault.file for fault in caught.value.faults} == {"body.pdf", "front.pdf"}
    assert caught.value.faults[0].hint == "choose pages from 1 to 12"


def test_a_book_of_blanks_alone_is_no_book() -> None:
    with pytest.raises(JobError, match="the job has no pages"):
        numbers(PagesItem(blank=4))


# -- filling up ------------------------------------------------------------------------


def test_blanks_are_added_at_the_end_and_said() -> None:
    faces, (note,) = fill_up((1, 2, 3, 4, 5), 4, BlanksAt())
    assert faces == (1, 2, 3, 4, 5, None, None, None)
    assert note.message == "3 blank pages added at the end: 5 pages make 8"
    assert dict(note.numbers) == {"blanks": 3, "pages_given": 5, "pages_made": 8}


def test_blanks_before_the_last_page_keep_it_on_the_back() -> None:
    faces, (note,) = fill_up((1, 2, 3, 4, 5), 4, BlanksAt(before=-1))
    assert faces == (1, 2, 3, 4, None, None, None, 5)
    assert note.message == "3 blank pages added before page 5: 5 pages make 8"


def test_blanks_before_the_last_source_page_when_the_book_ends_with_a_blank() -> None:
    assert fill_up((1, 2, 3, 4, None), 2, BlanksAt(before=-1))[0] == (1, 2, 3, None, 4, None)


def test_one_blank_is_one() -> None:
    _, (note,) = fill_up((1, 2, 3), 4, BlanksAt(before=2))
    assert note.message == "1 blank page added before page 2: 3 pages make 4"


def test_a_full_book_gets_no_blanks_and_no_note() -> None:
    assert fill_up((1, 2, None, 3), 4, BlanksAt(before=9)) == ((1, 2, None, 3), ())


def test_blanks_before_a_page_that_is_not_there() -> None:
    with pytest.raises(JobError) as caught:
        fill_up((1, 2, 3), 4, BlanksAt(before=7))
    (fault,) = caught.value.faults
    assert fault.message == "blanks are to go before page 7, the book has 3 pages"
    assert fault.hint == "name a page from 1 to 3"


@given(
    st.lists(st.booleans(), min_size=1, max_size=60).filter(any),
    st.sampled_from([2, 4, 8, 16, 32]),
    st.data(),
)
def test_filling_up_adds_the_fewest_blanks_and_keeps_the_order(
    is_page: list[bool], multiple: int, data: st.DataObject
) -> None:
    count, faces = 0, []
    for page in is_page:
        count += page
        faces.append(count if page else None)
    before = data.draw(st.sampled_from([None, -1, 1, count]))
    filled, notes = fill_up(tuple(faces), multiple, BlanksAt(before=before))
    added = len(filled) - len(faces)
    assert len(filled) % multiple == 0
    assert 0 <= added < multiple
    assert bool(notes) == bool(added)
    assert [face for face in filled if face] == list(range(1, count + 1))
    if before is None:
        assert filled[: len(faces)] == tuple(faces)
    elif added:
        page = count if before == -1 else before
        at = filled.index(page)
        assert filled[at - added : at] == (None,) * added
        assert (*filled[: at - added], *filled[at:]) == tuple(faces)
