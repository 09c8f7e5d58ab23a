"""Taking photos in from a request: all of one model's, or none of them."""

from __future__ import annotations

from flask import request
from werkzeug.datastructures import FileStorage

from tapeplat.page.errors import PageError
from tapeplat.page.photos.looking import MOST_BYTES, MOST_PHOTOS, Looked, UploadRefused, looked_at
from tapeplat.page.room import room

PHOTO_BYTES = MOST_PHOTOS * MOST_BYTES + 100_000
"""Of a request with photos and a little besides."""


def team_of(slug: str) -> str:
    """The team that the request names. Raises PageError where the class has none of that number."""
    number = request.form.get("team", type=int)
    if number is None or not 1 <= number <= room().classes.of(slug).teams:
        raise PageError(400, "Whose model is it?", "No team was chosen.", "Go back and choose the team.")
    return str(number)


def take_in(slug: str, team: str, origin: str) -> int:
    """Look at every photo of the request, keep them, and queue them. Raises PageError with all that is wrong."""
    files = [file for file in request.files.getlist("photos") if file.filename or file.content_length]
    if not files:
        raise PageError(400, "No photo was chosen", "There is no photo in what was sent.", "Choose one, then send it.")
    if len(files) > MOST_PHOTOS:
        what = f"These are {len(files)} photos; one model takes at most {MOST_PHOTOS}."
        raise PageError(400, "Too many photos", what, "Send only photos of one model together.")
    photos, wrong = [], []
    for file in files:
        try:
            photos.append(_looked(file))
        except UploadRefused as refusal:
            wrong.append(str(refusal))
    if wrong:
        what = "Nothing was taken in, because of this:"
        raise PageError(400, "This cannot be measured", what, "Choose the photos again.", lines=wrong)
    number = room().jobs.add(slug, team, photos, origin)
    room().queue.wake()
    return number


def _looked(file: FileStorage) -> Looked:
    with file.stream:
        return looked_at(file.stream.read(MOST_BYTES + 1), file.filename or "")
