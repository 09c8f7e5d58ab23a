"""From photos of one model to its plat: where the challenge, the imaging and the measuring meet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from calib.edges import FloatArray
from calib.photo_setup import PhotoSetup, Priors
from measure.challenge import Challenge
from measure.notices import Notice, Subject
from measure.plat.plat import ESTIMATED_LENS, LensRecord, PhotoRecord, Piece, Plat, Ring, Source, normalised, ordered
from measure.quantity import Quantity
from measure.units import LengthUnit
from tapeplat.lens.lens_store import damaged, read_photo_with_profile, stored
from tapeplat.lens.told_lens import Told, kept_lens, told
from tapeplat.measuring.lines_shown import line_doubts, line_pieces, lines_of, unread_lines
from tapeplat.measuring.marked_heights import camera_record
from tapeplat.measuring.one_thread import with_one_thread
from tapeplat.measuring.structures_shown import structures_shown
from vision.merging import Model, Views, laid_together, views_of
from vision.picture.photo import Photo, PhotoSource
from vision.picture.rectified import Rectified
from vision.picture.remarks import Remark
from vision.picture.traced import TapeSpec, Traced, TracedPiece, TracedRing
from vision.subject import subject_in


@dataclass(frozen=True, eq=False)
class Survey:
    """One model as its photos show it: what was measured, and the picture of it seen from straight above."""

    plat: Plat
    picture: Rectified


def survey(challenge: Challenge, photos: Sequence[PhotoSource]) -> Survey:
    """Measure one model from one or more photos. Raises PhotoRefused where none of them can be used.

    What is kept of their cameras' lenses is used.
    """
    views = look(challenge, photos)
    return surveyed(challenge, views, kept_lens(views))


def look(challenge: Challenge, photos: Sequence[PhotoSource]) -> Views:
    """Every photo traced by itself. Raises PhotoRefused where none of them can be used."""
    read = partial(read_photo_with_profile, profiles=stored())
    with with_one_thread():
        return views_of(photos, read, photo_setup_of(challenge), tapes_of(challenge), lines_of(challenge))


def surveyed(challenge: Challenge, views: Views, others: Told) -> Survey:
    """One model from its photos, each told what others of its camera say of the lens. Raises PhotoRefused."""
    with with_one_thread():
        seen, records = told(views, others)
        model = laid_together(seen)
        return Survey(_plat(challenge, model, records), model.traced.picture)


def photo_setup_of(challenge: Challenge) -> PhotoSetup:
    """What the challenge says about parcel and card, as the imaging takes it."""
    parcel, card, priors = challenge.parcel, challenge.card, challenge.priors
    return PhotoSetup(
        width=parcel.width,
        depth=parcel.depth,
        thickness=parcel.thickness,
        surface=card.surface,
        printed_line=(card.along, card.up),
        priors=Priors(priors.printed_line, priors.tile, priors.parcel, priors.thickness, priors.flatness),
    )


def tapes_of(challenge: Challenge) -> tuple[TapeSpec, ...]:
    """Every zone's tape, as the imaging takes it."""
    return tuple(TapeSpec(z.name, z.swatch, z.tile, z.tape_height) for z in challenge.zones)


def _plat(challenge: Challenge, model: Model, lenses: Mapping[str, LensRecord]) -> Plat:
    traced = model.traced
    shown = structures_shown(model, (challenge.parcel.width, challenge.parcel.depth), challenge.unit)
    sources = tuple(Source(c.name, c.kind, c.shared) for c in traced.causes)
    pieces = [_piece(p) for p in traced.pieces] + [_unread(zone, len(sources)) for zone in traced.unread]
    return Plat(
        width=challenge.parcel.width,
        depth=challenge.parcel.depth,
        pieces=ordered(pieces),
        sources=sources,
        frame=traced.frame,
        parcel=None if traced.parcel is None else Ring(traced.parcel.points, traced.parcel.sensitivity),
        photos=tuple(_record(photo, own, lenses.get(photo.sha256)) for photo, own in model.photos),
        notices=(*(_notice(remark, challenge.unit) for remark in traced.remarks), *_damaged_profiles(), *shown.notices),
        solids=shown.solids,
        lines=line_pieces(traced.lines),
        line_doubts=line_doubts(traced.lines),
        unread_lines=unread_lines(traced.lines),
        solids_complete=shown.whole,
    )


def _record(photo: Photo, traced: Traced, radial: LensRecord | None) -> PhotoRecord:
    lens = photo.lens_from or ESTIMATED_LENS
    return PhotoRecord(
        photo.file, photo.sha256, traced.mm_per_px, traced.tilt_deg, lens, subject_in(traced), radial,
        camera_record(traced.plane),
    )  # fmt: skip


def _notice(remark: Remark, unit: LengthUnit) -> Notice:
    """A remark as a notice; one that tells a length names the class's unit, too."""
    told = {"unit": unit} if any(name == "u95" for name, _ in remark.facts) else {}
    return Notice(remark.code, Subject(remark.zone, photo=remark.photo), {**dict(remark.facts), **told})


def _damaged_profiles() -> tuple[Notice, ...]:
    """What is said of lens profiles that cannot be read: the photo's may be among them."""
    return tuple(Notice("lens-profile-damaged", facts={"profile": path.name}) for path in damaged())


def _piece(traced: TracedPiece) -> Piece:
    return Piece(
        zone=traced.zone,
        ring=_ring(traced.ring),
        tape_width=Quantity(traced.width, traced.width_sensitivity),
        holes=tuple(_ring(hole) for hole in traced.holes),
        bridged=traced.bridged,
        status="measured" if traced.measurable else "not measurable",
    )


def _ring(traced: TracedRing) -> Ring:
    return normalised(
        traced.points, traced.sensitivity, curved=traced.curved, inferred=traced.inferred, taped=traced.taped
    )


def _unread(zone: str, sources: int) -> Piece:
    """Stands for a zone whose tape's colour is not known: it may be there or not."""
    nothing: FloatArray = np.zeros((0, 2))
    return Piece(zone, Ring(nothing, np.zeros((0, 2, sources))), Quantity(0.0), status="not measurable")
