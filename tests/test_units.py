"""Lengths: how people write them, exact round trips, what a ruler shows."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from impose.errors import UnitError
from impose.units import (
    ZERO,
    Length,
    both_units,
    parse_length,
    points_text,
    reading_text,
    ruler_inches,
    ruler_mm,
    total,
)

#: Up to 1000 inches either way, to the grain.
lengths = st.integers(-91_440_000_000, 91_440_000_000).map(Length)
sixty_fourths = st.integers(-64_000, 64_000)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("12mm", Length.mm(12)),
        ("1.2 cm", Length.mm(12)),
        ("0.012m", Length.mm(12)),
        ("100um", Length.mm("0.1")),
        ("100µm", Length.mm("0.1")),
        ("0.5in", Length.inches("1/2")),
        (".5in", Length.inches("1/2")),
        ("1/2in", Length.inches("1/2")),
        ("1/2 inch", Length.inches("1/2")),
        ('1/2"', Length.inches("1/2")),
        ("1/2″", Length.inches("1/2")),
        ("½in", Length.inches("1/2")),
        ("7 1/2in", Length.inches("7.5")),
        ('7-1/2"', Length.inches("7.5")),
        ("7½ in", Length.inches("7.5")),
        ("7 1/2in + 2/16in", Length.inches("7.625")),
        ("1/2in+1/16in", Length.inches("9/16")),
        ("1in - 1/4in", Length.inches("3/4")),
        ("1in + 1mm", Length.inches(1) + Length.mm(1)),
        ("18pt", Length.inches("1/4")),
        ("3.9mil", Length.inches("0.0039")),
        ("  8.5IN  ", Length.inches("8.5")),
        ("-3mm", Length.mm(-3)),
        ("0mm", ZERO),
    ],
)
def test_lengths_as_people_write_them(written: str, expected: Length) -> None:
    assert parse_length(written) == expected


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("12", "no unit"),
        ("7 1/2", "no unit"),
        ("12 furlongs", "unknown unit"),
        ("1e3mm", "not a length"),
        ("1/0in", "divides by zero"),
        ("", "not a length"),
        ("mm", "not a length"),
        ("12mm wide", "not a length"),
        ("1,5mm", "not a length"),
        ("1 2mm", "not a length"),
        ("1in + 2", "no unit"),
        ("30000in", "longer than any sheet"),
    ],
)
def test_what_is_no_length_is_refused(written: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_length(written)


def test_the_units_agree_with_their_definitions() -> None:
    """1 in = 25.4 mm (1959 agreement), 1 pt = 1/72 in (ISO 32000-1 8.3.2.3)."""
    inch = parse_length("1in")
    assert inch == parse_length("25.4mm") == parse_length("72pt") == parse_length("1000mil")


def test_fine_divisions_are_whole_numbers() -> None:
    for fine in ("1/128in", "0.0001in", "0.001mm", "0.001pt"):
        exact = Fraction(1, parse_length(fine).grains)
        assert parse_length(fine).grains * exact == 1
    assert parse_length("1/128in") * 128 == Length.inches(1)
    assert parse_length("0.0001in") * 10_000 == Length.inches(1)
    assert parse_length("0.001mm") * 1000 == Length.mm(1)
    assert parse_length("0.001pt") * 1000 == Length.points(1)


@given(lengths)
def test_points_read_back_as_a_decimal_give_the_same_length(length: Length) -> None:
    written = points_text(length)
    assert Length.points(Decimal(written)) == length
    assert len(written.partition(".")[2]) <= 7
    assert "e" not in written.lower()


@given(st.integers(-10_000_000, 10_000_000))
def test_micrometres_survive_text(micrometres: int) -> None:
    length = Length.mm(Fraction(micrometres, 1000))
    assert parse_length(length.text("mm")) == length


@given(st.integers(-10_000_000, 10_000_000))
def test_ten_thousandths_of_an_inch_survive_text(parts: int) -> None:
    length = Length.inches(Fraction(parts, 10_000))
    assert parse_length(length.text("in")) == length


@given(lengths)
def test_rounded_text_is_marked(length: Length) -> None:
    written = length.text("in")
    if written.startswith("~"):
        assert parse_length(written[1:]) != length
    else:
        # Sizes read from a PDF are off by less than anyone can see.
        assert parse_length(written).near(length, abs(length) * Fraction(1, 1_000_000))


@given(lengths, lengths, lengths)
def test_adding_is_exact(a: Length, b: Length, c: Length) -> None:
    assert a + b - b == a
    assert total([a, b, c]) == a + (b + c)
    assert a + -a == ZERO


@given(lengths, st.integers(1, 97))
def test_parts_add_up(length: Length, parts: int) -> None:
    split = length.split(parts)
    assert len(split) == parts
    assert total(split) == length
    assert max(split) - min(split) <= Length(1)


@given(lengths, st.integers(1, 1000))
def test_a_stack_is_rounded_once(caliper: Length, leaves: int) -> None:
    assert caliper * leaves == total([caliper] * leaves)


@given(lengths, st.sampled_from([2, 4, 8, 16, 32, 64, 128]))
def test_the_nearest_mark_and_the_rest_make_the_length(length: Length, parts: int) -> None:
    reading = ruler_inches(length, parts)
    assert reading.mark + reading.off == length
    assert abs(reading.off) * 2 <= Length.inches(Fraction(1, parts))
    assert parse_length(reading.text) == reading.mark


@given(lengths)
def test_the_nearest_half_millimetre_and_the_rest_make_the_length(length: Length) -> None:
    reading = ruler_mm(length)
    assert reading.mark + reading.off == length
    assert abs(reading.off) * 2 <= Length.mm("0.5")
    assert parse_length(reading.text) == reading.mark


@given(sixty_fourths)
def test_a_mark_reads_without_remainder(parts: int) -> None:
    length = Length.inches(Fraction(parts, 64))
    assert not ruler_inches(length).off
    assert "more" not in reading_text(length, "in")


@pytest.mark.parametrize(
    ("length", "unit", "expected"),
    [
        ("8 9/16in", "in", "8 9/16 in"),
        ("3/8in", "in", "3/8 in"),
        ("7in", "in", "7 in"),
        ("0in", "in", "0 in"),
        ("7 1/2in + 2/16in", "in", "7 5/8 in"),
        ("0.25in + 0.001in", "in", "1/4 in (0.001 in more)"),
        ("0.2496in", "in", "1/4 in (0.0004 in less)"),
        ("139.7mm", "mm", "139.5 mm (0.2 mm more)"),
        ("10.4mm", "mm", "10.5 mm (0.1 mm less)"),
        ("210mm", "mm", "210 mm"),
    ],
)
def test_readings(length: str, unit: str, expected: str) -> None:
    assert reading_text(parse_length(length), unit) == expected


def test_both_units_put_the_jobs_first() -> None:
    assert both_units(parse_length("5.5in"), "in") == "5.5 in (139.7 mm)"
    assert both_units(parse_length("5.5in"), "mm") == "139.7 mm (5.5 in)"


def test_a_length_is_never_a_bare_number() -> None:
    assert Length.mm(5) != 5
    assert Length.mm(5) != Length.mm(5).grains
    assert ZERO != 0
    assert hash(Length.inches(1)) == hash(Length.mm("25.4"))
