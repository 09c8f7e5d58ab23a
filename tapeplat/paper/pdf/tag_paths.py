"""Tags of the AprilTag 36h11 family as one vector path each, so that no hairline shows between their cells."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import shapely
from shapely.geometry.polygon import orient

from calib.printed import TAG_CELLS, Box
from tapeplat.paper.pdf.pdf_canvas import Pages, Point

Rings = tuple[tuple[Point, ...], ...]


def draw_tag(pages: Pages, tag: int, square: Box) -> None:
    """Print a tag whose black outer side is the square's, its first corner at the square's top left."""
    cell = square.width / TAG_CELLS
    rings = [[(square.x + x * cell, square.y + y * cell) for x, y in ring] for ring in tag_rings(tag)]
    pages.shape(rings, fill=0.0)


@cache
def tag_rings(tag: int) -> Rings:
    """The outlines of a tag's black area in cells from its top-left corner, to be filled by the even-odd rule."""
    black = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for y, x in np.argwhere(~_white_cells(tag))])
    polygons = [orient(shapely.Polygon(part)) for part in shapely.get_parts(black.normalize())]
    rings = [ring for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)]
    return tuple(tuple((float(x), float(y)) for x, y in ring.coords[:-1]) for ring in rings)


def _white_cells(tag: int) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Shape (8, 8), from OpenCV's own dictionary so that printing and finding cannot disagree."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return np.asarray(cv2.aruco.generateImageMarker(dictionary, tag, TAG_CELLS, borderBits=1)) > 127
