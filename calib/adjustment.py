"""The residuals of the joint estimate and their derivatives.

Uncertainty budget, as standard uncertainties: print scale (printed_line over the lines' lengths), card height
(thickness, flatness), tiles against the parcel's corners (tile), the parcel's size (parcel), edge points (their scatter
and EDGE_FLOOR), edge shift, focal length (FOCAL_*), optical centre (CENTRE_*), radial lens (K1_SPREAD, K2_SPREAD).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.edge_shift import EdgeShift
from calib.edges import FloatArray
from calib.printed import CARD_SQUARE, CARD_TAG, CORNER_TAGS, CORNER_TILE, CORNER_TILE_SQUARE
from calib.staging import TYPICAL_FOCAL, Lens, Staging
from calib.tags import TagSquare

EDGE_FLOOR = 0.03
"""Standard uncertainty that averaging along one edge does not remove, px (residuals of rendered tags)."""
FOCAL_KNOWN, FOCAL_UNKNOWN = 0.025, 0.25
"""Relative: EXIF's whole millimetres of 35 mm equivalent, and the spread of phones' main cameras about 26 mm."""
CENTRE_WHOLE, CENTRE_CROPPED = 0.004, 0.08
"""Optical centre against the picture's centre, in diagonals."""
PAPER = 0.1
"""Thickness of a printed sheet, mm (80 g/m2 office paper, common practice, no source)."""
ANISOTROPY = 0.002
"""A printer's scale along and up may differ by this where only one was measured (common practice, no source)."""
FREE = 1e4
"""Prior spread, mm or rad, of what nothing is known about."""
TINY = 1e-5
"""Smallest prior spread: a prior of 0 in the challenge means exact."""

SHARED = (
    "shift", "scale along", "scale up", "parcel width", "parcel depth",
    *(f"tile {i} {axis}" for i in CORNER_TAGS for axis in ("x", "y", "turn")),
)  # fmt: skip
CARD = ("card x", "card y", "card turn", "card height")
NAMES = (*CAMERA_PARAMETERS, *SHARED, *CARD)
INDEX = {name: i for i, name in enumerate(NAMES)}
_CAMERA = len(CAMERA_PARAMETERS)


@dataclass(frozen=True, eq=False)
class StraightLine:
    """Points (n, 2) px on one straight line `height` mm above the plane, each with a standard uncertainty (n,) px.

    parcel_side 0 to 3 (top, right, bottom, left) says that the line is that side of the parcel itself.
    """

    points: FloatArray
    spread: FloatArray
    height: float = 0.0
    parcel_side: int | None = None


@dataclass(frozen=True, eq=False)
class Adjustment:
    """All observations of one photo and all priors, as one least-squares problem over the parameters NAMES."""

    tags: Sequence[TagSquare]
    shift: EdgeShift
    size: tuple[int, int]
    staging: Staging
    lens: Lens
    lines: Sequence[StraightLine]

    @cached_property
    def known_tags(self) -> tuple[TagSquare, ...]:
        """The card and the corner tiles."""
        return tuple(t for t in self.tags if t.tag == CARD_TAG or t.tag in CORNER_TAGS)

    @property
    def tied(self) -> bool:
        """Whether something ties the frame to the parcel."""
        return any(t.tag in CORNER_TAGS for t in self.tags) or any(i.parcel_side is not None for i in self.lines)

    def camera(self, vector: FloatArray) -> Camera:
        """The camera that a parameter vector describes."""
        return Camera(vector[:_CAMERA], self.size)

    @cached_property
    def prior(self) -> tuple[FloatArray, FloatArray]:
        """Expected value and spread of every parameter, in the order of NAMES."""
        known, priors, diagonal = self.staging, self.staging.priors, float(np.hypot(*self.size))
        sure = self.lens.focal is not None and self.lens.whole
        centre = self.lens.centre_spread or diagonal * (CENTRE_WHOLE if self.lens.whole else CENTRE_CROPPED)
        focal = self.lens.focal_spread or (FOCAL_KNOWN if sure else FOCAL_UNKNOWN)
        camera = [(0.0, FREE)] * 6 + [
            (float(np.log(self.lens.focal or TYPICAL_FOCAL * diagonal)), focal),
            ((self.size[0] - 1) / 2 + self.lens.centre[0], centre),
            ((self.size[1] - 1) / 2 + self.lens.centre[1], centre),
            *zip(self.lens.radial, self.lens.radial_spread, strict=True),
        ]
        tile = [(0.0, priors.tile), (0.0, priors.tile), (0.0, priors.tile / CORNER_TILE.width)] * len(CORNER_TAGS)
        shared = [
            (self.shift.value, self.shift.u), *_print_scale(known),
            (known.width, priors.parcel), (known.depth, priors.parcel), *tile,
        ]  # fmt: skip
        place = FREE if self.tied else 0.0
        expected, spread = np.array([*camera, *shared, *[(0.0, place)] * 3, _card_height(known)]).T
        return expected, np.maximum(spread, TINY)

    def linearised(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Jacobian (m, p) and residuals (m,), each residual over its own standard uncertainty; priors come last."""
        expected, spread = self.prior
        tag_jacobian, tag_residuals = self._tags(vector)
        line_jacobian, line_residuals = self._lines(vector)
        jacobian = np.vstack([tag_jacobian, line_jacobian, np.diag(1 / spread)])
        return jacobian, np.concatenate([tag_residuals, line_residuals, (vector - expected) / spread])

    def misfits(self, seen: FloatArray) -> tuple[dict[int, float], tuple[float, ...]]:
        """Root mean square residual of every tag and every line."""
        counts = [t.points.shape[0] * t.points.shape[1] for t in self.known_tags] + [len(i.points) for i in self.lines]
        parts = [float(np.sqrt(np.mean(p**2))) for p in np.split(seen, np.cumsum(counts)[:-1])]
        tags = {t.tag: p for t, p in zip(self.known_tags, parts, strict=False)}
        return tags, tuple(parts[len(tags) :])

    def tag_corners(self, tag: int, vector: FloatArray) -> FloatArray:
        """Corners (4, 2) in mm of a known tag's square."""
        turn = vector[INDEX["card turn" if tag == CARD_TAG else f"tile {tag} turn"]]
        scaled, place = self._print(tag, vector)
        return _turned(scaled, turn) + place

    def _print(self, tag: int, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The print's scaled corners about the point that it turns about, and that point's place."""
        scale = vector[INDEX["scale along"] : INDEX["scale along"] + 2]
        if tag == CARD_TAG:
            return CARD_SQUARE.corners * scale, vector[INDEX["card x"] : INDEX["card x"] + 2]
        right, bottom = tag in CORNER_TAGS[1:3], tag in CORNER_TAGS[2:4]
        anchor = np.array([CORNER_TILE.width * right, CORNER_TILE.height * bottom])
        size = vector[INDEX["parcel width"] : INDEX["parcel width"] + 2] * (right, bottom)
        return (CORNER_TILE_SQUARE.corners - anchor) * scale, size + vector[
            INDEX[f"tile {tag} x"] : INDEX[f"tile {tag} x"] + 2
        ]

    def _tags(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Distances along the edges' normals between seen and projected points."""
        tags, camera = self.known_tags, self.camera(vector)
        world = np.concatenate([_along(self.tag_corners(t.tag, vector), t.along) for t in tags])
        points = np.concatenate([t.points.reshape(-1, 2) for t in tags])
        normals = np.concatenate([np.repeat(t.normals, len(t.along), axis=0) for t in tags])
        spread = np.concatenate([np.hypot(t.spread, EDGE_FLOOR * np.sqrt(len(t.along))).ravel() for t in tags])
        on_card = np.concatenate([np.full(t.spread.size, t.tag == CARD_TAG) for t in tags])
        height = np.where(on_card, vector[INDEX["card height"]], PAPER)
        weighted = normals / spread[:, None]

        def shown(camera: Camera, world: FloatArray = world, height: FloatArray = height) -> FloatArray:
            return np.asarray(-np.sum(camera.project(world, height) * weighted, axis=1))

        base = shown(camera)
        jacobian = np.zeros((len(points), len(NAMES)))
        for i, step in enumerate(_steps(camera)):
            jacobian[:, i] = (shown(self.camera(_nudged(vector, i, step))) - base) / step
        by_place = np.column_stack([(shown(camera, world + 0.01 * axis) - base) / 0.01 for axis in np.eye(2)])
        jacobian[:, INDEX["card height"]] = (shown(camera, world, height + 0.01 * on_card) - base) / 0.01
        jacobian[:, INDEX["shift"]] = 1 / spread
        at = 0
        for tag in tags:
            rows = slice(at, at + tag.spread.size)
            self._print_jacobian(tag, vector, by_place[rows], jacobian[rows])
            at += tag.spread.size
        return jacobian, base + np.sum(points * weighted, axis=1) + vector[INDEX["shift"]] / spread

    def _print_jacobian(self, tag: TagSquare, vector: FloatArray, by_place: FloatArray, into: FloatArray) -> None:
        """Fill the columns of the print's own parameters by the chain rule."""
        prefix = "card" if tag.tag == CARD_TAG else f"tile {tag.tag}"
        turn, scale = vector[INDEX[f"{prefix} turn"]], vector[INDEX["scale along"] : INDEX["scale along"] + 2]
        scaled = _along(self._print(tag.tag, vector)[0], tag.along)
        c, s = np.cos(turn), np.sin(turn)
        into[:, INDEX[f"{prefix} x"] : INDEX[f"{prefix} x"] + 2] = by_place
        quarter = scaled @ np.array([[-s, c], [-c, -s]])
        into[:, INDEX[f"{prefix} turn"]] = np.sum(by_place * quarter, axis=1)
        for axis, direction in enumerate(((c, s), (-s, c))):
            into[:, INDEX["scale along"] + axis] = scaled[:, axis] / scale[axis] * (by_place @ direction)
        if tag.tag != CARD_TAG:
            into[:, INDEX["parcel width"]] = by_place[:, 0] * (tag.tag in CORNER_TAGS[1:3])
            into[:, INDEX["parcel depth"]] = by_place[:, 1] * (tag.tag in CORNER_TAGS[2:4])

    def _lines(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Distances from the parcel's sides, or from each line's own best fit, turned into px."""
        if not self.lines:
            return np.zeros((0, len(NAMES))), np.zeros(0)
        camera, together = self.camera(vector), self._together
        places = camera.locate(together.points, together.height)
        to_px = 1 / (_scales(camera, places, together.start, together.count) * together.spread)
        base = together.distances(places, vector)
        jacobian = np.zeros((len(base), len(NAMES)))
        for i, step in enumerate(_steps(camera)):
            moved = self.camera(_nudged(vector, i, step)).locate(together.points, together.height)
            jacobian[:, i] = (together.distances(moved, vector) - base) / step
        jacobian[:, INDEX["parcel width"]] = -1.0 * (together.side == 1)
        jacobian[:, INDEX["parcel depth"]] = -1.0 * (together.side == 2)
        return jacobian * to_px[:, None], base * to_px

    @cached_property
    def _together(self) -> _Lines:
        return _Lines.of(self.lines)


@dataclass(frozen=True, eq=False)
class _Lines:
    """All lines' points in one array; start and count say where each line's own lie; side is -1 for a free line."""

    points: FloatArray
    spread: FloatArray
    height: FloatArray
    side: NDArray[np.int64]
    start: NDArray[np.int64]
    count: NDArray[np.int64]

    @classmethod
    def of(cls, lines: Sequence[StraightLine]) -> _Lines:
        count = np.array([len(i.points) for i in lines])
        side = [-1 if i.parcel_side is None else i.parcel_side for i in lines]
        return cls(
            np.concatenate([i.points for i in lines]),
            np.concatenate([i.spread for i in lines]),
            np.repeat([i.height for i in lines], count),
            np.repeat(side, count),
            np.cumsum(count) - count,
            count,
        )

    def distances(self, places: FloatArray, vector: FloatArray) -> FloatArray:
        """Signed distances (n,) in mm of every point from its line."""
        x, y = places.T
        width, depth = vector[INDEX["parcel width"]], vector[INDEX["parcel depth"]]
        on_side = np.select([self.side == 0, self.side == 1, self.side == 2], [y, x - width, y - depth], x)
        return np.where(self.side < 0, self._off_best_fit(x, y), on_side)

    def _off_best_fit(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Distance from each line's weighted best fit: the direction of the largest second moment."""
        weight = 1 / self.spread**2
        total = self._sum(weight)
        dx, dy = x - self._sum(weight * x) / total, y - self._sum(weight * y) / total
        xx, yy, xy = self._sum(weight * dx * dx), self._sum(weight * dy * dy), self._sum(weight * dx * dy)
        angle = 0.5 * np.arctan2(2 * xy, xx - yy)
        return np.asarray(dy * np.cos(angle) - dx * np.sin(angle))

    def _sum(self, values: FloatArray) -> FloatArray:
        """Every line's sum, repeated for each of its points."""
        return np.repeat(np.add.reduceat(values, self.start), self.count)


def _scales(camera: Camera, places: FloatArray, start: NDArray[np.int64], count: NDArray[np.int64]) -> FloatArray:
    """Millimetres per pixel at each line's middle, repeated for each of its points."""
    middles = np.stack([np.add.reduceat(places[:, i], start) / count for i in (0, 1)], axis=1)
    shown = [camera.project(middles + offset) for offset in np.array([[5.0, 0], [-5, 0], [0, 5], [0, -5]])]
    length = np.linalg.norm(shown[0] - shown[1], axis=1) + np.linalg.norm(shown[2] - shown[3], axis=1)
    return np.repeat(20 / length, count)


def _steps(camera: Camera) -> tuple[float, ...]:
    """Steps for the derivatives with respect to CAMERA_PARAMETERS."""
    far = max(1.0, abs(float(camera.vector[5])))
    return (1e-6,) * 3 + (1e-6 * far,) * 3 + (1e-6, 1e-3, 1e-3, 1e-6, 1e-6)


def _nudged(vector: FloatArray, i: int, step: float) -> FloatArray:
    moved = vector.copy()
    moved[i] += step
    return moved


def _print_scale(staging: Staging) -> list[tuple[float, float]]:
    """Scale of the print along and up, and its uncertainty: the check line's reading over its nominal length."""
    along, up = staging.printed_line
    u = staging.priors.printed_line
    unread = float(np.hypot(u / 100.0, ANISOTROPY if u > 0 else 0.0))
    return [
        (along / 100.0, u / 100.0) if along else (1.0, unread),
        (up / 80.0, u / 80.0) if up else ((along or 100.0) / 100.0, unread),
    ]


def _card_height(known: Staging) -> tuple[float, float]:
    if known.surface == "table":
        return PAPER - (known.thickness or 0.0), float(np.hypot(known.priors.thickness, known.priors.flatness))
    return PAPER, known.priors.flatness


def _along(corners: FloatArray, along: FloatArray) -> FloatArray:
    """Points (4 n, 2) at fractions along (n,) of the four sides."""
    ends = np.roll(corners, -1, axis=0)
    return np.asarray((corners[:, None] + along[None, :, None] * (ends - corners)[:, None]).reshape(-1, 2))


def _turned(points: FloatArray, turn: float) -> FloatArray:
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))
