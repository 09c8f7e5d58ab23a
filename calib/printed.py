"""The geometry of everything printed that a photo is measured with: one place that printing and finding both read.

Lengths in mm from a print's top-left corner, x to the right, y down.  Tags are of the open AprilTag 36h11 family with
one border cell: the black outer side is eight cells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

TAG_CELLS = 8
"""Cells along a tag's black outer side: six of data and one border cell on either side."""
CARD_TAG = 0
CORNER_TAGS = (1, 2, 3, 4)
"""Corner tiles at the parcel's top-left, top-right, bottom-right, bottom-left."""
TEAM_TAGS = range(20, 50)
ZONE_TAGS = range(50, 90)
DRAWN_TAG = 199
"""Drawn into annotated pictures, and printed nowhere else: so that one is known as such however it is copied."""
COVERING_TAG = 198
"""Drawn over the card's own tag in annotated pictures: so that no part of one can be measured as if it were a photo."""
LENS_TAGS = range(200, 587)
"""36h11 has 587 tags."""


@dataclass(frozen=True)
class Box:
    """An upright rectangle, in mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def corners(self) -> NDArray[np.float64]:
        """Shape (4, 2): clockwise from the top left."""
        right, bottom = self.x + self.width, self.y + self.height
        return np.array([[self.x, self.y], [right, self.y], [right, bottom], [self.x, bottom]])


CARD = Box(0, 0, 180, 120)
CARD_SQUARE = Box(14, 26, 80, 80)
"""The card's reference square: tag 0's black outer side."""
SWATCHES = tuple(Box(x, y, 34, 18) for y in (26, 46, 66, 86) for x in (106, 142))
"""Boxes 1 to 8, row by row: 1 2 / 3 4 / 5 6 / 7 8."""
DOT_DIAMETER, DOT_PITCH, DOT_GREY = 1.2, 3.0, 70
"""Every swatch box of a dotted card is printed with dots: diameter, distance of centres, grey level of 255."""
DOT_ROWS, DOT_COLUMNS = 6, 11
DOT_FIRST = (2.0, 1.5)
"""The first dot's centre from its box's top-left corner."""
CARD_MARK = tuple((150.0 + DOT_PITCH * i, 112.0) for i in range(5))
"""Centres of the dots that mark a dotted card; older cards have white boxes and no mark."""
CHECK_LINE_ALONG = ((14.0, 112.0), (114.0, 112.0))
CHECK_LINE_UP = ((8.0, 26.0), (8.0, 106.0))
CHECK_TICK = 10.0

CORNER_TILE = Box(0, 0, 32, 32)
CORNER_TILE_SQUARE = Box(4, 4, 24, 24)
ZONE_TILE = Box(0, 0, 24, 24)
ZONE_TILE_SQUARE = Box(3, 3, 18, 18)
TEAM_LABEL = Box(0, 0, 86, 48)
TEAM_LABEL_SQUARE = Box(8, 8, 32, 32)

LENS_COLUMNS, LENS_ROWS = 7, 10
"""The lens sheet is a ChArUco board of OpenCV: squares along and up; its tags are LENS_TAGS from the first, row by
row.
"""
LENS_SQUARE, LENS_MARKER = 24.0, 17.0
"""Sides of a square and of the tag in every white one."""


@dataclass(frozen=True)
class KnownOutline:
    """A closed outline of known size on the self-check sheet: the middle line of its printed band, clockwise."""

    name: str
    points: tuple[tuple[float, float], ...]


SELF_CHECK_BAND = 8.0
"""Width of the bands, solid black, printed about their middle lines with mitred corners."""
SELF_CHECK_SWATCH = 1
"""The swatch box that is printed in the bands' black; the sheet's card is otherwise as every card."""
SELF_CHECK_OUTLINES = (
    KnownOutline("A", ((4, -49), (92, -49), (92, -10), (4, -10))),
    KnownOutline("B", ((141, -46), (171, -10), (111, -10))),
    KnownOutline("C", ((4, 130), (26, 130), (26, 146), (62, 146), (62, 168), (4, 168))),
    KnownOutline("D", ((76, 130), (114, 130), (114, 168), (76, 168))),
    KnownOutline("E", ((142, 130), (174, 130), (160, 168), (128, 168))),
)
"""Above (A, B) and below (C, D, E) the sheet's card, in mm from the card's top-left corner."""


def swatch_dots(number: int) -> NDArray[np.float64]:
    """Centres (6, 11, 2) of the dots in swatch box `number` of a dotted card."""
    box = SWATCHES[number - 1]
    x = box.x + DOT_FIRST[0] + DOT_PITCH * np.arange(DOT_COLUMNS)
    y = box.y + DOT_FIRST[1] + DOT_PITCH * np.arange(DOT_ROWS)
    return np.stack(np.meshgrid(x, y), axis=-1)


def team_tag(team: int) -> int:
    """The tag of a team's label; ValueError where the team's number is not 0 to 29."""
    if not 0 <= team < len(TEAM_TAGS):
        raise ValueError(f"team numbers run from 0 to {len(TEAM_TAGS) - 1}, not {team}")
    return TEAM_TAGS[team]
