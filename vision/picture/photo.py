"""Reading a photo: JPEG, PNG or HEIC, upright, with what its EXIF says of the camera; or a picture that is decoded.

The container is told by its content, not by its name.  What is too large to be a photo is refused before it is decoded.
"""

from __future__ import annotations

import hashlib
import io
import re
import warnings
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, UnidentifiedImageError

from calib.photo_refused import PhotoRefused
from calib.photo_setup import Lens
from vision.picture.jpeg_stream import DamagedPicture, decode
from vision.picture.one_camera import OneCamera, camera_name, number, one_camera
from vision.picture.our_mark import is_marked, our_own_picture
from vision.picture.photo_formats import FORMATS_IN_WORDS, PILLOW_NAMES, format_of, raise_warnings, register_heif

MOST_BYTES = 60_000_000
MOST_PIXELS = 60_000_000
"""Above a phone's largest photos (48 to 50 megapixels), far below what would fill the memory."""
LEAST_SIDE = 300
_NO_LETTERS = re.compile("[\\x00-\\x1f\\x7f-\\x9f\ud800-\udfff]")
"""Characters that steer a terminal, and how Python holds bytes of a file's name that are no letters in the system's
encoding."""
_BAND = 256
"""Lines of a picture that are converted at a time."""
_FULL_FRAME = float(np.hypot(36, 24))
_TURNS = {2: "m", 3: "rr", 4: "rrm", 5: "rm", 6: "r", 7: "rrrm", 8: "rrr"}
"""EXIF orientation as quarter turns to the right (r) and then a mirror left to right (m)."""


@dataclass(frozen=True)
class PhotoContent:
    """What a photo's file of this name would hold."""

    name: str
    data: bytes = field(repr=False)


@dataclass(frozen=True, eq=False)
class PhotoPixels:
    """An upright picture without a file: bgr (h, w, 3); nothing is known of its camera."""

    name: str
    bgr: NDArray[np.uint8] = field(repr=False)


PhotoSource = Path | PhotoContent | PhotoPixels


@dataclass(frozen=True, eq=False)
class Photo:
    """An upright photo: bgr (h, w, 3), where it came from, and what its file says of the lens.

    quarter_turns to the right made it upright, None where it is mirrored; zoom is the digital zoom, 1 where there is
    none.  lens_from says where the knowledge of the lens comes from, empty where from this file alone; else by_file is
    what that says.  one_camera is what its photos share a lens by, None where the file does not tell.
    """

    bgr: NDArray[np.uint8]
    file: str
    sha256: str
    lens: Lens
    camera: str | None
    quarter_turns: int | None = 0
    zoom: float = 1.0
    lens_from: str = ""
    by_file: Lens | None = None
    one_camera: OneCamera | None = None

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, px."""
        return self.bgr.shape[1], self.bgr.shape[0]


def read_photo(source: PhotoSource) -> Photo:
    """Read one photo.

    Raises PhotoRefused("unreadable") for anything that is no photo of a usable size, ("damaged") where data of its
    picture are missing or wrong.
    """
    if isinstance(source, PhotoPixels):
        return _photo_from_pixels(source)
    if isinstance(source, PhotoContent):
        return photo_from_bytes(source.data, source.name)
    return _photo_from_file(source)


def _photo_from_file(path: Path) -> Photo:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise _too_many_bytes(path, size)
        data = path.read_bytes()
    except PermissionError as error:
        advice = (
            "this computer does not let you open it; allow it in the file's properties, or copy it to your own folder"
        )
        raise PhotoRefused("unreadable", advice, file=name_of(path)) from error
    except OSError as error:
        raise _unreadable(path, f"it cannot be opened ({error.strerror or error})") from error
    return photo_from_bytes(data, name_of(path))


def name_of(path: Path) -> str:
    """A file's name as it can be written down: with `\\xe4` for what is no letter here, or steers a terminal."""
    return _NO_LETTERS.sub(lambda found: f"\\x{ord(found[0]) & 0xFF:02x}", path.name)


def _photo_from_pixels(source: PhotoPixels) -> Photo:
    """Its checksum is of the pixels, row by row; a picture that may be cut is no whole one."""
    height, width = source.bgr.shape[:2]
    _check_size(width, height, source.name)
    bgr = np.ascontiguousarray(source.bgr)
    return Photo(bgr, source.name, hashlib.sha256(bgr.data).hexdigest(), Lens(None, False), None)


def photo_from_bytes(data: bytes, name: str) -> Photo:
    """As read_photo, from a file's content."""
    if len(data) > MOST_BYTES:
        raise _too_many_bytes(Path(name), len(data))
    if is_marked(data):
        raise our_own_picture(Path(name).name)
    register_heif(format_of(data))
    try:
        with warnings.catch_warnings():
            raise_warnings()
            with Image.open(io.BytesIO(_opened(data)), formats=PILLOW_NAMES) as image:
                return _whole_photo(image, data, name)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _unreadable(Path(name), f"it has more than {MOST_PIXELS // 1_000_000} megapixels") from error
    except UnidentifiedImageError as error:
        raise _unreadable(Path(name), f"it is no {FORMATS_IN_WORDS} photo") from error
    except (OSError, ValueError, SyntaxError, Warning) as error:
        raise _unreadable(Path(name), "the file does not say what picture it holds") from error


def _opened(data: bytes) -> bytes:
    """A file as Pillow opens it: without zeros behind a JPEG's start marker, which other decoders pass over."""
    return data[:2] + data[2:].lstrip(b"\0") if data.startswith(b"\xff\xd8\0") else data


def _whole_photo(image: Image.Image, data: bytes, name: str) -> Photo:
    """As _photo. Raises PhotoRefused("damaged") where the file says what it holds and that is not there."""
    try:
        return _photo(image, data, name)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise
    except (DamagedPicture, OSError, ValueError, SyntaxError, Warning, cv2.error) as error:
        raise _damaged(name) from error


def _photo(image: Image.Image, data: bytes, name: str) -> Photo:
    size = image.size
    _check_size(*size, name)
    exif = image.getexif()
    bgr = _pixels(image, data)
    stated = int(exif.get(ExifTags.Base.Orientation, 1))
    upright = _turned(bgr, 1 if image.format == "HEIF" else stated)
    # A HEIC file is turned while it is decoded, which sets the orientation that it states to 1.
    turns = _quarter_turns(int(image.info.get("original_orientation") or stated))
    zoom = number(exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DigitalZoomRatio)) or 1.0
    sha256, lens = hashlib.sha256(data).hexdigest(), _lens(exif, size)
    alike = one_camera(exif, size) if lens.whole and lens.focal is not None else None
    return Photo(upright, name, sha256, lens, camera_name(exif), turns, zoom, one_camera=alike)


def _check_size(width: int, height: int, name: str) -> None:
    if width * height > MOST_PIXELS:
        raise _unreadable(Path(name), f"{width} x {height} pixels are more than {MOST_PIXELS // 1_000_000} megapixels")
    if min(width, height) < LEAST_SIDE:
        raise _unreadable(Path(name), f"{width} x {height} pixels are too few to measure in")


def _pixels(image: Image.Image, data: bytes) -> NDArray[np.uint8]:
    if image.format in ("JPEG", "MPO"):
        return decode(data)
    if image.format == "PNG":
        # Pillow compares a PNG's checksums only where it is asked to, and decodes none that it has verified.
        with Image.open(io.BytesIO(data), formats=("PNG",)) as same:
            same.verify()
    return _bgr_of(image)


def _bgr_of(image: Image.Image) -> NDArray[np.uint8]:
    """A decoded picture's colours (h, w, 3), band by band: whole copies would take four times its memory."""
    width, height = image.size
    image.load()
    bgr = np.empty((height, width, 3), np.uint8)
    for top in range(0, height, _BAND):
        band = image.crop((0, top, width, min(top + _BAND, height)))
        bgr[top : top + _BAND] = np.asarray(band.convert("RGB"))[..., ::-1]
    return bgr


def _turned(bgr: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    for step in _TURNS.get(orientation, ""):
        bgr = np.asarray(cv2.rotate(bgr, cv2.ROTATE_90_CLOCKWISE) if step == "r" else cv2.flip(bgr, 1), dtype=np.uint8)
    return bgr


def _quarter_turns(orientation: int) -> int | None:
    steps = _TURNS.get(orientation, "")
    return None if "m" in steps else len(steps)


def _lens(exif: Image.Exif, size: tuple[int, int]) -> Lens:
    """Focal length in px from the 35 mm equivalent, if EXIF's own picture size says that nothing was cut off."""
    details = exif.get_ifd(ExifTags.IFD.Exif)
    equivalent = details.get(ExifTags.Base.FocalLengthIn35mmFilm)
    recorded = (details.get(ExifTags.Base.ExifImageWidth), details.get(ExifTags.Base.ExifImageHeight))
    whole = not all(recorded) or sorted(number(r) for r in recorded) == sorted(size)
    if not whole and all(recorded):
        # Re-sized without cutting: the same shape, so the focal length scales with the diagonal.
        a, b = sorted(number(r) for r in recorded), sorted(size)
        whole = a[0] > 0 and abs(a[1] / a[0] - b[1] / b[0]) < 0.01
    equivalent = number(equivalent)
    if not whole or not 10 <= equivalent <= 200:
        return Lens(None, whole and all(recorded))
    return Lens(equivalent / _FULL_FRAME * float(np.hypot(*size)), True)


def _too_many_bytes(path: Path, size: int) -> PhotoRefused:
    return _unreadable(path, f"the file has {size / 1e6:.0f} MB, more than a photo's {MOST_BYTES / 1e6:.0f} MB")


def _damaged(name: str) -> PhotoRefused:
    advice = "the file is damaged or incomplete; send the original photo from the phone once more"
    return PhotoRefused("damaged", advice, file=Path(name).name)


def _unreadable(path: Path, why: str) -> PhotoRefused:
    advice = f"{why}; send the original photo from the phone ({FORMATS_IN_WORDS})"
    return PhotoRefused("unreadable", advice, file=name_of(path))
