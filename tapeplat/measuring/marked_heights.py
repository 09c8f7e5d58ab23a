"""Heights of structures from one photo, in which a person marks the foot and the top of an upright edge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.estimate.marked_height import MARKING, MarkedHeight, MarkFault, MarksRefused, marked_height
from calib.estimate.plane import Plane
from measure.errors import InputMistakes, Mistake
from measure.notices import Notice, Subject
from measure.plat.plat import CameraRecord, Plat
from measure.plat.seen_solid import HeightMark, SeenKind, SeenSolid
from measure.quantity import Quantity
from measure.result.result import Result

Place = tuple[float, float]
_SAME = 8.0
"""mm: a foot no farther from a structure's footprint marks that structure."""
_SPECK = 1.0
"""mm: half the side of what stands for the footprint of a structure of which one edge is known."""
_FILLED: dict[SeenKind, float] = {"box": 1.0, "cylinder": 1.0, "prism": 0.5, "pyramid": 1 / 3, "cone": 1 / 3}
"""A solid's volume as a share of floor times height."""
_ASK: dict[MarkFault, tuple[str, str]] = {
    "not-upright": ("these two places do not lie on one upright edge", "mark the top straight above the foot"),
    "not-above": ("the top lies no higher than the foot", "mark the foot on the ground, and the top above it"),
    "seen-from-above": (
        "the photo looks down on this edge almost from straight above, so its height does not show",
        "mark it in a photo taken from the side, 20 to 45 degrees off straight above",
    ),
}


def camera_record(plane: Plane) -> CameraRecord:
    """What a result keeps of a photo's camera, for marks that are made later."""
    rows = plane.factor[[plane.names.index(name) for name in CAMERA_PARAMETERS]]
    covariance = tuple(tuple(float(x) for x in row) for row in rows @ rows.T)
    return CameraRecord(tuple(float(x) for x in plane.camera.vector), covariance, plane.camera.size)


def with_mark(plat: Plat, photo: int, foot: Place, top: Place, marking: float = MARKING) -> Plat:
    """The plat with the height of a marked edge, foot and top in px of the upright photo (from 0).

    It is the height of the structure at whose footprint the foot lies, where the photos do not tell it; else that of a
    structure of which no more is known. A mark at the place of an earlier one takes its place. marking is the standard
    uncertainty of a mark in px. Raises InputMistakes where the marks tell no height.
    """
    record = plat.photos[photo].camera if 0 <= photo < len(plat.photos) else None
    if record is None:
        raise InputMistakes([Mistake("the photo", "its camera was not kept", "measure the model again")])
    try:
        found = marked_height(_plane(record), np.array(foot), np.array(top), max(marking, MARKING))
    except MarksRefused as refused:
        raise InputMistakes([Mistake("the marks", *_ASK[refused.fault])]) from None
    at, mark = shapely.Point(found.foot), HeightMark(plat.photos[photo].sha256, foot, top, max(marking, MARKING))
    others = [solid for solid in plat.solids if not _is_mark_near(solid, at)]
    for number, solid in enumerate(others):
        if solid.kind != "other" and shapely.Polygon(solid.footprint).distance(at) <= _SAME:
            if solid.height is not None and solid.origin == "photos":
                what = f"the photos measure this structure by themselves (number {number + 1} on the picture)"
                raise InputMistakes([Mistake("the marks", what, "mark another structure")])
            others[number] = replace(_heightened(solid, found), mark=mark)
            return replace(plat, solids=tuple(others))
    return replace(plat, solids=(*others, replace(_marked(found), mark=mark)))


def with_marks_of(plat: Plat, earlier: Result) -> Plat:
    """The plat, measured anew of photos, with the heights that were marked in them in an earlier result.

    A notice says of every mark in these photos that does not count any more; marks in other photos are left out.
    """
    photos = [photo.sha256 for photo in plat.photos]
    for mark in (seen.mark for seen in earlier.seen):
        if mark is not None and mark.photo in photos:
            number = photos.index(mark.photo)
            try:
                plat = with_mark(plat, number, mark.foot, mark.top, mark.u)
            except InputMistakes as wrong:
                facts = {"reason": "; ".join(mistake.what for mistake in wrong.mistakes)}
                lost = Notice("mark-not-kept", Subject(photo=plat.photos[number].file), {**facts})
                plat = replace(plat, notices=(*plat.notices, lost))
    return plat


def without_mark(plat: Plat, number: int) -> Plat:
    """The plat without the marked height of a structure, numbered from 1; as it is where it has none."""
    solids = list(plat.solids)
    if not 1 <= number <= len(solids) or solids[number - 1].origin != "marked photo":
        return plat
    solid = solids.pop(number - 1)
    if solid.kind != "other":
        bare = replace(solid, height=None, volume=None, surface=None, side_surface=None, origin="photos", mark=None)
        solids.insert(number - 1, bare)
    return replace(plat, solids=tuple(solids))


def _plane(record: CameraRecord) -> Plane:
    """The plane that a record tells of: all that marks need of it."""
    vector, covariance = np.array(record.parameters), np.array(record.covariance)
    values, vectors = np.linalg.eigh((covariance + covariance.T) / 2)
    factor = vectors * np.sqrt(np.maximum(values, 0.0))
    names, size = CAMERA_PARAMETERS[: len(vector)], (int(record.size[0]), int(record.size[1]))
    camera = Camera(vector, size)
    return Plane(camera, names, vector, factor, names, 1.0, "parcel", {}, (), {}, 1.0, 1.0, 0.0, 0.0, 1.0)


def _is_mark_near(solid: SeenSolid, at: shapely.Point) -> bool:
    return solid.kind == "other" and bool(shapely.Point(solid.centre).distance(at) <= _SAME)


def _height(found: MarkedHeight) -> Quantity:
    return Quantity(found.height, np.array([found.u]))


def _heightened(solid: SeenSolid, found: MarkedHeight) -> SeenSolid:
    """With the height, and the volume that follows from floor and height; the surface is not worked out."""
    filled, height = _FILLED[solid.kind], found.height
    u = filled * float(np.hypot(solid.floor.u * height, solid.floor.value * found.u))
    volume = Quantity(filled * solid.floor.value * height, np.array([u]))
    return replace(solid, height=_height(found), volume=volume, origin="marked photo")


def _marked(found: MarkedHeight) -> SeenSolid:
    corners = np.array([[-_SPECK, -_SPECK], [_SPECK, -_SPECK], [_SPECK, _SPECK], [-_SPECK, _SPECK]])
    ring = np.array(found.foot) + corners
    return SeenSolid("other", ring, Quantity(0.0), _height(found), None, None, None, "marked photo")
