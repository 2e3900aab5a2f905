"""The spine's width: published examples, laws, and the command line."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from benchplans import library
from click.testing import CliRunner
from coverplans import cover_job, covered
from hypothesis import given
from hypothesis import strategies as st

from impose.cli.spine_command import spine
from impose.errors import ExitCode, ImposeError
from impose.findings import Severity
from impose.model.stock import CaliperFrom, Stock, caliper_from_bulk
from impose.plan.coverfacts import SpineFrom, cover_data, cover_of
from impose.schemes.covermoves import moved, spine_moves
from impose.schemes.spine import Thicknesses, spine_width
from impose.units import ZERO, Length


def paper(
    caliper: Length,
    origin: CaliperFrom = CaliperFrom.STATED,
    spread: Fraction = Fraction(0),
) -> Stock:
    return Stock(name="paper", caliper=caliper, caliper_from=origin, spread=spread)


@pytest.mark.parametrize(
    ("leaves", "caliper", "allowance", "width"),
    [
        # caliper x leaves: pattersonprinting.com/diagrams.htm (128 pages of 50 lb white offset)
        (64, "0.0039", "0", "0.2496"),
        # leaves x .005, 60 lb paper: printshopcentral.com/how-to-calculate-a-spine.html
        (100, "0.005", "0", "0.5"),
        # cover constant + caliper x leaves, 6 x 9 in book: fortyacrespress.com/mb_15_calc.html
        (100, "0.0046", "0.0327", "0.4927"),
    ],
)
def test_published_spines_in_inches(leaves: int, caliper: str, allowance: str, width: str) -> None:
    found = spine_width(
        paper(Length.inches(caliper)),
        Thicknesses(leaves=leaves),
        "in",
        allowance=Length.inches(allowance),
    )
    assert found.width == Length.inches(width)
    assert found.facts.origin is SpineFrom.STATED


@pytest.mark.parametrize(
    ("leaves", "gsm", "bulk", "width"),
    [
        # leaves x gsm x bulk / 1000, formula in mathhelpforum.com/algebra/199582; the figures
        # are own arithmetic on it: 160 x 80 x 1.25, 100 x 82 x 0.9
        (160, "80", "1.25", "16"),
        (100, "82", "0.9", "7.38"),
    ],
)
def test_spines_by_bulk_in_millimetres(leaves: int, gsm: str, bulk: str, width: str) -> None:
    caliper = caliper_from_bulk(Fraction(bulk), Fraction(gsm))
    found = spine_width(paper(caliper, CaliperFrom.BULK), Thicknesses(leaves=leaves), "mm")
    assert found.width == Length.mm(width)


@pytest.mark.parametrize(
    ("caliper", "ppi"),
    [
        # straubpublishing.com/paperweight.asp: bond and offset
        ("0.0032", 625),
        ("0.0036", 555),
        ("0.0038", 526),
        ("0.0048", 417),
        ("0.006", 333),
        ("0.0061", 327),
        # pattersonprinting.com/diagrams.htm: white offset 50, 60, 70 lb, cream book 55 lb
        ("0.0039", 515),
        ("0.0046", 435),
        ("0.0051", 395),
        ("0.0056", 360),
    ],
)
def test_pages_to_the_inch_agree_with_the_calipers_published_beside_them(
    caliper: str, ppi: int
) -> None:
    """Twice the pages to the inch make two inches, within the rounding of the tables."""
    found = spine_width(paper(Length.inches(caliper)), Thicknesses(leaves=ppi), "in")
    assert found.width.near(Length.inches(2), Length.inches("0.02"))


@given(
    leaves=st.integers(0, 2000),
    extra=st.integers(0, 20),
    grains=st.integers(100_000, 5_000_000),
    data=st.data(),
)
def test_every_thickness_counts_once_and_a_french_fold_twice(
    leaves: int, extra: int, grains: int, data: st.DataObject
) -> None:
    french = data.draw(st.integers(0, leaves))
    caliper, more = Length(grains), Length(12345)
    counted = Thicknesses(leaves=leaves, french=french, extra=extra)
    found = spine_width(paper(caliper), counted, "mm", allowance=more)
    assert found.width == caliper * (leaves + french + extra) + more
    assert found.facts.allowance == more
    assert more.text("mm") in found.facts.source


def test_french_fold_leaves_are_some_of_the_leaves() -> None:
    with pytest.raises(ValueError):
        Thicknesses(leaves=3, french=4)


def test_the_measured_stack_wins_and_gets_no_allowance() -> None:
    stock = paper(Length.inches("0.0039"))
    measured = Length.inches("3/8")
    found = spine_width(stock, Thicknesses(leaves=96), "in", measured, Length.inches("0.1"))
    assert (found.width, found.facts.origin) == (measured, SpineFrom.MEASURED)
    assert found.facts.allowance == ZERO
    assert found.facts.reckoned == Length.inches("0.3744")
    assert [finding.code for finding in found.findings] == ["spine-allowance"]


@pytest.mark.parametrize(("measured", "said"), [("1.1", False), ("1.1001", True), ("0.89", True)])
def test_a_difference_of_more_than_a_tenth_is_said_with_both(measured: str, said: bool) -> None:
    stock = paper(Length.inches("0.005"))
    found = spine_width(stock, Thicknesses(leaves=200), "in", Length.inches(measured))
    warnings = [f for f in found.findings if f.code == "spine-differs"]
    assert bool(warnings) is said
    for finding in warnings:
        assert finding.severity is Severity.WARNING
        assert f"{measured} in" in finding.message
        assert "1 in" in finding.message


def test_an_estimate_is_labelled_with_its_spread() -> None:
    stock = paper(Length.mm("0.1"), CaliperFrom.ESTIMATE, Fraction(8, 100))
    found = spine_width(stock, Thicknesses(leaves=100), "mm")
    assert found.facts.estimated
    assert found.facts.spread == Length.mm("0.8")
    assert [f.code for f in found.findings] == ["spine-estimated"]
    assert "give or take 0.8 mm" in found.findings[0].message


def test_readings_say_what_they_are_off_by() -> None:
    found = spine_width(paper(Length.inches("0.0039")), Thicknesses(leaves=64), "in")
    assert found.reading("in") == "1/4 in (0.0004 in less)"
    assert found.reading("in", 16) == "1/4 in (0.0004 in less)"
    half = spine_width(paper(Length.mm("0.0975")), Thicknesses(leaves=100), "mm")
    assert half.reading("mm") == "10 mm (0.25 mm less)"


def test_a_new_measurement_says_what_moved_and_by_how_much() -> None:
    before = covered(cover_job({"spine": Length.inches("3/8")}))
    after = covered(cover_job({"spine": Length.inches("7/16")}))
    messages = [finding.message for finding in moved(before, after)]
    assert "the spine's width: 0.375 in before, 0.4375 in now (0.0625 in more)" in messages
    assert (
        "front spine edge to front paper edge: 8.8125 in before, ~8.7812 in now (~0.0312 in less)"
        in messages
    )
    hinge = "score, back hinge from the back paper edge: 8.5625 in before"
    assert any(message.startswith(hinge) for message in messages)
    assert not moved(before, before)
    note = spine_moves(after.cover.spine, "in")[0] if after.cover else None
    assert note and "moves" in note.message


def test_spine_facts_survive_the_wire() -> None:
    plan = covered(cover_job({"spine": Length.inches("3/8")}))
    assert cover_of(cover_data(plan.cover)) == plan.cover
    assert cover_of(cover_data(None)) is None


# -- the command ---------------------------------------------------------------------------


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(spine, arguments, standalone_mode=False)
    if isinstance(result.exception, ImposeError):
        return int(result.exception.exit_code), result.exception.message
    assert result.exception is None, result.exception
    return int(result.return_value), result.stdout


def test_the_command_gives_width_readings_and_source() -> None:
    code, text = run("--pages", "128", "--stock", "offset-50lb", "--units", "in")
    assert code == ExitCode.FINE
    assert "spine 0.2496 in (~6.34 mm)" in text
    assert "ruler, 1/32 in: 1/4 in (0.0004 in less)" in text
    assert "ruler, 0.5 mm: 6.5 mm" in text
    assert "64 leaves x 0.0039 in" in text
    assert library().stock("offset-50lb").caliper == Length.inches("0.0039")


def test_the_command_counts_folds_and_extra_leaves() -> None:
    options = ("--stock", "0.1mm", "--french-fold", "10", "--extra-leaves", "2", "--json")
    code, text = run("--pages", "100", *options)
    found = json.loads(text)["spine"]
    assert code == ExitCode.FINE
    assert (found["thicknesses"], found["width"]) == (62, "6.2 mm")


def test_the_command_takes_sums_as_a_binder_writes_them() -> None:
    book = ("--pages", "200", "--stock", "0.1mm")
    code, text = run(*book, "--measured", "7 1/2in + 2/16in", "--json")
    data = json.loads(text)
    assert code == ExitCode.FINE
    assert data["spine"]["width"] == "7.625 in"
    assert next(f["code"] for f in data["findings"]) == "spine-differs"
    code, _ = run(*book, "--measured", "19mm", "--strict")
    assert code == ExitCode.SPOILED


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "how many pages"),
        (("--pages", "10", "--measured", "5"), "has no unit"),
        (("--pages", "10", "--measured", "0mm"), "no thickness"),
        (("--pages", "10", "--french-fold", "6"), "more than the 5 leaves"),
        (("--pages", "10", "--stock", "no such paper"), "no such paper"),
    ],
)
def test_the_command_refuses_in_words(arguments: tuple[str, ...], words: str) -> None:
    code, text = run(*arguments)
    assert code == ExitCode.USAGE
    assert words in text
