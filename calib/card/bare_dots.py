"""The dots of a dotted card that nothing covers, measured in the photo as points of known place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calib.card.card_view import CardView, card_pixels
from calib.card.dot_places import dot_places, find_mark
from calib.estimate.plane import Plane
from calib.printed import CARD_MARK, SWATCHES, swatch_dots
from calib.prints.card_dots import CardDots, measure_dots

BARE = 0.8
"""Contrast over that of the mark's dots from which nothing lies over one."""


def bare_dots(view: CardView, grey: NDArray[np.uint8], plane: Plane) -> CardDots | None:
    """Those of the card that `plane` shows in a photo, grey (h, w), and in its view; None where it has none."""
    mark = find_mark(view)
    if mark is None:
        return None
    boxes = [swatch_dots(number).reshape(-1, 2) for number in range(1, len(SWATCHES) + 1)]
    printed = np.concatenate([*boxes, np.array(CARD_MARK)])
    part = np.repeat(np.arange(len(boxes) + 1), [*(len(box) for box in boxes), len(CARD_MARK)])
    seen = np.concatenate([dot_places(view, mark).reshape(-1, 2), mark.places])
    bare = view.contrast_near(seen) > BARE * mark.contrast
    seen = seen[bare]
    pixels = card_pixels(plane, seen)
    along, up = (np.linalg.norm(card_pixels(plane, seen + step) - pixels, axis=1) for step in np.eye(2))
    return measure_dots(grey, printed[bare], part[bare], pixels, np.sqrt(along * up))
