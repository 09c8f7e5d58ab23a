from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeplat.annotate.outline_parts import dashes, seen_and_inferred
from tests.helpers.made.drawn_plats import ring

SQUARE = [[0, 0], [10, 0], [10, 10], [0, 10]]
fractions = st.tuples(st.integers(0, 3), st.floats(0, 1), st.floats(0, 1)).map(lambda t: (t[0], *sorted(t[1:])))


def length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def test_a_seen_ring_is_one_closed_stretch():
    (only,) = seen_and_inferred(ring(SQUARE))
    assert not only.inferred
    np.testing.assert_array_equal(only.points, [*SQUARE, SQUARE[0]])


def test_an_inferred_corner_is_one_stretch_through_the_corner():
    parts = seen_and_inferred(ring(SQUARE, inferred=[(0, 0.5, 1.0), (1, 0.0, 0.4)]))
    assert [part.inferred for part in parts] == [False, True]
    np.testing.assert_allclose(parts[1].points, [[5, 0], [10, 0], [10, 4]])
    np.testing.assert_allclose(parts[0].points, [[10, 4], [10, 10], [0, 10], [0, 0], [5, 0]])


@given(st.lists(fractions, max_size=5))
def test_stretches_close_the_ring_and_keep_its_length(hidden):
    parts = seen_and_inferred(ring(SQUARE, inferred=hidden))
    assert sum(length(part.points) for part in parts) == pytest.approx(40)
    for part, following in zip(parts, [*parts[1:], parts[0]], strict=True):
        np.testing.assert_allclose(part.points[-1], following.points[0])
        assert len(parts) == 1 or part.inferred != following.inferred


@given(st.floats(0.5, 30), st.floats(0.5, 10), st.floats(0.5, 10))
def test_dashes_lie_on_the_line_and_start_and_end_with_one(total, on, off):
    line = np.array([[0.0, 0.0], [total / 2, 0.0], [total / 2, total / 2]])
    parts = dashes(line, on, off)
    np.testing.assert_allclose(parts[0][0], line[0])
    np.testing.assert_allclose(parts[-1][-1], line[-1], atol=1e-9)
    assert sum(length(part) for part in parts) <= total + 1e-9
    if total > 2 * (on + off):
        assert len(parts) > 1
