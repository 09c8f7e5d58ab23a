"""A drawn scene as the file that a phone would have made, and as the photo that the measuring code reads from it."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from calib.photo_setup import PhotoSetup, Priors
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.model import Scene
from vision.picture.photo import Photo, photo_from_bytes
from vision.picture.photo_formats import register_heif
from vision.picture.traced import TapeSpec


def exif(equivalent: int | None, size: tuple[int, int] | None, orientation: int = 1) -> Image.Exif:
    """EXIF with the focal length in 35 mm terms, the picture's own size, an orientation."""
    data = Image.Exif()
    data[ExifTags.Base.Orientation] = orientation
    data[ExifTags.Base.Make], data[ExifTags.Base.Model] = "Invented", "Phone 1"
    details = data.get_ifd(ExifTags.IFD.Exif)
    if equivalent is not None:
        details[ExifTags.Base.FocalLengthIn35mmFilm] = equivalent
    if size is not None:
        details[ExifTags.Base.ExifImageWidth], details[ExifTags.Base.ExifImageHeight] = size
    return data


def encoded(
    bgr: NDArray[np.uint8], kind: str = "JPEG", *, quality: int = 93, equivalent: int | None = 26, orientation: int = 1,
    stated: tuple[int, int] | None = None,
) -> bytes:  # fmt: skip
    """The file's bytes; `stated` is the size that EXIF gives (the picture's own by default)."""
    if kind == "HEIF":
        register_heif()
    buffer = io.BytesIO()
    size = stated or (bgr.shape[1], bgr.shape[0])
    image = Image.fromarray(np.ascontiguousarray(bgr[..., ::-1]))
    options = {"JPEG": {"quality": quality, "subsampling": "4:2:0"}, "HEIF": {"quality": quality}}.get(kind, {})
    image.save(buffer, kind, exif=exif(equivalent, size, orientation), **options)
    return buffer.getvalue()


def photo_of(scene: Scene) -> Photo:
    """The scene drawn, written as JPEG and read again."""
    return photo_from_bytes(encoded(draw(scene), quality=scene.film.quality, equivalent=scene.equivalent), "drawn.jpg")


def photo_setup_of(scene: Scene, priors: Priors | None = None) -> PhotoSetup:
    """What the challenge says of parcel and card; priors default to the challenge's own defaults."""
    width, depth = scene.stated_size or (scene.width, scene.depth)
    thickness = scene.stated_thickness if scene.stated_thickness is not None else scene.thickness
    return PhotoSetup(
        width, depth, thickness if scene.on_table else None, "table" if scene.on_table else "parcel",
        scene.stated_line, Priors() if priors is None else priors,
    )  # fmt: skip


def tapes_of(scene: Scene) -> list[TapeSpec]:
    return [TapeSpec(z.name, z.swatch, z.tile, z.height) for z in scene.zones]
