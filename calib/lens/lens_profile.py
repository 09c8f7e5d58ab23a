"""A camera's lens from several photos of one flat chessboard.

OpenCV's calibration (Zhang 2000) with its model held to what `calib.camera` has: square pixels, centre, k1, k2, k3.
OpenCV counts the radius in focal lengths, we in half diagonals h; both put 1 + k1 r^2 + k2 r^4 + k3 r^6 on ideal
points, so that k1 = k1' (h / f)^2, k2 = k2' (h / f)^4 and k3 = k3' (h / f)^6.  How sure the result is comes from
leaving out each photo in turn (jackknife: Efron and Stein 1981), which also shows what the model lacks; the fit's own
deviations are its lower bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from calib.edges import FloatArray
from calib.lens.lens_sheet import LensRefused, SheetView

FEWEST_PHOTOS = 4
LEAST_ANGLE = np.deg2rad(20)
"""Two of the boards must be turned against each other by this much, else focal length and distance look alike."""
LEAST_REACH = 0.6
"""Farthest corner from the picture's centre, in half diagonals: beyond, the lens is only guessed."""
LARGEST_RESIDUAL, LARGEST_SHARE = 0.8, 0.00035
"""Root mean square residual, px and in diagonals, beyond which the board was not flat; the larger counts."""
ODD_ONE = 3.0
"""A photo whose residual is this many times the median one's (and above ODD_PX) is left out: it was misread."""
ODD_PX = 0.5
ASPECT_STEP = 0.002
"""Printers scale along and up differently by about as much: the board's own proportion is fitted, too."""
LARGEST_ASPECT = 0.015
_FLAGS = cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST
_STOP = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-9)


@dataclass(frozen=True, eq=False)
class LensCalibration:
    """A camera from its photos of a board.

    focal in px with its relative spread; centre (2,) px with its spread in px; radial (k1, k2, k3) with r in half
    diagonals, and the rows of its covariance.  aspect is the board's height over its nominal one, its width being
    right.  residuals: root mean square of each view, px, NaN where it was left out as misread; residual that of all.
    """

    size: tuple[int, int]
    focal: float
    focal_spread: float
    centre: FloatArray
    centre_spread: float
    radial: tuple[float, float, float]
    radial_covariance: tuple[tuple[float, float, float], ...]
    aspect: float
    residuals: tuple[float, ...]
    residual: float


def calibrate(views: Sequence[SheetView]) -> LensCalibration:
    """Fit camera and lens. Raises LensRefused where the photos cannot tell them."""
    _check_views(views)
    kept = list(range(len(views)))
    fit = _best_fit(views)
    odd = (fit.residuals > ODD_ONE * np.median(fit.residuals)) & (fit.residuals > ODD_PX)
    if odd.any() and (~odd).sum() >= FEWEST_PHOTOS:
        kept = [i for i in kept if not odd[i]]
        views = [views[i] for i in kept]
        _check_views(views)
        fit = _best_fit(views)
    _check_fit(fit, views[0].size)
    covariance = _left_out_covariance(views)
    spread = np.sqrt(np.diag(covariance))
    # The fit's own deviations are a lower bound; what goes together still does.
    wider = np.maximum(fit.deviations / np.maximum(spread, 1e-12), 1.0)
    covariance, spread = covariance * np.outer(wider, wider), spread * wider
    residuals = np.full(len(odd), np.nan)
    residuals[kept] = fit.residuals
    focal, radial = float(fit.values[0]), fit.values[3:]
    return LensCalibration(
        size=views[0].size,
        focal=focal,
        focal_spread=float(spread[0] / focal),
        centre=fit.values[1:3],
        centre_spread=float(np.hypot(*spread[1:3]) / np.sqrt(2)),
        radial=(float(radial[0]), float(radial[1]), float(radial[2])),
        radial_covariance=tuple((float(a), float(b), float(c)) for a, b, c in covariance[3:, 3:]),
        aspect=fit.aspect,
        residuals=tuple(float(r) for r in residuals),
        residual=fit.residual,
    )


def to_half_diagonals(focal: float, size: tuple[int, int], *terms: float) -> tuple[float, ...]:
    """Ours from OpenCV's k1, k2, ..., whose radius counts in focal lengths (px)."""
    ratio = np.hypot(*size) / 2 / focal
    return tuple(float(k * ratio ** (2 * i)) for i, k in enumerate(terms, 1))


def to_focal_lengths(focal: float, size: tuple[int, int], *terms: float) -> tuple[float, ...]:
    """OpenCV's k1, k2, ... from ours."""
    ratio = focal / (np.hypot(*size) / 2)
    return tuple(float(k * ratio ** (2 * i)) for i, k in enumerate(terms, 1))


@dataclass(frozen=True, eq=False)
class _Fit:
    """values and deviations (6,): focal, centre x and y in px, k1, k2, k3 in half diagonals.

    normals (n, 3) are the boards'.
    """

    values: FloatArray
    deviations: FloatArray
    aspect: float
    residuals: FloatArray
    residual: float
    normals: FloatArray


def _best_fit(views: Sequence[SheetView]) -> _Fit:
    """The fit with the board's proportion that leaves the smallest residual: the vertex of a parabola through three."""
    tried = [_fit(views, 1.0 + step).residual ** 2 for step in (-ASPECT_STEP, 0.0, ASPECT_STEP)]
    bend = tried[0] - 2 * tried[1] + tried[2]
    vertex = 0.5 * (tried[0] - tried[2]) / bend * ASPECT_STEP if bend > 0 else 0.0
    return _fit(views, 1.0 + float(np.clip(vertex, -LARGEST_ASPECT, LARGEST_ASPECT)))


def _fit(views: Sequence[SheetView], aspect: float) -> _Fit:
    boards = [np.column_stack([v.board * (1.0, aspect), np.zeros(len(v.board))]).astype(np.float32) for v in views]
    pixels = [v.pixels.astype(np.float32).reshape(-1, 1, 2) for v in views]
    size = views[0].size
    try:
        residual, matrix, lens, turns, _, spread, _, each = cv2.calibrateCameraExtended(
            boards, pixels, size, np.eye(3), np.zeros(5), flags=_FLAGS, criteria=_STOP
        )
    except cv2.error as error:
        raise LensRefused("the photos contradict each other; take them anew, of one flat sheet") from error
    focal, spread, k = float(matrix[1, 1]), np.ravel(spread), np.ravel(lens)[[0, 1, 4]]
    values = [focal, matrix[0, 2], matrix[1, 2], *to_half_diagonals(focal, size, *k)]
    deviations = [*spread[1:4], *to_half_diagonals(focal, size, *spread[[4, 5, 8]])]
    normals = np.stack([np.asarray(cv2.Rodrigues(turn)[0][:, 2], dtype=np.float64) for turn in turns])
    errors = np.asarray(each, dtype=np.float64).ravel()
    return _Fit(np.array(values), np.array(deviations), aspect, errors, float(residual), normals)


def _left_out_covariance(views: Sequence[SheetView]) -> FloatArray:
    """Covariance (6, 6) of a fit's values by the jackknife over the photos."""
    count = len(views)
    without = np.stack([_best_fit([v for v in views if v is not one]).values for one in views])
    away = without - without.mean(axis=0)
    return np.asarray((count - 1) / count * away.T @ away)


def _check_views(views: Sequence[SheetView]) -> None:
    if len(views) < FEWEST_PHOTOS:
        raise LensRefused(f"{FEWEST_PHOTOS} usable photos of the sheet are needed, better 10: here are {len(views)}")
    if len({v.size for v in views}) > 1:
        sizes = " and ".join(sorted({f"{v.size[0]} x {v.size[1]}" for v in views}))
        raise LensRefused(f"the photos differ in size ({sizes} pixels); use uncut photos, all taken alike")
    middle = (np.array(views[0].size) - 1) / 2
    reach = max(float(np.linalg.norm(v.pixels - middle, axis=1).max()) for v in views) / (np.hypot(*views[0].size) / 2)
    if reach < LEAST_REACH:
        raise LensRefused("the sheet lies in the middle of all photos; go nearer, so that it fills the picture")


def _check_fit(fit: _Fit, size: tuple[int, int]) -> None:
    angle = float(np.arccos(np.clip((fit.normals @ fit.normals.T).min(), -1, 1)))
    if angle < LEAST_ANGLE:
        raise LensRefused(
            "all photos are taken from about the same angle; take some slanted, from the left, the right, near and far"
        )
    if fit.residual > max(LARGEST_RESIDUAL, LARGEST_SHARE * float(np.hypot(*size))):
        raise LensRefused(
            f"the sheet does not fit as a flat chessboard (it is {fit.residual:.1f} pixels off); glue it on something "
            "flat and photograph it again"
        )
