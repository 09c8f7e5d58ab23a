"""Measured values as a class reads them."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from measure.numbers import NUMBER_STYLES, number_from_words
from measure.voice import End, Known, difference_said, reckoned_said, share_said, sureness, value_said

FRACTIONS = ["whole", "half", "quarter", "eighth", "sixteenth"]


@pytest.mark.parametrize(
    ("value", "u95", "unit", "style", "text"),
    [
        (41.23, 0.2, "sq in", "quarter", "41 1/4 sq in"),
        (41.23, 0.2, "sq in", "eighth", "about 41 1/4 sq in"),  # the uncertainty allows no eighths
        (41.23, 0.3, "sq in", "quarter", "about 41 sq in"),
        (4.51, 0.05, "in", "half", "4 1/2 in"),
        (4.38, 0.05, "in", "eighth", "4 3/8 in"),
        (4.38, 0.0013, "in", "eighth", "4 3/8 in"),
        (4.31, 0.01, "in", "sixteenth", "4 5/16 in"),
        (4.38, 0.05, "in", "half", "4 1/2 in"),
        (12.0, 0.0, "in", "whole", "12 in"),
        (0.52, 0.1, "in", "half", "1/2 in"),
        (237.0, 30.0, "sq cm", "whole", "about 240 sq cm"),
        (41.2345, 0.0012, "sq in", "decimal", "41.2 sq in"),  # a class reads no thousandths
        (41.2345, 4.0, "sq in", "decimal", "41 sq in"),
        (5.3812, 0.0013, "in", "decimal", "5.38 in"),
        (13.0, 0.02, "cm", "percent", "13 cm"),
        (0.16312, 0.0012, "%", "percent", "16.3%"),
        (0.16312, 0.04, "%", "percent", "16%"),
        (0.16312, 0.0012, "%", "quarter", "16.3%"),
        (0.16312, 0.004, "%", "decimal", "0.163"),
        (0.000592, 0.00023, "%", "percent", "0.1%"),
        (1.4142, 0.002, "", "percent", "1.41"),
        (1.1312, 0.002, "", "eighth", "1 1/8"),
        (3.0, 0.0, "", "half", "3"),
        (0.02, 0.001, "in", "eighth", "almost 0 in"),
        (0.0, 0.001, "in", "eighth", "0 in"),
        (0.474, 0.001, "in", "whole", "about 1/2 in"),  # the mark would show nothing
        (1.49, 0.001, "", "whole", "1 1/2"),  # no ratio is read from a ruler
    ],
)
def test_a_number_in_the_form_of_the_class(value, u95, unit, style, text):
    assert value_said(Known(value, u95), unit, style) == text


@pytest.mark.parametrize(
    ("value", "style", "text"),
    [
        (4.47, "eighth", "just under 4 1/2 in"),  # the mark would show the limit itself
        (4.53, "eighth", "just over 4 1/2 in"),
        (4.47, "whole", "4 in"),
        (4.53, "whole", "5 in"),
        (4.4, "half", "just under 4 1/2 in"),
        (4.5, "eighth", "4 1/2 in"),
        (4.497, "decimal", "just under 4 1/2 in"),
        (4.49, "decimal", "4.49 in"),
        (6.0, "eighth", "6 in"),
    ],
)
def test_a_mark_at_the_limit_says_on_which_side_of_it_the_value_is(value, style, text):
    assert value_said(Known(value, 0.001), "in", style, [End(4.5, "4 1/2 in")]) == text


@pytest.mark.parametrize(
    ("value", "u95", "text"),
    [
        (0.2, 0.0, "1/5"),
        (0.1631, 0.001, "about 1/6"),
        (0.2003, 0.0001, "just over 1/5"),
        (0.1999, 0.0001, "just under 1/5"),
        (0.0592, 0.0001, "about 1/17"),
        (0.19, 0.0001, "a little under 1/5"),
        (0.23, 0.0001, "a little under 1/4"),
        (0.0439, 0.0001, "about 1/23"),
        (0.0681, 0.0001, "about 1/15"),
        (0.75, 0.001, "3/4"),
        (0.0001, 0.00001, "almost 0"),
    ],
)
def test_a_share_of_a_rule_in_fractions_is_a_fraction(value, u95, text):
    assert share_said(Known(value, u95), "fraction", [End(0.2, "1/5")]) == text


def test_what_every_ruler_shows_to_be_far_from_a_limit_is_not_just_under_it():
    foot = [End(1.0, "1 ft")]
    assert value_said(Known(0.79, 0.001), "ft", "whole", foot) == "about 3/4 ft"
    assert value_said(Known(0.97, 0.001), "ft", "whole", foot) == "just under 1 ft"


def test_small_parts_are_one_of_many_and_never_almost_nothing():
    assert value_said(Known(0.025, 0.0001), "", "eighth", [End(0.1, "1/10")]) == "about 1/40"
    assert value_said(Known(0.5, 1.0), "", "half", [End(0.5, "1/2")]) == "1/2"
    assert value_said(Known(0.48, 1.0), "", "half") == "about 1/2"
    assert share_said(Known(0.0037, 0.0001), "fraction", [End(0.01, "1/100")]) == "about 1/270"


def test_a_difference_is_that_of_the_numbers_that_are_said():
    assert difference_said(Known(0.921, 0.01), Known(1.445, 0.01), "in", "eighth") == "5/8 in", "7/8 to 1 1/2"
    assert difference_said(Known(2.66, 0.01), Known(3.24, 0.01), "cm", "percent") == "0.5 cm", "2.7 to 3.2"


def test_centimetres_have_no_sixteenths():
    assert value_said(Known(2.0625, 0.001), "cm", "sixteenth") == "2.1 cm"
    assert value_said(Known(2.5, 0.001), "cm", "half") == "2 1/2 cm"


def test_a_share_has_the_form_of_its_rule():
    near = Known(0.2003, 0.0001)
    assert share_said(near, "per cent", [End(0.2, "20%")]) == "just over 20%"
    assert share_said(near, "decimal", [End(0.2, "0.2")]) == "just over 0.2"
    assert share_said(Known(0.1631, 0.001), "decimal", [End(0.2, "0.2")]) == "0.163"


@pytest.mark.parametrize(
    ("chance", "word"),
    [
        (1.0, "sure"), (0.99, "sure"), (0.989, "nearly sure"), (0.95, "nearly sure"), (0.949, "cannot tell"),
        (0.5, "cannot tell"), (0.051, "cannot tell"), (0.05, "nearly sure"), (0.011, "nearly sure"), (0.01, "sure"),
        (0.0, "sure"),
    ],
)  # fmt: skip
def test_how_sure_a_verdict_is(chance, word):
    assert sureness(chance) == word


@pytest.mark.parametrize(
    ("value", "style", "text"),
    [(50.4, "eighth", "50 2/5 sq in"), (50.4, "decimal", "50.4 sq in"), (12.0, "half", "12 sq in")],
)
def test_what_is_worked_out_is_exact(value, style, text):
    assert reckoned_said(value, "sq in", style) == text


def resolution(text: str) -> float:
    """The step between the numbers that a text could show: 1/4 for `41 1/4`, 0.1 for `16.3`."""
    plain = bare(text)
    if "/" in plain:
        return 1 / int(plain.rpartition("/")[2])
    return 10.0 ** -len(plain.partition(".")[2])


def bare(text: str) -> str:
    return text.removeprefix("about ").removeprefix("almost ").removesuffix(" in")


@given(st.floats(0, 500), st.floats(1e-4, 20), st.sampled_from(FRACTIONS))
def test_a_fraction_is_never_finer_than_its_uncertainty(value, u95, style):
    text = value_said(Known(value, u95), "in", style)
    if u95 <= 1:
        assert resolution(text) >= u95
    else:
        assert "/" not in text


@given(st.floats(0, 500), st.floats(1e-4, 20), st.sampled_from(NUMBER_STYLES))
def test_the_number_shown_is_the_value_within_its_step(value, u95, style):
    text = value_said(Known(value, u95), "in", style)
    number = number_from_words(bare(text))
    # What is read of a decimal without its last noughts is no coarser than an inch's hundredth, or the uncertainty.
    step = max(
        0.01, 10.0 ** math.floor(math.log10(u95)), resolution(text) if "/" in text or style in FRACTIONS else 0.0
    )
    assert abs(float(number) - value) <= step / 2 + 1e-9


@given(st.floats(0, 100), st.floats(1e-4, 0.5), st.fractions(0, 100, max_denominator=8), st.sampled_from(NUMBER_STYLES))
def test_words_never_put_a_value_on_the_wrong_side_of_its_limit(value, u95, limit, style):
    assume(abs(value - limit) > 1e-6)
    text = value_said(Known(value, u95), "in", style, [End(float(limit), "LIMIT")])
    if text.startswith("just"):
        assert text == f"just {'over' if value > limit else 'under'} LIMIT"
    else:
        number = number_from_words(bare(text))
        assert number == 0 or (number > limit) == (value > limit)
        assert number != Fraction(limit) or number == 0
