"""What straight lines tell: tape laid straight and the board's edges, which the lens must keep straight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray
from calib.estimate.parameters import CAMERA_COUNT, INDEX, NAMES
from calib.estimate.whitening import Together


@dataclass(frozen=True, eq=False)
class StraightLine:
    """Points (n, 2) px on one straight line `height` mm above the plane, each with a standard uncertainty (n,) px.

    parcel_side 0 to 3 (top, right, bottom, left) says that the line is that side of the parcel itself.  Other lines
    were laid by hand: they may be bowed, by as much as all of them together show.
    """

    points: FloatArray
    spread: FloatArray
    height: float = 0.0
    parcel_side: int | None = None


@dataclass(frozen=True, eq=False)
class LineObservations:
    """All lines' points in one array; start and count say where each line's own lie; side is -1 for a free line.

    widening (n,) multiplies the points' spread; bow, mm, is the standard deviation of how far a hand-laid line's middle
    lies off its ends' connection.
    """

    points: FloatArray
    spread: FloatArray
    height: FloatArray
    side: NDArray[np.intp]
    start: NDArray[np.intp]
    count: NDArray[np.intp]
    bow: float

    @classmethod
    def of(cls, lines: Sequence[StraightLine], widening: FloatArray, bow: float) -> LineObservations:
        """The lines, each one's uncertainty multiplied by its own of widening (l,)."""
        count = np.array([len(i.points) for i in lines])
        side = [-1 if i.parcel_side is None else i.parcel_side for i in lines]
        return cls(
            np.concatenate([i.points for i in lines]),
            np.concatenate([i.spread for i in lines]) * np.repeat(widening, count),
            np.repeat([i.height for i in lines], count),
            np.repeat(side, count),
            np.cumsum(count) - count,
            count,
            bow,
        )

    def linearised(self, camera: Camera, vector: FloatArray) -> FloatArray:
        """Jacobian and, as the last column, residuals: (n, p + 1), whitened.

        Distances in the photo from the parcel's sides, or from each line's own best fit, over the points' spread.
        """
        places = camera.locate(self.points, self.height)
        away, normal = self._from_line(places, vector)
        # At the feet, which lie on the line: what moves a line as a whole must not move its points' residuals.
        foot = places - away[:, None] * normal
        seen = camera.projection(foot, self.height)
        across = _across(seen.by_place, normal)
        rows = np.zeros((len(away), len(NAMES) + 1))
        moved = -np.einsum("ni,nij->nj", across, seen.by_camera)
        per_mm = np.einsum("ni,nij,nj->n", across, seen.by_place, normal)
        rows[:, :CAMERA_COUNT] = self._off_own_line(moved / per_mm[:, None], foot, normal) * per_mm[:, None]
        for side, name, axis in ((1, "parcel width", 0), (2, "parcel depth", 1)):
            rows[:, INDEX[name]] = np.where(self.side == side, -np.sum(across * seen.by_place[:, :, axis], axis=1), 0.0)
        rows[:, -1] = np.sum((self.points - seen.pixels) * across, axis=1)
        return self._bowed(camera).whitened(rows / self.spread[:, None])

    def bows(self, camera: Camera, vector: FloatArray, effect: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Every line's bow as its points alone show it, mm, NaN where it is no free line; that figure's variance; and
        the share of its variance that the fit has taken: each (l,).  effect (n, k): of independent unit sources of the
        fit on the whitened residuals.
        """
        shape, seen = self._arch_px(camera) / self.spread, self.distances(camera, vector) / self.spread
        size = np.maximum(np.add.reduceat(shape**2, self.start), 1e-12)
        free = (self.side[self.start] < 0) & (size > 1e-9)
        found = np.add.reduceat(shape * seen, self.start) / size
        taken = np.sum(np.add.reduceat(effect * shape[:, None], self.start, axis=0) ** 2, axis=1) / size
        return np.where(free, found, np.nan), 1 / size, taken

    def distances(self, camera: Camera, vector: FloatArray) -> FloatArray:
        """Signed distances (n,) in px of every point from its line as the camera shows it.

        They are taken in the photo, where points were seen: millimetres would shrink with every line that a wrong
        camera puts farther away, and so draw the estimate there.
        """
        places = camera.locate(self.points, self.height)
        away, normal = self._from_line(places, vector)
        seen = camera.projection(places - away[:, None] * normal, self.height)
        return np.asarray(np.sum((self.points - seen.pixels) * _across(seen.by_place, normal), axis=1))

    def _off_own_line(self, moved: FloatArray, places: FloatArray, normal: FloatArray) -> FloatArray:
        """What of movements (n, k) across their lines, mm, a free line does not follow by shifting and turning."""
        weight = 1 / self.spread**2
        t = places[:, 0] * normal[:, 1] - places[:, 1] * normal[:, 0]
        t = t - self._sum(weight * t) / self._sum(weight)
        mean = self._sum(weight[:, None] * moved) / self._sum(weight)[:, None]
        turn = self._sum((weight * t)[:, None] * moved) / np.maximum(self._sum(weight * t * t), 1e-12)[:, None]
        return np.where(self.side[:, None] < 0, moved - mean - turn * t[:, None], moved)

    def _from_line(self, places: FloatArray, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Signed distances (n,) of places from their lines, mm, and the lines' unit normals (n, 2)."""
        x, y = places.T
        width, depth = vector[INDEX["parcel width"]], vector[INDEX["parcel depth"]]
        on_side = np.select([self.side == 0, self.side == 1, self.side == 2], [y, x - width, y - depth], x)
        free, angle = self._off_best_fit(x, y)
        upright = (self.side == 1) | (self.side == 3)
        angle = np.where(self.side < 0, angle, np.where(upright, -np.pi / 2, 0.0))
        normal = np.column_stack([-np.sin(angle), np.cos(angle)])
        return np.where(self.side < 0, free, on_side), normal

    def _bowed(self, camera: Camera) -> Together:
        arch = self._arch_px(camera) / self.spread
        return Together(np.where(self.side < 0, self.bow * arch, 0.0), self.start)

    def _arch_px(self, camera: Camera) -> FloatArray:
        """What a bow of 1 mm does to every point, px."""
        places = camera.locate(self.points, self.height)
        return np.asarray(self._arch / self._scales(camera, places))

    @cached_property
    def _arch(self) -> FloatArray:
        """A parabola (n,) of height 1 along every line, less its own best straight line."""
        weight = 1 / self.spread**2
        first, last = self.points[self.start], self.points[self.start + self.count - 1]
        length2 = np.maximum(np.sum((last - first) ** 2, axis=1), 1e-12)
        way, start = (np.repeat(of, self.count, axis=0) for of in (last - first, first))
        along = np.sum((self.points - start) * way, axis=1)
        t = 2 * along / np.repeat(length2, self.count) - 1
        total = self._sum(weight)
        t = t - self._sum(weight * t) / total
        arch = -(t**2)
        arch = arch - self._sum(weight * arch) / total
        return np.asarray(arch - t * self._sum(weight * t * arch) / np.maximum(self._sum(weight * t * t), 1e-12))

    def _scales(self, camera: Camera, places: FloatArray) -> FloatArray:
        """Millimetres per pixel at each line's middle, repeated for each of its points."""
        middles = np.stack([np.add.reduceat(places[:, i], self.start) / self.count for i in (0, 1)], axis=1)
        shown = [camera.project(middles + offset) for offset in np.array([[5.0, 0], [-5, 0], [0, 5], [0, -5]])]
        length = np.linalg.norm(shown[0] - shown[1], axis=1) + np.linalg.norm(shown[2] - shown[3], axis=1)
        return np.repeat(20 / length, self.count)

    def _off_best_fit(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Distance from each line's weighted best fit, and its angle: the direction of the largest second moment."""
        weight = 1 / self.spread**2
        total = self._sum(weight)
        dx, dy = x - self._sum(weight * x) / total, y - self._sum(weight * y) / total
        xx, yy, xy = self._sum(weight * dx * dx), self._sum(weight * dy * dy), self._sum(weight * dx * dy)
        angle = 0.5 * np.arctan2(2 * xy, xx - yy)
        return np.asarray(dy * np.cos(angle) - dx * np.sin(angle)), angle

    def _sum(self, values: FloatArray) -> FloatArray:
        """Every line's sum, repeated for each of its points."""
        return np.repeat(np.add.reduceat(values, self.start, axis=0), self.count, axis=0)


def _across(by_place: FloatArray, normal: FloatArray) -> FloatArray:
    """Unit normals (n, 2) in the photo of lines with these normals (n, 2) on the plane."""
    along = np.einsum("nij,nj->ni", by_place, normal[:, ::-1] * (-1, 1))
    across = np.column_stack([-along[:, 1], along[:, 0]])
    sign = np.sign(np.einsum("ni,nij,nj->n", across, by_place, normal))
    return np.asarray(across * (sign / np.linalg.norm(across, axis=1))[:, None])
