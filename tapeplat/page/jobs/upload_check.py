"""Looking at what was uploaded before anything is kept: only whole photos of a usable size come in.

The kind is told by the content, never by the name.  A file that is a photo and something else as well (a page, a
script, an archive, a document) is refused, although nothing of an upload is ever served or run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import cv2

from calib.photo_refused import PhotoRefused
from tapeplat.wording.sentences import sentence
from vision.picture.photo import Photo, photo_from_bytes
from vision.picture.photo_formats import FORMATS_IN_WORDS, format_of, other_kind

MOST_BYTES = 25_000_000
"""Of one photo; a phone's largest have about 20 MB."""
MOST_PHOTOS = 8
"""Of one model, in one go."""
_PREVIEW = 480


class UploadRefused(Exception):  # noqa: N818  (named for what happened, as the teacher reads it)
    """A file that does not come in; the message says which, why, and what to do."""


@dataclass(frozen=True)
class UploadedPhoto:
    """A photo that may come in: its file's content and ending, and a small picture of it that was drawn anew."""

    content: bytes
    ending: str
    given: str
    preview: bytes


def checked_upload(content: bytes, given: str) -> UploadedPhoto:
    """The photo in an uploaded file. Raises UploadRefused."""
    name = shown_name(given)
    kind, problem = format_of(content), next(_problems(content, given), "")
    if kind is None or problem:
        raise UploadRefused(f"{name}: {problem}")
    try:
        preview = _preview(photo_from_bytes(content, name))
    except PhotoRefused as refusal:
        raise UploadRefused(sentence(refusal.of_file)) from refusal
    return UploadedPhoto(content, kind.ending, name, preview)


def shown_name(given: str) -> str:
    """A file's name for people: without what is no letter or sign, and not too long."""
    last = re.split(r"[/\\]", given)[-1]
    plain = "".join(letter for letter in last if letter.isprintable()).strip()
    return plain if len(plain) <= 60 else f"{plain[:40]}…{plain[-15:]}"


def _problems(content: bytes, given: str) -> Iterator[str]:
    """What is wrong, the first thing first."""
    if re.search(r"[/\\\0]", given) or given.strip() in (".", ".."):
        yield "its name holds a path, which no camera writes. Rename the file."
    if not content:
        yield "the file is empty. Send the photo again."
    if len(content) > MOST_BYTES:
        yield f"it has more than {MOST_BYTES // 1_000_000} MB. Send a single photo, at the camera's ordinary size."
    if format_of(content) is None:
        yield f"it is {other_kind(content)}, not a photo. Send the photo itself, as {FORMATS_IN_WORDS}."
    other = _also(content)
    if other:
        yield f"it is a photo and {other} at the same time. Send the photo as the camera made it."


_INSIDE = re.compile(rb"<script[\s>]|<!doctype\s+html|<html[\s>]|<svg\s|<\?php|<iframe[\s>]", re.IGNORECASE)


def _also(content: bytes) -> str:
    """What else a photo's file is. Names of markup of five letters and more do not come about by chance."""
    if _INSIDE.search(content):
        return "a web page or script"
    if b"%PDF-" in content[:1100]:
        return "a PDF document"
    # A ZIP archive is read from its end: a record of 22 bytes and a comment that reaches to the end of the file.
    at = content.rfind(b"PK\x05\x06", max(0, len(content) - 65_600))
    if at >= 0 and at + 22 + int.from_bytes(content[at + 20 : at + 22], "little") == len(content):
        return "a ZIP archive"
    return ""


def _preview(photo: Photo) -> bytes:
    """The photo small and drawn anew, without anything else that its file held."""
    width, height = photo.size
    scale = min(1.0, _PREVIEW / max(width, height))
    small = cv2.resize(
        photo.bgr, (max(1, round(width * scale)), max(1, round(height * scale))), interpolation=cv2.INTER_AREA
    )
    done, data = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, 80])
    if not done:
        raise UploadRefused(f"{photo.file}: it cannot be shown. Send another photo.")
    return data.tobytes()
