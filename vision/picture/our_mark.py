"""The marks of pictures that this program draws or corrects, so that they are not taken for photos.

One stands in their files; annotated pictures show tags besides, which outlive screenshots and messengers: one in their
list, one in place of the card's.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.photo_refused import PhotoRefused
from calib.printed import CARD_TAG, COVERING_TAG, DRAWN_TAG
from calib.prints.tags import TagSquare, detect

_MARK = b"Tapeplat: drawn from a photo, not a photo"
_PNG_HEADER = 33
"""Bytes of a PNG's signature and of its first chunk."""
_LOOKED_AT = 400
BESIDE_PRINT = 4.5
"""A card beside a printed annotated picture is larger than so many of the tag in its list; drawn in it, it is less."""


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


def check_not_drawn(tags: Sequence[TagSquare]) -> None:
    """PhotoRefused for our-own-picture where the tags seen (calib.prints.tags.find_tags) are an annotated picture's."""
    if _is_drawn([(tag.tag, tag.side) for tag in tags]):
        raise our_own_picture()


def shows_drawn_tag(bgr: NDArray[np.uint8]) -> bool:
    """Whether a picture (h, w, 3) is an annotated one."""
    found = detect(np.asarray(cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8))
    return _is_drawn([(tag, float(np.linalg.norm(corners[1] - corners[0]))) for tag, corners in found])


def _is_drawn(sides: Sequence[tuple[int, float]]) -> bool:
    cards = [side for tag, side in sides if tag == CARD_TAG]
    if not cards and any(tag == COVERING_TAG for tag, _ in sides):
        return True
    return any(tag == DRAWN_TAG and all(card < BESIDE_PRINT * side for card in cards) for tag, side in sides)


def our_own_picture(file: str = "") -> PhotoRefused:
    """The refusal of a picture that this program made."""
    advice = "this is a picture that Tapeplat made, not a photo; measure the photo that the phone took"
    return PhotoRefused("our-own-picture", advice, file=file)
