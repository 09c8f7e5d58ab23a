"""One joint estimate of the camera, the lens and the plane of the parcel's top, with its covariance.

Everything that is known enters once, weighted by how well it is known: the black squares' edges of card and tiles, the
print's scale, the tiles' places, the parcel's size, the card's height, straight lines (tape, board edges), and what is
common to phone cameras.  The estimate is the weighted least-squares (maximum a posteriori) solution by Gauss-Newton; its
covariance is the inverse of the normal matrix (JCGM 102:2011, 6 and 7.4; Criminisi, Reid, Zisserman 1997 for the plane).

Uncertainty budget, as standard uncertainties: print scale (printed_line over the lines' lengths), card height
(thickness, flatness), tiles against the parcel's corners (tile), the parcel's size (parcel), edge points (their scatter
and EDGE_FLOOR), edge shift, focal length (FOCAL_*), optical centre (CENTRE_*), radial lens (K1_SPREAD, K2_SPREAD).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.edge_shift import EdgeShift
from calib.edges import FloatArray
from calib.printed import CARD_SQUARE, CARD_TAG, CORNER_TAGS, CORNER_TILE, CORNER_TILE_SQUARE
from calib.tags import TagSquare

EDGE_FLOOR = 0.03
"""Standard uncertainty that averaging along one edge does not remove, px (residuals of rendered tags)."""
FOCAL_KNOWN, FOCAL_UNKNOWN = 0.025, 0.25
"""Relative: EXIF's whole millimetres of 35 mm equivalent, and the spread of phones' main cameras about 26 mm."""
CENTRE_WHOLE, CENTRE_CROPPED = 0.004, 0.08
"""Optical centre against the picture's centre, in diagonals."""
K1_SPREAD, K2_SPREAD = 0.02, 0.005
"""Radial terms left by phones' own correction, in half diagonals (common practice, no source)."""
TYPICAL_FOCAL = 26 / np.hypot(36, 24)
"""Focal length over diagonal where nothing else is known."""
PAPER = 0.1
"""Thickness of a printed sheet, mm (80 g/m2 office paper, common practice, no source)."""
FREE = 1e4
"""Prior spread, mm or rad, of what nothing is known about."""
TINY = 1e-5
"""Smallest prior spread: a prior of 0 in the challenge means exact."""

SHARED = (
    "shift", "scale along", "scale up", "parcel width", "parcel depth",
    *(f"tile {i} {axis}" for i in CORNER_TAGS for axis in ("x", "y", "turn")),
)  # fmt: skip
CARD = ("card x", "card y", "card turn", "card height")
Surface = Literal["parcel", "table"]


@dataclass(frozen=True)
class Priors:
    """Standard uncertainties in mm, as in the challenge file."""

    printed_line: float = 0.15
    tile: float = 0.3
    parcel: float = 0.5
    thickness: float = 0.2
    flatness: float = 0.3


@dataclass(frozen=True)
class Staging:
    """What the challenge says about parcel and card: lengths in mm; printed_line is (along, up) as measured.

    along is the check line of nominally 100 mm, up that of 80 mm; None where it was not measured.
    """

    width: float
    depth: float
    thickness: float | None = None
    surface: Surface = "parcel"
    printed_line: tuple[float | None, float | None] = (None, None)
    priors: Priors = field(default_factory=Priors)


@dataclass(frozen=True)
class Lens:
    """What is known of the camera before looking: focal length in px or None, and whether the picture is whole.

    k1, k2 and their spread come from a lens profile where there is one.
    """

    focal: float | None = None
    whole: bool = True
    radial: tuple[float, float] = (0.0, 0.0)
    radial_spread: tuple[float, float] = (K1_SPREAD, K2_SPREAD)


@dataclass(frozen=True, eq=False)
class StraightLine:
    """Points (n, 2) px that lie on one straight line `height` above the plane, each with a standard uncertainty (n,) px.

    parcel_side 0 to 3 (top, right, bottom, left) says that the line is that side of the parcel itself.
    """

    points: FloatArray
    spread: FloatArray
    height: float = 0.0
    parcel_side: int | None = None


@dataclass(frozen=True, eq=False)
class Plane:
    """The estimate: camera, every parameter by name, and factor (p, k) with covariance = factor @ factor.T.

    sources names the k independent causes.  chi is the root of the weighted mean square of the residuals: about 1 where
    everything agrees.  frame is "parcel" where tiles or board edges tie it to the parcel, else "card".
    """

    camera: Camera
    names: tuple[str, ...]
    vector: FloatArray
    factor: FloatArray
    chi: float
    frame: Literal["parcel", "card"]
    tag_misfit: dict[int, float]

    def value(self, name: str) -> float:
        """One parameter."""
        return float(self.vector[self.names.index(name)])

    def spread(self, name: str) -> float:
        """One parameter's standard uncertainty."""
        return float(np.linalg.norm(self.factor[self.names.index(name)]))

    def locate(self, pixels: FloatArray, height: float = 0.0) -> tuple[FloatArray, FloatArray]:
        """Points (n, 2) in mm of pixels (n, 2), and their sensitivity (n, 2, k) to the plane's sources."""
        return self.spreads(lambda camera: camera.locate(pixels, height))

    def spreads(self, of: Callable[[Camera], FloatArray]) -> tuple[FloatArray, FloatArray]:
        """A value computed from the camera, any shape, and its sensitivity with one more axis (k)."""
        base = of(self.camera)
        rows = [self.names.index(name) for name in CAMERA_PARAMETERS]
        moved = [
            (of(self._moved(self.factor[rows, k])) - of(self._moved(-self.factor[rows, k]))) / 2
            for k in range(self.factor.shape[1])
        ]
        return base, np.stack(moved, axis=-1)

    def _moved(self, step: FloatArray) -> Camera:
        return replace(self.camera, vector=self.camera.vector + step)


def estimate_plane(
    tags: Sequence[TagSquare],
    shift: EdgeShift,
    size: tuple[int, int],
    staging: Staging,
    lens: Lens,
    lines: Sequence[StraightLine] = (),
    start: Plane | None = None,
) -> Plane:
    """Fit everything at once.

    tags must hold the card's; size is the photo's (width, height) in px.  lines may be given in a second call, with the
    first one's result as `start`.
    """
    problem = _Problem(tags, shift, size, staging, lens, lines)
    vector = problem.start(start)
    for _ in range(12):
        jacobian, residuals = problem.jacobian(vector)
        step = np.linalg.lstsq(jacobian, -residuals, rcond=None)[0]
        vector = vector + step
        if np.abs(jacobian @ step).max() < 1e-3:
            break
    jacobian, residuals = problem.jacobian(vector)
    return problem.result(vector, jacobian, residuals)


@dataclass(frozen=True, eq=False)
class _Problem:
    tags: Sequence[TagSquare]
    shift: EdgeShift
    size: tuple[int, int]
    staging: Staging
    lens: Lens
    lines: Sequence[StraightLine]

    @property
    def tied(self) -> bool:
        """Whether something ties the frame to the parcel."""
        return any(t.tag in CORNER_TAGS for t in self.tags) or any(i.parcel_side is not None for i in self.lines)

    @property
    def names(self) -> tuple[str, ...]:
        return (*CAMERA_PARAMETERS, *SHARED, *CARD)

    def prior(self) -> tuple[FloatArray, FloatArray]:
        """Expected value and spread of every parameter, in the order of names."""
        known, priors, diagonal = self.staging, self.staging.priors, float(np.hypot(*self.size))
        focal = self.lens.focal or TYPICAL_FOCAL * diagonal
        centre = diagonal * (CENTRE_WHOLE if self.lens.whole else CENTRE_CROPPED)
        spread_focal = FOCAL_KNOWN if self.lens.focal and self.lens.whole else FOCAL_UNKNOWN
        camera = [(0.0, FREE)] * 6 + [
            (float(np.log(focal)), spread_focal),
            ((self.size[0] - 1) / 2, centre),
            ((self.size[1] - 1) / 2, centre),
            *zip(self.lens.radial, self.lens.radial_spread, strict=True),
        ]
        tile = [(0.0, priors.tile), (0.0, priors.tile), (0.0, priors.tile / CORNER_TILE.width)] * len(CORNER_TAGS)
        shared = [
            (self.shift.value, self.shift.u), *_print_scale(known),
            (known.width, priors.parcel), (known.depth, priors.parcel), *tile,
        ]  # fmt: skip
        place = FREE if self.tied else 0.0
        card = [(0.0, place), (0.0, place), (0.0, place), self._card_height()]
        expected, spread = np.array([*camera, *shared, *card]).T
        return expected, np.maximum(spread, TINY)

    def _card_height(self) -> tuple[float, float]:
        known = self.staging
        if known.surface == "table":
            return PAPER - (known.thickness or 0.0), float(np.hypot(known.priors.thickness, known.priors.flatness))
        return PAPER, known.priors.flatness

    def start(self, earlier: Plane | None) -> FloatArray:
        """A first guess: from an earlier estimate, else from the tags' corners seen by the expected camera."""
        vector, _ = self.prior()
        if earlier is not None and (earlier.frame == "parcel") == self.tied:
            return earlier.vector.copy()
        tiles = {t.tag: t for t in self.tags}
        if not any(t in tiles for t in CORNER_TAGS):
            return self._start_from_card(vector, tiles[CARD_TAG])
        known = [t for t in self.tags if t.tag in CORNER_TAGS]
        world = np.concatenate([self._tile_corners(t.tag, vector) for t in known])
        vector[:6] = _pose(world, np.concatenate([t.corners for t in known]), self._camera(vector))
        if CARD_TAG in tiles:
            vector[-4:-1] = _rigid(CARD_SQUARE.corners, self._camera(vector).locate(tiles[CARD_TAG].corners, vector[-1]))
        return vector

    def _start_from_card(self, vector: FloatArray, card: TagSquare) -> FloatArray:
        vector[:6] = _pose(CARD_SQUARE.corners, card.corners, self._camera(vector), vector[-1])
        sides = {i.parcel_side: i for i in self.lines if i.parcel_side is not None}
        if not sides:
            return vector
        return self._turned_to_parcel(vector, sides)

    def _turned_to_parcel(self, vector: FloatArray, sides: dict[int | None, StraightLine]) -> FloatArray:
        """Move the world frame from the card's to the parcel's, as the found sides show it."""
        camera = self._camera(vector)
        ends = {k: camera.locate(line.points[[0, -1]]) for k, line in sides.items()}
        middle = np.mean([e.mean(axis=0) for e in ends.values()], axis=0)
        turns = []
        for k, e in ends.items():
            along = e[1] - e[0]
            turns.append(np.arctan2(along[1], along[0]) - (k or 0) * np.pi / 2)
        turn = float(np.angle(np.mean(np.exp(2j * np.array(turns)))) / 2)
        turn = turn if abs(turn) <= np.pi / 2 else turn - np.pi
        axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        local = {k: (e - middle) @ axes.T for k, e in ends.items()}
        low = np.array([-self.staging.width / 2, -self.staging.depth / 2])
        for k, e in local.items():
            axis = 1 if k in (0, 2) else 0
            size = 0.0 if k in (0, 3) else (self.staging.depth if axis else self.staging.width)
            low[axis] = e[:, axis].mean() - size
        origin = middle + low @ axes
        rotation = camera.rotation
        new = rotation @ np.block([[axes.T, np.zeros((2, 1))], [np.zeros((1, 2)), np.ones((1, 1))]])
        vector = vector.copy()
        vector[3:6] = vector[3:6] + rotation[:, :2] @ origin
        vector[:3] = cv2.Rodrigues(new)[0].ravel()
        vector[-4:-1] = [*(axes @ -origin), -turn]
        return vector

    def jacobian(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Residuals and their derivatives by forward differences, each residual in its own standard uncertainty."""
        expected, spread = self.prior()
        base = self._seen(vector)
        steps = np.minimum(1e-4, np.maximum(spread, 1e-6)) * np.maximum(1.0, np.abs(vector) * 1e-3)
        columns = []
        for i, step in enumerate(steps):
            moved = vector.copy()
            moved[i] += step
            columns.append((self._seen(moved) - base) / step)
        jacobian = np.vstack([np.column_stack(columns), np.diag(1 / spread)])
        return jacobian, np.concatenate([base, (vector - expected) / spread])

    def _seen(self, vector: FloatArray) -> FloatArray:
        camera = self._camera(vector)
        named = dict(zip(self.names, vector, strict=True))
        tags = [self._tag_residuals(tag, camera, vector, named) for tag in self.tags if self._is_known(tag)]
        return np.concatenate([*tags, *(self._line_residuals(line, camera, named) for line in self.lines)])

    def _is_known(self, tag: TagSquare) -> bool:
        return tag.tag == CARD_TAG or tag.tag in CORNER_TAGS

    def _tag_residuals(
        self, tag: TagSquare, camera: Camera, vector: FloatArray, named: dict[str, float]
    ) -> FloatArray:
        """Distances along the edges' normals between seen and projected points, over their uncertainty."""
        corners = self._card_corners(vector) if tag.tag == CARD_TAG else self._tile_corners(tag.tag, vector)
        ends = np.roll(corners, -1, axis=0)
        world = corners[:, None] + tag.along[None, :, None] * (ends - corners)[:, None]
        height = named["card height"] if tag.tag == CARD_TAG else PAPER
        shown = camera.project(world.reshape(-1, 2), height).reshape(tag.points.shape)
        distance = np.sum((tag.points - shown) * tag.normals[:, None], axis=2) + named["shift"]
        return np.asarray((distance / np.hypot(tag.spread, EDGE_FLOOR * np.sqrt(len(tag.along)))).ravel())

    def _line_residuals(self, line: StraightLine, camera: Camera, named: dict[str, float]) -> FloatArray:
        """Distances from the parcel's side, or from the line's own best fit, turned into px."""
        world = camera.locate(line.points, line.height)
        if line.parcel_side is None:
            distance = _off_line(world, line.spread)
        else:
            axis = 1 if line.parcel_side in (0, 2) else 0
            size = named["parcel depth"] if axis else named["parcel width"]
            distance = world[:, axis] - (0.0 if line.parcel_side in (0, 3) else size)
        return np.asarray(distance / camera.mm_per_px(world.mean(axis=0)) / line.spread)

    def _card_corners(self, vector: FloatArray) -> FloatArray:
        x, y, turn = vector[-4:-1]
        return _turned(CARD_SQUARE.corners * self._scale(vector), turn) + (x, y)

    def _tile_corners(self, tag: int, vector: FloatArray) -> FloatArray:
        """The tile's outer corner is flush with the parcel's; printing scales it about that corner."""
        i = CORNER_TAGS.index(tag)
        first = len(CAMERA_PARAMETERS) + SHARED.index(f"tile {tag} x")
        dx, dy, turn = vector[first : first + 3]
        width, depth = vector[len(CAMERA_PARAMETERS) + 3 : len(CAMERA_PARAMETERS) + 5]
        right, bottom = i in (1, 2), i in (2, 3)
        anchor = np.array([CORNER_TILE.width * right, CORNER_TILE.height * bottom])
        square = (CORNER_TILE_SQUARE.corners - anchor) * self._scale(vector)
        return _turned(square, turn) + (width * right + dx, depth * bottom + dy)

    def _scale(self, vector: FloatArray) -> FloatArray:
        return vector[len(CAMERA_PARAMETERS) + 1 : len(CAMERA_PARAMETERS) + 3]

    def _camera(self, vector: FloatArray) -> Camera:
        return Camera(vector[: len(CAMERA_PARAMETERS)], self.size)

    def result(self, vector: FloatArray, jacobian: FloatArray, residuals: FloatArray) -> Plane:
        scale = np.linalg.norm(jacobian, axis=0)
        normal = (jacobian / scale).T @ (jacobian / scale)
        values, vectors = np.linalg.eigh(normal)
        factor = vectors / np.sqrt(np.maximum(values, 1e-14)) / scale[:, None]
        seen = residuals[: len(residuals) - len(vector)]
        misfit, at = {}, 0
        for tag in filter(self._is_known, self.tags):
            count = tag.points.shape[0] * tag.points.shape[1]
            misfit[tag.tag] = float(np.sqrt(np.mean(seen[at : at + count] ** 2)))
            at += count
        chi = float(np.sqrt(np.mean(seen**2)))
        return Plane(self._camera(vector), self.names, vector, factor, chi, "parcel" if self.tied else "card", misfit)


def _print_scale(staging: Staging) -> list[tuple[float, float]]:
    """Scale of the print along and up, and its uncertainty: the check line's reading over its nominal length."""
    along, up = staging.printed_line
    u = staging.priors.printed_line
    # A second direction that nobody measured may differ by a printer's usual anisotropy (common practice, no source).
    across = float(np.hypot(u / 100.0, 0.002 if u > 0 else 0.0))
    return [
        (along / 100.0, u / 100.0) if along else (1.0, across),
        (up / 80.0, u / 80.0) if up else ((along or 100.0) / 100.0, across),
    ]


def _off_line(points: FloatArray, spread: FloatArray) -> FloatArray:
    """Signed distances (n,) of points (n, 2) from their weighted best line."""
    weight = 1 / spread**2
    centred = points - weight @ points / weight.sum()
    direction = np.linalg.svd(centred * np.sqrt(weight)[:, None], full_matrices=False)[2][0]
    # A fixed sign keeps the derivative smooth when the line is turned a little.
    direction = direction if direction[np.abs(direction).argmax()] > 0 else -direction
    return np.asarray(centred @ np.array([-direction[1], direction[0]]))


def _turned(points: FloatArray, turn: float) -> FloatArray:
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def _rigid(local: FloatArray, world: FloatArray) -> FloatArray:
    """(x, y, turn) that moves local points onto world points best (Procrustes)."""
    a, b = local - local.mean(axis=0), world - world.mean(axis=0)
    turn = float(np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b)))
    return np.array([*(world.mean(axis=0) - _turned(local, turn).mean(axis=0)), turn])


def _pose(world: FloatArray, pixels: FloatArray, camera: Camera, height: float = 0.0) -> FloatArray:
    """Rotation vector and translation (6,) by PnP with the expected camera."""
    focal, (cx, cy) = float(np.exp(camera.vector[6])), camera.vector[7:9]
    matrix = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    spatial = np.column_stack([world, np.full(len(world), -height)]).astype(np.float64)
    _, rotations, translations, _ = cv2.solvePnPGeneric(spatial, pixels, matrix, None, flags=cv2.SOLVEPNP_IPPE)
    return np.concatenate([rotations[0].ravel(), translations[0].ravel()])


def readable(grey: NDArray[np.uint8]) -> bool:
    """Whether a picture holds anything at all (not one flat tone)."""
    return bool(grey.std() > 2)
