"""Whether a dotted card lies flat, as its bare dots show: they reach its far edge, which the black square does not."""

from __future__ import annotations

from dataclasses import replace

from calib.card.card_view import CardView
from calib.estimate.parameters import CURL
from calib.estimate.plane import Plane
from calib.printed import CARD_TAG
from vision.picture.seen_prints import SeenPrints
from vision.refusals import bent

UNKNOWN = 5.0
"""Standard uncertainty of a card's curl, mm, of which nothing is known."""
MOST = 2.0
"""A card whose ends, edges or corners lie off its middle's plane by more than this for sure, mm, is refused: what is
measured about it would be off by per cents.  With less, areas were right within what is stated of them.
"""

AGREES = 2.5
"""Growth of the card's uncertainty beyond which square and dots do not agree on any curl, and tell none."""
TOLD = 0.5
"""Standard uncertainty, mm, beyond which a curl is not told from what a lens bends: a card straight below may show it
the same way.
"""


def check_curl(prints: SeenPrints, plane: Plane, view: CardView) -> None:
    """PhotoRefused for card-bent where the dots show it; the plane tells where they are, the view is the card's in it.

    They tell of the curl alone: the lens is told better by tape and board, which lie all over the photo.  The card is
    looked at by itself: tiles that lie otherwise than stated would bend it.
    """
    dotted = prints.with_dots(plane, view)
    if dotted is prints:
        return
    unknown = replace(prints.setup, priors=replace(prints.setup.priors, curl=UNKNOWN))
    card = tuple(tag for tag in dotted.tags if tag.tag == CARD_TAG)
    seen = replace(dotted, tags=card, setup=unknown).plane()
    if seen.grown > AGREES:
        return
    curls = [(abs(seen.value(name)), seen.spread(name)) for name in CURL]
    if any(u < TOLD and curl - 2 * u > MOST for curl, u in curls):
        raise bent()
