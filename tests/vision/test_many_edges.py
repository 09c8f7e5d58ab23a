"""A patterned cloth has thousands of edges and strips: what rules most of them out at once rules out nothing more."""

from __future__ import annotations

import itertools

import numpy as np
from shapely import Polygon, box

from calib.edges import FloatArray
from vision.find import arrangement, strips
from vision.find.strips import Edge, Strip
from vision.find.tape_mask import TapeMask


class _AllTape:
    """A mask that is tape wherever it is asked."""

    def read(self, places: FloatArray) -> FloatArray:
        return np.ones(places.shape[:-1])

    def read_ground(self, places: FloatArray) -> FloatArray:
        return np.zeros(places.shape[:-1])


_TAPE: TapeMask = _AllTape()  # type: ignore[assignment]


def _turned(angle: float) -> FloatArray:
    return np.array([np.cos(angle), np.sin(angle)])


def _edges(seed: int) -> list[Edge]:
    """Edges of a check of 12 mm, each a little off it, some short."""
    random = np.random.default_rng(seed)
    made = []
    for _ in range(160):
        angle = random.integers(4) * np.pi / 2 + random.normal(0, 0.04)
        start = random.integers(0, 6, 2) * 12.0 + random.normal(0, 0.5, 2)
        end = start + random.uniform(6, 40) * _turned(angle)
        made.append(Edge(start, end, _turned(angle + np.pi / 2)))
    return made


def test_every_pair_of_edges_that_may_be_a_strip_is_looked_at() -> None:
    for seed in range(3):
        edges = _edges(seed)
        facing = np.array(
            [(i, j) for i, j in itertools.combinations(range(len(edges)), 2) if edges[i].inwards @ edges[j].inwards < 0]
        )
        kept = strips._may_pair(edges, facing)
        pairs = np.array([strips._pair(edges[i], edges[j], _TAPE) is not None for i, j in facing])
        assert pairs.any()
        assert not (pairs & ~kept).any()
        assert kept.sum() == pairs.sum()


def test_every_strip_that_may_run_on_another_is_looked_at() -> None:
    random = np.random.default_rng(4)
    rows = [
        Strip(12.0 * random.integers(0, 6, 2) + random.normal(0, 0.8, 2), _turned(angle), 0.0, length)
        for angle, length in zip(random.normal(0, 0.06, 150), random.uniform(6, 60, 150), strict=True)
    ]
    places = np.array([strips._place(strip) for strip in rows])
    joined = looked_at = 0
    for strip in rows:
        near = set(strips._near_line(places, strip, 9.0, 15.0))
        would = {
            i
            for i, other in enumerate(rows)
            if other.length >= strip.length and strips._joined(other, strip, 9.0, _TAPE, 15.0, False) is not None
        }
        assert would <= near
        joined, looked_at = joined + len(would), looked_at + len(near)
    assert len(rows) < joined <= looked_at < len(rows) ** 2 / 4


def test_outlines_that_lie_side_by_side_and_do_not_meet_are_not_joined() -> None:
    """On a nearly colourless photo two that lay 0.3 mm apart ended the program."""
    apart = box(0, 0, 60, 60).union(box(60.3, 0, 120, 60))
    assert not isinstance(apart, Polygon)
    assert arrangement._candidate(apart, 9.0, _TAPE) is None
