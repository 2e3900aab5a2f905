"""Job files: lines of keys, every value read, every fault at once with its line."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from impose.errors import InputError, JobError
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model.inks import Ink
from impose.model.job import Binding, BlanksAt, FitMode, NamedSize, Order
from impose.model.jobfile import JobFile, read_job_file
from impose.model.keylines import KeyPath, key_lines, line_of
from impose.model.stock import Grain
from impose.model.tomlfile import dotted
from impose.units import Length, parse_length

# -- lines -----------------------------------------------------------------------------

LINES = """\
# a comment with key = "value"
title = "a # no comment"   # one

[book]
pages = [
  "one.pdf",   # a, b

  { file = "two.pdf", pages = "1-2" },
  "three ] }.pdf", { blank = 2 },
]
trim.width = 'C:\\path'
trim."the height" = "9in"
"quoted = key" = \"""
not = "a key"
[not a table]
\"""
'literal key' = '''
also = "none"'''
date = 2024-05-31
empty = []
empty_table = {}
nested = [[1, 2], [
  3]]

[guts.stock]
caliper = "0.1mm"
[ cover ]
art = { back = "b.pdf", spine.file = "s.pdf" }
[[pile]]
name = "first"
[[pile]]
name = "second"
[pile.inner]
x = 1
"""


def test_every_key_is_found_on_its_line() -> None:
    found = key_lines(LINES)
    expected: dict[KeyPath, int] = {
        ("title",): 2,
        ("book",): 4,
        ("book", "pages"): 5,
        ("book", "pages", 0): 6,
        ("book", "pages", 1): 8,
        ("book", "pages", 1, "file"): 8,
        ("book", "pages", 1, "pages"): 8,
        ("book", "pages", 2): 9,
        ("book", "pages", 3): 9,
        ("book", "pages", 3, "blank"): 9,
        ("book", "trim"): 11,
        ("book", "trim", "width"): 11,
        ("book", "trim", "the height"): 12,
        ("book", "quoted = key"): 13,
        ("book", "literal key"): 17,
        ("book", "date"): 19,
        ("book", "empty"): 20,
        ("book", "empty_table"): 21,
        ("book", "nested"): 22,
        ("book", "nested", 0): 22,
        ("book", "nested", 0, 0): 22,
        ("book", "nested", 0, 1): 22,
        ("book", "nested", 1): 22,
        ("book", "nested", 1, 0): 23,
        ("guts",): 25,
        ("guts", "stock"): 25,
        ("guts", "stock", "caliper"): 26,
        ("cover",): 27,
        ("cover", "art"): 28,
        ("cover", "art", "back"): 28,
        ("cover", "art", "spine"): 28,
        ("cover", "art", "spine", "file"): 28,
        ("pile",): 29,
        ("pile", 0): 29,
        ("pile", 0, "name"): 30,
        ("pile", 1): 31,
        ("pile", 1, "name"): 32,
        ("pile", 1, "inner"): 33,
        ("pile", 1, "inner", "x"): 34,
    }
    assert found == expected


def paths_of(value: object, at: KeyPath = ()) -> set[KeyPath]:
    """Every path in TOML values as the standard reader gives them."""
    items: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    return {(*at, key) for key, _ in items} | {
        path for key, item in items for path in paths_of(item, (*at, key))
    }


def test_the_scanner_and_the_reader_see_the_same_keys() -> None:
    assert set(key_lines(LINES)) == paths_of(tomllib.loads(LINES))


keys = st.sampled_from(["a", "b-c", '"d e"', "'f.g'", '"h\\"i"', '"j=k"', "l.m", '"#n"'])
atoms = st.sampled_from(
    ["1", '"x"', "'y'", '"z \\" ]"', "true", "1979-05-27", '"""\nq = [\n"""', "'''}\n'''", "0.5"]
)
values = st.recursive(
    atoms,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: "[\n" + ", # ]\n".join(items) + "\n]")
        | inner.map(lambda item: f"{{ k = {item} }}" if "\n" not in item else item)
    ),
    max_leaves=5,
)


@given(st.lists(st.tuples(keys, values), max_size=6, unique_by=lambda pair: pair[0]))
def test_scanner_and_reader_agree_on_any_text(pairs: list[tuple[str, str]]) -> None:
    text = "[t]\n" + "".join(f"\n# note\n{key} = {value} # end\n" for key, value in pairs)
    lines = key_lines(text)
    assert set(lines) == paths_of(tomllib.loads(text))
    for key, _ in pairs:
        name = next(iter(tomllib.loads(f"{key} = 1")))
        assert text.split("\n")[lines[("t", name)] - 1].startswith(f"{key} =")


def test_a_key_that_is_not_there_is_laid_to_its_table() -> None:
    lines = key_lines(LINES)
    assert line_of(lines, ("guts", "stock", "grain")) == 25
    assert line_of(lines, ("bench", "cutter")) == 1


def test_paths_are_written_for_people() -> None:
    assert dotted(("book", "pages", 1, "file")) == "book.pages[2].file"
    assert dotted(()) == ""


# -- values ----------------------------------------------------------------------------


def read(tmp_path: Path, text: str) -> JobFile:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return read_job_file(path)


def faults(tmp_path: Path, text: str) -> list[tuple[int, str]]:
    return [(fault.line, fault.message) for fault in read(tmp_path, text).faults]


WHOLE = """\
[book]
title = "Stones"
pages = ["pages.pdf", "body.pdf[1, 3,5-7,9-]", "blank", { file = "x.pdf", pages = "3-90" },
         { blank = 2 }, { file = "y.pdf", pages = 4 }]
trim = "5.5in x 8.5in"
binding = "perfect"
bound_at = "right"
blanks = "before page 7"
fit = "centre"
bleed = "1/8in"
units = "mm"
date = 2024-05-31
password = ["one", "two"]
outside = true

[guts]
sheet = ["letter", "11 x 17 in"]
up = 2
printer = "small press"
flip = "short edge"
section_pages = 16
last_section = "short"
order = "repeat"
place = "spine on edge"
grind = "1/8in"
gutter = "6mm"
trim_off = "5mm"
head_allowance = "3mm"
foot_allowance = "4mm"
fore_edge_allowance = "5mm"
lip = "8mm"
lip_on = "back"
creep = "measured 2.5mm"
overs = 5
printing = "one side at a time"
parent = "sra2"
lay = "foot"

[guts.stock]
name = "Mine"
grammage = "74 g/m2"
basis = "50# book"
caliper = "0.0039in"
bulk = "1.3cm3/g"
grain = "long"
stack = "10mm"
leaves = 100

[marks]
show = ["crop", "fold"]
length = "4mm"
offset = "2mm"
weight = "0.3pt"

[cover]
art = { back = "b.pdf", spine = "s.pdf", front = "f.pdf[2]" }
inside = "inside.pdf"
stock = "cover-80lb"
sheet = "12in x 18in"
spine = "measured 3/8in"
hinge = "1/4in"
flaps = { front = "3in" }
allowance = "0.0327in"
lay = "head"
spine_text_clear = "1/16in"
fill = "grey 30"
score_from = "135gsm"
thin_spine = "4mm"

[bench]
cutter = "hand"
creaser = "two-way-creaser"
binder = "milling-binder"
"""


def test_every_key_of_a_book_is_read(tmp_path: Path) -> None:
    file = read(tmp_path, WHOLE)
    assert file.faults == ()
    book = file.tables.book
    items = [(item.file, item.pages, item.blank) for item in book.pages if item]
    assert items == [
        ("pages.pdf", (), 0),
        ("body.pdf", ((1, 1), (3, 3), (5, 7), (9, None)), 0),
        ("", (), 1),
        ("x.pdf", ((3, 90),), 0),
        ("", (), 2),
        ("y.pdf", ((4, 4),), 0),
    ]
    size = Size(Length.inches("5.5"), Length.inches("8.5"))
    assert book.trim == NamedSize(size=size, name="5.5 x 8.5 in", unit="in")
    assert (book.title, book.binding, book.bound_at) == ("Stones", Binding.PERFECT, BoundAt.RIGHT)
    assert (book.blanks, book.fit) == (BlanksAt(before=7), FitMode.CENTRE)
    assert (book.bleed, book.units, book.date) == (Length.inches("1/8"), "mm", "2024-05-31")
    assert (book.password, book.outside) == (("one", "two"), True)


def test_every_key_of_the_guts_is_read(tmp_path: Path) -> None:
    guts = read(tmp_path, WHOLE).tables.guts
    stock = guts.stock
    assert stock is not None
    assert (stock.name, stock.grammage, stock.bulk) == ("Mine", Fraction(74), Fraction("1.3"))
    assert stock.basis is not None
    assert stock.basis.text == "50 lb book"
    assert (stock.caliper, stock.grain) == (Length.inches("0.0039"), Grain.LONG)
    assert (stock.stack, stock.leaves) == (Length.mm(10), 100)
    assert guts.sheet[0] == "letter"
    assert isinstance(guts.sheet[1], NamedSize)
    assert (guts.up, guts.printer, guts.flip) == (2, "small press", Flip.SHORT_EDGE)
    assert (guts.section_pages, guts.last_section, guts.order) == (16, "short", Order.REPEAT)
    assert (guts.place, guts.lip_on, guts.lay) == ("spine on edge", "back", "foot")
    assert (guts.grind, guts.gutter, guts.trim_off) == tuple(
        parse_length(written) for written in ("1/8in", "6mm", "5mm")
    )
    allowances = (guts.head_allowance, guts.foot_allowance, guts.fore_edge_allowance, guts.lip)
    assert allowances == tuple(Length.mm(n) for n in (3, 4, 5, 8))
    assert (guts.overs, guts.printing, guts.parent) == (5, "one side at a time", "sra2")
    assert guts.creep == Length.mm("2.5")


CHECKS = """
[checks]
safe = "4mm"
safe_head = "5mm"
safe_foot = "6mm"
safe_fore_edge = "7mm"
safe_spine = "9mm"
resolution = 200
resolution_least = 120
resolution_line_art = 800
hairline = "0.5pt"
total_ink = "280%"
"""


def test_every_key_of_the_checks_is_read(tmp_path: Path) -> None:
    checks = read(tmp_path, WHOLE + CHECKS).tables.checks
    distances = (checks.safe, checks.safe_head, checks.safe_foot, checks.safe_fore_edge)
    assert distances == tuple(Length.mm(n) for n in (4, 5, 6, 7))
    assert checks.safe_spine == Length.mm(9)
    assert (checks.resolution, checks.resolution_least) == (200, 120)
    assert (checks.resolution_line_art, checks.total_ink) == (800, Fraction(14, 5))
    assert checks.hairline == Length.points("0.5")


def test_every_key_of_marks_cover_and_bench_is_read(tmp_path: Path) -> None:
    tables = read(tmp_path, WHOLE).tables
    assert tables.marks.show == ("crop", "fold")
    assert tables.marks.weight == Length.points("0.3")
    cover = tables.cover
    assert cover is not None
    assert cover.art is not None
    assert cover.inside is not None
    files = [part.file for part in (cover.art.back, cover.art.spine, cover.art.front) if part]
    assert files == ["b.pdf", "s.pdf", "f.pdf"]
    assert cover.inside.wide is not None
    assert cover.inside.wide.file == "inside.pdf"
    assert cover.spine == Length.inches("3/8")
    assert cover.flaps is not None
    assert (cover.flaps.front, cover.flaps.back) == (Length.inches(3), None)
    assert (cover.lay, cover.fill) == ("head", Ink("grey", (Fraction(3, 10),)))
    assert (cover.score_from, cover.thin_spine) == (Fraction(135), Length.mm(4))
    assert tables.bench.binder == "milling-binder"


@pytest.mark.parametrize(
    ("written", "width", "height", "unit"),
    [
        ("148mm x 210mm", "148mm", "210mm", "mm"),
        ("148 x 210 mm", "148mm", "210mm", "mm"),
        ("148x210mm", "148mm", "210mm", "mm"),
        ("14.8 \N{MULTIPLICATION SIGN} 21 cm", "148mm", "210mm", "mm"),
        ('5.5" x 8.5"', "5.5in", "8.5in", "in"),
        ("5 1/2 x 8 1/2 in", "5.5in", "8.5in", "in"),
        ("5½ x 8½ in", "5.5in", "8.5in", "in"),
        ("612 x 792 pt", "8.5in", "11in", "in"),
        ("419.5pt x 595.3pt", "419.5pt", "595.3pt", "mm"),
    ],
)
def test_sizes_as_people_write_them(
    tmp_path: Path, written: str, width: str, height: str, unit: str
) -> None:
    trim = read(tmp_path, f"[book]\ntrim = '{written}'\n").tables.book.trim
    assert isinstance(trim, NamedSize)
    assert trim.size == Size(parse_length(width), parse_length(height))
    assert trim.unit == unit


@pytest.mark.parametrize("name", ["a5", "half letter", "6x9", "8.5 x 11", "a4 landscape"])
def test_names_of_sizes_are_left_for_the_library(tmp_path: Path, name: str) -> None:
    assert read(tmp_path, f'[book]\ntrim = "{name}"\n').tables.book.trim == name


@pytest.mark.parametrize(
    ("written", "before"), [("end", None), ("before last page", -1), ("Before page 12", 12)]
)
def test_places_of_blanks(tmp_path: Path, written: str, before: int | None) -> None:
    tables = read(tmp_path, f'[book]\nblanks = "{written}"\n').tables
    assert tables.book.blanks == BlanksAt(before=before)


def test_a_single_string_of_pages_is_fine(tmp_path: Path) -> None:
    pages = read(tmp_path, '[book]\npages = "only.pdf"\n').tables.book.pages
    assert [item.file for item in pages if item] == ["only.pdf"]


def test_a_byte_order_mark_and_windows_line_ends_are_fine(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b'\xef\xbb\xbf[book]\r\ntitle = "x"\r\n\r\nbinding = "glue"\r\n')
    file = read_job_file(path)
    assert file.tables.book.title == "x"
    assert [fault.line for fault in file.faults] == [4]


# -- faults ----------------------------------------------------------------------------


def test_all_faults_come_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = """\
[book]
pages = [
  "fine.pdf",
  "body.pdf[9-3]",
  { file = "x.pdf", blank = 2 },
  { flie = "x.pdf" },
]
trim = "0mm x 210mm"
bindng = "perfect"
bleed = 3

[guts]
stock = { caliper = "0mm", grian = "long" }
up = 0
section_pages = 18
"""
    assert faults(tmp_path, text) == [
        (4, "book.pages[2]: the range 9-3 runs backwards"),
        (5, "book.pages[3]: say either a file or a number of blank pages"),
        (6, "book.pages[4].flie: there is no such key"),
        (8, "book.trim: the size is 0 x 210 mm; it has a width and a height"),
        (9, "book.bindng: there is no such key"),
        (10, "book.bleed: 3 has no unit"),
        (13, "guts.stock.caliper: caliper is 0 mm; a sheet has a thickness"),
        (13, "guts.stock.grian: there is no such key"),
        (14, "guts.up: 0 is too few; the least is 1"),
        (15, "guts.section_pages: 18 pages do not make a section"),
    ]


def test_what_is_sound_is_kept_beside_what_is_not(tmp_path: Path) -> None:
    file = read(tmp_path, '[book]\npages = ["a.pdf", 3]\ntitle = "x"\nbindng = "saddle"\n')
    assert file.tables.book.title == "x"
    assert [item.file if item else None for item in file.tables.book.pages] == ["a.pdf", None]
    assert file.spoiled == {("book", "pages", 1), ("book", "bindng"), ("book", "binding")}


def test_findings_carry_code_file_and_hint(tmp_path: Path) -> None:
    (fault,) = read(tmp_path, '[book]\nbleeed = "3mm"\n').faults
    assert fault.code == "job-file"
    assert fault.severity.value == "error"
    assert fault.file == str(tmp_path / "job.toml")
    assert fault.hint == "did you mean book.bleed?"


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ('[gutz]\nup = "2"\n', "did you mean guts?"),
        ('[guts]\nsheeet = "a4"\n', "did you mean guts.sheet?"),
        ('[guts]\ntrim = "a4"\n', "trim belongs in [book]"),
        ('[book]\ncutter = "hand"\n', "cutter belongs in [bench]"),
        ('[bench]\nqqqq = "hand"\n', "the keys here are cutter, creaser, binder"),
        ('[guts]\nstock = { calliper = "1mm" }\n', "did you mean guts.stock.caliper?"),
        ('[cover]\nart = { bakc = "b.pdf" }\n', "did you mean cover.art.back?"),
    ],
)
def test_an_unknown_key_is_answered_with_the_nearest(tmp_path: Path, text: str, hint: str) -> None:
    file = read(tmp_path, text)
    assert [fault.hint for fault in file.faults] == [hint]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[book]\nbleed = "3"\n', "book.bleed: '3' has no unit"),
        ('[book]\nbleed = "3 furlongs"\n', "book.bleed: '3 furlongs' has an unknown unit"),
        ('[book]\nbleed = "-3mm"\n', "book.bleed: -3mm is below zero"),
        ("[book]\nbleed = 0.125\n", "book.bleed: 0.125 has no unit"),
        ('[book]\ntitle = ""\n', "book.title: the text is empty"),
        ("[book]\ntitle = 3\n", "book.title: 3 is not text"),
        ('[book]\nbinding = "glue"\n', "book.binding: 'glue' is not known here"),
        ('[book]\nblanks = "before page 0"\n', "'before page 0' is no place for blanks"),
        ('[book]\ndate = "May 2024"\n', "book.date: 'May 2024' is not a date"),
        ('[book]\ntrim = "148 x 210 mmm"\n', "has an unknown unit 'mmm'"),
        ('[book]\npages = ["a.pdf[0-3]"]\n', "book.pages[1]: there is no page 0"),
        ('[book]\npages = ["a.pdf[x]"]\n', "'x' is not a page or a range of pages"),
        ("[book]\npages = [{ blank = 0 }]\n", "book.pages[1].blank: 0 is too few"),
        ('[book]\npages = [{ blank = 1, pages = "1" }]\n', "blank pages have no page numbers"),
        ('[book]\npages = ["a\\u0000.pdf"]\n', "no line breaks or other control"),
        ("[book]\noutside = 1\n", "book.outside: 1 is neither true nor false"),
        ("book = 3\n", "book: this is a table"),
        ("[guts]\nup = true\n", "guts.up: 'true' is not a whole number"),
        ('[guts]\nup = "2"\n', "guts.up: '2' is not a whole number"),
        ("[guts]\nup = 2.5\n", "guts.up: '2.5' is not a whole number"),
        ("[guts]\nsection_pages = 68\n", "68 pages do not make a section"),
        ("[guts]\nstock = {}\n", "guts.stock: the stock is not described"),
        ('[guts]\nstock = { bulk = "1.3cm3/g" }\n', "bulk says nothing without grammage"),
        ('[guts]\nstock = { stack = "9mm" }\n', "guts.stock.stack: stack says nothing without"),
        ('[guts]\nstock = { grammage = "0gsm" }\n', "grammage is 0 gsm; it must be above zero"),
        ('[guts]\nstock = { grammage = "80" }\n', "guts.stock.grammage: '80' cannot be read"),
        ('[guts]\nstock = { caliper = "4in" }\n', "caliper is 4 in; paper and board stay below"),
        ('[guts]\nstock = { caliper = "10pt" }\n', "caliper 10pt is ~3.528 mm, a point being"),
        ("[guts]\nsheet = []\n", "guts.sheet: the list is empty"),
        ('[guts]\ncreep = "measured"\n', "guts.creep: 'measured' is not a length"),
        ('[marks]\nshow = ["crop", "crosp"]\n', "marks.show: 'crosp' is not known here"),
        ('[cover]\nspine = "0in"\n', "cover.spine: 0in is not enough"),
        ('[cover]\nart = "blank"\n', "cover.art: art is a file"),
        ('[cover]\nart = "c.pdf[1-2]"\n', "cover.art: 'c.pdf[1-2]' is more than one page"),
        ("[cover]\nart = {}\n", "cover.art: no art is named"),
        ('[cover]\nart = { wide = "a.pdf", back = "b.pdf" }\n', "cover.art.wide: one wide page"),
        ("[cover]\nflaps = 3\n", "cover.flaps: this is a table"),
    ],
)
def test_what_is_wrong_with_a_value_is_said(tmp_path: Path, text: str, message: str) -> None:
    found = faults(tmp_path, text)
    assert len(found) == 1
    assert message in found[0][1]


@pytest.mark.parametrize("pages", range(4, 65, 4))
def test_sections_have_a_multiple_of_four_pages(tmp_path: Path, pages: int) -> None:
    file = read(tmp_path, f"[guts]\nsection_pages = {pages}\n")
    assert file.faults == ()
    assert file.tables.guts.section_pages == pages


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[book]\ntrim = a5\n", 2),
        ("[book\n", 1),
        ('[book]\ntitle = "x"\ntitle = "y"\n', 3),
        ('[book]\n\npages = ["a.pdf"', 3),
    ],
)
def test_what_is_no_toml_is_said_with_its_line(tmp_path: Path, text: str, line: int) -> None:
    with pytest.raises(JobError) as caught:
        read(tmp_path, text)
    (fault,) = caught.value.faults
    assert fault.line == line
    assert fault.message.startswith("this is not TOML: ")


def test_what_is_no_text_is_said_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b'[book]\ntitle = "caf\xe9"\n')
    with pytest.raises(JobError) as caught:
        read_job_file(path)
    (fault,) = caught.value.faults
    assert (fault.line, fault.message) == (2, "the file is not UTF-8 text")


def test_a_missing_file_and_a_folder_are_input_errors(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(InputError, match="cannot be read") as caught:
            read_job_file(path)
        assert str(path) in caught.value.message
