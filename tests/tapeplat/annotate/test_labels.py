from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tapeplat.annotate.labels import LabelBoard, Spot
from tests.helpers.examples import examples

sizes = st.tuples(st.integers(12, 160), st.integers(10, 40))
points = st.tuples(st.floats(-50, 450), st.floats(-50, 350))


@examples(40)
@given(st.lists(st.tuples(sizes, points), min_size=1, max_size=25))
def test_labels_never_overlap_nor_leave_the_picture(wanted):
    board = LabelBoard(400, 300, [np.array([[0.0, 0.0], [400, 300]])], 5)
    for size, near in wanted:
        board.place(size, near)
    for spot in board.taken:
        left, top, right, bottom = spot.bounds
        assert 0 <= left < right <= 400
        assert 0 <= top < bottom <= 300
    assert not any(a.overlaps(b) for a, b in combinations(board.taken, 2))


def test_a_label_without_room_is_left_out():
    board = LabelBoard(100, 50, [], 3)
    assert board.place((96, 46), (50, 25)) is not None
    assert board.place((20, 12), (50, 25)) is None


def test_a_label_keeps_off_lines_where_there_is_room():
    line = np.array([[0.0, 100.0], [400, 100]])
    spot = LabelBoard(400, 300, [line], 5).place((60, 20), (200, 100))
    assert spot is not None
    assert not spot.overlaps(Spot(0, 97, 400, 6))
