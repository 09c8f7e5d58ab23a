"""Chances that measured values conform, against published examples and another library's integrals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from measure.conformity import Event, chance_all, chance_within, largest, rms_about, smallest
from measure.quantity import Quantity
from tests.helpers.examples import examples


def known(value: float, u: float) -> Quantity:
    return Quantity(value, np.array([u]))


# Examples of JCGM 106:2012; the printed chances are from memory, the arithmetic is repeated here by hand:
# Zener diode: Phi((-5.40 + 5.47) / 0.05) = Phi(1.40) = 0.9192; container: Phi((509.7 - 490) / 8.6) = 0.9890;
# engine oil: Phi((16.3 - 13.6) / 1.8) - Phi((12.5 - 13.6) / 1.8) = 0.9332 - 0.2706 = 0.6626.
@pytest.mark.parametrize(
    ("value", "u", "low", "high", "printed", "exact"),
    [
        (-5.47, 0.05, None, -5.40, 0.92, 0.9192),
        (509.7, 8.6, 490.0, None, 0.99, 0.9890),
        (13.6, 1.8, 12.5, 16.3, 0.66, 0.6626),
    ],
    ids=["Zener breakdown voltage", "container burst strength", "engine oil viscosity"],
)
def test_examples_of_jcgm_106(value, u, low, high, printed, exact):
    chance = chance_within(known(value, u), low, high)
    assert round(chance, 2) == printed
    assert chance == pytest.approx(exact, abs=6e-5)


# One-sided guard bands: ILAC-G8:09/2019 gives < 50 % at w = 0 and < 2.5 % at w = U; the rest is from tables of Phi.
@pytest.mark.parametrize(("guard", "wrong"), [(0.0, 0.5), (1.0, 0.1587), (1.645, 0.05), (2.0, 0.0228)])
def test_the_chance_of_a_wrong_acceptance_behind_a_guard_band(guard, wrong):
    assert 1 - chance_within(known(10 - 0.3 * guard, 0.3), None, 10.0) == pytest.approx(wrong, abs=5e-5)


def test_the_resistors_of_jcgm_106_and_the_risks_of_their_acceptance():
    """Resistors 1500 +- 0.2 ohm, production sd 0.12, measurement 0.04, accepted from 1499.82 to 1500.18 (inputs from a
    public script; printed, from memory: p_c 0.90, producer's risk 0.07, consumer's risk 0.01). The true value and the
    measured one share the production's spread: a joint chance of two correlated quantities."""
    true, measured = Quantity(1500.0, np.array([0.12, 0.0])), Quantity(1500.0, np.array([0.12, 0.04]))
    conforms = chance_within(true, 1499.8, 1500.2)
    accepted = chance_within(measured, 1499.82, 1500.18)
    both = chance_all([Event((true,), 1499.8, 1500.2), Event((measured,), 1499.82, 1500.18)])
    assert conforms == pytest.approx(0.9044, abs=5e-5)
    assert conforms - both == pytest.approx(0.0690, abs=0.001)
    assert accepted - both == pytest.approx(0.0099, abs=0.001)


@pytest.mark.parametrize(
    ("value", "low", "high", "strict", "chance"),
    [
        (3.0, 3.0, None, False, 1.0),
        (3.0, 3.0, None, True, 0.0),
        (0.1 + 0.2, None, 0.3, False, 1.0),
        (0.1 + 0.2, None, 0.3, True, 0.0),
        (3.1, 3.0, None, True, 1.0),
        (3.1, None, 3.0, False, 0.0),
        (2.0, 1.0, 3.0, False, 1.0),
    ],
)
def test_a_value_without_uncertainty_conforms_or_not(value, low, high, strict, chance):
    assert chance_within(Quantity(value), low, high, strict=strict) == chance


def random_quantities(seed: int, count: int, sources: int) -> list[Quantity]:
    draw = np.random.default_rng(seed)
    return [Quantity(draw.normal(), draw.normal(size=sources)) for _ in range(count)]


@pytest.mark.parametrize(
    ("seed", "count", "sources"), [(1, 2, 3), (2, 3, 3), (3, 4, 9), (4, 6, 7), (5, 8, 20), (6, 12, 30)]
)
def test_all_of_several_against_scipys_multivariate_normal(seed, count, sources):
    quantities = random_quantities(seed, count, sources)
    matrix = np.array([q.sensitivity for q in quantities])
    means = np.array([q.value for q in quantities])
    other = multivariate_normal(mean=-means, cov=matrix @ matrix.T, allow_singular=True).cdf(np.full(count, 1.5))
    assert chance_all([Event((q,), low=-1.5) for q in quantities]) == pytest.approx(other, abs=0.005)


def test_two_independent_conditions_multiply_and_two_that_are_one_do_not():
    a, b = Quantity(0.0, np.array([1.0, 0.0])), Quantity(0.0, np.array([0.0, 1.0]))
    assert chance_all([Event((a,), low=0.0), Event((b,), low=0.0)]) == pytest.approx(0.25, abs=0.002)
    assert chance_all([Event((a,), low=0.0), Event((a,), low=0.0)]) == pytest.approx(0.5, abs=0.002)
    assert chance_all([Event((a,), low=0.0), Event((-a,), low=0.0)]) == pytest.approx(0.0, abs=0.002)


def test_orthant_of_three_quantities_with_correlation_one_half():
    """P(all > 0) = 1/8 + 3 arcsin(1/2) / (4 pi) = 1/4 (Sheppard's formula for three variables)."""
    shared = 0.5**0.5
    rows = np.hstack([np.full((3, 1), shared), np.eye(3) * shared])
    assert chance_all([Event((Quantity(0.0, row),), low=0.0) for row in rows]) == pytest.approx(0.25, abs=0.003)


def test_the_smallest_of_two_equal_gaps_is_smaller_than_either():
    """The mean of the smaller of two standard normal numbers is -1 / sqrt(pi), its variance 1 - 1 / pi."""
    pair = [Quantity(0.0, np.array([1.0, 0.0])), Quantity(0.0, np.array([0.0, 1.0]))]
    assert smallest(pair).value == pytest.approx(-1 / np.pi**0.5, abs=0.003)
    assert smallest(pair).u == pytest.approx((1 - 1 / np.pi) ** 0.5, abs=0.003)
    assert largest(pair).value == pytest.approx(1 / np.pi**0.5, abs=0.003)
    assert rms_about(pair, 0.0) == pytest.approx(1.0, abs=0.003)


def test_the_smallest_of_gaps_that_move_together_is_the_smallest():
    pair = [Quantity(1.0, np.array([0.5])), Quantity(1.2, np.array([0.5]))]
    assert smallest(pair) is pair[0]
    with pytest.raises(ValueError, match="no quantities"):
        smallest([])


def test_an_upper_limit_on_the_smallest_is_kept_when_any_of_them_keeps_it():
    pair = (Quantity(1.0, np.array([1.0, 0.0])), Quantity(1.0, np.array([0.0, 1.0])))
    assert chance_all([Event(pair, high=1.0)]) == pytest.approx(0.75, abs=0.003)
    assert chance_all([Event(pair, low=1.0)]) == pytest.approx(0.25, abs=0.003)


@examples(60)
@given(st.integers(0, 10_000), st.integers(1, 5), st.floats(-2, 2))
def test_a_chance_is_the_same_in_every_run_and_falls_with_every_further_condition(seed, count, low):
    events = [Event((q,), low=low) for q in random_quantities(seed, count, 4)]
    chance = chance_all(events)
    assert chance == chance_all(events)
    assert 0 <= chance <= min(chance_all([event]) for event in events) + 0.005
