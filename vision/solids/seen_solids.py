"""The solids that photos of one model from several sides show, each with its uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vision.picture.photo import Photo
from vision.picture.rectified import rectify
from vision.picture.traced import Traced
from vision.solids.body import Body
from vision.solids.body_uncertainty import BodySpread, spread_of
from vision.solids.disagreement import Band, disagreement
from vision.solids.edge_fit import edge_picture
from vision.solids.find_bodies import bodies_in

FINE = 0.35
"""Millimetres per pixel of the pictures in which edges are looked for."""
BEYOND = 60.0
"""So far around the parcel the pictures reach, mm: tops are shown beyond it."""
LEAST_HEIGHT = 12.0
"""Of solids that are told, mm: what is lower may be thick paper or the tape's own edge."""
LEAST_KNOWN = 0.15
"""A height or volume whose standard uncertainty is a larger share of it is not known."""
MOST_PARCEL = 1200.0
"""mm: larger parcels are not searched, as the pictures would be too large."""


@dataclass(frozen=True)
class MeasuredBody:
    """A solid and how certain its sizes are; height_known: whether the photos tell how large it is."""

    body: Body
    spread: BodySpread
    height_known: bool


def solids_shown(seen: Sequence[tuple[Photo, Traced]], size: tuple[float, float]) -> tuple[MeasuredBody, ...]:
    """The solids on a parcel of a size (mm) that two or more photos in the parcel's frame show.

    None where fewer photos are in that frame: one photo shows no heights.
    """
    there = [(photo, traced) for photo, traced in seen if traced.frame != "card"]
    if len(there) < 2 or max(size) > MOST_PARCEL:
        return ()
    low, high = np.array([-BEYOND, -BEYOND]), np.array(size) + BEYOND
    cameras = [traced.plane.camera for _, traced in there]
    pictures = [rectify(photo.bgr, c, low, high, FINE) for (photo, _), c in zip(there, cameras, strict=True)]
    bands = [Band(p.ring.points, p.width) for p in there[0][1].pieces]
    apart = disagreement(pictures, [c.position for c in cameras], bands, size)
    edges = [edge_picture(p, c.position) for p, c in zip(pictures, cameras, strict=True)]
    planes = [traced.plane for _, traced in there]
    made = []
    for found in bodies_in(apart, edges):
        spread = spread_of(found, edges, planes)
        if found.body.height >= LEAST_HEIGHT:
            known = (
                spread.height <= LEAST_KNOWN * found.body.height and spread.volume <= LEAST_KNOWN * found.body.volume
            )
            made.append(MeasuredBody(found.body, spread, known))
    return tuple(sorted(made, key=lambda m: (round(m.body.y), m.body.x)))
