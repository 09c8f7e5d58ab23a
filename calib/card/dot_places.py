"""Where a dotted card's dots lie in the photo: a little off their printed places where the card curls.

The card's plane is known from its black square; beyond it a curled card leaves that plane smoothly.  So the dots'
offset is a quadratic in place that vanishes over the square and fits the mark's and all visible dots.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calib.card.card_view import CardView
from calib.edges import FloatArray
from calib.printed import CARD_MARK, CARD_SQUARE, DOT_PITCH, SWATCHES, swatch_dots

LEAST_CONTRAST = 0.08
"""Of a printed dot against its paper, in the coarsest photo that is measured."""
MOST_OFFSET = 2.6
"""How far curl moves the mark, mm."""
EVEN = 0.5
"""Faintest over strongest of the mark's dots."""
VISIBLE = 0.6
"""Contrast over the mark's from which a peak is taken for a dot."""
REACHES = (0.9, 0.7, 0.5)
"""Around the fit so far dots are looked for this near, mm, one fit after another."""
ASTRAY = 0.25
"""Distance from the fit, mm, at which a dot counts half."""
SQUARE_SPREAD, CURVATURE_SPREAD = 0.05, 1.5
"""mm by which the square's own places and, at the card's far edge, the quadratic's terms are off."""
OWN_DOTS = 8
"""Visible dots of a box from which the rest of them is placed."""


@dataclass(frozen=True, eq=False)
class Mark:
    """The five dots: places (5, 2) mm as seen, median contrast, linear light (3,) of the paper around them."""

    places: FloatArray
    contrast: float
    paper: FloatArray


def find_mark(view: CardView) -> Mark | None:
    """The row of five dots that marks a dotted card, None where it is not printed."""
    row = np.array(CARD_MARK)
    ends = np.array([row[0] - (DOT_PITCH, 0), row[-1] + (DOT_PITCH, 0)])
    ticks = np.arange(-MOST_OFFSET, MOST_OFFSET + 0.01, 0.2)
    shifts = np.stack(np.meshgrid(ticks, ticks), axis=-1).reshape(-1, 1, 2)
    score = view.contrast_at(row + shifts).min(axis=1) - np.maximum(view.contrast_at(ends + shifts), 0).max(axis=1)
    best = shifts[score.argmax(), 0]
    found, contrast = view.peaks_near(row + best, 0.6)
    strongest = contrast.max()
    if np.isnan(found).any() or contrast.min() < max(LEAST_CONTRAST, EVEN * strongest):
        return None
    if view.contrast_near(ends + best).max() > EVEN * contrast.min():
        return None
    return Mark(found, float(np.median(contrast)), np.median(view.paper_at(found), axis=0))


def dot_places(view: CardView, mark: Mark) -> FloatArray:
    """Places (8, 6, 11, 2) of all boxes' dots, mm on the card, whether they are seen or not."""
    printed = np.stack([swatch_dots(n) for n in range(1, len(SWATCHES) + 1)])
    flat = printed.reshape(-1, 2)
    row = np.array(CARD_MARK)
    seen, offsets = row, mark.places - row
    places = flat + _fitted(seen, offsets, flat)
    left = np.full(len(flat), np.nan)
    for reach in REACHES:
        found, contrast = view.peaks_near(places, reach)
        visible = (contrast > VISIBLE * mark.contrast) & ~np.isnan(found[:, 0])
        seen = np.concatenate([row, flat[visible]])
        offsets = np.concatenate([mark.places - row, (found - flat)[visible]])
        places = flat + _fitted(seen, offsets, flat)
        left = np.where(visible[:, None], found - places, np.nan)
    return places.reshape(printed.shape) + _of_boxes(left.reshape(printed.shape))


def _of_boxes(left: FloatArray) -> FloatArray:
    """What each box's visible dots (8, 6, 11, 2; NaN where not visible) still lie off on the whole, (8, 1, 1, 2)."""
    own = np.zeros((len(left), 1, 1, 2))
    for box, offsets in zip(own, left.reshape(len(left), -1, 2), strict=True):
        near = offsets[np.linalg.norm(offsets, axis=1) < 2 * ASTRAY]
        if len(near) >= OWN_DOTS:
            box[0, 0] = np.median(near, axis=0)
    return own


def _fitted(seen: FloatArray, offsets: FloatArray, at: FloatArray) -> FloatArray:
    """The quadratic through offsets (n, 2) at seen (n, 2), none over the square, read at `at` (m, 2).

    Iteratively reweighted least squares with Cauchy weights: what tape shows is no dot.
    """
    square = CARD_SQUARE.corners
    edges = np.concatenate([square, (square + np.roll(square, 1, axis=0)) / 2])
    terms = np.concatenate([_terms(seen), _terms(edges)])
    goal = np.concatenate([offsets, np.zeros((len(edges), 2))])
    firm = np.full(len(edges), (ASTRAY / SQUARE_SPREAD) ** 2)
    ridge = np.diag(np.full(terms.shape[1], (ASTRAY / CURVATURE_SPREAD) ** 2))
    weight = np.concatenate([np.ones(len(seen)), firm])
    for _ in range(6):
        solved = np.linalg.solve(terms.T @ (weight[:, None] * terms) + ridge, terms.T @ (weight[:, None] * goal))
        away = np.linalg.norm(offsets - _terms(seen) @ solved, axis=1)
        weight = np.concatenate([1 / (1 + (away / ASTRAY) ** 2), firm])
    return _terms(at) @ solved


def _terms(places: FloatArray) -> FloatArray:
    """1, x, y, x^2, xy, y^2 from the square's middle, in units of the distance to the card's far edge."""
    x, y = ((places - (54.0, 66.0)) / 126.0).T
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
