"""Marking a height in a model's photo: which photos can be marked in, and what the browser sends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from werkzeug.datastructures import MultiDict

from tapeplat.measuring.marked_heights import Place
from tapeplat.page.content.attempt_model import Model

_ENDINGS = (".jpg", ".png")
_FARTHEST = 1e5
_COARSE = 50.0
"""px: a mark is never taken to be less certain, however small the photo is shown."""


@dataclass(frozen=True)
class Marks:
    """The photo, from 1, and where in it, in px, foot and top are; marking is the uncertainty of a mark, px."""

    photo: int = 1
    foot: Place = (0.0, 0.0)
    top: Place = (0.0, 0.0)
    marking: float = 2.0


def markable(model: Model) -> tuple[int, ...]:
    """The numbers of the photos whose camera is known, where the files filed are those that were measured."""
    photos = model.result.photos
    numbers = range(1, len(photos) + 1)
    if photo_file(model, len(photos) + 1) is not None:
        return ()  # a photo was left out, and which file is whose is not known
    return tuple(n for n in numbers if photos[n - 1].camera is not None and photo_file(model, n) is not None)


def photo_file(model: Model, number: int) -> Path | None:
    """The file of a photo, numbered from 1, as it is filed; None where there is none."""
    files = (model.entry.folder / f"photo-{number}{ending}" for ending in _ENDINGS)
    return next((file for file in files if file.is_file()), None)


def marks_of(form: MultiDict[str, str]) -> Marks:
    """What the browser sent; what is no number is 0."""
    foot, top = ((_number(form, f"{end}_x"), _number(form, f"{end}_y")) for end in ("foot", "top"))
    marking = min(max(_number(form, "marking"), 1.0), _COARSE)
    return Marks(form.get("photo", 1, int), foot, top, marking)


def _number(form: MultiDict[str, str], name: str) -> float:
    value = form.get(name, 0.0, float)
    return value if math.isfinite(value) and abs(value) < _FARTHEST else 0.0
