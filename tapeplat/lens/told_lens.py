"""A model's photos told what other photos of their cameras say of the lens, and what each of them says itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calib.edges import FloatArray
from calib.estimate.conditioning import radial_of
from calib.estimate.prior import radial_known
from calib.lens.class_lens import FALSE_ALARM, NOTHING, RadialEvidence, ToldByOthers, chance_of_agreement
from measure.plat.plat import LensRecord, Rows, Terms
from tapeplat.lens.class_lens_store import lens_told
from vision.lens_told import with_lens_told
from vision.merging import Views
from vision.picture.one_camera import OneCamera
from vision.picture.photo import Photo
from vision.picture.remarks import remark
from vision.picture.traced import Traced

Told = Mapping[str, ToldByOthers | None]
"""What others say, by a photo's checksum."""


def evidence_of(photo: Photo, traced: Traced) -> RadialEvidence:
    """What a photo, traced without any other, says of its lens."""
    return RadialEvidence.of(radial_of(traced.plane), radial_known(photo.lens))


def said_by(views: Views) -> tuple[tuple[str, LensRecord, bool], ...]:
    """What each photo says of its lens, by checksum, and whether it has a lens profile, which tells nothing further."""
    _, records = told(views, {})
    return tuple((p.sha256, records[p.sha256], bool(p.lens_from)) for p, _ in views.seen if p.sha256 in records)


def kept_lens(views: Views) -> Told:
    """What the kept photos of each photo's camera say; a lens profile stands by itself, so it is told nothing."""
    own = [photo.sha256 for photo, _ in views.seen]
    found = {}
    for photo, _ in views.seen:
        if photo.one_camera is not None and not photo.lens_from:
            found[photo.sha256] = lens_told(photo.one_camera.key, own)
    return found


def told(views: Views, others: Told) -> tuple[Views, Mapping[str, LensRecord]]:
    """The views with what others say of their lenses, and each photo's record of its lens, by checksum.

    A photo that those others do not agree with is left as it is, which is remarked.
    """
    seen, records, remarks = list[tuple[Photo, Traced]](), dict[str, LensRecord](), list(views.left_out)
    for photo, traced in views.seen:
        camera = photo.one_camera
        if camera is None:
            seen.append((photo, traced))
            continue
        own, lens = evidence_of(photo, traced), others.get(photo.sha256)
        if lens is not None and chance_of_agreement(own, lens.evidence) < FALSE_ALARM:
            remarks.append(remark("lens-apart", photo=photo.file, camera=camera.title, photos=lens.photos))
            lens = None
        if lens is not None:
            traced = with_lens_told(photo, traced, lens.evidence)
            photo = replace(photo, lens_from=lens_said(camera.title, lens.photos))
        seen.append((photo, traced))
        records[photo.sha256] = _record(camera, traced, own, lens)
    return Views(tuple(seen), tuple(remarks)), records


def lens_said(title: str, photos: int) -> str:
    """Where the knowledge of a lens comes from that other photos of the same camera told."""
    others = "1 other photo" if photos == 1 else f"{photos} other photos"
    return f"estimated from the photo and {others} of {title}"


def _record(camera: OneCamera, traced: Traced, own: RadialEvidence, lens: ToldByOthers | None) -> LensRecord:
    radial = radial_of(traced.plane)
    others = NOTHING if lens is None else lens.evidence
    return LensRecord(
        camera.key,
        camera.title,
        _terms(radial.mean),
        _rows(radial.covariance),
        _rows(own.information),
        _terms(own.vector),
        0 if lens is None else lens.photos,
        _rows(others.information),
        _terms(others.vector),
    )


def _terms(values: FloatArray) -> Terms:
    return tuple(values.tolist())


def _rows(matrix: FloatArray) -> Rows:
    return tuple(_terms(row) for row in matrix)
