"""The solids that photos of one model from several sides show, each with its uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.estimate.plane import Plane
from vision.picture.photo import Photo
from vision.picture.rectified import rectify
from vision.picture.traced import Traced
from vision.solids.body import Body
from vision.solids.body_uncertainty import BodySpread, spread_of
from vision.solids.disagreement import Band, disagreement
from vision.solids.edge_fit import EdgePicture, edge_picture
from vision.solids.find_bodies import LEAST_HEIGHT, FoundBody, bodies_in
from vision.solids.wanted_views import WantedView, wanted_view
from vision.solids.whole_land import OpenPlace, open_places

FINE = 0.35
"""Millimetres per pixel of the pictures in which edges are looked for."""
BEYOND = 60.0
"""So far around the parcel the pictures reach, mm: tops are shown beyond it."""
LEAST_KNOWN = 0.15
"""A height or volume whose standard uncertainty is a larger share of it is not known."""
MOST_PARCEL = 1200.0
"""mm: larger parcels are not searched, as the pictures would be too large."""


SHOWS = 0.5
"""The share of its edges from which on a photo shows a solid."""


@dataclass(frozen=True)
class MeasuredBody:
    """A solid and how certain its sizes are; height_known: whether the photos tell how large it is.

    wanted: where they do not, from where one more would.
    """

    body: Body
    spread: BodySpread
    height_known: bool
    wanted: WantedView | None = None


@dataclass(frozen=True)
class DoubtfulPlace:
    """Where something stands, as it seems, that the photos do not measure: place and width, mm; what would help."""

    x: float
    y: float
    width: float
    wanted: WantedView


@dataclass(frozen=True)
class OpenLand:
    """A place where more may stand than was found, and the photo that would tell."""

    place: OpenPlace
    wanted: WantedView


@dataclass(frozen=True)
class PhotoUse:
    """What one photo added: how many solids it shows, and by how much heights are less certain without it (a median).

    sharper is infinite where without it nothing would be measured.
    """

    bodies: int
    sharper: float


@dataclass(frozen=True)
class SolidsShown:
    """What stands on a parcel as its photos show it; photos: what each of them added, in their order.

    whole: whether they show all of the land, and nothing on it but these bodies, all of them measured; if not, open is
    the widest place, if there is one, where more may stand.
    """

    bodies: tuple[MeasuredBody, ...] = ()
    doubtful: tuple[DoubtfulPlace, ...] = ()
    photos: tuple[PhotoUse, ...] = ()
    whole: bool = False
    open: OpenLand | None = None


def solids_shown(seen: Sequence[tuple[Photo, Traced]], size: tuple[float, float]) -> SolidsShown:
    """The solids on a parcel of a size (mm) that two or more photos in the parcel's frame show.

    None where fewer photos are in that frame: one photo shows no heights.
    """
    there = [(photo, traced) for photo, traced in seen if traced.frame != "card"]
    if len(there) < 2 or max(size) > MOST_PARCEL:
        return SolidsShown()
    low, high = np.array([-BEYOND, -BEYOND]), np.array(size) + BEYOND
    cameras = [traced.plane.camera for _, traced in there]
    pictures = [rectify(photo.bgr, c, low, high, FINE) for (photo, _), c in zip(there, cameras, strict=True)]
    bands = [Band(p.ring.points, p.width) for p in there[0][1].pieces]
    apart = disagreement(pictures, [c.position for c in cameras], bands, size)
    edges = [edge_picture(p, c.position) for p, c in zip(pictures, cameras, strict=True)]
    planes = [traced.plane for _, traced in there]
    found = bodies_in(apart, edges)
    standing = [f.body for f in found.sure]
    made = [_measured(f, edges, planes, standing) for f in found.sure if f.body.height >= LEAST_HEIGHT]
    uses = _uses(found.sure, edges, planes)
    added = [uses.pop(0) if any(photo is own for own, _ in there) else PhotoUse(0, 1.0) for photo, _ in seen]
    left = open_places(apart, standing, size)
    return SolidsShown(
        tuple(sorted(made, key=lambda m: (round(m.body.y), m.body.x))),
        tuple(_doubtful(f, edges, standing) for f in found.doubtful),
        tuple(added),
        not left and not found.doubtful and len(made) == len(standing) and all(m.height_known for m in made),
        _open(left[0], edges, standing) if left else None,
    )


def _measured(
    found: FoundBody, edges: Sequence[EdgePicture], planes: Sequence[Plane], standing: Sequence[Body]
) -> MeasuredBody:
    body, spread = found.body, spread_of(found, edges, planes)
    known = spread.height <= LEAST_KNOWN * body.height and spread.volume <= LEAST_KNOWN * body.volume
    others = [b for b in standing if b is not body]
    return MeasuredBody(body, spread, known, None if known else wanted_view(body, edges, others))


def _doubtful(found: FoundBody, edges: Sequence[EdgePicture], standing: Sequence[Body]) -> DoubtfulPlace:
    body = found.body
    return DoubtfulPlace(body.x, body.y, max(body.length, body.width), wanted_view(body, edges, standing))


def _open(place: OpenPlace, edges: Sequence[EdgePicture], standing: Sequence[Body]) -> OpenLand:
    side = max(place.width, LEAST_HEIGHT)
    there = Body("box", place.x, place.y, side, side, side)
    return OpenLand(place, wanted_view(there, edges, standing))


def _uses(sure: Sequence[FoundBody], edges: Sequence[EdgePicture], planes: Sequence[Plane]) -> list[PhotoUse]:
    whole = [spread_of(f, edges, planes).height for f in sure]
    uses = []
    for photo in range(len(edges)):
        sharper = np.inf
        if len(edges) > 2:
            rest = [i for i in range(len(edges)) if i != photo]
            without = [spread_of(f, [edges[i] for i in rest], [planes[i] for i in rest]).height for f in sure]
            sharper = float(np.median([w / u for w, u in zip(without, whole, strict=True)])) if sure else 1.0
        uses.append(PhotoUse(sum(f.support[photo] > SHOWS for f in sure), sharper))
    return uses
