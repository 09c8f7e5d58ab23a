"""Photos of models: taking them in, from this device or from a phone, and how far the queue is."""

from __future__ import annotations

import segno
from flask import Blueprint, render_template, request, send_file, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.photo_upload import PHOTO_BYTES, TEACHER, take_in
from tapeplat.page.jobs.job_queue import Job
from tapeplat.page.jobs.upload_check import MOST_PHOTOS
from tapeplat.page.session.guard import may_hold
from tapeplat.page.session.lookups import sound_challenge, stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.upload_keys import KEY_MINUTES
from tapeplat.paper.exercises.rule_facts import speaks_of_structures

blueprint = Blueprint("photos", __name__, url_prefix="/teacher")
Page = str | Response


@blueprint.get("/challenge/<slug>/photos")
@teachers_only
def show(slug: str) -> Page:
    """Where photos are dropped, and the queue."""
    stored, challenge = sound_challenge(slug)
    return render_template(
        "teacher/photos.html", stored=stored, state=services().classes.of(slug), most=MOST_PHOTOS,
        structures=speaks_of_structures(challenge), **_queue(slug),
    )  # fmt: skip


@blueprint.post("/challenge/<slug>/photos")
@may_hold(PHOTO_BYTES)
@teachers_only
def upload(slug: str) -> Page:
    """Take in the photos of one model."""
    sound_challenge(slug)
    take_in(slug, TEACHER)
    return redirect_to(url_for("photos.show", slug=slug))


@blueprint.get("/challenge/<slug>/queue")
@teachers_only
def queue(slug: str) -> Page:
    """The queue alone, for the script that keeps it fresh."""
    stored = stored_challenge(slug)
    return render_template("teacher/queue.html", stored=stored, **_queue(slug))


@blueprint.post("/challenge/<slug>/phone")
@teachers_only
def phone(slug: str) -> Page:
    """The address for a phone, as a QR code."""
    stored = stored_challenge(slug)
    reached = services().reach.address
    if not reached:
        what = "This page can only be opened on this computer now."
        raise PageError(
            409, "Phones cannot reach this page", what, "Let phones in under Settings, then show the code again."
        )
    address = reached + url_for("phone.arrive", key=services().upload_keys.make(slug))
    code = segno.make(address, error="m").svg_inline(scale=8, border=3, svgclass="qr", lineclass=None, omitsize=True)
    return render_template("teacher/phone.html", stored=stored, address=address, code=Markup(code), minutes=KEY_MINUTES)


@blueprint.get("/job/<int(max=999999999):number>/preview.jpg")
@teachers_only
def preview(number: int) -> Response:
    """A small picture of what was sent, drawn anew when it came in."""
    file = services().jobs.preview(number)
    if not file.is_file():
        raise not_found("This photo is not kept any more.")
    return send_file(file, mimetype="image/jpeg")


@blueprint.post("/job/<int(max=999999999):number>/again")
@teachers_only
def again(number: int) -> Response:
    """Measure a refused or failed model once more."""
    job = _job(number)
    services().jobs.again(number)
    services().queue.wake()
    return _back_to(job)


@blueprint.post("/job/<int(max=999999999):number>/dismiss")
@teachers_only
def dismiss(number: int) -> Response:
    """Take a finished or waiting job off the list, and delete its photos."""
    job = _job(number)
    services().jobs.dismiss(number)
    return _back_to(job)


def _back_to(job: Job) -> Response:
    """The list that the button stood in."""
    page = "board.show" if request.form.get("back") == "board" else "photos.show"
    return redirect_to(url_for(page, slug=job.challenge))


def _job(number: int) -> Job:
    job = services().jobs.get(number)
    if job is None:
        raise not_found("This photo is not on the list any more.")
    return job


def _queue(slug: str) -> dict[str, object]:
    jobs = services().jobs.of(slug)
    ahead = {job.id: services().jobs.ahead_of(job) for job in jobs if job.state == "waiting" and job.team}
    return {"jobs": jobs, "ahead": ahead, "busy": any(job.unfinished for job in jobs)}
