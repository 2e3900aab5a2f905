"""From tables and options to a job: defaults, precedence, impossible combinations."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from impose.errors import ImposeError, JobError
from impose.findings import Finding, Severity
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model.fields import ValueFault
from impose.model.job import Binding, FitMode, Job, MarkSettings, Order
from impose.model.jobtables import StockTable, stock_item
from impose.model.overrides import PLACE_OF, Overrides
from impose.model.paper import stock_of
from impose.model.paperreaders import Basis
from impose.model.profiles import Library
from impose.model.resolve import job_from_file, job_from_options
from impose.model.stock import CaliperFrom, Grain, Stock
from impose.units import Length

HERE = Path()
BUILT_IN = Library(user=Path("no such folder"))
LEAST = '[book]\npages = ["pages.pdf"]\nbinding = "perfect"\n'


def from_file(tmp_path: Path, text: str, overrides: Overrides | None = None) -> Job:
    path = tmp_path / "stones.toml"
    path.write_text(text, encoding="utf-8")
    return job_from_file(path, overrides or Overrides(), Library(tmp_path, user=tmp_path))


def from_options(folder: Path = HERE, **options: Any) -> Job:
    given: dict[str, Any] = {"pages": ("zine.pdf",), "binding": "saddle"} | options
    return job_from_options(Overrides(**given), folder, BUILT_IN)


def faults_of(tmp_path: Path, text: str, overrides: Overrides | None = None) -> list[Finding]:
    with pytest.raises(JobError) as caught:
        from_file(tmp_path, text, overrides)
    return list(caught.value.faults)


def codes(job: Job) -> list[str]:
    return [finding.code for finding in job.findings]


# -- what is not said ------------------------------------------------------------------


def test_the_least_job_is_filled_in_and_every_assumption_noted(tmp_path: Path) -> None:
    job = from_file(tmp_path, LEAST)
    assert (job.title, job.unit, job.trim) == ("pages", "mm", None)
    assert (job.bound_at, job.fit, job.blanks_at.before) == (BoundAt.LEFT, FitMode.ASK, None)
    assert [sheet.name for sheet in job.guts.sheets] == ["A4", "A3"]
    assert job.guts.stock.name == "80 gsm copy paper"
    assert job.guts.stock.estimated
    assert job.guts.printer is None
    assert job.guts.grind is None
    assert job.cover is None
    assert job.marks == MarkSettings()
    assert job.folder == tmp_path
    assert codes(job) == ["sheet-assumed", "stock-assumed"]
    assert {finding.severity for finding in job.findings} == {Severity.NOTE}


def test_where_inches_are_written_the_usual_paper_is_north_american(tmp_path: Path) -> None:
    job = from_file(tmp_path, LEAST + 'trim = "half letter"\n')
    assert job.unit == "in"
    assert [sheet.name for sheet in job.guts.sheets] == ["Letter", "Tabloid"]
    assert job.guts.stock.name == "20 lb bond"
    assert job.guts.stock.caliper == Length.inches("0.0038")
    assert job.guts.stock.caliper_from is CaliperFrom.ESTIMATE
    assert job.guts.stock.spread == Fraction(1, 20)


def test_the_note_on_an_assumed_stock_has_its_numbers(tmp_path: Path) -> None:
    note = next(f for f in from_file(tmp_path, LEAST).findings if f.code == "stock-assumed")
    assert "80 gsm copy paper" in note.message
    assert "give or take 8 %" in note.message
    assert note.numbers == {"caliper": "~0.106 mm", "off_by": "~0.008 mm"}


@pytest.mark.parametrize(
    ("options", "unit"),
    [
        ({}, "mm"),
        ({"trim": "a5"}, "mm"),
        ({"trim": "5.5in x 8.5in"}, "in"),
        ({"trim": "half letter"}, "in"),
        ({"sheet": "letter"}, "in"),
        ({"trim": "a5", "sheet": "letter"}, "mm"),
        ({"trim": "a5", "units": "in"}, "in"),
        ({"trim": "5.5in x 8.5in", "units": "mm"}, "mm"),
    ],
)
def test_the_unit_is_that_in_which_the_trim_or_sheet_was_written(
    options: dict[str, Any], unit: str
) -> None:
    assert from_options(**options).unit == unit


@pytest.mark.parametrize(
    ("pages", "title"),
    [
        (("zine.pdf",), "zine"),
        (("blank", "art/second part.pdf[2-3]", "x.pdf"), "second part"),
        (("blank",), "untitled"),
    ],
)
def test_the_title_is_the_name_of_the_first_file(pages: tuple[str, ...], title: str) -> None:
    assert from_options(pages=pages).title == title


def test_a_job_file_of_blanks_is_called_by_its_own_name(tmp_path: Path) -> None:
    assert from_file(tmp_path, LEAST.replace('"pages.pdf"', "{ blank = 8 }")).title == "stones"


# -- stock -----------------------------------------------------------------------------


def stock(written: str) -> Stock:
    return stock_of(stock_item(written), BUILT_IN)


def test_grammage_alone_gives_a_labelled_estimate() -> None:
    found = stock("80gsm")
    assert found.name == "80gsm"
    assert found.grammage == 80
    assert found.caliper == Length.mm("0.104")  # 80 g/m2 x 1.3 cm3/g
    assert found.caliper_from is CaliperFrom.ESTIMATE
    assert found.spread == Fraction("0.13")
    assert "straubpublishing.com" in found.caliper_source


@pytest.mark.parametrize(
    ("written", "grade", "pounds"),
    [("50 lb book", "book", 50), ("20 lb bond", "bond", 20), ("80# Cover", "cover", 80)],
)
def test_a_basis_weight_alone_goes_through_its_grade(written: str, grade: str, pounds: int) -> None:
    found = stock(written)
    assert found.grammage == BUILT_IN.grade(grade).grammage(Fraction(pounds))
    assert found.basis == f"{pounds} lb {grade}"
    assert found.estimated
    assert found.caliper == Length.mm(found.grammage * Fraction("1.3") / 1000)


def test_the_estimate_spans_the_published_calipers() -> None:
    """Straub and McG print 0.0032 to 0.0062 in for bond of 16 to 35 lb."""
    for pounds, inches in [(16, "0.0032"), (20, "0.0038"), (24, "0.0048"), (35, "0.0062")]:
        found = stock(f"{pounds} lb bond")
        off = abs(found.caliper - Length.inches(inches))
        assert off <= found.caliper * found.spread


def test_a_length_is_a_stated_caliper() -> None:
    found = stock("0.0039in")
    assert found.caliper == Length.inches("0.0039")
    assert found.caliper_from is CaliperFrom.STATED
    assert found.grammage is None


def test_a_profile_is_found_before_anything_else(tmp_path: Path) -> None:
    folder = tmp_path / "profiles" / "stocks"
    folder.mkdir(parents=True)
    text = 'kind = "stock"\nname = "Ours"\ncaliper = "0.2mm"\n'
    (folder / "80gsm.toml").write_text(text, encoding="utf-8")
    library = Library(tmp_path, user=tmp_path)
    assert stock_of(stock_item("80gsm"), library).name == "Ours"


def test_figures_are_laid_over_a_profile() -> None:
    table = StockTable(name="offset-50lb", caliper=Length.mm("0.1"), grain=Grain.SHORT)
    found = stock_of(table, BUILT_IN)
    assert found.name == "50 lb white offset"
    assert (found.grammage, found.grain) == (Fraction(74), Grain.SHORT)
    assert (found.caliper, found.caliper_from) == (Length.mm("0.1"), CaliperFrom.STATED)
    only_grain = stock_of(StockTable(name="offset-50lb", grain=Grain.LONG), BUILT_IN)
    assert only_grain.caliper == BUILT_IN.stock("offset-50lb").caliper
    assert only_grain.spread == Fraction(1, 20)


def test_the_surest_caliper_wins() -> None:
    """Measured stack, stated caliper, bulk x grammage, estimate: in this order."""
    stack = StockTable(
        stack=Length.mm(10),
        leaves=96,
        caliper=Length.mm("0.1"),
        bulk=Fraction("1.2"),
        grammage=Fraction(80),
    )
    found = stock_of(stack, BUILT_IN)
    assert (found.caliper, found.caliper_from) == (
        Length.mm(Fraction(10, 96)),
        CaliperFrom.STACK,
    )
    stated = StockTable(caliper=Length.mm("0.1"), bulk=Fraction("1.2"), grammage=Fraction(80))
    assert stock_of(stated, BUILT_IN).caliper == Length.mm("0.1")
    bulk = stock_of(StockTable(bulk=Fraction("1.2"), grammage=Fraction(80)), BUILT_IN)
    assert (bulk.caliper, bulk.caliper_from) == (Length.mm("0.096"), CaliperFrom.BULK)


def test_a_name_beside_figures_may_be_any_name() -> None:
    table = StockTable(name="Grandmother's laid", caliper=Length.mm("0.15"))
    assert stock_of(table, BUILT_IN).name == "Grandmother's laid"


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (
            StockTable(grammage=Fraction(74), basis=Basis(Fraction(100), "book")),
            "said to be 74 gsm and 148 gsm",
        ),
        (
            StockTable(name="offset-50lb", grammage=Fraction(120)),
            "said to be 120 gsm and 74 gsm",
        ),
        (
            StockTable(grammage=Fraction(74), caliper=Length.mm("0.0039")),
            "a caliper of ~0.004 mm and 74 gsm do not go together",
        ),
        (StockTable(grain=Grain.LONG, name="0mm"), "caliper is 0 mm; a sheet has a thickness"),
        (StockTable(name="0 gsm"), "grammage is 0 gsm"),
        (StockTable(name="50 lb boook"), "no grade is called 'boook'"),
        (StockTable(name="ofset-50lb"), "no stock is called 'ofset-50lb'"),
    ],
)
def test_figures_that_cannot_be_are_refused(table: StockTable, message: str) -> None:
    with pytest.raises((ImposeError, ValueFault), match=message):
        stock_of(table, BUILT_IN)


def test_an_estimate_that_was_asked_for_is_noted_too() -> None:
    assert codes(from_options(sheet="a4", stock="80gsm")) == ["caliper-estimated"]
    assert codes(from_options(sheet="a4", stock="offset-50lb")) == []


# -- bench -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("binding", "binder", "said", "grind"),
    [
        ("perfect", "milling-binder", None, Length.inches("1/8")),
        ("perfect", "milling-binder", "0in", Length()),
        ("perfect", "milling-binder", "1/4in", Length.inches("1/4")),
        ("sections", "milling-binder", None, Length.inches("1/8")),
        ("perfect", "small-clamp-binder", None, Length()),
        ("perfect", None, None, None),
        ("saddle", "saddle-stapler", None, Length()),
    ],
)
def test_the_grind_comes_from_the_binder_unless_it_is_said(
    binding: str, binder: str | None, said: str | None, grind: Length | None
) -> None:
    job = from_options(sheet="a4", stock="0.1mm", binding=binding, binder=binder, grind=said)
    assert job.guts.grind == grind
    assert job.findings == ()


def test_a_binder_that_makes_other_bindings_is_a_warning_and_its_grind_unused() -> None:
    job = from_options(sheet="a4", stock="0.1mm", binding="saddle", binder="milling-binder")
    assert job.guts.grind is None
    (warning,) = job.findings
    assert (warning.severity, warning.code) == (Severity.WARNING, "binder-binding")
    assert "perfect" in warning.message
    assert "saddle" in warning.message


# -- the command line wins -------------------------------------------------------------


def test_every_option_wins_over_the_file(tmp_path: Path) -> None:
    text = """\
[book]
title = "File"
pages = ["file.pdf"]
trim = "a4"
binding = "saddle"
bound_at = "left"
fit = "scale"
bleed = "1mm"
units = "mm"
date = 2020-01-01
password = "file"
[guts]
stock = "copy-80gsm"
sheet = ["a3", "sra3"]
up = 2
printer = "digital-press"
flip = "long edge"
section_pages = 16
order = "cut and stack"
grind = "0mm"
[cover]
art = "file cover.pdf"
spine = "measured 9mm"
[bench]
cutter = "hand"
creaser = "valley-creaser"
binder = "hand-sewing"
"""
    overrides = Overrides(
        title="Option",
        pages=("one.pdf[2-]", "blank"),
        trim="half letter",
        binding="perfect",
        bound_at="right",
        fit="centre",
        bleed="1/8in",
        units="in",
        date="2024-05-31",
        passwords=("a", "b"),
        stock="offset-50lb",
        sheet="letter, 11in x 17in",
        up=4,
        printer="large-press",
        flip="short edge",
        section_pages=32,
        order="repeat",
        grind="1/8in",
        cover="option cover.pdf",
        spine="3/8in",
        cutter="guillotine-office",
        creaser="two-way-creaser",
        binder="small-clamp-binder",
    )
    assert set(PLACE_OF) == set(Overrides.__dataclass_fields__)
    job = from_file(tmp_path, text, overrides)
    assert (job.title, job.unit, job.date) == ("Option", "in", "2024-05-31")
    assert [(item.file, item.ranges, item.blank) for item in job.pages] == [
        (Path("one.pdf"), ((2, None),), 0),
        (None, (), 1),
    ]
    assert job.trim is not None
    assert job.trim.name == "Half letter"
    assert (job.binding, job.bound_at, job.fit) == (
        Binding.PERFECT,
        BoundAt.RIGHT,
        FitMode.CENTRE,
    )
    assert job.passwords == ("a", "b")
    guts = job.guts
    assert (guts.bleed, guts.grind) == (Length.inches("1/8"), Length.inches("1/8"))
    assert guts.stock.name == "50 lb white offset"
    assert [sheet.name for sheet in guts.sheets] == ["Letter", "11 x 17 in"]
    assert (guts.up, guts.flip, guts.section_pages) == (4, Flip.SHORT_EDGE, 32)
    assert guts.order is Order.REPEAT
    assert guts.printer == BUILT_IN.printer("large-press")
    assert job.cover is not None
    assert job.cover.spine == Length.inches("3/8")
    assert job.cover.art is not None
    assert [item.file for item in job.cover.art.items] == [Path("option cover.pdf")]
    assert job.bench.cutter == BUILT_IN.cutter("guillotine-office")
    assert job.bench.creaser == BUILT_IN.creaser("two-way-creaser")
    assert job.bench.binder == BUILT_IN.binder("small-clamp-binder")


def test_options_and_file_give_the_same_job(tmp_path: Path) -> None:
    text = LEAST + 'trim = "a5"\nbleed = "3mm"\n[guts]\nsheet = "a3"\nup = 4\nstock = "0.1mm"\n'
    options = job_from_options(
        Overrides(
            pages=("pages.pdf",),
            binding="perfect",
            trim="a5",
            bleed="3mm",
            sheet="a3",
            up=4,
            stock="0.1mm",
        ),
        tmp_path,
        Library(tmp_path, user=tmp_path),
    )
    assert from_file(tmp_path, text) == options


def test_a_spine_or_a_cover_file_on_the_command_line_asks_for_a_cover() -> None:
    assert from_options().cover is None
    spine = from_options(spine="measured 3/8in").cover
    assert spine is not None
    assert (spine.spine, spine.art) == (Length.inches("3/8"), None)
    art = from_options(cover="c.pdf").cover
    assert art is not None
    assert art.spine is None


def test_a_measured_spine_of_the_file_can_be_taken_back(tmp_path: Path) -> None:
    job = from_file(
        tmp_path, LEAST + '[cover]\nspine = "measured 9mm"\n', Overrides(spine="from stock")
    )
    assert job.cover is not None
    assert job.cover.spine is None


def test_centred_lay_and_no_marks(tmp_path: Path) -> None:
    job = from_file(
        tmp_path, LEAST + '[guts]\nlay = "centre"\nplace = "centred"\n[marks]\nshow = []\n'
    )
    assert job.guts.lay is None
    assert job.guts.centred
    assert job.marks.kinds == frozenset()
    assert job.marks.length == MarkSettings().length


# -- paths -----------------------------------------------------------------------------


def test_paths_of_a_job_file_start_at_its_folder(tmp_path: Path) -> None:
    job = from_file(tmp_path, LEAST.replace("pages.pdf", "art/pages.pdf[2]"))
    assert job.pages[0].file == tmp_path / "art" / "pages.pdf"
    assert job.pages[0].text == "art/pages.pdf[2]"


def test_relative_paths_of_options_start_at_the_folder(tmp_path: Path) -> None:
    assert from_options(tmp_path).pages[0].file == tmp_path / "zine.pdf"
    assert from_options(Path()).pages[0].file == Path("zine.pdf")
    assert from_options(pages=("../zine.pdf",)).pages[0].file == Path("../zine.pdf")


@pytest.mark.parametrize("path", ["../pages.pdf", "art/../../pages.pdf", "/pages.pdf"])
def test_a_job_file_stays_in_its_folder_unless_it_says_otherwise(tmp_path: Path, path: str) -> None:
    text = LEAST.replace("pages.pdf", path)
    (fault,) = faults_of(tmp_path, text)
    assert fault.line == 2
    assert f"'{path}' leads out of the job file's folder" in fault.message
    assert "outside = true" in fault.hint
    assert from_file(tmp_path, text + "outside = true\n").pages[0].file == tmp_path / path


def test_a_link_out_of_the_folder_leads_out_too(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (inside / "pages.pdf").symlink_to(tmp_path / "elsewhere.pdf")
    (fault,) = faults_of(inside, LEAST)
    assert "leads out" in fault.message


def test_cover_art_stays_in_the_folder_too(tmp_path: Path) -> None:
    text = LEAST + '[cover]\nart = { back = "b.pdf", front = "../f.pdf" }\n'
    (fault,) = faults_of(tmp_path, text)
    assert (fault.line, fault.message.split(":")[0]) == (5, "cover.art.front")


# -- faults ----------------------------------------------------------------------------


def test_unknown_names_and_faulty_values_come_together(tmp_path: Path) -> None:
    text = """\
[book]
pages = ["../up.pdf", "body.pdf[9-3]"]
trim = "a55"
bleed = 3
[guts]
stock = "ofset-50lb"
sheet = ["a4", "a33"]
printer = "lazer"
[cover]
stock = "cover-88lb"
sheet = "a33"
[bench]
cutter = "sword"
creaser = "valley-creaser"
binder = "none"
"""
    found = faults_of(tmp_path, text)
    assert [(fault.line, fault.message.split(":")[0]) for fault in found] == [
        (1, "book.binding"),
        (2, "book.pages[2]"),
        (2, "book.pages[1]"),
        (3, "book.trim"),
        (4, "book.bleed"),
        (6, "guts.stock"),
        (7, "guts.sheet[2]"),
        (8, "guts.printer"),
        (10, "cover.stock"),
        (11, "cover.sheet[1]"),
        (13, "bench.cutter"),
        (15, "bench.binder"),
    ]


def test_faults_of_options_name_the_option(tmp_path: Path) -> None:
    overrides = Overrides(trim="a55", bound_at="top", up=0, printer="lazer", passwords=("",))
    found = faults_of(tmp_path, LEAST, overrides)
    assert {fault.code for fault in found} == {"option"}
    assert sorted(fault.message.split(":")[0] for fault in found) == [
        "--bound-at",
        "--password",
        "--printer",
        "--trim",
        "--up",
    ]


def test_a_fault_of_the_file_is_named_though_an_option_wins(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path, LEAST + 'trim = "0mm x 1mm"\n', Overrides(trim="a5"))
    assert fault.line == 4


def test_an_option_without_a_file_must_say_pages_and_binding() -> None:
    with pytest.raises(JobError) as caught:
        job_from_options(Overrides(), Path(), BUILT_IN)
    assert [fault.message for fault in caught.value.faults] == [
        "pages: no pages are named",
        "--binding: the binding is not said",
    ]


def test_a_faulty_profile_of_the_job_keeps_its_own_lines(tmp_path: Path) -> None:
    path = tmp_path / "profiles" / "cutters" / "mine.toml"
    path.parent.mkdir(parents=True)
    path.write_text('kind = "cutter"\nname = "x"\nwidest = 3\n', encoding="utf-8")
    found = faults_of(tmp_path, LEAST + 'blank = 1\n[bench]\ncutter = "mine"\n')
    assert {(fault.code, Path(fault.file).name) for fault in found} == {
        ("profile-file", "mine.toml"),
        ("job-file", "stones.toml"),
    }
    assert any(fault.line == 3 and "3 has no unit" in fault.message for fault in found)


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        (
            LEAST.replace("perfect", "saddle") + '[guts]\ngrind = "3mm"\n',
            5,
            "guts.grind: grind is 3 mm, and binding is saddle",
        ),
        (
            LEAST + 'trim = "a5"\n[guts]\ngrind = "15cm"\n',
            6,
            "guts.grind: grind is 150 mm, and the trim is only 148 mm wide",
        ),
        (
            LEAST + 'trim = "a5"\nbound_at = "head"\n[cover]\nhinge = "210mm"\n',
            7,
            "cover.hinge: hinge is 210 mm, and the trim is only 210 mm wide",
        ),
    ],
)
def test_impossible_combinations_name_both_numbers(
    tmp_path: Path, text: str, line: int, message: str
) -> None:
    (fault,) = faults_of(tmp_path, text)
    assert fault.line == line
    assert fault.message.startswith(message)


# -- start-up --------------------------------------------------------------------------


def test_a_job_of_options_is_resolved_without_the_slow_imports() -> None:
    """pydantic takes longer to import than everything else here together."""
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from impose.model.resolve import Overrides, job_from_options\n"
        "o = Overrides(pages=('a.pdf',), trim='a5', sheet='a4', binding='saddle', "
        "printer='large-press', cutter='hand')\n"
        "job_from_options(o, Path())\n"
        "slow = {'pydantic', 'pydantic_core', 'difflib', 'click'} & set(sys.modules)\n"
        "sys.exit(f'imported {slow}' if slow else 0)\n"
    )
    root = Path(__file__).resolve().parents[1]
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
