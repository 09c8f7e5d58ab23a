"""Exact conversions against published factors, and numbers as people write them."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure import units
from measure.units import LENGTH_UNITS

FINITE = st.floats(-1e9, 1e9)


# US 16 CFR 500.19 (FPLA metric conversion table): exact figures. 1 in3 exact = 2.54 cubed; 16.387064 also in
# Machinery's Handbook, 31st ed., p. 89. 144 in2 and 1728 in3 a foot squared and cubed: 12 x 12 and 12 x 12 x 12.
@pytest.mark.parametrize(
    ("got", "published"),
    [
        (units.to_mm(1, "in"), 25.4),
        (units.to_mm(1, "ft"), 304.8),
        (units.to_mm(1, "m"), 1000.0),
        (units.to_mm(1, "cm"), 10.0),
        (units.to_mm(0.001, "in"), 0.0254),
        (units.from_mm(units.to_mm(3, "ft"), "m"), 0.9144),
        (units.area_from_mm2(units.area_to_mm2(1, "in"), "cm"), 6.4516),
        (units.area_from_mm2(units.area_to_mm2(1, "ft"), "cm"), 929.0304),
        (units.area_from_mm2(units.area_to_mm2(9, "ft"), "cm"), 8361.2736),
        (units.area_from_mm2(units.area_to_mm2(1, "ft"), "in"), 144.0),
        (units.volume_from_mm3(units.volume_to_mm3(1, "in"), "cm"), 16.387064),
        (units.volume_from_mm3(units.volume_to_mm3(1, "ft"), "cm"), 28316.846592),
        (units.volume_from_mm3(units.volume_to_mm3(1, "ft"), "in"), 1728.0),
    ],
)
def test_conversion_is_the_published_one(got: float, published: float) -> None:
    assert got == pytest.approx(published, rel=1e-15, abs=0)


# The rounded figures of 16 CFR 500.19: 1 cm2 = 0.155000 in2, 1 cm3 = 0.0610237 in3, 1 ft3 = 0.0283168 m3.
def test_conversion_rounds_to_the_published_rounded_figures() -> None:
    assert round(units.area_from_mm2(units.area_to_mm2(1, "cm"), "in"), 6) == 0.155000
    assert round(units.volume_from_mm3(units.volume_to_mm3(1, "cm"), "in"), 7) == 0.0610237
    assert round(units.volume_from_mm3(units.volume_to_mm3(1, "ft"), "m"), 7) == 0.0283168


@given(FINITE, st.sampled_from(LENGTH_UNITS))
def test_there_and_back(value: float, unit: units.LengthUnit) -> None:
    assert units.from_mm(units.to_mm(value, unit), unit) == pytest.approx(value, rel=1e-14)
    assert units.area_from_mm2(units.area_to_mm2(value, unit), unit) == pytest.approx(value, rel=1e-14)
    assert units.volume_from_mm3(units.volume_to_mm3(value, unit), unit) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("13.2", Fraction(132, 10)),
        ("5 3/8", Fraction(43, 8)),
        ("5-3/8", Fraction(43, 8)),
        ("5⅜", Fraction(43, 8)),
        ("5 ⅜", Fraction(43, 8)),
        ("½", Fraction(1, 2)),
        ("3/4", Fraction(3, 4)),
        (" .5 ", Fraction(1, 2)),
        ("4.", Fraction(4)),
        ("-2 1/2", Fraction(-5, 2)),
    ],
)
def test_number_as_written(text: str, value: Fraction) -> None:
    assert units.parse_number(text) == value


@pytest.mark.parametrize("text", ["", "x", "1/0", "1,5", "1 2", "3//4", "1e5", "nan", "inf", "1.2/3", "٣", "²"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"number such as|divides by zero"):
        units.parse_number(text)


@pytest.mark.parametrize(
    "text",
    ["4 1/2 in", "4.5in", '4½"', "4 1/2 inches", "4.5 INCH", "4-1/2 in.", "11.43 cm", "114.3mm", "0.375 ft", "4½″"],
)
def test_length_as_written(text: str) -> None:
    assert units.parse_length(text) == pytest.approx(114.3)


@pytest.mark.parametrize(
    "text",
    ["12 sq in", "12 square inches", "12 in2", "12 in²", "12 in^2", "12 inches squared", "12 sq. in", "1/12 sq ft"],
)
def test_area_as_written(text: str) -> None:
    assert units.parse_area(text) == pytest.approx(12 * 645.16)


@pytest.mark.parametrize("text", ["200 cubic cm", "200 cm3", "200 cm³", "200 cu cm", "200 centimetres cubed"])
def test_volume_as_written(text: str) -> None:
    assert units.parse_volume(text) == pytest.approx(200_000)


def test_default_unit_stands_only_where_none_is_written() -> None:
    assert units.parse_length("4.5", "in") == pytest.approx(114.3)
    assert units.parse_length("4.5 cm", "in") == 45
    with pytest.raises(ValueError, match="no length with its unit"):
        units.parse_length("4.5")
    with pytest.raises(ValueError, match="no area with its unit"):
        units.parse_area("4.5 in")


@given(st.text(max_size=20))
def test_any_text_is_a_length_or_a_value_error(text: str) -> None:
    with contextlib.suppress(ValueError):
        assert isinstance(units.parse_length(text, "in"), float)


# Particle Data Group rounding rule (from memory), with its own examples 0.827 +- 0.119 -> 0.83 +- 0.12 and
# 0.827 +- 0.367 -> 0.8 +- 0.4.
@pytest.mark.parametrize(
    ("value", "u95", "shown"),
    [
        (0.827, 0.119, "0.83"),
        (0.827, 0.367, "0.8"),
        (5.3812, 0.03, "5.381"),
        (5.3812, 0.3, "5.38"),
        (5.3812, 0.5, "5.4"),
        (1234.5, 97.0, "1230"),
        (1234.5, 60.0, "1230"),
        (0.3, 60.0, "0"),
        (-0.001, 0.5, "0.0"),
        (4.5, 0.0, "4.5"),
        (252, 0.0, "252"),
    ],
)
def test_number_is_rounded_to_its_uncertainty(value: float, u95: float, shown: str) -> None:
    assert units.format_number(value, u95) == shown


def test_formatted_quantities_carry_their_unit() -> None:
    assert units.format_length(136.7, "in", 1.3) == "5.38 in"
    assert units.format_area(26580, "in", 200) == "41.20 sq in"
    assert units.format_volume(200_000, "cm", 5000) == "200 cubic cm"


@given(st.floats(1e-9, 1e9), st.floats(-1e9, 1e9))
def test_rounding_moves_a_value_by_less_than_a_tenth_of_u95_or_so(u95: float, value: float) -> None:
    assert abs(float(units.format_number(value, u95)) - value) <= 0.15 * u95 + 1e-6 * abs(value) + 0.5 * (u95 < 1e-6)
