"""Quantities against the worked examples of the GUM and its supplement."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.quantity import COVERAGE_FACTOR, Quantity


def independent(count: int, u: float = 1.0, value: float = 0.0) -> list[Quantity]:
    return [Quantity(value, u * row) for row in np.eye(count)]


def correlation(a: Quantity, b: Quantity) -> float:
    return a.covariance(b) / (a.u * b.u)


def gum_h2() -> tuple[Quantity, Quantity, Quantity]:
    """Voltage, current and phase of JCGM 100:2008, H.2, table H.2: five simultaneous sets of readings."""
    volts = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
    amperes = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) / 1000
    radians = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])
    readings = np.stack([volts, amperes, radians])
    rows = np.linalg.cholesky(np.cov(readings) / 5)  # covariance of the means
    v, i, phase = (Quantity(float(m), row) for m, row in zip(readings.mean(axis=1), rows, strict=True))
    return v, i, phase


# JCGM 100:2008, H.2: r(V, I) = -0.36, r(V, phi) = 0.86, r(I, phi) = -0.65; R = 127.732 (0.071), X = 219.847 (0.295),
# Z = 254.260 (0.236) ohm; r(R, X) = -0.588, r(R, Z) = -0.485, r(X, Z) = 0.993 (unrounded: 0.29558, 0.9925).
def test_simultaneous_resistance_and_reactance() -> None:
    v, i, phase = gum_h2()
    assert correlation(v, i) == pytest.approx(-0.36, abs=0.005)
    assert correlation(v, phase) == pytest.approx(0.86, abs=0.005)
    assert correlation(i, phase) == pytest.approx(-0.65, abs=0.005)
    cosine = Quantity(math.cos(phase.value), -math.sin(phase.value) * phase.sensitivity)
    sine = Quantity(math.sin(phase.value), math.cos(phase.value) * phase.sensitivity)
    z = v / i
    r, x = z * cosine, z * sine
    for got, value, u in ((r, 127.732, 0.0711), (x, 219.847, 0.2956), (z, 254.260, 0.2363)):
        assert got.value == pytest.approx(value, abs=0.0006)
        assert got.u == pytest.approx(u, abs=0.0001)
    assert correlation(r, x) == pytest.approx(-0.588, abs=0.0006)
    assert correlation(r, z) == pytest.approx(-0.485, abs=0.0006)
    assert correlation(x, z) == pytest.approx(0.9925, abs=0.0006)


# JCGM 100:2008, H.1 (end gauge), the four components that are not 0 to first order: 25, 9.7, 2.9 and 16.6 nm: 32 nm.
def test_end_gauge() -> None:
    components = [Quantity(0.0, u * row) for u, row in zip((25.0, 9.7, 2.9, 16.6), np.eye(4), strict=True)]
    assert sum(components, Quantity(50_000_838.0)).u == pytest.approx(32.0, abs=0.5)


# JCGM 101:2008, 9.2.2, table 2: the sum of four standard normal quantities has u = 2.0 and a 95 % interval of +-3.92;
# 9.2.4: one of them with u = 10 gives 10.1.
def test_sums_of_independent_quantities() -> None:
    total = sum(independent(4), Quantity(0.0))
    assert total.u == pytest.approx(2.0)
    assert total.u95 == pytest.approx(COVERAGE_FACTOR * 2.0)
    assert 1.96 * total.u == pytest.approx(3.92)
    *rest, last = independent(4)
    assert sum(rest, 10.0 * last).u == pytest.approx(10.1, abs=0.05)


def test_what_depends_on_the_same_source_is_correlated() -> None:
    a, b = independent(2, u=0.5, value=3.0)
    assert (a - a).u == 0
    assert (a / a).u == 0
    assert (a + a).u == pytest.approx(1.0)
    assert (a - b).u == pytest.approx(0.5 * math.sqrt(2))
    assert (-a).covariance(a) == pytest.approx(-0.25)


def test_exact_numbers_have_no_sources() -> None:
    exact = Quantity(2.0)
    a = Quantity(3.0, np.array([0.1, 0.2]))
    assert exact.u == 0
    assert (a - exact).u == a.u == (a + 1.0).u
    assert (a * exact).u == pytest.approx(2 * a.u)
    assert (exact / a).value == pytest.approx(2 / 3)
    with pytest.raises(ZeroDivisionError):
        a / Quantity(0.0)


sensitivities = st.lists(st.floats(-2, 2), min_size=3, max_size=3).map(np.array)


@given(sensitivities, sensitivities, st.floats(1, 50), st.floats(1, 50))
def test_product_and_quotient_undo_each_other(a: np.ndarray, b: np.ndarray, x: float, y: float) -> None:
    first, second = Quantity(x, a), Quantity(y, b)
    again = first * second / second
    difference = again - first
    assert difference.value == pytest.approx(0, abs=1e-9)
    assert difference.u == pytest.approx(0, abs=1e-9)
