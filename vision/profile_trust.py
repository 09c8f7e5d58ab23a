"""A lens profile is used where the photo's own straight lines do not contradict it.

Another phone of the same model bears the same name; a profile of that one moves tape and board by per cents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from calib.estimate.conditioning import radial_of
from calib.estimate.prior import radial_known
from calib.lens.class_lens import FALSE_ALARM, RadialEvidence, chance_of_agreement
from calib.lens.lens_prior import radial_prior
from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from vision.picture.photo import Photo
from vision.picture.remarks import remark
from vision.picture.traced import TapeSpec, Traced
from vision.picture.traced_lines import LineSpec
from vision.tracing import trace


def trace_with_profile(
    photo: Photo, setup: PhotoSetup, tapes: Sequence[TapeSpec], lines: Sequence[LineSpec] = ()
) -> tuple[Photo, Traced]:
    """The photo traced with its lens profile if it has one, or without where it contradicts it, which is remarked.

    The photo comes back with the lens that it was traced with.  Raises PhotoRefused.
    """
    if photo.by_file is None:
        return photo, trace(photo, setup, tapes, lines=lines)
    alone = replace(photo, lens=photo.by_file, lens_from="", by_file=None)
    try:
        traced = trace(alone, setup, tapes, lines=lines)
    except PhotoRefused:
        return photo, trace(photo, setup, tapes, lines=lines)
    if _agrees(traced, photo):
        return photo, trace(photo, setup, tapes, lines=lines)
    said = remark("profile-apart", photo=photo.file, profile=photo.lens_from)
    return alone, replace(traced, remarks=(*traced.remarks, said))


def _agrees(traced: Traced, photo: Photo) -> bool:
    """Whether what a photo, traced without its profile, says of the lens is what one of the profile's lens may say."""
    own = RadialEvidence.of(radial_of(traced.plane), radial_prior())
    profile = RadialEvidence.of(radial_known(photo.lens), radial_prior())
    return chance_of_agreement(own, profile) >= FALSE_ALARM
