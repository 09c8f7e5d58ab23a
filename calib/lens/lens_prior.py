"""What is known of a phone's lens before its photo is looked at, from phones that were measured or published.

Radial terms: see `calib.radial_terms`.  A phone's own correction leaves a "moustache": outwards half way, inwards
beyond.  The published terms were fitted where the targets lay (r up to FITTED) and mean nothing beyond; no phone bends
its corners by the 10 to 20 % that they would give there.  So each phone's curve is fitted anew, together with a corner
that stays within CORNER of its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from calib.edges import FloatArray
from calib.radial_terms import RADIAL, curve_known

PHONES: tuple[tuple[str, tuple[float, float, float]], ...] = (
    ("iPhone 13 Pro, 50 photos of a grid", (0.133, -0.320, 0.0)),
    ("iPhone 13 Pro Max, hyotaime/opencv-camera-calibration", (0.085, -0.119, 0.055)),
    ("iPhone, mmamustafa/computer-vision", (0.152, -0.329, 0.166)),
    ("an older iPhone, mmamustafa/computer-vision", (0.095, -0.229, 0.295)),
    ("Pixel 7 Pro, 5 photos of a grid", (0.086, -0.111, 0.0)),
    ("a phone that corrects its pictures wholly (common practice, no source)", (0.0, 0.0, 0.0)),
)
"""Radial terms left in phones' JPEGs."""
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
    """Expected radial terms (5,) and their covariance (5, 5)."""

    mean: FloatArray
    covariance: FloatArray


@cache
def radial_prior(phones: tuple[tuple[str, tuple[float, float, float]], ...] = PHONES) -> RadialPrior:
    """The next phone's terms as the known ones foretell them.

    The covariance is the sample's, widened for a sample of n in d dimensions by (1 + 1/n)(n - 1)/(n - d), the scale of
    its predictive distribution (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.6; from memory), and what one phone's
    curve leaves open: above all where the corner is, and the terms that are not published.
    """
    fitted = np.stack([_held_at_the_corner(np.array(terms)) for _, terms in phones])
    count, terms = fitted.shape
    widened = np.cov(fitted.T) * (1 + 1 / count) * (count - 1) / (count - terms)
    design = curve_known()
    mean, covariance = np.zeros(len(RADIAL)), np.eye(len(RADIAL))
    mean[:terms] = fitted.mean(axis=0)
    covariance[:terms, :terms] = widened + np.linalg.inv(design.T @ design)
    return RadialPrior(mean, covariance)


def with_measured(radial: tuple[float, ...], covariance: FloatArray) -> RadialPrior:
    """What is known of a phone whose first n terms were measured with this covariance (n, n).

    Measuring tells little of what lies beyond its targets; there the other phones still tell.
    """
    usual, n = radial_prior(), len(radial)
    gain = usual.covariance[:, :n] @ np.linalg.inv(usual.covariance[:n, :n] + covariance)
    mean = usual.mean + gain @ (np.array(radial) - usual.mean[:n])
    known = usual.covariance - gain @ usual.covariance[:n]
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
    design = curve_known()
    seen = design @ terms
    seen[-1] = 0.0
    return np.asarray(np.linalg.lstsq(design, seen, rcond=None)[0])
