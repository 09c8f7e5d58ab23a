"""What the card and the corner tiles tell: where their edges between ink and paper pass in the photo, and the card's
dots lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray
from calib.estimate.parameters import CAMERA_COUNT, CURL, INDEX, NAMES, PAPER, SCALE, shift_of
from calib.estimate.whitening import Together
from calib.printed import CARD, CARD_SQUARE, CARD_TAG, CORNER_TAGS, CORNER_TILE, CORNER_TILE_SQUARE
from calib.prints.card_dots import CardDots
from calib.prints.edge_shift import EdgeShift
from calib.prints.tags import TagSquare

OWN_LINES, LINES_ALIKE = 10.0, 20.0
"""Degrees of freedom of a tag's own scatter of its lines, and those that the photo's other tags are worth."""
DOT_LINE = 100
"""Number of a tag's first line that is none of its cells'."""
_SCALE = slice(INDEX[SCALE[0]], INDEX[SCALE[1]] + 1)
_CURL = slice(INDEX[CURL[0]], INDEX[CURL[-1]] + 1)


@dataclass(frozen=True, eq=False)
class TagObservations:
    """Edge points of all known tags in one array, tag after tag and line after line; a dot counts as two points.

    places (n, 2): where on its tag's black square, in sides; points (n, 2) px; normals (n, 2) towards the light; spread
    (n,) px of a point alone; line_spread (n,) px of its whole line; edge (n,): 1 where light spills over it, 0 for a
    dot; start (t,): where each tag's own begin.
    """

    tags: tuple[int, ...]
    places: FloatArray
    points: FloatArray
    normals: FloatArray
    spread: FloatArray
    line_spread: FloatArray
    edge: FloatArray
    lines: NDArray[np.intp]
    start: NDArray[np.intp]

    @classmethod
    def of(cls, squares: Sequence[TagSquare], shift: EdgeShift, widening: FloatArray) -> TagObservations:
        """The squares' edges; widening (t,) multiplies each square's uncertainty."""
        parts = [_points_of(square, shift, wider) for square, wider in zip(squares, widening, strict=True)]
        columns = (np.concatenate(p) for p in zip(*parts, strict=True))
        places, points, normals, spread, line_spread, edge, line = columns
        count = np.array([len(p[0]) for p in parts])
        start = np.cumsum(count) - count
        of_tag = np.repeat(np.arange(len(parts)), count)
        new_line = np.flatnonzero(np.diff(of_tag * 1000 + line, prepend=-1))
        numbers = tuple(square.tag for square in squares)
        return cls(numbers, places, points, normals, spread, line_spread, edge, new_line, start)

    def linearised(self, camera: Camera, vector: FloatArray) -> FloatArray:
        """Jacobian and, as the last column, residuals: (n, p + 1), whitened."""
        seen = camera.projection(*self._world(vector))
        weighted = -self.normals / self.spread[:, None]
        by_place = np.einsum("ni,nij->nj", weighted, seen.by_place)
        by_height = np.sum(weighted * seen.by_height, axis=1)
        rows = np.zeros((len(self.points), len(NAMES) + 1))
        rows[:, :CAMERA_COUNT] = np.einsum("ni,nij->nj", weighted, seen.by_camera)
        for tag, own in self._each:
            self._print_jacobian(tag, vector, self.places[own], by_place[own], rows[own])
            rows[own, INDEX[shift_of(tag)]] = self.edge[own] / self.spread[own]
            if tag == CARD_TAG:
                rows[own, INDEX["card height"]] = by_height[own]
                rows[own, _CURL] = by_height[own, None] * _curled(self.places[own])
        shifts = np.concatenate([np.full(own.stop - own.start, vector[INDEX[shift_of(t)]]) for t, own in self._each])
        rows[:, -1] = np.sum((seen.pixels - self.points) * weighted, axis=1) + self.edge * shifts / self.spread
        return self._together.whitened(rows)

    def smooth_fields(self) -> list[tuple[slice, FloatArray]]:
        """Each tag's rows with an orthonormal basis (n, k) of what smooth errors do to its whitened residuals.

        Third-degree polynomials over the tag, of both directions, and an edge shift that differs from end to end.
        """
        u, v = (2 * self.places - 1).T
        powers = np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v, u**3, u * u * v, u * v * v, v**3])
        fields = [powers * self.normals[:, :1], powers * self.normals[:, 1:], powers[:, 1:3]]
        rows = self._together.whitened(np.hstack(fields) / self.spread[:, None])
        return [(own, np.linalg.qr(rows[own])[0]) for _, own in self._each]

    @cached_property
    def _together(self) -> Together:
        return Together(self.line_spread / self.spread, self.lines)

    @cached_property
    def _each(self) -> tuple[tuple[int, slice], ...]:
        ends = [*self.start[1:], len(self.points)]
        return tuple((t, slice(int(a), int(b))) for t, a, b in zip(self.tags, self.start, ends, strict=True))

    def _world(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Places (n, 2) and heights (n,) of all points, mm."""
        world, height = np.empty_like(self.places), np.full(len(self.places), PAPER)
        for tag, own in self._each:
            turn = vector[INDEX[_turn_of(tag)]]
            scaled, place = _print(tag, vector, self.places[own])
            world[own] = _turned(scaled, turn) + place
            if tag == CARD_TAG:
                height[own] = vector[INDEX["card height"]] + _curled(self.places[own]) @ vector[_CURL]
        return world, height

    def _print_jacobian(
        self, tag: int, vector: FloatArray, places: FloatArray, by_place: FloatArray, into: FloatArray
    ) -> None:
        """Fill the columns of the print's own parameters by the chain rule."""
        prefix = "card" if tag == CARD_TAG else f"tile {tag}"
        turn, scale = vector[INDEX[_turn_of(tag)]], vector[_SCALE]
        scaled = _print(tag, vector, places)[0]
        c, s = np.cos(turn), np.sin(turn)
        into[:, INDEX[f"{prefix} x"] : INDEX[f"{prefix} x"] + 2] = by_place
        quarter = scaled @ np.array([[-s, c], [-c, -s]])
        into[:, INDEX[_turn_of(tag)]] = np.sum(by_place * quarter, axis=1)
        for axis, direction in enumerate(((c, s), (-s, c))):
            into[:, _SCALE.start + axis] = scaled[:, axis] / scale[axis] * (by_place @ direction)
        if tag != CARD_TAG:
            into[:, INDEX["parcel width"]] = by_place[:, 0] * (tag in CORNER_TAGS[1:3])
            into[:, INDEX["parcel depth"]] = by_place[:, 1] * (tag in CORNER_TAGS[2:4])


def corners_of(tag: int, vector: FloatArray) -> FloatArray:
    """Corners (4, 2) in mm of a known tag's square."""
    scaled, place = _print(tag, vector, np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]]))
    return _turned(scaled, vector[INDEX[_turn_of(tag)]]) + place


def _points_of(square: TagSquare, shift: EdgeShift, wider: float) -> list[NDArray[np.generic]]:
    """A square's places, points, normals, spreads alone and by line, edges, and lines: of its edges, then its dots."""
    edges = _edges_of(square, shift, wider)
    if square.dots is None:
        return edges
    return [np.concatenate(both) for both in zip(edges, _dots_of(square.dots, wider), strict=True)]


def _edges_of(square: TagSquare, shift: EdgeShift, wider: float) -> list[NDArray[np.generic]]:
    """Its cells' edges; its four sides where no cells were seen."""
    cells = square.cells
    if cells is not None:
        order = np.argsort(cells.line, kind="stable")
        alone = np.full(len(order), cells.scatter * wider)
        common = (OWN_LINES * cells.line_scatter**2 + LINES_ALIKE * shift.line**2) / (OWN_LINES + LINES_ALIKE)
        line = np.full(len(order), np.sqrt(common) * wider)
        every = np.ones(len(order))
        return [cells.places[order], cells.points[order], cells.normals[order], alone, line, every, cells.line[order]]
    corners = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    ends = np.roll(corners, -1, axis=0)
    places = (corners[:, None] + square.along[None, :, None] * (ends - corners)[:, None]).reshape(-1, 2)
    count = len(square.along)
    normals = np.repeat(square.normals, count, axis=0)
    spread, line = square.spread.ravel() * wider, np.full(4 * count, shift.line * wider)
    lines = np.repeat(np.arange(4), count)
    return [places, square.points.reshape(-1, 2), normals, spread, line, np.ones(4 * count), lines]


def _dots_of(dots: CardDots, wider: float) -> list[NDArray[np.generic]]:
    """A part's dots' x as one line, and their y: what they have in common moves all of them."""
    order = np.argsort(dots.part, kind="stable")
    count, square = len(order), CARD_SQUARE
    places = np.tile((dots.places[order] - (square.x, square.y)) / (square.width, square.height), (2, 1))
    normals = np.repeat(np.eye(2), count, axis=0)
    alone, together = (np.full(2 * count, u * wider) for u in (dots.scatter, dots.together))
    lines = DOT_LINE + np.concatenate([2 * dots.part[order], 2 * dots.part[order] + 1])
    return [places, np.tile(dots.points[order], (2, 1)), normals, alone, together, np.zeros(2 * count), lines]


def _turn_of(tag: int) -> str:
    return "card turn" if tag == CARD_TAG else f"tile {tag} turn"


def _print(tag: int, vector: FloatArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Places on the print as it came out, from the point that it turns about, mm; and that point's place."""
    scale = vector[_SCALE]
    if tag == CARD_TAG:
        return _on(CARD_SQUARE.corners, places) * scale, vector[INDEX["card x"] : INDEX["card x"] + 2]
    right, bottom = tag in CORNER_TAGS[1:3], tag in CORNER_TAGS[2:4]
    anchor = np.array([CORNER_TILE.width * right, CORNER_TILE.height * bottom])
    size = vector[INDEX["parcel width"] : INDEX["parcel width"] + 2] * (right, bottom)
    place = size + vector[INDEX[f"tile {tag} x"] : INDEX[f"tile {tag} x"] + 2]
    return (_on(CORNER_TILE_SQUARE.corners, places) - anchor) * scale, place


def _on(corners: FloatArray, places: FloatArray) -> FloatArray:
    """Places in sides of a square, in mm."""
    return np.asarray(corners[0] + places * (corners[2] - corners[0]))


def _curled(places: FloatArray) -> FloatArray:
    """(n, 3): height at places on the card's square for each of CURL's parameters at 1 mm."""
    away = (_on(CARD_SQUARE.corners, places) - (CARD.width / 2, CARD.height / 2)) / (CARD.width / 2, CARD.height / 2)
    return np.column_stack([away**2, away[:, 0] * away[:, 1]])


def _turned(points: FloatArray, turn: float) -> FloatArray:
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))
