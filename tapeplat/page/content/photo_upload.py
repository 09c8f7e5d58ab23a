"""Taking photos in from a request: all of one model's or none of them; or a whole class's, by the labels in them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from flask import request
from werkzeug.datastructures import FileStorage

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.jobs.photo_look import looked_at
from tapeplat.page.jobs.upload_check import MOST_BYTES, MOST_PHOTOS, UploadedPhoto, UploadRefused
from tapeplat.page.session.sent_once import sent_as
from tapeplat.page.session.services import services

PHOTO_BYTES = MOST_PHOTOS * MOST_BYTES + 100_000
"""Of a request with photos and a little besides."""
MOST_TOGETHER = 60
"""Photos of a whole class in one request."""
TEACHER = "teacher"
MOST_OF_PHONE = 40
"""Models from one phone whose photos are kept at the same time."""
MOST_KEPT = 4_000_000_000
"""Bytes of photos that are not measured; a class of 30 teams with 8 photos each has half of that."""
BY_LABEL = "label"
"""In place of a team's number: the printed label in each photo says whose model it is."""


def take_in(slug: str, origin: str) -> None:
    """Look at every photo of the request, keep them, and queue them. Raises PageError with all that is wrong."""
    _check_room(origin)
    team = request.form.get("team", "")
    if team == BY_LABEL:
        _take_in_class(slug, _files_of_request(), origin)
        return
    _check_team(slug, team)
    photos = _sound_photos(MOST_PHOTOS, "one model takes at most", labels=True)
    others = sorted({number for _, teams in photos for number in teams if str(number) != team})
    model = [photo for photo, _ in photos]
    if others:
        why = f"{_labels_in_it(others)}, and it was sent as team {team}'s."
        _queue(slug, "", model, origin, why)
    else:
        _queue(slug, team, model, origin)


def photos_of_request(most: int, said: str) -> list[UploadedPhoto]:
    """The request's photos, all of them sound. Raises PageError with all that is wrong; `said` comes before `most`."""
    return [photo for photo, _ in _sound_photos(most, said)]


def _sound_photos(most: int, said: str, *, labels: bool = False) -> list[tuple[UploadedPhoto, tuple[int, ...]]]:
    files = _files_of_request()
    _check_number(files, most, said)
    photos, wrong = _looked(files, labels=labels)
    if wrong:
        what = "Nothing was taken in, because of this:"
        raise PageError(400, "This cannot be measured", what, "Choose the photos again.", lines=wrong)
    return photos


def _labels_in_it(teams: Sequence[int]) -> str:
    if len(teams) == 1:
        return f"Team {teams[0]}'s label is in it"
    return f"The labels of teams {' and '.join(map(str, teams))} are in it"


def _files_of_request() -> list[FileStorage]:
    return [file for file in request.files.getlist("photos") if file.filename or file.content_length]


def _take_in_class(slug: str, files: Sequence[FileStorage], origin: str) -> None:
    """Every photo whose label says whose it is is measured; the others wait until the teacher says whose they are."""
    _check_number(files, MOST_TOGETHER, "in one go there are at most")
    photos, wrong = _looked(files, labels=True)
    models: dict[int, list[UploadedPhoto]] = {}
    ownerless = list[tuple[UploadedPhoto, str]]()
    for photo, teams in photos:
        doubt = _doubt(slug, teams)
        if doubt:
            ownerless.append((photo, doubt))
        else:
            models.setdefault(teams[0], []).append(photo)
    for team, those in list(models.items()):
        if len(those) > MOST_PHOTOS:
            wrong.append(f"Team {team}: these are {len(those)} photos; one model takes at most {MOST_PHOTOS}.")
            del models[team]
    for team, those in sorted(models.items()):
        _queue(slug, str(team), those, origin)
    for photo, doubt in ownerless:
        _queue(slug, "", [photo], origin, doubt)
    if wrong:
        taken = sum(map(len, models.values())) + len(ownerless)
        what = f"{taken} of {len(files)} photos were taken in. These were not:"
        raise PageError(400, "Some photos were not taken in", what, "Send them again, and choose their team.", wrong)


def _check_room(origin: str) -> None:
    """Raises PageError where this sender, or all together, have sent as much as is kept."""
    jobs = services().jobs
    if origin != TEACHER and jobs.kept_of(origin) >= MOST_OF_PHONE:
        what = f"{MOST_OF_PHONE} models from this phone are still waiting, or were refused."
        raise PageError(429, "Please wait", what, "Send more when they are measured, or ask your teacher.")
    if jobs.kept_bytes() > MOST_KEPT:
        what = "The photos that wait or were refused fill the space that is set aside for them."
        raise PageError(507, "No room for more photos", what, "Take refused photos off the list under Photos.")


def _check_team(slug: str, team: str) -> None:
    if team not in map(str, range(1, services().classes.of(slug).teams + 1)):
        raise PageError(400, "Whose model is it?", "No team was chosen.", "Go back and choose the team.")


def _check_number(files: Sequence[FileStorage], most: int, said: str) -> None:
    if not files:
        raise PageError(400, "No photo was chosen", "There is no photo in what was sent.", "Choose one, then send it.")
    if len(files) > most:
        what = f"These are {len(files)} photos; {said} {most}."
        raise PageError(400, "Too many photos", what, "Send fewer at once.")


def _looked(
    files: Sequence[FileStorage], *, labels: bool = False
) -> tuple[list[tuple[UploadedPhoto, tuple[int, ...]]], list[str]]:
    """The photos that may come in with the teams whose labels they show, and what is wrong with the other files."""
    photos, wrong = [], []
    for file in files:
        try:
            with file.stream:
                content = file.stream.read(MOST_BYTES + 1)
                photos.append(_look(content, file.filename or "", labels=labels))
        except UploadRefused as refusal:
            wrong.append(str(refusal))
    return photos, wrong


def _look(content: bytes, given: str, *, labels: bool) -> tuple[UploadedPhoto, tuple[int, ...]]:
    return looked_at(services().lookers, content, given, labels=labels, large=services().large)


def _doubt(slug: str, teams: Sequence[int]) -> str:
    """Why a photo's labels do not say whose it is; empty where they do."""
    if len(teams) > 1:
        return f"{_labels_in_it(teams)}."
    if not teams:
        return "No team label is in it."
    known = 1 <= teams[0] <= services().classes.of(slug).teams
    return "" if known else f"Team {teams[0]}'s label is in it, and this class has no such team."


def _queue(slug: str, team: str, photos: Sequence[UploadedPhoto], origin: str, why: str = "") -> None:
    """Under the request's name and the first photo's content: one request may bring several models."""
    first = hashlib.sha256(photos[0].content).hexdigest()[:16]
    services().jobs.add(slug, team, photos, origin, why, sent_as=f"{sent_as()} {first}" if sent_as() else "")
    services().queue.wake()
