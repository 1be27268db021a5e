"""Lengths and angles in and out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.units import (
    MATTERS,
    UNITS,
    format_length,
    parse_angle,
    parse_length,
    parse_lengths,
)

lengths = st.floats(-5000, 5000, allow_nan=False)
units = st.sampled_from(sorted(UNITS))


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5/8 in", 15.875), ("5/8in", 15.875), ('1 1/4"', 31.75), ("1-1/4 in", 31.75),
        ("1 1/4 inches", 31.75), ("1¼ in", 31.75), ("½ in", 12.7), ("2″", 50.8), ('2"', 50.8),
        ("16 mm", 16.0), ("16mm", 16.0), ("16", 16.0), ("1.6cm", 16.0), ("0,5 cm", 5.0),
        (".5cm", 5.0), (",5 cm", 5.0), ("5. mm", 5.0), ("-5mm", -5.0), ("- 5 mm", -5.0),
        ("−5 mm", -5.0), ("+5 mm", 5.0), ("-1 1/4 in", -31.75), ("-1-1/4 in", -31.75),
        ("3 IN", 76.2), ("15,875 mm", 15.875), ("1 1/16 in + 0.3 mm", 27.2875),
        ("3/8 in - 0.1 mm", 9.425), ("-1 in - 0.3 mm", -25.7), ("1e2 mm", 100.0),
        ("0.1 in", 2.54), ("0.7 cm", 7.0), ("  2  cm  ", 20.0), ("5/8\u00a0in", 15.875),
        ("2 in.", 50.8), ("2.in", 50.8),
    ],
)  # fmt: skip
def test_lengths_as_people_write_them(text: str, mm: float) -> None:
    assert parse_length(text) == mm


@pytest.mark.parametrize(("default", "mm"), [("mm", 2.25), ("cm", 22.5), ("in", 57.15)])
def test_a_bare_number_counts_in_the_default(default: str, mm: float) -> None:
    assert parse_length("2.25", default=default) == mm
    assert parse_length("2 1/4", default=default) == mm
    assert parse_length("2.25 mm", default=default) == 2.25


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5mn", "did you mean mm"), ("5 m", "did you mean mm"), ("5 inc", "did you mean in"),
        ("5 cn", "did you mean cm"), ("5 px", "use mm, cm or in"), ("1,234.5", "two ways"),
        ("1,234,567 mm", "two ways"), ("1.234,5 mm", "two ways"), ("nan", "finite"),
        ("-inf mm", "finite"), ("infinity", "finite"), ("", "missing"), ("  ", "missing"),
        ("mm", "not a length"), ("five mm", "not a length"), ("5/0 in", "divides by 0"),
        ("1 5/4 in", "below 1"), ("1 2 mm", "not a length"), ("5 mm mm", "not a length"),
        ("1 + 2 mm", "its unit"), ("1 mm + 2", "its unit"), ("5--3 mm", "its unit"),
        ("1e300 mm", "out of all proportion"), ("9" * 80, "out of all proportion"),
        ("1e9 cm", "out of all proportion"), ("1 mm +", "not a length"), ("1.2.3 mm", "not a"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_a_remedy(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        parse_length(text)


def test_a_number_is_not_text() -> None:
    with pytest.raises(ValueError, match="not a length"):
        parse_length(5)  # type: ignore[arg-type]


@given(st.text(max_size=20))
def test_any_text_gives_a_finite_length_or_one_sentence(text: str) -> None:
    try:
        assert math.isfinite(parse_length(text))
    except ValueError as error:
        assert str(error)


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (9.525, "in", "3/8 in"), (9.525, "mm", "9.53 mm"), (9.5, "mm", "9.5 mm"),
        (9.5, "cm", "0.95 cm"), (27.2875, "in", "1 1/16 in + 0.3 mm"), (25.4, "in", "1 in"),
        (31.75, "in", "1 1/4 in"), (-31.75, "in", "-1 1/4 in"), (9.425, "in", "3/8 in - 0.1 mm"),
        (-25.7, "in", "-1 in - 0.3 mm"), (0.0, "in", "0 in"), (-0.0, "cm", "0 cm"),
        (0.3, "in", "0.3 mm"), (-0.3, "in", "-0.3 mm"), (0.03, "in", "0.03 mm"),
        (0.00034, "mm", "0.00034 mm"), (1e-9, "mm", "0 mm"), (-1e-9, "mm", "0 mm"),
        (1000.0, "mm", "1000 mm"), (9.53, "in", "3/8 in"), (0.046, "cm", "0.046 mm"),
    ],
)  # fmt: skip
def test_lengths_as_people_read_them(mm: float, unit: str, text: str) -> None:
    assert format_length(mm, unit) == text


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (27.2875, "in", "1 1/16 in"), (-9.46, "mm", "-9.5 mm"), (16.44, "cm", "1.6 cm"),
        (0.3, "in", "0.3 mm"),
    ],
)  # fmt: skip
def test_rough_lengths_for_overviews(mm: float, unit: str, text: str) -> None:
    assert format_length(mm, unit, rough=True) == text


@given(lengths, units)
def test_what_is_printed_reads_back(mm: float, unit: str) -> None:
    precision = {"mm": 0.005, "cm": 0.05, "in": MATTERS}[unit]
    assert abs(parse_length(format_length(mm, unit)) - mm) <= precision + 1e-9


@given(st.integers(-16_000, 16_000))
def test_sixteenths_round_trip_exactly(n: int) -> None:
    mm = n * 25.4 / 16
    text = format_length(mm, "in")
    assert "mm" not in text
    assert math.isclose(parse_length(text), mm, rel_tol=1e-15, abs_tol=0.0)
    assert format_length(parse_length(text), "in") == text


@given(st.integers(-500_000, 500_000))
def test_hundredths_of_a_millimetre_round_trip_exactly(n: int) -> None:
    assert parse_length(format_length(n / 100, "mm")) == n / 100


@given(lengths, units)
def test_printing_again_changes_nothing(mm: float, unit: str) -> None:
    once = parse_length(format_length(mm, unit))
    twice = parse_length(format_length(once, unit))
    assert abs(twice - once) <= {"mm": 0.0, "cm": 0.0, "in": MATTERS}[unit] + 1e-12


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_not_printed(value: float) -> None:
    with pytest.raises(ValueError, match="not a length"):
        format_length(value, "mm")


def test_unknown_units_are_named() -> None:
    with pytest.raises(ValueError, match="no unit that can be chosen"):
        format_length(1.0, "ell")
    with pytest.raises(ValueError, match="no unit that can be chosen"):
        parse_length("1", default="ell")


def test_pairs() -> None:
    assert parse_lengths("-3.5mm,0", 2) == (-3.5, 0.0)
    assert parse_lengths("-3,5 mm; 1/2 in", 2) == (-3.5, 12.7)
    with pytest.raises(ValueError, match="separate them"):
        parse_lengths("-3,5mm,0", 2)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("15", 15.0), ("15 deg", 15.0), ("15°", 15.0), ("-7,5 degrees", -7.5), ("22 1/2°", 22.5)],
)
def test_angles(text: str, degrees: float) -> None:
    assert parse_angle(text) == degrees


@pytest.mark.parametrize("text", ["15 mm", "", "nan", "around", "15 rad"])
def test_what_is_no_angle_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"angle|missing"):
        parse_angle(text)
