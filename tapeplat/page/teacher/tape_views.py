"""Before a class builds: does a photo of card and board tell every tape of the challenge?"""

from __future__ import annotations

import threading

from flask import Blueprint, render_template
from werkzeug.wrappers import Response

from calib.photo_refused import PhotoRefused
from measure.challenge import Challenge
from tapeplat.measuring.tapes import TapesSaid, tapes_said
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.content.photo_upload import PHOTO_BYTES, photos_of_request
from tapeplat.page.session.guard import may_hold
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.roles import teachers_only
from vision.picture.photo import PhotoContent

blueprint = Blueprint("tapes", __name__, url_prefix="/teacher")
Page = str | Response
_ONE_AT_A_TIME = threading.Lock()
"""It takes a second of computing, and pupils' pages go first."""


@blueprint.get("/challenge/<slug>/tapes")
@teachers_only
def show(slug: str) -> Page:
    """How to take the photo, and where to choose it."""
    stored, _ = sound_challenge(slug)
    return render_template("teacher/tapes.html", stored=stored, said=None)


@blueprint.post("/challenge/<slug>/tapes")
@may_hold(PHOTO_BYTES)
@teachers_only
def check(slug: str) -> Page:
    """What the photo says; it is not kept."""
    stored, challenge = sound_challenge(slug)
    (photo,) = photos_of_request(1, "for the tapes there is")
    with _ONE_AT_A_TIME:
        said = _said(challenge, PhotoContent(photo.given, photo.content))
    return render_template("teacher/tapes.html", stored=stored, said=said, photo=photo.given)


def _said(challenge: Challenge, photo: PhotoContent) -> TapesSaid:
    try:
        return tapes_said(challenge, photo)
    except PhotoRefused as refusal:
        what = f"The tapes cannot be checked in this photo ({refusal.reason}): {refusal.of_file}."
        raise PageError(400, "This photo cannot be used", what, "Take the photo again and choose it here.") from None
