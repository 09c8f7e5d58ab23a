"""Numbers as people write them, and as a class reads them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.numbers import NUMBER_PATTERN, NUMBER_STYLES, number_from_words, shown, written


@dataclass(frozen=True)
class Number:
    value: float
    u95: float


@pytest.mark.parametrize(
    ("value", "u95", "unit", "style", "text"),
    [
        (41.23, 0.2, "sq in", "quarter", "41 1/4 sq in"),
        (41.23, 0.2, "sq in", "eighth", "about 41 1/4 sq in"),
        (41.23, 0.3, "sq in", "quarter", "about 41 sq in"),
        (4.51, 0.05, "in", "half", "4 1/2 in"),
        (4.38, 0.05, "in", "eighth", "4 3/8 in"),
        (4.38, 0.05, "in", "half", "about 4 1/2 in"),
        (4.5, 0.0, "in", "whole", "about 4 in"),
        (12.0, 0.0, "in", "whole", "12 in"),
        (0.52, 0.1, "in", "half", "1/2 in"),
        (237.0, 30.0, "sq cm", "whole", "about 240 sq cm"),
        (41.2345, 0.12, "sq in", "decimal", "41.23 sq in"),
        (41.2345, 0.4, "sq in", "decimal", "41.2 sq in"),
        (41.2345, 0.97, "sq in", "percent", "41.2 sq in"),
        (0.16312, 0.0012, "%", "percent", "16.31 %"),
        (0.16312, 0.004, "%", "percent", "16.3 %"),
        (0.16312, 0.004, "%", "quarter", "16.3 %"),
        (0.16312, 0.004, "%", "decimal", "0.163"),
        (1.4142, 0.02, "", "percent", "1.414"),
        (1.4142, 0.2, "", "half", "1 1/2"),
        (3.0, 0.0, "", "half", "3"),
    ],
)
def test_a_number_in_the_form_of_the_class(value, u95, unit, style, text):
    assert shown(Number(value, u95), unit, style) == text


def resolution(text: str) -> float:
    """The step between the numbers that a text could show: 1/4 for `41 1/4`, 0.1 for `16.3`."""
    plain = text.removeprefix("about ").removesuffix(" in")
    if "/" in plain:
        return 1 / int(plain.rpartition("/")[2])
    return 10.0 ** -len(plain.partition(".")[2])


@given(st.floats(0, 500), st.floats(1e-4, 20), st.sampled_from(["whole", "half", "quarter", "eighth"]))
def test_a_fraction_is_never_finer_than_its_uncertainty(value, u95, style):
    text = shown(Number(value, u95), "in", style)
    if u95 <= 1:
        assert resolution(text) >= u95
    else:
        assert "/" not in text


@given(st.floats(0, 500), st.floats(1e-4, 20), st.sampled_from(NUMBER_STYLES))
def test_the_number_shown_is_the_value_within_its_step(value, u95, style):
    text = shown(Number(value, u95), "in", style)
    number = number_from_words(text.removeprefix("about ").removesuffix(" in"))
    assert abs(float(number) - value) <= max(resolution(text), 10.0 ** math.floor(math.log10(u95))) / 2 + 1e-9


@given(st.fractions(0, 1000, max_denominator=64))
def test_an_exact_number_is_read_back_as_written(number):
    text = written(number)
    assert number_from_words(text) == number
    assert re.fullmatch(NUMBER_PATTERN, text, re.VERBOSE)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("4 1/2", "9/2"),
        ("4½", "9/2"),
        ("1/5th", "1/5"),
        ("2/3rds", "2/3"),
        ("a Fifth", "1/5"),
        ("One and a half", "3/2"),
        ("seven", "7"),
        ("halves", "1/2"),
        ("3 and three quarters", "15/4"),
        ("12,500", "12500"),
        ("2e-2", "1/50"),
    ],
)
def test_number_words(text, number):
    assert number_from_words(text) == Fraction(number)


@pytest.mark.parametrize("text", ["", "thirteen", "1/0", "4..5", "a", "1,5,0x"])
def test_what_is_no_number_is_refused_or_one(text):
    if text == "a":
        assert number_from_words(text) == 1
        return
    with pytest.raises(ValueError, match=r"."):
        number_from_words(text)
