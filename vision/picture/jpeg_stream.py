"""A JPEG file's picture, decoded strictly: what a decoder would pass over in silence is damage here.

Of the file only the segments that the picture is made of are handed on (ITU-T T.81, B.1): what phones write besides,
extra bytes between segments, second pictures and data after the end marker, cannot be taken for damage.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import cv2
import numpy as np
import simplejpeg
from numpy.typing import NDArray

from vision.picture.scan_damage import Scan, scan_is_damaged


class DamagedPicture(Exception):  # noqa: N818  (named for what happened)
    """Picture data are missing or not what the camera wrote."""


@dataclass(frozen=True)
class _Segment:
    marker: int
    data: bytes


_START, _END, _SCAN, _RESTART_INTERVAL = 0xD8, 0xD9, 0xDA, 0xDD
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_TABLES = frozenset({0xC4, 0xCC, 0xDB, _RESTART_INTERVAL})
_COLOUR = frozenset({0xE0, 0xEE})
"""JFIF's and Adobe's segments say in what colours the picture is kept."""
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_SCAN_ENDS = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_EXTRA = re.compile(r"(\d+) extraneous bytes before marker")


def decode(data: bytes) -> NDArray[np.uint8]:
    """The picture as it is stored, bgr (h, w, 3), without the turn that EXIF asks for. Raises DamagedPicture."""
    segments = _segments(data)
    stream = b"".join(_written(s) for s in segments)
    bgr = _decoded(_without_filling(stream))
    scan = _scan(segments)
    if scan is not None and scan_is_damaged(bgr, scan):
        raise DamagedPicture("the colours jump where the camera wrote on evenly")
    return bgr


def _segments(data: bytes) -> list[_Segment]:
    """The segments that make the picture, from its start to its end marker."""
    found = [_Segment(_START, b"")]
    at = 2
    while True:
        at = data.find(b"\xff", at) + 1
        if at == 0 or at >= len(data):
            raise DamagedPicture("the file ends early")
        marker = data[at]
        if marker in (0x00, 0xFF) or marker in _ALONE:
            continue
        if marker == _END:
            return [*found, _Segment(_END, b"")]
        end = at + 1 + int.from_bytes(data[at + 1 : at + 3], "big")
        if marker == _SCAN:
            ends = _SCAN_ENDS.search(data, end)
            if ends is None:
                raise DamagedPicture("the file ends early")
            end = ends.start()
        if marker in _FRAMES | _TABLES | _COLOUR | {_SCAN}:
            found.append(_Segment(marker, data[at + 1 : end]))
        at = end


def _written(segment: _Segment) -> bytes:
    return bytes((0xFF, segment.marker)) + segment.data


def _without_filling(stream: bytes) -> bytes:
    """The stream without filling, one byte over and over, between the last scan's data and the end marker."""
    try:
        simplejpeg.decode_jpeg(stream, "GRAY", fastdct=True, min_factor=8)
    except ValueError as error:
        said = _EXTRA.search(str(error))
        extra = stream[-2 - int(said.group(1)) : -2] if said else b""
        if len(set(extra)) == 1:
            return stream[: -2 - len(extra)] + stream[-2:]
    return stream


def _decoded(stream: bytes) -> NDArray[np.uint8]:
    try:
        colours = simplejpeg.decode_jpeg_header(stream)[2]
        if colours not in ("CMYK", "YCCK"):
            return np.asarray(simplejpeg.decode_jpeg(stream, "BGR"), dtype=np.uint8)
        simplejpeg.decode_jpeg(stream, "CMYK")
    except ValueError as error:
        raise DamagedPicture(str(error)) from error
    flags = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    return np.asarray(cv2.imdecode(np.frombuffer(stream, np.uint8), flags), dtype=np.uint8)


def _scan(segments: list[_Segment]) -> Scan | None:
    """How the first scan, which holds every block's mean, lies in the picture; None where it is of one colour only."""
    unit, components, interval = (8, 8), 0, 0
    for segment in segments:
        if segment.marker in _FRAMES:
            components = segment.data[7]
            sampling = segment.data[9 : 8 + 3 * components : 3]
            if components > 1:
                unit = 8 * max(s >> 4 for s in sampling), 8 * max(s & 15 for s in sampling)
        elif segment.marker == _RESTART_INTERVAL:
            interval = int.from_bytes(segment.data[2:4], "big")
        elif segment.marker == _SCAN:
            return Scan(*unit, interval) if segment.data[2] == components else None
    return None
