"""What is known of every parameter before the photo is looked at: from the challenge, the photo's file, other phones.

As standard uncertainties: print scale (printed_line over the lines' lengths), card height and curl (thickness,
flatness), tiles against the parcel's corners (tile), the parcel's size (parcel), the shift of edges and its spread from
place to place (`calib.prints.edge_shift`), focal length, optical centre and radial lens (`calib.lens.lens_prior`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calib.edges import FloatArray
from calib.estimate.parameters import CURL, INDEX, NAMES, PAPER, RADIAL, SCALE, SHIFTS
from calib.lens.lens_prior import RadialPrior, centre_prior, focal_prior, radial_prior
from calib.photo_setup import TYPICAL_FOCAL, Lens, PhotoSetup
from calib.printed import CORNER_TAGS, CORNER_TILE
from calib.prints.edge_shift import EdgeShift

FOCAL_UNKNOWN = 0.25
"""Relative: the spread of phones' main cameras about 26 mm."""
CENTRE_CROPPED = 0.08
"""Optical centre against the centre of a picture that may have been cut, in diagonals."""
ANISOTROPY = 0.002
"""A printer's scale along and up may differ by this where only one was measured (common practice, no source)."""
UNREAD = 0.005
"""Of a print that nobody measured, relative, along and up each by itself (common practice, no source)."""
FREE = 1e4
"""Prior spread, mm or rad, of what nothing is known about."""
TINY = 1e-5
"""Smallest prior spread: a prior of 0 in the challenge means exact."""


@dataclass(frozen=True, eq=False)
class Prior:
    """Expected values (p,) and whitening (p, p): whitening @ (vector - expected) are independent standard normals."""

    expected: FloatArray
    whitening: FloatArray


def prior_of(size: tuple[int, int], setup: PhotoSetup, lens: Lens, shift: EdgeShift, *, tied: bool) -> Prior:
    """All that is known beforehand; without `tied` the frame is the card's own."""
    expected, spread = np.zeros(len(NAMES)), np.full(len(NAMES), FREE)

    def put(name: str, value: float, u: float) -> None:
        expected[INDEX[name]], spread[INDEX[name]] = value, u

    _put_camera(put, size, lens)
    for name in SHIFTS:
        put(name, shift.value, float(np.hypot(shift.u, shift.between)))
    for name, (value, u) in zip(SCALE, print_scale(setup), strict=True):
        put(name, value, u)
    priors = setup.priors
    put("parcel width", setup.width, priors.parcel)
    put("parcel depth", setup.depth, priors.parcel)
    for tag in CORNER_TAGS:
        for axis, per_mm in (("x", 1.0), ("y", 1.0), ("turn", 1 / CORNER_TILE.width)):
            put(f"tile {tag} {axis}", 0.0, priors.tile * per_mm)
    for axis in ("x", "y", "turn"):
        put(f"card {axis}", 0.0, FREE if tied else 0.0)
    put("card height", *_card_height(setup))
    for name in CURL:
        put(name, 0.0, priors.flatness if priors.curl is None else priors.curl)
    whitening = np.diag(1 / np.maximum(spread, TINY))
    _join_radial(expected, whitening, lens)
    return Prior(expected, whitening)


def print_scale(setup: PhotoSetup) -> list[tuple[float, float]]:
    """Scale of the print along and up, and its uncertainty: the check line's reading over its nominal length.

    Of one line that was not read the other tells; with neither, printers scale by about half a per cent, each way by
    itself.  A prior of 0 means that the print is exact.
    """
    along, up = setup.printed_line
    u = setup.priors.printed_line
    by_other = float(np.hypot(u / 100.0, ANISOTROPY if u > 0 else 0.0))
    unread = max(UNREAD, by_other) if u > 0 else 0.0
    if not along and not up:
        return [(1.0, unread), (1.0, unread)]
    known = [(along / 100.0, u / 100.0) if along else None, (up / 80.0, u / 80.0) if up else None]
    other = next(scale for scale in known if scale)
    return [scale or (other[0], by_other) for scale in known]


def _put_camera(put: Callable[[str, float, float], None], size: tuple[int, int], lens: Lens) -> None:
    """Focal length and optical centre; nothing is known of where the camera is."""
    diagonal = float(np.hypot(*size))
    excess, u = focal_prior()
    if lens.focal_spread is not None and lens.focal is not None:
        put("log_f", float(np.log(lens.focal)), lens.focal_spread)
    elif lens.focal is not None and lens.whole:
        put("log_f", float(np.log(lens.focal)) + excess, u)
    else:
        put("log_f", float(np.log(lens.focal or TYPICAL_FOCAL * diagonal)), FOCAL_UNKNOWN)
    usual = centre_prior(size) if lens.whole else np.full(2, CENTRE_CROPPED * diagonal)
    centre = usual if lens.centre_spread is None else np.full(2, lens.centre_spread)
    for i, name in enumerate(("cx", "cy")):
        put(name, (size[i] - 1) / 2 + lens.centre[i], float(centre[i]))


def radial_known(lens: Lens) -> RadialPrior:
    """The radial terms as they are known before: from a profile, else what is usual for phones."""
    usual = radial_prior()
    covariance = usual.covariance if lens.radial_covariance is None else np.array(lens.radial_covariance)
    mean = usual.mean if lens.radial is None else np.array(lens.radial)
    return RadialPrior(mean, covariance + TINY**2 * np.eye(len(mean)))


def _join_radial(expected: FloatArray, whitening: FloatArray, lens: Lens) -> None:
    """The radial terms are known together: of many sums of them more is known than of any one."""
    known, rows = radial_known(lens), slice(INDEX[RADIAL[0]], INDEX[RADIAL[-1]] + 1)
    expected[rows] = known.mean
    whitening[rows, rows] = np.linalg.inv(np.linalg.cholesky(known.covariance))


def _card_height(known: PhotoSetup) -> tuple[float, float]:
    if known.surface == "table":
        return PAPER - (known.thickness or 0.0), float(np.hypot(known.priors.thickness, known.priors.flatness))
    return PAPER, known.priors.flatness
