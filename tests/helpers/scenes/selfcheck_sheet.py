"""The self-check sheet as a drawn scene, from the geometry that printing shares; printed at any scale on true paper."""

from __future__ import annotations

import numpy as np
import shapely

from calib.printed import CARD, SELF_CHECK_BAND, SELF_CHECK_OUTLINES, SELF_CHECK_SWATCH, SWATCHES
from tests.helpers.scenes.draw import INK, PAPER
from tests.helpers.scenes.model import Film, Light, Patch, Print, Scene, Surface
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.view import looking

LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
"""US letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216:2007)."""
PHONE_LENS, FOCAL_EXCESS = (0.086, -0.111), 1.045
"""What a phone leaves of its lens, and its focal length over EXIF's: as measured on a Pixel 7 Pro's photos."""


def sheet_scene(
    scale: float = 1.0, *, paper: tuple[float, float] = LETTER, size: tuple[int, int] = (1500, 2000), tilt: float = 8.0,
    lens: tuple[float, float] = PHONE_LENS, table: tuple[int, int, int] = (122, 84, 52),
    shift: tuple[float, float] = (1.2, -0.8), without: str = "", light: Light | None = None,
) -> Scene:  # fmt: skip
    """The sheet on a table; the print lies `shift` mm off the paper's middle, as printers put it."""
    place = np.array(paper) / 2 + shift - np.array([CARD.width, CARD.height]) / 2 * scale
    corners = np.array([[0, 0], [paper[0], 0], [paper[0], paper[1]], [0, paper[1]]], float)
    patches = [p for o in SELF_CHECK_OUTLINES if o.name not in without for p in _band(np.array(o.points), place, scale)]
    swatch = SWATCHES[SELF_CHECK_SWATCH - 1].corners * scale + place
    focal = FOCAL_EXCESS * 26 / np.hypot(36, 24) * np.hypot(*size)
    view = looking(size, corners, tilt=tilt, azimuth=20, roll=1.5, fill=0.93, focal=focal, k1=lens[0], k2=lens[1])
    return Scene(
        width=paper[0], depth=paper[1], view=view,
        tapes={}, zones=(), pieces=(), board=Surface(PAPER), table=Surface(table, "wood", 0.04),
        prints=(Print(0, "card", (float(place[0]), float(place[1])), height=0.0, scale=(scale, scale)),),
        patches=(*patches, Patch(swatch, INK, 0.0, over=True)), light=light or Light(), film=Film(quality=95),
    )  # fmt: skip


def _band(middle: FloatArray, place: FloatArray, scale: float) -> list[Patch]:
    shape = shapely.Polygon(middle)
    rings = [shape.buffer(way * SELF_CHECK_BAND / 2, join_style="mitre", mitre_limit=10) for way in (1, -1)]
    return [
        Patch(np.array(r.exterior.coords)[:-1] * scale + place, colour, 0.0)
        for r, colour in zip(rings, (INK, PAPER), strict=True)
    ]
