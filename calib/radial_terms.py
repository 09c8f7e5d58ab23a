"""The radial lens model: what its five terms mean, and how well the curve of a phone that was measured is known.

p_d = c + (p - c)(1 + k1 r^2 + k2 r^4 + k3 r^6 + k4 P4(r^2) + k5 P5(r^2)), r in half diagonals.  Published phones have
k1 to k3.  Real ones leave a curve that three powers cannot follow (a Pixel 7 Pro's five photos agree on one lens with
five of them, and contradict each other with three).  P4 and P5, of degree 4 and 5, are orthogonal to the lower ones
where a curve is known and as well as it is known there: so k1 to k3 mean the same with and without them, and k4 and k5
are in units of what such a published curve leaves open.
"""

from __future__ import annotations

import numpy as np

from calib.edges import FloatArray

RADIAL = ("k1", "k2", "k3", "k4", "k5")
PUBLISHED = 3
"""The first so many are what is published of phones, and what a lens sheet tells."""
FITTED = 0.65
"""Radius up to which the published terms were fitted."""
CURVE = 0.0005
"""How well such a curve is known there, half diagonals: about one pixel of a 12-megapixel picture."""
CORNER = 0.02
"""Standard uncertainty of the corner's displacement, relative."""
HELD = 1e-6
"""The same where it does not move."""


def curve_known(terms: int = PUBLISHED) -> FloatArray:
    """What powers of the radius do to a curve's points up to FITTED and to the corner, each over its standard
    uncertainty: (26, terms).
    """
    r = np.linspace(0.05, FITTED, 25)
    # The points of one curve are wrong together: their number must not make it more certain.
    curve = _powers(r, terms) / (CURVE * np.sqrt(len(r)))
    return np.vstack([curve, _powers(np.ones(1), terms) / CORNER])


def _powers(r: FloatArray, terms: int) -> FloatArray:
    return np.stack([r ** (3 + 2 * i) for i in range(terms)], axis=1)


def _orthogonal() -> FloatArray:
    """(5, 5): column j holds the coefficients of r^2, r^4, ... r^10 of term j (Gram and Schmidt).

    k4 and k5 leave the corner, of which k1 to k3 say all that is known, and move nothing before it by more than it.
    """
    count = len(RADIAL)
    between = np.linspace(FITTED, 1, 8)[1:-1]
    before = _powers(between, count) / (CORNER * np.sqrt(len(between)))
    design = np.vstack([curve_known(count), before, _powers(np.ones(1), count) / HELD])
    mixed = np.eye(count)
    for j in range(PUBLISHED, count):
        lower = design @ mixed[:, :j]
        rest = mixed[:, j] - mixed[:, :j] @ np.linalg.lstsq(lower, design[:, j], rcond=None)[0]
        mixed[:, j] = rest / np.linalg.norm(design @ rest)
    return mixed


POWERS = _orthogonal()
"""Coefficients of r^2, r^4, ... r^10 are POWERS @ (k1, ..., k5)."""
HALF_WAY = 0.5 ** np.arange(2, 2 * len(RADIAL) + 1, 2) @ POWERS
"""By how much each term (5,) moves what lies half way to the corner, relative to its distance from the middle."""
