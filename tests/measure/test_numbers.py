"""Numbers as people write them, and as a class reads them."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.numbers import NUMBER_PATTERN, number_from_words, written


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
