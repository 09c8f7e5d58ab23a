"""Sending photos from a phone that opened the QR code's address: no passphrase, one challenge, for some hours.

Opening the address alone uses nothing up, as phones look at addresses before people do; the button does.
"""

from __future__ import annotations

from flask import Blueprint, render_template, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.photo_upload import PHOTO_BYTES, take_in
from tapeplat.page.jobs.upload_check import MOST_PHOTOS
from tapeplat.page.session.guard import may_hold
from tapeplat.page.session.live_parts import live_part
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.roles import allow_photos_of, photos_challenge, photos_sender
from tapeplat.page.session.services import services

blueprint = Blueprint("phone", __name__, url_prefix="/phone")


@blueprint.get("/key/<key>")
def arrive(key: str) -> str:
    """What the QR code opens."""
    if not services().upload_keys.holds(key):
        raise _used()
    return render_template("phone/arrive.html", key=key)


@blueprint.post("/key/<key>")
def begin(key: str) -> Response:
    """Let this phone send photos."""
    challenge = services().upload_keys.use(key)
    if not challenge:
        raise _used()
    allow_photos_of(challenge)
    return redirect_to(url_for("phone.photos"))


@blueprint.get("/photos")
def photos() -> str:
    """Where the phone takes and sends photos."""
    slug = _challenge()
    stored, _ = sound_challenge(slug)
    names = services().classes.team_names(slug)
    return render_template(
        "phone/photos.html",
        stored=stored,
        state=services().classes.of(slug),
        names=names,
        most=MOST_PHOTOS,
        **_sent(slug),
    )


@blueprint.get("/sent")
def sent() -> Response:
    """What became of this phone's own photos, for the script that keeps it fresh."""
    found = _sent(_challenge())
    return live_part(found, lambda: render_template("phone/sent.html", **found))


def _sent(slug: str) -> dict[str, object]:
    house = services()
    jobs = house.jobs.sent_by(slug, photos_sender())
    ahead = {job.id: house.jobs.ahead_of(job) for job in jobs if job.state == "waiting"}
    return {"jobs": jobs, "ahead": ahead}


@blueprint.post("/photos")
@may_hold(PHOTO_BYTES, phones=True)
def upload() -> Response:
    """Take in the photos of one model."""
    slug = _challenge()
    sound_challenge(slug)
    take_in(slug, photos_sender())
    return redirect_to(url_for("phone.photos"))


def _challenge() -> str:
    """The challenge that this phone may send photos for. Raises PageError."""
    slug = photos_challenge()
    if not slug:
        what = "This phone may not send photos, or not any more."
        raise PageError(403, "Scan the code again", what, "On the teacher's page open Photos, then “Use a phone”.")
    return slug


def _used() -> PageError:
    what = "This address was used already, or is too old."
    return PageError(403, "Scan a new code", what, "On the teacher's page open Photos, then “Use a phone”.")
