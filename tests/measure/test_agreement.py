"""En against published worked examples, and against drawn errors where one ruler made both values."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest

from measure.agreement import agrees, en_number, percent_error
from measure.hand.values.hand_uncertainty import RULER_SCALE, end_u, placing_u, rounding_u

# NIST Dataplot reference manual, "EN SCORE" (itl.nist.gov/div898/software/dataplot/refman2/auxillar/enscore.htm): data
# GEAR.DAT, X_ref = 1, U_ref = 2 sd of all 100, U_lab = 2 sd of the batch. The scores are read there; the batch's values
# and the sd of all are from memory, and give the printed scores.
BATCH = (1.006, 0.996, 0.998, 1.000, 0.992, 0.993, 1.002, 0.999, 0.994, 1.000)
SD_OF_ALL = 0.006279


@pytest.mark.parametrize(("value", "printed"), [(1.006, 0.393), (0.996, -0.262), (0.998, -0.131), (1.000, 0.000)])
def test_en_as_the_nist_manual_prints_it(value, printed):
    en = en_number(value, 2 * statistics.stdev(BATCH), 1.0, 2 * SD_OF_ALL)
    assert en == pytest.approx(printed, abs=0.0005)


@pytest.mark.parametrize(("u_hand", "u_photo", "en", "good"), [(1.0, 1.2, 0.960, True), (0.8, 0.8, 1.326, False)])
def test_en_worked_by_hand(u_hand, u_photo, en, good):
    """124.5 against 123.0: 1.5 over the root of the squares' sum."""
    found = en_number(124.5, u_hand, 123.0, u_photo)
    assert found == pytest.approx(en, abs=0.0005)
    assert agrees(found) is good


def test_one_ruler_for_both_leaves_no_more_than_the_rest_in_the_difference():
    """Drawn errors: with the covariance the scores scatter as they should (sd 1/2), without it they are too small."""
    random = np.random.default_rng(3)
    ruler, hand, photo = (random.normal(0, u, 40_000) for u in (1.0, 0.4, 0.3))
    first, second = 100 + ruler + hand, 100 + ruler + photo
    u_hand, u_photo = math.hypot(1.0, 0.4), math.hypot(1.0, 0.3)
    honest = en_number(1.0, 2 * u_hand, 0.0, 2 * u_photo, covariance=1.0) * (first - second)
    naive = en_number(1.0, 2 * u_hand, 0.0, 2 * u_photo) * (first - second)
    assert np.std(honest) == pytest.approx(0.5, rel=0.02)
    assert np.std(naive) < 0.2


def test_equal_values_agree_however_certain_they_are():
    assert en_number(5.0, 0.0, 5.0, 0.0) == 0.0
    assert en_number(5.1, 0.0, 5.0, 0.0) == math.inf


def test_per_cent_error_as_a_class_works_it_out():
    assert percent_error(9.0, 10.0) == pytest.approx(10.0)
    assert percent_error(1.0, 0.0) is None


def test_reading_uncertainty():
    """JCGM 100:2008, 4.3.7: half a division either way, rectangular. A mm ruler's end: 0.5 / sqrt 3 = 0.289 mm."""
    assert end_u(1.0, 0.0) == pytest.approx(0.289, abs=0.0005)


def test_a_guessed_middle_scatters_like_places_drawn_from_the_middle_half_of_the_tape():
    """Common practice, no source; the drawn places are numpy's."""
    drawn = np.random.default_rng(4).uniform(-24 / 4, 24 / 4, 200_000)
    assert placing_u(24.0, "middle") == pytest.approx(np.std(drawn), rel=0.01)
    assert placing_u(24.0, "inner") == placing_u(0.0, "middle") < 1.0


def test_a_school_ruler_is_within_the_permissible_error():
    """UK S.I. 2016/1153, Sch. 1I: class II, a = 0.3, b = 0.2, L up to 1 m: 0.5 mm, on 300 mm."""
    assert RULER_SCALE * 300 * math.sqrt(3) == pytest.approx(0.5)


def test_only_what_was_worked_out_is_rounded():
    assert rounding_u(1.0, "formula") == pytest.approx(1 / math.sqrt(12))
    assert rounding_u(0.125, "ruler") == 0.0
