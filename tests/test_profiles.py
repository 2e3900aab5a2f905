"""Profiles: the shipped figures against published ones, and how profiles are found and checked."""

from __future__ import annotations

import os
from dataclasses import fields, is_dataclass
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from impose.cli.profiles_command import profiles
from impose.errors import ImposeError, InputError, JobError
from impose.geometry.turning import Flip
from impose.model.fields import build
from impose.model.machines import Creasing, LeadingEdge
from impose.model.machinetables import BinderFile, CreaserFile, CutterFile, PrinterFile
from impose.model.paperreaders import Basis
from impose.model.papertables import GradesFile, GradeTable, SizesFile, SizeTable, StockFile
from impose.model.profilefolders import Kind, Origin, built_in_folder, user_folder
from impose.model.profiles import Library, check_profile
from impose.model.stock import CaliperFrom
from impose.model.tomlfile import read_toml, validate
from impose.units import Length, parse_length

BUILT_IN = Library(user=Path("no such folder"))
FILES = {
    Kind.STOCKS: StockFile,
    Kind.PRINTERS: PrinterFile,
    Kind.CUTTERS: CutterFile,
    Kind.CREASERS: CreaserFile,
    Kind.BINDERS: BinderFile,
}
ALL = [(kind, name) for kind in Kind for name in BUILT_IN.names(kind)]

# Millimetres; CIP4 XJDF specification, Appendix C (ISO 216, ISO 269, JIS P 0138, ISO 217).
METRIC_SIZES = """
a0 841 1189, a1 594 841, a2 420 594, a3 297 420, a4 210 297, a5 148 210, a6 105 148, a7 74 105,
a8 52 74, a9 37 52, a10 26 37, b0 1000 1414, b1 707 1000, b2 500 707, b3 353 500, b4 250 353,
b5 176 250, b6 125 176, b7 88 125, b8 62 88, b9 44 62, b10 31 44, c0 917 1297, c1 648 917,
c2 458 648, c3 324 458, c4 229 324, c5 162 229, c6 114 162, c7 81 114, c8 57 81, c9 40 57,
c10 28 40, jisb0 1030 1456, jisb1 728 1030, jisb2 515 728, jisb3 364 515, jisb4 257 364,
jisb5 182 257, jisb6 128 182, jisb7 91 128, jisb8 64 91, jisb9 45 64, jisb10 32 45,
ra0 860 1220, ra1 610 860, ra2 430 610, ra3 305 430, ra4 215 305, sra0 900 1280, sra1 640 900,
sra2 450 640, sra3 320 450, sra4 225 320
"""
# Inches; CIP4 XJDF specification, Appendix C; 25x38 and 20x26: Appendix B, Table B.1;
# 19x25: chestofbooks.com, Books And Book Making; 13x19, 23x35, 28x40: from memory.
INCH_SIZES = """
letter 8.5 11, ansi-a 8.5 11, tabloid 11 17, ledger 11 17, ansi-b 11 17, ansi-c 17 22,
ansi-d 22 34, ansi-e 34 44, half-letter 5.5 8.5, legal 8.5 14, junior-legal 5 8, arch-a 9 12,
arch-b 12 18, arch-c 18 24, arch-d 24 36, arch-e 36 48, arch-e1 30 42, arch-e2 26 38,
arch-e3 27 39, 25x38 25 38, 19x25 19 25, 13x19 13 19, 12x18 12 18, 23x35 23 35, 28x40 28 40,
20x26 20 26
"""

# Pounds and g/m2; source: CIP4 XJDF specification, Appendix B.  The table prints whole
# numbers, some cut and some rounded.  Left out are two slips: 45 lb bond as 67 (that is
# 45 lb book) and 60 lb cover as 152 (it computes to 162).
WEIGHTS = {
    "book": "20 30, 24 36, 30 44, 33 49, 35 52, 40 59, 50 74, 55 81, 60 89, 70 104, 80 118, "
    "90 133, 100 148, 120 178",
    "manifold": "9 34, 12 45",
    "bond": "13 49, 16 60, 20 75, 24 90",
    "ledger": "28 105, 32 120, 36 135, 40 150",
    "cover": "40 108, 50 135, 65 176, 80 216, 100 270, 130 352",
    "bristol": "67 147, 80 175, 90 197, 100 219, 120 263, 140 307, 160 350, 180 394, 200 438",
    "index": "90 163, 110 199, 140 253, 170 307, 220 398",
    "tag": "100 163, 125 204, 150 244, 175 285, 200 325, 250 407, 300 488",
}
# g/m2 of one pound; CIP4 XJDF specification, Appendix B, Table B.1.
FACTORS = "bond 3.76, book 1.48, bristol 2.19, cover 2.70, index 1.81, newsprint 1.63, tag 1.63"

# The stock, its published caliper in inches, pages to the inch as published, and where.
CALIPERS = [
    ("offset-50lb", "0.0039", 515, "pattersonprinting.com/diagrams.htm"),
    ("offset-60lb", "0.0046", 435, "pattersonprinting.com/diagrams.htm"),
    ("offset-70lb", "0.0051", 395, "pattersonprinting.com/diagrams.htm"),
    ("cream-book-55lb", "0.0056", 360, "pattersonprinting.com/diagrams.htm"),
    ("bond-16lb", "0.0032", 625, "straubpublishing.com/paperweight.asp"),
    ("bond-20lb", "0.0038", 526, "straubpublishing.com/paperweight.asp"),
    ("bond-24lb", "0.0048", 417, "straubpublishing.com/paperweight.asp"),
    ("bond-28lb", "0.0058", None, "mcgpaper.com, paper weights and conversion tables"),
    ("offset-90lb", "0.0062", None, "mcgpaper.com, paper weights and conversion tables"),
]


def rows(table: str) -> list[list[str]]:
    return [row.split() for row in table.strip().split(",")]


def plain(value: object) -> object:
    """A table as a dict, so that two readings of it can be compared."""
    if is_dataclass(value) and hasattr(value, "__pydantic_config__"):
        return {item.name: plain(getattr(value, item.name)) for item in fields(value)}
    return value


# -- the shipped figures ---------------------------------------------------------------


@pytest.mark.parametrize(("name", "width", "height"), rows(METRIC_SIZES))
def test_metric_sizes_are_as_published(name: str, width: str, height: str) -> None:
    found = BUILT_IN.size(name)
    assert (found.size.width, found.size.height) == (Length.mm(width), Length.mm(height))
    assert found.unit == "mm"


@pytest.mark.parametrize(("name", "width", "height"), rows(INCH_SIZES))
def test_inch_sizes_are_as_published(name: str, width: str, height: str) -> None:
    found = BUILT_IN.size(name)
    assert (found.size.width, found.size.height) == (Length.inches(width), Length.inches(height))
    assert found.unit == "in"


@pytest.mark.parametrize(
    ("grade", "pounds", "published"),
    [(grade, *row) for grade, table in WEIGHTS.items() for row in rows(table)],
)
def test_basis_weights_are_as_published(grade: str, pounds: str, published: str) -> None:
    computed = BUILT_IN.grade(grade).grammage(Fraction(pounds))
    assert abs(computed - int(published)) < 1


def test_there_are_as_many_published_pairs_as_were_copied() -> None:
    assert sum(len(rows(table)) for table in WEIGHTS.values()) == 53 - 2


@pytest.mark.parametrize(("grade", "factor"), rows(FACTORS))
def test_a_pound_weighs_what_the_table_says(grade: str, factor: str) -> None:
    assert round(BUILT_IN.grade(grade).grammage(Fraction(1)), 2) == Fraction(factor)


@pytest.mark.parametrize(("name", "inches", "per_inch", "where"), CALIPERS)
def test_calipers_are_as_published(
    name: str, inches: str, per_inch: int | None, where: str
) -> None:
    stock = BUILT_IN.stock(name)
    assert stock.caliper == Length.inches(inches)
    assert stock.caliper_from is CaliperFrom.STATED
    assert where in stock.caliper_source
    if per_inch is not None:  # pages to the inch are twice the leaves
        assert abs(2 / stock.caliper.as_inches - per_inch) < 4


@pytest.mark.parametrize("name", BUILT_IN.names(Kind.STOCKS))
def test_every_stock_says_how_sure_its_caliper_is(name: str) -> None:
    stock = BUILT_IN.stock(name)
    assert stock.grammage is not None
    bulk = stock.caliper.as_mm * 1000 / stock.grammage
    assert Fraction("0.7") < bulk < Fraction("2.1")  # the densest gloss, the loosest book paper
    assert stock.caliper_source
    assert stock.source
    if stock.estimated:
        assert stock.spread >= Fraction("0.08")
    assert stock.spread > 0


@pytest.mark.parametrize("name", BUILT_IN.names(Kind.STOCKS))
def test_a_basis_weight_agrees_with_the_grammage_beside_it(name: str) -> None:
    raw = read_toml(BUILT_IN.path(Kind.STOCKS, name), "profile-file").data
    if "basis" in raw:
        pounds, _, grade = raw["basis"].partition(" lb ")
        weighed = BUILT_IN.weigh(Basis(Fraction(pounds), grade))
        assert abs(weighed - Fraction(raw["grammage"].removesuffix("gsm"))) < 1


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_shipped_profile_has_a_source(kind: Kind, name: str) -> None:
    assert "\nsource = " in BUILT_IN.text(kind, name)


# -- reading ---------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_shipped_profile_loads(kind: Kind, name: str) -> None:
    value = getattr(BUILT_IN, kind.word)(name)
    assert value.name
    assert BUILT_IN.origin(kind, name) is Origin.BUILT_IN


@pytest.mark.parametrize(("kind", "name"), [pair for pair in ALL if pair[0] in FILES])
def test_shipped_files_read_alike_with_and_without_pydantic(kind: Kind, name: str) -> None:
    source = read_toml(BUILT_IN.path(kind, name), "profile-file")
    table: type[object] = FILES[kind]
    checked = validate(table, source)
    assert checked.faults == ()
    assert plain(checked.value) == plain(build(table, source.data))


def test_sizes_and_grades_read_alike_with_and_without_pydantic() -> None:
    sizes = read_toml(built_in_folder() / "sizes.toml", "profile-file")
    whole = validate(SizesFile, sizes).value
    assert whole is not None
    for key, raw in sizes.data["sizes"].items():
        assert plain(whole.sizes[key]) == plain(build(SizeTable, raw))
    grades = read_toml(built_in_folder() / "grades.toml", "profile-file")
    also = validate(GradesFile, grades).value
    assert also is not None
    for key, raw in grades.data["grades"].items():
        assert plain(also.grades[key]) == plain(build(GradeTable, raw))


def test_no_two_sizes_answer_to_one_name() -> None:
    tables = read_toml(built_in_folder() / "sizes.toml", "profile-file").data["sizes"]
    aliases = [alias for table in tables.values() for alias in table["aliases"]]
    assert len(aliases) == len(set(aliases))
    assert not set(aliases) & set(tables)


def test_sizes_lie_short_side_first() -> None:
    for name in BUILT_IN.names(Kind.SIZES):
        assert not BUILT_IN.size(name).size.landscape


@pytest.mark.parametrize(
    ("asked", "called"),
    [
        ("A5", "A5"),
        ("a5", "A5"),
        ("Half Letter", "Half letter"),
        ("half_letter", "Half letter"),
        ("half-letter", "Half letter"),
        ("digest", "digest"),
        ("Ledger", "Ledger"),
        ("8.5 x 11", "8.5 x 11"),
        ("6 x 9", "6 x 9"),
        ("jis b5", "JIS B5"),
        ("A5 landscape", "A5 landscape"),
    ],
)
def test_names_are_matched_as_people_write_them(asked: str, called: str) -> None:
    assert BUILT_IN.size(asked).name == called


def test_landscape_lies_the_other_way_round() -> None:
    assert BUILT_IN.size("a5 landscape").size == BUILT_IN.size("a5").size.turned


def test_stocks_are_found_by_file_name_and_by_name() -> None:
    assert BUILT_IN.stock("Offset 50lb") == BUILT_IN.stock("50 LB White Offset")


def test_bulk_times_grammage_is_the_caliper() -> None:
    stock = BUILT_IN.stock("copy-80gsm")
    assert stock.caliper == parse_length("105.6um")  # 1.32 cm3/g x 80 g/m2
    assert stock.estimated
    assert stock.spread == Fraction("0.08")


def test_the_words_of_a_printer_file_become_its_values() -> None:
    laser = BUILT_IN.printer("office-laser-long-edge")
    assert laser.flip is Flip.LONG_EDGE
    assert not laser.press
    assert not laser.registration_ink
    assert laser.lead == Length.mm("4.2")
    assert laser.stacks == "face down"
    press = BUILT_IN.printer("large-press")
    assert press.press
    assert press.registration_ink
    assert press.leads is LeadingEdge.LONG
    assert press.lead == Length.inches("1/2")
    assert press.sheet_max == BUILT_IN.size("28x40").size


def test_the_words_of_bench_files_become_their_values() -> None:
    assert BUILT_IN.cutter("guillotine-book-order").trim_order == ("fore-edge", "foot", "head")
    assert BUILT_IN.cutter("guillotine-office").trim_order == ()
    assert BUILT_IN.cutter("hand").hand
    assert BUILT_IN.creaser("two-way-creaser").folds is Creasing.BOTH
    assert BUILT_IN.creaser("valley-creaser").channel_factor == Fraction(3, 2)
    binder = BUILT_IN.binder("saddle-stapler")
    assert (binder.binding, binder.pages_min, binder.pages_max) == ("saddle", 8, 64)
    assert binder.pile_max == Length.mm(2)
    assert binder.spine_max is None
    assert BUILT_IN.binder("milling-binder").grind == Length.inches("1/8")


@pytest.mark.parametrize(
    ("kind", "asked", "near"),
    [
        (Kind.SIZES, "a55", "a5"),
        (Kind.SIZES, "haf letter", "half letter"),
        (Kind.STOCKS, "ofset-50lb", "offset-50lb"),
        (Kind.PRINTERS, "large pres", "large-press"),
        (Kind.BINDERS, "saddle-stapple", "saddle-stapler"),
    ],
)
def test_an_unknown_name_is_answered_with_near_ones(kind: Kind, asked: str, near: str) -> None:
    with pytest.raises(ImposeError, match=f"no {kind.word} is called '{asked}'") as caught:
        getattr(BUILT_IN, kind.word)(asked)
    assert near in caught.value.hint


def test_a_name_is_never_a_way_to_another_file(tmp_path: Path) -> None:
    write(tmp_path / "elsewhere.toml", CUTTER)
    with pytest.raises(ImposeError, match="no cutter is called"):
        Library(tmp_path).cutter("../../elsewhere")


# -- nearer profiles -------------------------------------------------------------------

CUTTER = """\
kind = "cutter"
name = "Mine"
widest = "500mm"
gauge_min = "30mm"
gauge_max = "500mm"
clamp_opening = "60mm"
"""


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_the_job_folder_hides_the_users_and_that_the_built_in_one(tmp_path: Path) -> None:
    user, job = tmp_path / "user", tmp_path / "job"
    write(user / "cutters" / "hand.toml", CUTTER)
    write(user / "cutters" / "mine.toml", CUTTER.replace("500mm", "600mm"))
    write(job / "profiles" / "cutters" / "mine.toml", CUTTER.replace("500mm", "700mm"))
    library = Library(job, user=user)
    assert library.cutter("hand").widest == Length.mm(500)
    assert library.origin(Kind.CUTTERS, "hand") is Origin.USER
    assert library.cutter("mine").widest == Length.mm(700)
    assert library.origin(Kind.CUTTERS, "mine") is Origin.JOB
    assert library.path(Kind.CUTTERS, "mine") == job / "profiles" / "cutters" / "mine.toml"
    assert library.cutter("guillotine-office").widest == Length.mm(430)


def test_a_nearer_sizes_file_adds_to_the_farther_ones(tmp_path: Path) -> None:
    text = '[sizes.a4]\nname = "My A4"\nsize = "211mm x 298mm"\n\n'
    text += '[sizes.tall]\nname = "Tall"\nsize = "4in x 11in"\naliases = ["very tall"]\n'
    write(tmp_path / "profiles" / "sizes.toml", text)
    library = Library(tmp_path, user=tmp_path)
    assert library.size("a4").size.width == Length.mm(211)
    assert library.size("Very-Tall").unit == "in"
    assert library.size("a5") == BUILT_IN.size("a5")


@pytest.mark.skipif(os.name == "nt", reason="APPDATA leads there")
def test_the_users_folder_follows_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert user_folder() == tmp_path / "impose" / "profiles"
    monkeypatch.setenv("XDG_CONFIG_HOME", "")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert user_folder() == tmp_path / ".config" / "impose" / "profiles"


def test_a_stock_of_ones_own_may_be_weighed_in_pounds(tmp_path: Path) -> None:
    text = 'kind = "stock"\nname = "Mine"\nbasis = "50 lb text"\nbulk = "1.3cm3/g"\n'
    write(tmp_path / "profiles" / "stocks" / "mine.toml", text)
    stock = Library(tmp_path, user=tmp_path).stock("mine")
    assert stock.grammage == BUILT_IN.grade("book").grammage(Fraction(50))
    assert stock.caliper_from is CaliperFrom.BULK
    assert stock.caliper == Length.mm(stock.grammage * Fraction("1.3") / 1000)


# -- faults ----------------------------------------------------------------------------

FAULTY = """\
kind = "cutter"
name = "Mine"
widest = 500

gauge_min = "30"
gauge_max = "500mm"
clamp_opening = "-60mm"
knife_entres = "left"
trim_order = ["head", "foot"]
hand = "no"
"""


def lines_of(faults: object) -> dict[int, str]:
    assert isinstance(faults, tuple)
    return {fault.line: fault.message for fault in faults}


def test_all_faults_of_a_file_come_at_once_with_their_lines(tmp_path: Path) -> None:
    path = write(tmp_path / "profiles" / "cutters" / "mine.toml", FAULTY)
    with pytest.raises(JobError) as caught:
        Library(tmp_path, user=tmp_path).cutter("mine")
    said = lines_of(caught.value.faults)
    assert said == {
        3: "widest: 500 has no unit",
        5: "gauge_min: '30' has no unit",
        7: "clamp_opening: -60mm is below zero",
        8: "knife_entres: there is no such key",
        10: "hand: no is neither true nor false",
    }
    assert {fault.file for fault in caught.value.faults} == {str(path)}
    assert "knife_enters" in next(f.hint for f in caught.value.faults if f.line == 8)


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ('kind = "cutter"\nname = "x"\n', 1, "widest: this must be said"),
        (CUTTER.replace('"30mm"', '"501mm"'), 4, "501 mm is more than gauge_max, 500 mm"),
        (CUTTER + 'trim_order = ["head", "foot"]\n', 7, "2 of 3 cuts are named"),
        (CUTTER + 'trim_order = ["head", "head"]\n', 7, "'head' is said twice"),
        ('kind = "stock"\nname = "x"\ngrammage = "80gsm"\n', 1, "the stock has no caliper"),
        ('kind = "stock"\nname = "x"\ncaliper = "10pt"\n', 3, "a point being 1/72 in"),
        ('kind = "stock"\nname = "x"\ncaliper = "0in"\n', 3, "caliper is 0 in; a sheet has"),
        ('kind = "stock"\nname = "x"\ncaliper = "1in"\n', 3, "caliper is 1 in; paper and board"),
        ('kind = "stock"\nname = "x"\nbasis = "50 lb boook"\ncaliper = "0.1mm"', 3, "no grade is"),
        ('kind = "printer"\nname = "x"\nmargins = { leed = "3mm" }\n', 3, "margins.leed: there"),
        ('kind = "printer"\nname = "x"\nflips = "sideways"\n', 3, "'sideways' is not known here"),
        ('kind = "binder"\nname = "x"\npages_min = 9\npages_max = 8\n', 3, "9, are more than the"),
        ('kind = "bindre"\nname = "x"\n', 1, "does not say what it describes"),
        ('[sizes.x]\nname = "x"\nsize = "8x9"\n', 3, "'8x9' is not a size"),
        ('[sizes.x]\nname = "x"\n\nsize = "0mm x 9mm"\n', 4, "the size is 0 x 9 mm"),
        ("[sizes]\nx = 3\n", 2, "sizes.x: this is a table"),
    ],
)
def test_what_is_wrong_with_a_profile_is_said(
    tmp_path: Path, text: str, line: int, message: str
) -> None:
    faults = check_profile(write(tmp_path / "mine.toml", text), BUILT_IN)
    assert any(message in fault.message and fault.line == line for fault in faults), faults


def test_a_shipped_file_that_somebody_spoiled_is_reported_with_its_faults(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path / "sizes.toml", "[sizes]\n")
    write(tmp_path / "cutters" / "mine.toml", FAULTY)
    monkeypatch.setattr("impose.model.profiles.built_in_folder", lambda: tmp_path)
    with pytest.raises(JobError) as caught:
        Library(user=tmp_path / "none").cutter("mine")
    assert len(caught.value.faults) == 5


def test_missing_built_in_profiles_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "is_file", lambda self: False)
    with pytest.raises(ImposeError, match="built-in profiles are missing"):
        built_in_folder()


# -- the command -----------------------------------------------------------------------


def test_listing_names_every_profile_of_a_kind() -> None:
    result = CliRunner().invoke(profiles, ["list", "stocks"])
    assert result.exit_code == 0
    assert [line.split()[0] for line in result.stdout.splitlines()] == list(
        BUILT_IN.names(Kind.STOCKS)
    )


def test_listing_everything_names_every_kind(tmp_path: Path) -> None:
    write(tmp_path / "profiles" / "cutters" / "mine.toml", CUTTER)
    result = CliRunner().invoke(profiles, ["list", "--folder", str(tmp_path)])
    assert result.exit_code == 0
    assert all(kind.value in result.stdout.splitlines() for kind in Kind)
    assert "Mine  (job folder)" in result.stdout
    assert "210 x 297 mm" in result.stdout


def test_showing_prints_the_profile_as_written() -> None:
    result = CliRunner().invoke(profiles, ["show", "half letter"])
    assert result.exit_code == 0
    assert '[sizes.half-letter]\nname = "Half letter"\nsize = "5.5in x 8.5in"' in result.stdout
    assert "legal" not in result.stdout


def test_showing_an_unknown_name_offers_near_ones() -> None:
    result = CliRunner().invoke(profiles, ["show", "copy-80"])
    assert isinstance(result.exception, ImposeError)
    assert "copy-80gsm" in result.exception.hint


def test_checking_a_sound_profile(tmp_path: Path) -> None:
    path = write(tmp_path / "mine.toml", CUTTER)
    result = CliRunner().invoke(profiles, ["check", str(path)])
    assert (result.exit_code, result.stdout) == (0, f"{path}: fine\n")


def test_checking_a_faulty_profile_exits_2(tmp_path: Path) -> None:
    path = write(tmp_path / "mine.toml", FAULTY)
    result = CliRunner().invoke(profiles, ["check", str(path)])
    assert result.exit_code == 2
    assert result.stdout == ""
    assert f"{path}:5: gauge_min: '30' has no unit" in result.stderr
    assert len(result.stderr.splitlines()) == 5


def test_checking_what_is_no_toml_exits_2_with_the_line(tmp_path: Path) -> None:
    path = write(tmp_path / "mine.toml", 'kind = "cutter"\nname = Mine\n')
    result = CliRunner().invoke(profiles, ["check", str(path)])
    assert result.exit_code == 2
    assert f"{path}:2: this is not TOML" in result.stderr


def test_checking_a_missing_file_is_an_input_error(tmp_path: Path) -> None:
    result = CliRunner().invoke(profiles, ["check", str(tmp_path / "none.toml")])
    assert isinstance(result.exception, InputError)
