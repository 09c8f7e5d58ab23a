"""What is known of a phone's lens before its photo is looked at, from phones that were measured or published.

Radial terms: p_d = c + (p - c)(1 + k1 r^2 + k2 r^4 + k3 r^6), r in half diagonals.  A phone's own correction leaves a
"moustache": outwards half way, inwards beyond.  The published terms were fitted where the targets lay (r up to FITTED)
and mean nothing beyond; no phone bends its corners by the 10 to 20 % that they would give there.  So each phone's curve
is fitted anew, together with a corner that stays within CORNER of its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from calib.edges import FloatArray

PHONES: tuple[tuple[str, tuple[float, float, float]], ...] = (
    ("iPhone 13 Pro, 50 photos of a grid", (0.133, -0.320, 0.0)),
    ("iPhone 13 Pro Max, hyotaime/opencv-camera-calibration", (0.085, -0.119, 0.055)),
    ("iPhone, mmamustafa/computer-vision", (0.152, -0.329, 0.166)),
    ("an older iPhone, mmamustafa/computer-vision", (0.095, -0.229, 0.295)),
    ("Pixel 7 Pro, 5 photos of a grid", (0.086, -0.111, 0.0)),
    ("a phone that corrects its pictures wholly (common practice, no source)", (0.0, 0.0, 0.0)),
)
"""Radial terms left in phones' JPEGs."""
FITTED = 0.65
"""Radius up to which the published terms were fitted."""
CURVE = 0.0005
"""How well such a curve is known there, half diagonals: about one pixel of a 12-megapixel picture."""
CORNER = 0.02
"""Standard uncertainty of the corner's displacement, relative."""

FOCAL_EXCESS = (0.035, 0.0475)
"""Focal length at 0.3 to 0.6 m over EXIF's whole millimetres of 35 mm equivalent, relative: the middles of +3.3 to
+3.7 % (iPhone 13 Pro) and +4.4 to +5.1 % (Pixel 7 Pro).
"""
ROUNDING = 0.5 / 26 / np.sqrt(3)
"""Standard uncertainty of a whole number of millimetres about 26, relative (JCGM 100:2008, 4.3.7)."""
FOCUSING = 0.005
"""Half of the difference between focusing at 0.3 and at 0.6 m: a thin lens of 5.6 mm moves by f / (distance - f)."""
CENTRE_LONG, CENTRE_SHORT = 0.004, 0.008
"""Optical centre against the picture's, in diagonals, along the longer and the shorter side: measured 0.1 to 0.25 % and
0.6 to 0.9 %; along the longer side not less than stabilisation moves it (common practice, no source).
"""


@dataclass(frozen=True, eq=False)
class RadialPrior:
    """Expected radial terms (3,) and their covariance (3, 3)."""

    mean: FloatArray
    covariance: FloatArray


@cache
def radial_prior(phones: tuple[tuple[str, tuple[float, float, float]], ...] = PHONES) -> RadialPrior:
    """The next phone's terms as the known ones foretell them.

    The covariance is the sample's, widened for a sample of n in d dimensions by (1 + 1/n)(n - 1)/(n - d), the scale of
    its predictive distribution (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.6; from memory), and what one phone's
    curve leaves open: above all where the corner is.
    """
    fitted = np.stack([_held_at_the_corner(np.array(terms)) for _, terms in phones])
    count, terms = fitted.shape
    widened = np.cov(fitted.T) * (1 + 1 / count) * (count - 1) / (count - terms)
    design = _design()
    return RadialPrior(fitted.mean(axis=0), widened + np.linalg.inv(design.T @ design))


def with_measured(radial: tuple[float, ...], covariance: FloatArray) -> RadialPrior:
    """What is known of a phone whose terms (3,) were measured with this covariance (3, 3).

    Measuring tells little of what lies beyond its targets; there the other phones still tell.
    """
    usual = radial_prior()
    gain = usual.covariance @ np.linalg.inv(usual.covariance + covariance)
    mean = usual.mean + gain @ (np.array(radial) - usual.mean)
    known = (np.eye(3) - gain) @ usual.covariance
    return RadialPrior(mean, (known + known.T) / 2)


def focal_prior() -> tuple[float, float]:
    """Logarithm of focal length over EXIF's: expected value and standard uncertainty for a phone close to a table."""
    excess = np.log1p(np.array(FOCAL_EXCESS))
    phones = float(excess.std(ddof=1)) * np.sqrt(1 + 1 / len(excess))
    return float(excess.mean()), float(np.sqrt(phones**2 + ROUNDING**2 + FOCUSING**2))


def centre_prior(size: tuple[int, int]) -> FloatArray:
    """Standard uncertainty (2,) of the optical centre in px, of a whole picture of this width and height."""
    width, height = size
    along = (CENTRE_LONG, CENTRE_SHORT) if width >= height else (CENTRE_SHORT, CENTRE_LONG)
    return np.array(along) * float(np.hypot(width, height))


def _held_at_the_corner(terms: FloatArray) -> FloatArray:
    """Terms (3,) of the same curve up to FITTED whose corner stays in its place within CORNER."""
    design = _design()
    seen = design @ terms
    seen[-1] = 0.0
    return np.asarray(np.linalg.lstsq(design, seen, rcond=None)[0])


def _design() -> FloatArray:
    """What the terms (3,) do to a curve's points and to the corner, each over its standard uncertainty: (26, 3)."""
    r = np.linspace(0.05, FITTED, 25)
    # The points of one curve are wrong together: their number must not make it more certain.
    curve = np.stack([r**3, r**5, r**7], axis=1) / (CURVE * np.sqrt(len(r)))
    return np.vstack([curve, np.ones(3) / CORNER])
