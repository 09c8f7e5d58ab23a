"""The phone's camera: how far its photos can be trusted, and what its lens does."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from calib.lens.lens_sheet import LensRefused
from calib.photo_refused import PhotoRefused
from measure.units import parse_number
from tapeplat.lens.lens_making import MadeProfile, make_profile
from tapeplat.lens.lens_store import forget, read_photo_with_profile, store, stored
from tapeplat.lens.lens_words import NOMINAL, PLAUSIBLE, profile_in_words, selfcheck_in_words
from tapeplat.lens.selfcheck import self_check
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.photo_upload import PHOTO_BYTES, photos_of_request
from tapeplat.page.jobs.upload_check import UploadedPhoto
from tapeplat.page.session.guard import may_hold
from tapeplat.page.session.roles import teachers_only

blueprint = Blueprint("camera", __name__, url_prefix="/teacher/camera")
Page = str | Response
MOST_LENS_PHOTOS = 25
_ONE_AT_A_TIME = threading.Lock()
"""Both take seconds of computing, and pupils' pages go first."""


@blueprint.get("")
@teachers_only
def show() -> Page:
    """The lens profiles that are kept, and the two forms."""
    return _page()


@blueprint.post("/check")
@may_hold(PHOTO_BYTES)
@teachers_only
def check() -> Page:
    """Say how far to trust this phone and this printer, from a photo of the self-check sheet."""
    lines = _line("along", NOMINAL[0]), _line("up", NOMINAL[1])
    (photo,) = photos_of_request(1, "for the check there is")
    with _ONE_AT_A_TIME, _files([photo]) as files:
        try:
            found = self_check(read_photo_with_profile(files[0], stored()), lines)
        except PhotoRefused as refusal:
            what = f"The self-check sheet cannot be measured in it: {refusal.of_file}."
            do = "Photograph the printed self-check sheet, all of it, and try again."
            raise PageError(400, "This photo cannot be checked", what, do) from None
    return _page(said=selfcheck_in_words(found, lines), sound=found.as_claimed and not found.print_is_off)


@blueprint.post("/lens")
@may_hold(PHOTO_BYTES)
@teachers_only
def lens() -> Page:
    """Learn a lens from photos of the lens sheet."""
    photos = photos_of_request(MOST_LENS_PHOTOS, "for a lens there are at most")
    with _ONE_AT_A_TIME, _files(photos) as files:
        try:
            made = make_profile(files)
        except (LensRefused, PhotoRefused) as refusal:
            what = f"{_named(str(refusal), photos)}."
            raise PageError(400, "No lens profile was made", what, "Take the photos again.") from None
    store(made.profile)
    return _page(made=list(_became(made, photos)))


@blueprint.post("/forget")
@teachers_only
def forget_camera() -> Page:
    """Delete the profiles of a camera."""
    forget(request.form.get("camera", ""))
    return redirect_to(url_for("camera.show"))


def _page(said: str = "", *, sound: bool = True, made: list[str] | None = None) -> str:
    profiles = [(profile.camera, profile_in_words(profile)) for profile in stored()]
    return render_template(
        "teacher/camera.html", profiles=profiles, said=said, sound=sound, made=made, most=MOST_LENS_PHOTOS
    )


def _line(name: str, nominal: float) -> float | None:
    """A check line's length in mm as it was typed. Raises PageError where it is none."""
    text = request.form.get(name, "").strip()
    if not text:
        return None
    try:
        length = float(parse_number(text))
    except ValueError:
        length = 0.0
    if not abs(length / nominal - 1) < PLAUSIBLE:
        what = f"A check line of {nominal:g} mm cannot be “{text[:20]}” long."
        raise PageError(400, "Measure that line again", what, "Give its length in mm, such as 99.5.")
    return length


@contextmanager
def _files(photos: list[UploadedPhoto]) -> Iterator[list[Path]]:
    with tempfile.TemporaryDirectory(prefix="tapeplat-") as folder:
        files = [Path(folder) / f"photo-{number}{photo.ending}" for number, photo in enumerate(photos, 1)]
        for file, photo in zip(files, photos, strict=True):
            file.write_bytes(photo.content)
        yield files


def _became(made: MadeProfile, photos: list[UploadedPhoto]) -> Iterator[str]:
    for used in made.photos:
        became = f"left out: {used.left_out}" if used.residual is None else f"{used.residual:.2f} pixels off"
        yield f"{_named(used.file, photos)}: {_named(became, photos)}"


def _named(text: str, photos: list[UploadedPhoto]) -> str:
    """With the names that the photos had, in place of ours; the last first, as photo-1 begins photo-12."""
    for number, photo in reversed(list(enumerate(photos, 1))):
        text = text.replace(f"photo-{number}{photo.ending}", photo.given)
    return text
