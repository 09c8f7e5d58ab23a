"""Looking at an uploaded photo in a worker process of bounded time and memory: decoding is where files attack."""

from __future__ import annotations

from dataclasses import dataclass

from tapeplat.classroom.team_labels import labels_in
from tapeplat.page.jobs.large_photos import OneLarge
from tapeplat.page.jobs.upload_check import MOST_BYTES, UploadedPhoto, UploadRefused, checked_upload, shown_name
from tapeplat.workers.worker_pool import Limits, WorkerFailed, Workers
from vision.picture.photo import PhotoContent

LIMITS = Limits(seconds=20.0, clock=120.0, nice=5, more_mb=1200, idle=60.0, leave_mb=300)
"""A photo of 60 megapixels takes 1 to 4 s and up to 400 MB for a moment, the usual 12 megapixels 0.2 s and 150 MB."""


@dataclass(frozen=True)
class Seen:
    """What there is to say of a file: why it does not come in, or the photo (without its content) and its labels."""

    problem: str = ""
    ending: str = ""
    preview: bytes = b""
    teams: tuple[int, ...] = ()


@dataclass(frozen=True)
class Look:
    """The question: is this a photo that may come in; with labels, the team labels in it, too."""

    content: bytes
    given: str
    labels: bool = False

    def run(self) -> Seen:
        """The answer."""
        try:
            photo = checked_upload(self.content, self.given)
        except UploadRefused as refusal:
            return Seen(str(refusal))
        teams = tuple(labels_in(PhotoContent(photo.given, photo.content))) if self.labels else ()
        return Seen("", photo.ending, photo.preview, teams)


def looked_at(
    workers: Workers, content: bytes, given: str, *, labels: bool = False, large: OneLarge | None = None
) -> tuple[UploadedPhoto, tuple[int, ...]]:
    """The photo in an uploaded file, and the teams whose labels it shows, if that was asked. Raises UploadRefused."""
    name = shown_name(given)
    if len(content) > MOST_BYTES:
        content = content[: MOST_BYTES + 1]  # the rest would be sent to the worker for nothing
    try:
        with (large or OneLarge()).turn([content]):
            seen = workers.answer(Look(content, given, labels))
    except WorkerFailed as failure:
        do = "Send it as the camera made it, at its ordinary size."
        raise UploadRefused(f"{name}: it takes too long or too much memory to open. {do}") from failure
    if seen.problem:
        raise UploadRefused(seen.problem)
    return UploadedPhoto(content, seen.ending, name, seen.preview), seen.teams
