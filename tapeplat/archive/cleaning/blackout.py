"""Blacking out all that a picture shows beside the parcel and the card: faces, hands, floors.

Where they lie in a picture is worked out when it is measured, and stands in `result.json` (`subject`).
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from PIL import Image, ImageDraw

from calib.printed import CARD
from measure.result.result import Result
from measure.units import MM_PER

Polygon = Sequence[Sequence[float]]
_RIM = 12.0
"""Kept around the model, mm; as much as the corrected picture shows around a parcel whose place is known."""


def blacked_out(image: Image.Image, subject: Sequence[Polygon], part: tuple[int, int] | None = None) -> Image.Image:
    """The picture with everything black that lies in none of the polygons (px, from the top-left pixel's centre).

    part is the size (width, height) of the photo at the picture's top left, where a list of rules stands beside it,
    which stays. The same picture where there is nothing to black out.
    """
    width, height = part or image.size
    seen = Image.new("1", image.size, 1)
    seen.paste(0, (0, 0, width, height))
    shown = Image.new("1", (width, height), 0)
    for polygon in subject:
        ImageDraw.Draw(shown).polygon([(float(x), float(y)) for x, y in polygon], fill=1)
    seen.paste(shown, (0, 0))
    if seen.getextrema() == (255, 255):
        return image
    black = Image.new("RGB", image.size)
    black.paste(image, mask=seen)
    return black


def subject_of_corrected(result: Result) -> tuple[Polygon, ...]:
    """The model in a result's corrected picture, px: nothing where the picture ends around the parcel by itself.

    Where only the card is known its frame is the card's; the hull of all outlines and the card is the model then.
    """
    corrected, scale = result.corrected, MM_PER[result.unit]
    if corrected is None or result.parcel.frame != "card":
        return ()
    points = [(scale * x, scale * y) for zone in result.zones for piece in zone.pieces for x, y in piece.outline]
    model = shapely.buffer(shapely.convex_hull(shapely.MultiPoint([*points, *CARD.corners.tolist()])), _RIM)
    left, top = corrected.origin_mm
    per_px = corrected.mm_per_px
    return ([((x - left) / per_px, (y - top) / per_px) for x, y in shapely.get_coordinates(model)],)
