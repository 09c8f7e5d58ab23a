"""One joint estimate of the camera, the lens and the plane of the parcel's top, with its covariance.

Everything that is known enters once, weighted by how well it is known: the black squares' edges of card and tiles,
the print's scale, the tiles' places, the parcel's size, the card's height, straight lines (tape, board edges), and
what is common to phone cameras. The estimate is the weighted least-squares (maximum a posteriori) solution by Gauss-
Newton; its covariance is the inverse of the normal matrix (JCGM 102:2011, 6 and 7.4; Criminisi, Reid, Zisserman 1997
for the plane). The budget stands in `calib.estimate.prior`; observations that scatter more than they claim are
widened (`calib.estimate.residual_check`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.edges import FloatArray
from calib.estimate.adjustment import NAMES, Adjustment, StraightLine
from calib.estimate.first_guess import first_guess
from calib.estimate.parameters import OWN, PARCEL, RADIAL, SCALE
from calib.estimate.residual_check import Residuals, chance_as_known, tile_chances, widened
from calib.photo_setup import Lens, PhotoSetup
from calib.prints.edge_shift import EdgeShift
from calib.prints.tags import TagSquare

MOST_STEPS, DOWN_AGAIN = 20, 4
CHECKS = 2
"""How often the observations' uncertainty is compared with what the fit leaves over."""
SETTLED = 0.02
"""The estimate has settled when no residual moves by more than this many of its standard uncertainties."""

__all__ = ["Plane", "StraightLine", "estimate_plane"]


@dataclass(frozen=True, eq=False)
class Plane:
    """The estimate: camera, every parameter by name, and factor (p, k) with covariance = factor @ factor.T.

    sources names the parameter that each of the k independent sources belongs to: what another photo of the same model
    would share comes last, so that its sources move nothing but through those parameters, and of that the radial terms,
    which other models' photos share, too.

    chi is the root mean square of the residuals, each over its standard uncertainty: about 1 or less where everything
    agrees.  tag_misfit and line_misfit say the same for each tag and each line; where they exceed 1, the covariance has
    grown with them.  tile_chance: how probable it is that a tile which lies as stated is seen that far from its place;
    print_chance, parcel_chance: that a print of the scale, a parcel of the size that are known are seen so far from it.
    grown is by how much the least sure tag's uncertainty has, at least 1.
    bow: how far hand-laid lines are off straight, mm; edge: what averaging along one edge does not remove, px.  frame
    is "parcel" where tiles or board edges tie it to the parcel, else "card".
    """

    camera: Camera
    names: tuple[str, ...]
    vector: FloatArray
    factor: FloatArray
    sources: tuple[str, ...]
    chi: float
    frame: Literal["parcel", "card"]
    tag_misfit: dict[int, float]
    line_misfit: tuple[float, ...]
    tile_chance: dict[int, float]
    print_chance: float
    parcel_chance: float
    bow: float
    edge: float
    grown: float

    def value(self, name: str) -> float:
        """One parameter."""
        return float(self.vector[self.names.index(name)])

    def spread(self, name: str) -> float:
        """One parameter's standard uncertainty."""
        return float(np.linalg.norm(self.factor[self.names.index(name)]))

    def locate(self, pixels: FloatArray, height: float | FloatArray = 0.0) -> tuple[FloatArray, FloatArray]:
        """Points (n, 2) in mm of pixels (n, 2), and their sensitivity (n, 2, k) to the plane's sources.

        The derivative with respect to the camera's parameters is taken once and carried over to the sources.
        """
        base = self.camera.locate(pixels, height)
        rows = [self.names.index(name) for name in CAMERA_PARAMETERS]
        per_parameter = np.empty((len(pixels), 2, len(rows)))
        for i, row in enumerate(rows):
            step = max(1e-7, 0.1 * float(np.linalg.norm(self.factor[row])))
            per_parameter[:, :, i] = (self._moved(i, step).locate(pixels, height) - base) / step
        return base, per_parameter @ self.factor[rows]

    def _moved(self, parameter: int, step: float) -> Camera:
        vector = self.camera.vector.copy()
        vector[parameter] += step
        return replace(self.camera, vector=vector)


def estimate_plane(
    tags: Sequence[TagSquare],
    shift: EdgeShift,
    size: tuple[int, int],
    setup: PhotoSetup,
    lens: Lens,
    lines: Sequence[StraightLine] = (),
    start: Plane | None = None,
) -> Plane:
    """Fit everything at once.

    tags must hold the card's; size is the photo's (width, height) in px.  lines may be given in a second call, with the
    first one's result as `start`.
    """
    adjustment = Adjustment(tags, shift, size, setup, lens, lines)
    kept = start.vector if start is not None and (start.frame == "parcel") == adjustment.tied else None
    vector = first_guess(adjustment) if kept is None else kept
    vector, jacobian, residuals = _solved(adjustment, vector)
    for _ in range(CHECKS):
        wider = widened(adjustment, vector, jacobian, residuals, _factor(jacobian))
        adjustment = replace(adjustment, widening=wider)
        vector, jacobian, residuals = _solved(adjustment, vector)
    return _plane(adjustment, vector, jacobian, residuals)


def _solved(adjustment: Adjustment, vector: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Gauss-Newton; the vector with the Jacobian and the residuals there.

    Only a whole step tells whether the estimate has settled: a shortened one is small whether or not it has.  The last
    step is so small that Jacobian and residuals need not be taken anew after it.
    """
    jacobian, residuals = adjustment.linearised(vector)
    share = 1.0
    for _ in range(MOST_STEPS):
        step, moved = _step(jacobian, residuals)
        if float(np.abs(moved).max()) < SETTLED:
            return vector + step, jacobian, residuals + moved
        ahead = _ahead(adjustment, vector + share * step, float(residuals @ residuals))
        if ahead is None:
            share /= 2
            continue
        vector, jacobian, residuals = ahead
        share = min(1.0, 2 * share)
    return vector, jacobian, residuals


def _ahead(
    adjustment: Adjustment, vector: FloatArray, least: float
) -> tuple[FloatArray, FloatArray, FloatArray] | None:
    """Where a step to this vector leads that fits no worse than a sum of squares of `least`; None where it goes astray.

    Focal length, distance, tilt and optical centre make up for one another along a bent valley.  A step goes along its
    tangent and ends on its slope, high above the floor but nearer to the end; the next ones lead down again.  Steps
    that were cut until they fit at once would creep, and stop far from the end.
    """
    above = np.inf
    with np.errstate(over="ignore", invalid="ignore"):
        for _ in range(DOWN_AGAIN):
            jacobian, residuals = adjustment.linearised(vector)
            square = float(residuals @ residuals)
            if square <= (1 + 1e-9) * least:
                return vector, jacobian, residuals
            if not square < above:
                return None
            above = square
            vector = vector + _step(jacobian, residuals)[0]
    return None


def _step(jacobian: FloatArray, residuals: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The Gauss-Newton step (p,), and how far it moves every residual (m,)."""
    scale = np.linalg.norm(jacobian, axis=0)
    scaled = jacobian / scale
    normal, right = scaled.T @ scaled, -scaled.T @ residuals
    try:
        step = np.linalg.solve(normal, right) / scale
    except np.linalg.LinAlgError:
        step = np.linalg.lstsq(normal, right, rcond=None)[0] / scale
    return step, jacobian @ step


_MODEL = tuple(name for name in NAMES if name not in (*OWN, *RADIAL))
_ORDER = [NAMES.index(name) for name in (*OWN, *_MODEL, *RADIAL)]


def _factor(jacobian: FloatArray) -> FloatArray:
    """Factor (p, p) of the covariance: what other photos share depends on the last sources alone."""
    scale = np.linalg.norm(jacobian, axis=0)
    ordered = (jacobian / scale)[:, _ORDER]
    factor = np.empty((len(NAMES), len(NAMES)))
    factor[_ORDER] = _inverse_factor(ordered.T @ ordered)
    return np.asarray(factor / scale[:, None])


def _plane(adjustment: Adjustment, vector: FloatArray, jacobian: FloatArray, residuals: FloatArray) -> Plane:
    factor = _factor(jacobian)
    seen = Residuals.of(adjustment, jacobian, residuals, factor)
    wider = np.concatenate([adjustment.factors.tags, adjustment.factors.lines])
    counts = np.array([g.stop - g.start for g in adjustment.groups])
    squares = wider**2 * seen.squares
    misfit = np.sqrt(squares / counts)
    tags = [t.tag for t in adjustment.known_tags]
    return Plane(
        camera=adjustment.camera(vector),
        names=NAMES,
        vector=vector,
        factor=factor,
        sources=tuple(NAMES[i] for i in _ORDER),
        chi=float(np.sqrt(squares.sum() / counts.sum())),
        frame="parcel" if adjustment.tied else "card",
        tag_misfit={t: float(m) for t, m in zip(tags, misfit, strict=False)},
        line_misfit=tuple(float(m) for m in misfit[len(tags) :]),
        tile_chance=tile_chances(adjustment, vector, factor),
        print_chance=chance_as_known(adjustment, vector, factor, SCALE),
        parcel_chance=chance_as_known(adjustment, vector, factor, PARCEL),
        bow=adjustment.factors.bow,
        grown=float(adjustment.factors.tags.max()),
        edge=float(np.hypot(adjustment.shift.line, adjustment.shift.between)),
    )


def _inverse_factor(normal: FloatArray) -> FloatArray:
    """F with F F' = the inverse of a normal matrix N; with N = L L', the upper triangular L^-T.

    The last parameters then depend on the last sources alone.  Where observations contradict what is stated as exact, N
    can lose its definiteness to rounding; its eigenvectors then serve.
    """
    try:
        return np.asarray(np.linalg.inv(np.linalg.cholesky(normal)).T)
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(normal)
        return np.asarray(vectors / np.sqrt(np.maximum(values, 1e-13)))
