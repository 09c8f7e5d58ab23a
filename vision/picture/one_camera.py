"""Which camera and which of its lenses took a photo, as its EXIF tells: photos that tell the same share one lens."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import ExifTags, Image

from vision.picture.photo_formats import format_of, raise_warnings, register_heif

_LIKELY = range(10, 201)
"""Focal lengths in 35 mm terms, mm."""


@dataclass(frozen=True)
class OneCamera:
    """Maker and model, lens, focal length in mm (as stated, and in 35 mm terms), digital zoom, long side over short."""

    camera: str
    lens: str
    focal: float
    equivalent: float
    zoom: float
    shape: float

    @property
    def key(self) -> str:
        """All of it in one line."""
        lens = f"{self.lens} | " if self.lens else ""
        return f"{self.camera} | {lens}{self.focal:g} mm ({self.equivalent:g}) | x{self.zoom:g} | {self.shape:g}"

    @property
    def title(self) -> str:
        """The camera and which of its lenses, for people."""
        zoomed = f", zoomed {self.zoom:g} times" if self.zoom > 1 else ""
        return f"{self.camera}, {self.equivalent:g} mm lens{zoomed}"


def one_camera(exif: Image.Exif, size: tuple[int, int]) -> OneCamera | None:
    """The camera of a picture of this size; None where EXIF does not tell camera and focal length."""
    details = exif.get_ifd(ExifTags.IFD.Exif)
    camera = camera_name(exif)
    equivalent = number(details.get(ExifTags.Base.FocalLengthIn35mmFilm))
    if camera is None or not _LIKELY.start <= equivalent < _LIKELY.stop:
        return None
    return OneCamera(
        camera,
        _text(details.get(ExifTags.Base.LensModel)),
        round(number(details.get(ExifTags.Base.FocalLength)), 3),
        round(equivalent, 3),
        round(max(1.0, number(details.get(ExifTags.Base.DigitalZoomRatio))), 3),
        round(max(size) / min(size), 2),
    )


def one_camera_of(photo: Path) -> OneCamera | None:
    """As one_camera, from a file that is not decoded; None for what is no photo, too."""
    try:
        with warnings.catch_warnings():
            raise_warnings()
            data = photo.read_bytes()
            kind = format_of(data)
            if kind is None:
                return None
            register_heif(kind)
            with Image.open(io.BytesIO(data), formats=(kind.name,)) as image:
                return one_camera(image.getexif(), image.size)
    except (OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError):
        return None


def camera_name(exif: Image.Exif) -> str | None:
    """Make and model."""
    parts = [_text(exif.get(tag)) for tag in (ExifTags.Base.Make, ExifTags.Base.Model)]
    return " ".join(p for p in parts if p) or None


def number(value: object) -> float:
    """An EXIF number; 0 for what is none."""
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return 0.0


def _text(value: object) -> str:
    return "" if value is None else str(value).strip("\0 ")
