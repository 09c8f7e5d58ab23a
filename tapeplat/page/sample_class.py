"""A sample class: the tasks and photos that come with the program, measured live, for whoever sees the page first.

Its models are measured and filed as a class's own are; removing it erases them for good.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from flask import Blueprint, render_template, request, url_for
from flask import Response as FlaskResponse
from werkzeug.wrappers import Response

from measure.challenge import read_challenge
from tapeplat.api.samples import samples
from tapeplat.archive import Entry
from tapeplat.page.base.page_errors import not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.class_results import attempts_of_class
from tapeplat.page.content.held import erase_held_class, held_of_class
from tapeplat.page.content.photo_upload import TEACHER
from tapeplat.page.jobs.job_queue import Job
from tapeplat.page.jobs.photo_look import looked_at
from tapeplat.page.jobs.upload_check import checked_upload
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge

blueprint = Blueprint("sample", __name__, url_prefix="/teacher/sample")
Page = str | Response
_SETTING, _TEAM, _CLASS = "sample class", "1", "sample"


@dataclass(frozen=True)
class SampleTask:
    """One of the sample's tasks: its challenge, its photo's job, and the measured model; None where there is none."""

    stored: StoredChallenge
    job: Job | None
    entry: Entry | None


@blueprint.post("")
@teachers_only
def begin() -> Page:
    """Take the sample in, and measure its photos; or show the one that is there."""
    if not _slugs():
        slugs = [_taken_in(challenge, photo) for challenge, photo in samples()]
        services().sign_in_secrets.put(_SETTING, " ".join(slugs))
        services().queue.wake()
    return redirect_to(url_for("sample.show"))


@blueprint.get("")
@teachers_only
def show() -> Page:
    """The way to its verdicts, step by step."""
    return render_template("teacher/sample.html", tasks=_tasks())


@blueprint.get("/steps")
@teachers_only
def steps() -> Page:
    """The steps alone, for the script that keeps them fresh."""
    return render_template("teacher/sample_steps.html", tasks=_tasks())


@blueprint.get("/photo.jpg")
@teachers_only
def photo() -> Response:
    """The photo of the first task, as it was taken; what is measured is shown without its surroundings."""
    headers = {"Cache-Control": "private, max-age=3600"}
    return FlaskResponse(_first_photo(), mimetype="image/jpeg", headers=headers)


@lru_cache(maxsize=1)
def _first_photo() -> bytes:
    _, file = next(iter(samples()))
    return checked_upload(file.read_bytes(), file.name).preview


@blueprint.post("/remove")
@teachers_only
def remove() -> Page:
    """Erase the sample's models and challenges; where the teacher worked on one, it is asked first what becomes of it.

    Raises PageError while one is being measured.
    """
    own, wanted = [slug for slug in _slugs() if _is_worked_on(slug)], request.form.get("of", "")
    if own and not wanted:
        kept = [(services().challenges.get(slug), held_of_class(slug)) for slug in own]
        return render_template("teacher/remove_sample.html", kept=kept)
    for slug in _slugs():
        if slug not in own or wanted == "all":
            erase_held_class(slug, forget_lens=True)  # their cameras are invented
            services().challenges.erase(slug)
    services().sign_in_secrets.put(_SETTING, "")
    return redirect_to(url_for("challenges.overview"))


def _is_worked_on(slug: str) -> bool:
    """Whether anything of a task is not the sample's own: its rules, or what its class sent or is called."""
    if services().challenges.text(slug) not in {challenge.read_text("utf-8") for challenge, _ in samples()}:
        return True
    if services().classes.of(slug).name != _CLASS:
        return True
    return any((held.team, held.name) != (_TEAM, "") or held.total > 1 for held in held_of_class(slug))


def _taken_in(challenge: Path, file: Path) -> str:
    house = services()
    slug = house.challenges.create(read_challenge(challenge).title, challenge.read_text("utf-8"))
    house.classes.set_name(slug, _CLASS)
    photo, _ = looked_at(house.lookers, file.read_bytes(), file.name)
    house.jobs.add(slug, _TEAM, [photo], TEACHER)
    return slug


def _slugs() -> list[str]:
    """The sample's challenges that are there still."""
    return [slug for slug in services().sign_in_secrets.get(_SETTING).split() if services().challenges.file(slug)]


def _tasks() -> list[SampleTask]:
    """Raises PageError where there is no sample."""
    found = list(_found())
    if not found:
        raise not_found("There is no sample class.", "Begin one on the page of challenges.")
    return found


def _found() -> Iterator[SampleTask]:
    for slug in _slugs():
        stored, jobs = services().challenges.get(slug), services().jobs.of(slug, most=1)
        if stored is not None:
            entries = attempts_of_class(slug)
            yield SampleTask(stored, jobs[0] if jobs else None, entries[-1] if entries else None)
