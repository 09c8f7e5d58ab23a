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

from calib.edges import FloatArray
from vision.picture.our_mark import our_own_picture, shows_drawn_tag
from vision.picture.quantisation import Component, tables_are_damaged
from vision.picture.scan_damage import Scan, scan_is_damaged


class DamagedPicture(Exception):  # noqa: N818  (named for what happened)
    """Picture data are missing or not what the camera wrote."""


@dataclass(frozen=True)
class _Segment:
    marker: int
    data: bytes


_START, _END, _SCAN, _RESTART_INTERVAL = 0xD8, 0xD9, 0xDA, 0xDD
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_QUANTISATION = 0xDB
_TABLES = frozenset({0xC4, 0xCC, _QUANTISATION, _RESTART_INTERVAL})
_COLOUR = frozenset({0xE0, 0xEE})
"""JFIF's and Adobe's segments say in what colours the picture is kept."""
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_SCAN_ENDS = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_EXTRA = re.compile(r"(\d+) extraneous bytes before marker")


def decode(data: bytes) -> NDArray[np.uint8]:
    """The picture as it is stored, bgr (h, w, 3), without the turn that EXIF asks for.

    Raises DamagedPicture, and PhotoRefused for our-own-picture.
    """
    segments = _segments(data)
    stream = b"".join(_written(s) for s in segments)
    bgr = _decoded_but_for_filling(stream)
    scan = _scan(segments)
    if scan is not None and scan_is_damaged(bgr, scan):
        if shows_drawn_tag(bgr):  # its drawn lines are as sharp as damage
            raise our_own_picture()
        raise DamagedPicture("the colours jump where the camera wrote on evenly")
    if tables_are_damaged(bgr, _components(segments)):
        raise DamagedPicture("a pattern lies over the picture that no camera writes")
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


def _decoded_but_for_filling(stream: bytes) -> NDArray[np.uint8]:
    """As _decoded; filling, one byte over and over, may stand between the last scan's data and the end marker."""
    try:
        return _decoded(stream)
    except DamagedPicture as damage:
        said = _EXTRA.search(str(damage))
        extra = stream[-2 - int(said.group(1)) : -2] if said else b""
        if len(set(extra)) != 1:
            raise
    return _decoded(stream[: -2 - len(extra)] + stream[-2:])


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


def _components(segments: list[_Segment]) -> tuple[Component, ...]:
    """The colours of a picture in grey or in Y, Cb and Cr, with the tables that they are kept with; none of others."""
    tables: dict[int, FloatArray] = {}
    for segment in segments:
        if segment.marker == _QUANTISATION:
            tables |= _tables(segment.data[2:])
        elif segment.marker in _FRAMES:
            stated = [segment.data[8 + 3 * n : 11 + 3 * n] for n in range(segment.data[7])]
            if len(stated) not in (1, 3) or any(len(one) < 3 or one[2] not in tables for one in stated):
                return ()
            along, up = (max(shift(one[1]) for one in stated) for shift in (_along, _up))
            return tuple(Component(tables[t], along // _along(s), up // _up(s)) for _, s, t in stated)
    return ()


def _along(sampling: int) -> int:
    return max(1, sampling >> 4)


def _up(sampling: int) -> int:
    return max(1, sampling & 15)


def _tables(data: bytes) -> dict[int, FloatArray]:
    """The tables (8, 8) of one segment by their numbers (B.2.4.1)."""
    found, at = {}, 0
    while at < len(data):
        size = 2 if data[at] >> 4 else 1
        values = np.frombuffer(data[at + 1 : at + 1 + 64 * size], ">u2" if size == 2 else "u1")
        if len(values) == 64:
            table = np.empty(64)
            table[_ZIGZAG] = values
            found[data[at] & 15] = table.reshape(8, 8)
        at += 1 + 64 * size
    return found


_ZIGZAG = sorted(range(64), key=lambda n: (n // 8 + n % 8, (n // 8 if (n // 8 + n % 8) % 2 else n % 8)))
"""Where a table's values stand row by row, in the order that they are written: along one diagonal after the other."""
