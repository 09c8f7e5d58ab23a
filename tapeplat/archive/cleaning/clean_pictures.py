"""Photos without anything but their picture: no place, time, person, camera, thumbnail or second picture in the file.

A JPEG that lies upright keeps its compressed picture bit for bit: only the segments that a decoder needs are copied
(ITU-T T.81, annex B; JFIF: ITU-T T.871).  One that EXIF says to turn is turned and compressed anew with its own
tables, so that no note of the turn has to be kept and every viewer shows it upright.  PNG keeps the chunks of the
picture alone (W3C PNG, 3rd edition, 11).  HEIC becomes JPEG, which will be read longer.
"""

from __future__ import annotations

import io
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from PIL import ExifTags, Image, ImageOps, JpegImagePlugin

from vision.picture.photo import MOST_PIXELS
from vision.picture.photo_formats import FORMATS_IN_WORDS, PILLOW_NAMES, register_heif

_TURNED = range(2, 9)
"""EXIF orientations other than upright."""
_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
_ALONE = (0x01, *range(0xD0, 0xD8))
"""Markers without a length: TEM and the restart markers."""
_NEEDED = (*range(0xC0, 0xC8), *range(0xC9, 0xD0), 0xDA, 0xDB, 0xDC, 0xDD, 0xDE, 0xDF)
"""Frames, tables, scans: all that a decoder needs; no APPn, no comment, no extension."""
_JFIF = b"\xff\xe0\x00\x10JFIF\x00"
_ADOBE = b"Adobe"
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_CHUNKS = (b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"IDAT", b"IEND")
HEIC_QUALITY = 95


class NoPicture(ValueError):  # noqa: N818  (named for what it is)
    """The file is no whole JPEG, PNG or HEIC picture."""


def cleaned(data: bytes) -> tuple[bytes, str]:
    """The picture alone, upright, and the ending for its file's name (".jpg", ".png"). Raises NoPicture."""
    form, orientation = _looked_at(data)
    if form == "HEIF":
        return encoded_jpeg(opened(data)), ".jpg"
    if form == "PNG":
        return (_png_picture(data) if orientation not in _TURNED else encoded_png(opened(data))), ".png"
    if orientation in _TURNED:
        return encoded_jpeg(opened(data), like=data), ".jpg"
    return _jpeg_picture(data), ".jpg"


def opened(data: bytes) -> Image.Image:
    """The picture decoded and upright. Raises NoPicture."""
    with open_picture(data) as image:
        return ImageOps.exif_transpose(image).convert("RGB")


def encoded_jpeg(image: Image.Image, like: bytes | None = None) -> bytes:
    """A picture as JPEG without metadata; with the tables of the JPEG `like`, so that next to nothing is lost again."""
    options: dict[str, object] = {"quality": HEIC_QUALITY, "subsampling": 0}
    if like is not None:
        with open_picture(like, ("JPEG",)) as before:
            tables, sampling = getattr(before, "quantization", None), JpegImagePlugin.get_sampling(before)
        if tables and sampling != -1:
            options = {"qtables": tables, "subsampling": sampling}
    out = io.BytesIO()
    _bare(image).save(out, "JPEG", **options)
    return out.getvalue()


def encoded_png(image: Image.Image) -> bytes:
    """A picture as PNG without metadata."""
    out = io.BytesIO()
    _bare(image).save(out, "PNG")
    return out.getvalue()


def _bare(image: Image.Image) -> Image.Image:
    """Pixels alone: Pillow carries some of what it read over into what it writes."""
    bare = Image.new("RGB", image.size)
    bare.paste(image)
    return bare


def _looked_at(data: bytes) -> tuple[str, int]:
    """The file's form, as its content tells, and its EXIF orientation."""
    with open_picture(data) as image:
        form = "JPEG" if image.format == "MPO" else str(image.format)
        return form, int(image.getexif().get(ExifTags.Base.Orientation, 1) or 1)


@contextmanager
def open_picture(data: bytes, formats: tuple[str, ...] = PILLOW_NAMES) -> Iterator[Image.Image]:
    """The open picture; whatever fails while it is used makes it no picture. What is odd beside it does not matter."""
    register_heif()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=formats) as image:
                if image.size[0] * image.size[1] > MOST_PIXELS:
                    raise NoPicture("the picture is too large")
                yield image
    except NoPicture:
        raise
    except (OSError, ValueError, SyntaxError, TypeError, Image.DecompressionBombError) as error:
        raise NoPicture(f"it is damaged, or no {FORMATS_IN_WORDS} picture") from error


def _jpeg_picture(data: bytes) -> bytes:
    """The JPEG's needed segments, in their order, up to the picture's end."""
    parts = [b"\xff\xd8"]
    for marker, segment in _segments(data):
        if marker == 0xE0 and segment.startswith(_JFIF) and len(segment) >= 18:
            parts.append(_JFIF + segment[9:16] + b"\0\0")  # version and density, without its thumbnail
        elif marker == 0xEE and segment[4:9] == _ADOBE and len(segment) >= 16:
            parts.append(b"\xff\xee\x00\x0e" + segment[4:16])  # says how the colours are coded
        elif marker in _NEEDED:
            parts.append(segment)
    return b"".join([*parts, b"\xff\xd9"])


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Every segment after the start with its marker; a scan's header comes with its compressed data."""
    at = 2
    while True:
        while data[at : at + 2] == b"\xff\xff":
            at += 1  # fill bytes
        if at + 2 > len(data) or data[at] != 0xFF:
            raise NoPicture("the file is damaged or incomplete")
        marker = data[at + 1]
        if marker == _EOI:
            return
        if marker in _ALONE:
            at += 2
            continue
        if at + 4 > len(data):
            raise NoPicture("the file is damaged or incomplete")
        end = at + 2 + struct.unpack(">H", data[at + 2 : at + 4])[0]
        if marker == _SOS:
            end = _scan_end(data, end)
        yield marker, data[at:end]
        at = end


def _scan_end(data: bytes, at: int) -> int:
    """Where compressed data ends: at a marker that is neither a stuffed zero nor a restart."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            raise NoPicture("the file ends early")
        if data[at + 1] == 0xFF:
            at += 1
        elif data[at + 1] == 0 or 0xD0 <= data[at + 1] <= 0xD7:
            at += 2
        else:
            return at


def _png_picture(data: bytes) -> bytes:
    parts, at = [_PNG], len(_PNG)
    while True:
        if at + 12 > len(data):
            raise NoPicture("the file is damaged or incomplete")
        length, name = struct.unpack(">I4s", data[at : at + 8])
        end = at + 12 + length
        if end > len(data):
            raise NoPicture("the file ends early")
        if name in _PNG_CHUNKS:
            parts.append(data[at:end])
        elif name[:1].isupper():
            raise NoPicture("it has a part that is unknown")
        if name == b"IEND":
            return b"".join(parts)
        at = end
