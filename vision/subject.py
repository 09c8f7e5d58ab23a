"""Where parcel and card lie in a photo, so that everything else in it can be blacked out."""

from __future__ import annotations

import numpy as np
import shapely

from calib.edges import FloatArray
from vision.picture.prints import card_outline
from vision.picture.rectified import RIM
from vision.picture.traced import Traced

CARD_RIM = 4.0
"""Kept around the card, mm: paper is cut by hand."""
_STEP = 40.0
"""mm between the points of a side, which the lens bends in the photo."""

Places = tuple[tuple[float, float], ...]


def subject_in(traced: Traced) -> tuple[Places, ...]:
    """Polygons in the upright photo's px: the parcel with its rim, and the card.

    Where the parcel's place is not known, the hull of all outlines and the card stands for it.
    """
    plane, camera = traced.plane, traced.plane.camera
    card = shapely.Polygon(card_outline(plane))
    if traced.parcel is not None:
        parcel = shapely.Polygon(traced.parcel.points)
    else:
        rings = [shapely.MultiPoint(piece.ring.points) for piece in traced.pieces]
        parcel = shapely.convex_hull(shapely.union_all([card, *rings]))
    kept = (_grown(parcel, RIM), 0.0), (_grown(card, CARD_RIM), plane.value("card height"))
    return tuple(_places(camera.project(points, height)) for points, height in kept)


def _grown(shape: shapely.Geometry, by: float) -> FloatArray:
    """The outline of a shape grown by so many mm, with points along its sides."""
    grown = shapely.buffer(shape, by, join_style="mitre")
    return np.asarray(shapely.get_coordinates(shapely.segmentize(grown, _STEP))[:-1], dtype=np.float64)


def _places(points: FloatArray) -> Places:
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in points)
