"""From a measured model to an attempt that can be filed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from PIL import ExifTags

from measure.result.result import parse_result
from tapeplat.archive.cleaning.clean_pictures import open_picture
from tapeplat.archive.storage.entry import RESULT, NewAttempt
from vision.picture.photo import MOST_BYTES

_FIRST_YEAR = 2000
"""A camera whose clock was never set says 1970 or 1980."""


def attempt_of(
    files: Mapping[str, bytes],
    challenge: Path,
    photos: Sequence[Path],
    *,
    notes: str = "",
    hand: bytes | None = None,
) -> NewAttempt:
    """The attempt of a measured model's files, `result.json` among them, which names challenge and team.

    It is dated by its first photo, where that has a date that can be true. Raises InputMistakes for what is no result.
    """
    result = parse_result(files[RESULT], RESULT)
    return NewAttempt(result.title, result.team, challenge, files, photos, notes, hand, taken_at(photos))


def taken_at(photos: Sequence[Path]) -> datetime | None:
    """When the first photo with a believable date was taken, in local time."""
    latest = datetime.now() + timedelta(days=1)
    for path in photos:
        when = _date(path)
        if when is not None and when.year >= _FIRST_YEAR and when < latest:
            return when.astimezone()
    return None


def _date(path: Path) -> datetime | None:
    try:
        if path.stat().st_size > MOST_BYTES:
            return None
        with open_picture(path.read_bytes()) as image:
            written = image.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal)
        return datetime.strptime(str(written).strip("\0 "), "%Y:%m:%d %H:%M:%S")
    except (OSError, ValueError):  # no picture, too
        return None
