"""The mark in the files of pictures that this program draws or corrects, so that they are not taken for photos."""

from __future__ import annotations

import struct
import zlib

from calib.photo_refused import PhotoRefused

_MARK = b"Tapeplat: drawn from a photo, not a photo"
_PNG_HEADER = 33
"""Bytes of a PNG's signature and of its first chunk."""
_LOOKED_AT = 400


def marked_jpeg(data: bytes) -> bytes:
    """A JPEG file with the mark as its first segment, a comment (ITU-T T.81, B.2.4.5)."""
    return data[:2] + b"\xff\xfe" + struct.pack(">H", len(_MARK) + 2) + _MARK + data[2:]


def marked_png(data: bytes) -> bytes:
    """A PNG file with the mark as a text chunk behind its header (PNG specification, 11.3.3)."""
    chunk = b"tEXtSoftware\0" + _MARK
    checked = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    return data[:_PNG_HEADER] + checked + data[_PNG_HEADER:]


def is_marked(data: bytes) -> bool:
    """Whether a file bears the mark."""
    return _MARK in data[:_LOOKED_AT]


def our_own_picture(file: str = "") -> PhotoRefused:
    """The refusal of a picture that this program made."""
    advice = "this is a picture that Tapeplat made, not a photo; measure the photo that the phone took"
    return PhotoRefused("our-own-picture", advice, file=file)
