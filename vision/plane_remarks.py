"""What is remarked of the plane: prints and parcel that are not as stated, and which side was taken for the top."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calib.estimate.plane import Plane
from calib.estimate.prior import UNREAD
from calib.photo_setup import PhotoSetup
from calib.printed import CARD_TAG, CORNER_TAGS
from calib.prints.tags import TagSquare
from vision.picture.remarks import Remark, remark

GROWN = 2.5
"""Factor by which a print's uncertainty has grown from which it is said: real photos of a flat grid stay below 1.8."""
FALSE_ALARM = 0.01
"""How often a photo whose tiles all lie as well as stated may be said to have one that does not."""
WORST_TAG = 2.5
"""Root mean square misfit from which card and tiles are said to disagree."""
UPRIGHT = np.deg2rad(30)
"""Turn of the card against the parcel up to which its top is the parcel's for sure."""
CARD_SIDES = ("top", "left", "bottom", "right")
"""The card's sides that face the parcel's top when the card is turned clockwise by so many quarters."""


def disagreements(plane: Plane, setup: PhotoSetup) -> list[Remark]:
    """What was measured against what was stated, where they differ by more than their uncertainty or nothing was."""
    found = []
    if setup.printed_line == (None, None) and setup.priors.printed_line > 0:
        found.append(remark("print-not-measured", percent=100 * UNREAD))
    seen = [t for t in plane.tag_misfit if t in CORNER_TAGS]
    unlikely = FALSE_ALARM / max(1, len(seen))
    tiles = [t for t in seen if plane.tag_misfit[t] > WORST_TAG or plane.tile_chance.get(t, 1.0) < unlikely]
    if tiles or (max(plane.tag_misfit.values()) > WORST_TAG and len(plane.tag_misfit) > 1):
        found.append(remark("tags-disagree", tiles=tuple(tiles)))
    if plane.grown > GROWN:
        found.append(remark("prints-not-flat"))
    for name, stated in (("width", setup.width), ("depth", setup.depth)):
        apart = plane.value(f"parcel {name}") - stated
        if plane.frame == "parcel" and abs(apart) > max(2.0 * setup.priors.parcel, 0.2):
            measured = plane.value(f"parcel {name}")
            u95 = 2 * plane.spread(f"parcel {name}")
            found.append(remark("parcel-size-differs", size=name, measured=measured, stated=stated, u95=u95))
    return found


def top_taken(tags: Sequence[TagSquare], plane: Plane) -> list[Remark]:
    """Where only the card tells which side of the parcel is its top, and lies across it: which of the card's sides was
    taken to face it.
    """
    card = next(t for t in tags if t.tag == CARD_TAG)
    corners = plane.camera.locate(card.corners, plane.value("card height"))
    along = corners[1] - corners[0]
    turn = float(np.arctan2(along[1], along[0]))
    if abs(turn) <= UPRIGHT:
        return []
    return [remark("top-taken", side=CARD_SIDES[round(turn / (np.pi / 2)) % 4])]
