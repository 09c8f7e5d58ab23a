"""Blacking out all that a picture shows beside the parcel and the card: faces, hands, floors.

Where they lie in a picture is worked out when it is measured, and stands in `result.json` (`subject`).
"""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image, ImageDraw

Polygon = Sequence[Sequence[float]]


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
