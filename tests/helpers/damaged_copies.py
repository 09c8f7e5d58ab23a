"""Copies of a photo's file as bad cards, lines and programs leave them, and copies that are odd but whole."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
from PIL import Image

Damage = Callable[[bytearray, np.random.Generator], None]


def _bytes_changed(data: bytearray, rng: np.random.Generator) -> None:
    for at in rng.integers(_start(data), len(data), int(rng.choice([1, 1, 2, 4, 16]))):
        data[at] ^= int(rng.integers(1, 256))


def _zeroed(data: bytearray, rng: np.random.Generator) -> None:
    length = int(rng.choice([4, 64, 512, 4096]))
    at = int(rng.integers(_start(data), len(data) - length))
    data[at : at + length] = bytes(length)


def _cut(data: bytearray, rng: np.random.Generator) -> None:
    del data[int(rng.integers(_start(data), len(data))) :]


def _dropped(data: bytearray, rng: np.random.Generator) -> None:
    length = int(rng.choice([64, 512, 4096]))
    at = int(rng.integers(_start(data), len(data) - length))
    del data[at : at + length]


DAMAGES: dict[str, Damage] = {
    "bytes changed": _bytes_changed, "zeroed": _zeroed, "cut": _cut, "blocks dropped": _dropped,
}  # fmt: skip


def damaged(data: bytes, kind: str, seed: int) -> bytes:
    """A copy of a JPEG whose picture data are damaged; the segments before them are left alone."""
    copy = bytearray(data)
    DAMAGES[kind](copy, np.random.default_rng(seed))
    return bytes(copy)


def _start(data: bytearray) -> int:
    """Where the first scan's data begin."""
    return data.index(b"\xff\xda") + 14


def saved(image: Image.Image, **options: object) -> bytes:
    """A picture as a JPEG file."""
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", **options)
    return buffer.getvalue()


def whole_but_odd(data: bytes) -> dict[str, bytes]:
    """Files that show the same picture as a JPEG, and hold what phones and programs write besides."""
    application = b"\xff\xe7" + (2002).to_bytes(2, "big") + bytes(range(200)) * 10
    second = saved(Image.new("RGB", (320, 240), (90, 120, 60)), quality=80)
    tables = data.index(b"\xff\xdb")
    return {
        "data after the end": data + b"SEFH" + bytes(range(256)) * 20,
        "zeros after the end": data + bytes(4096),
        "a second picture": data + second,
        "a preview in a segment": data[:2] + b"\xff\xe2" + (len(second) + 2).to_bytes(2, "big") + second + data[2:],
        "one more segment": data[:2] + application + data[2:],
        "bytes between segments": data[:tables] + b"\0\x17\x2a" * 9 + data[tables:],
        "zeros between segments": data[:tables] + bytes(31) + data[tables:],
        "zeros after the start": data[:2] + bytes(6) + data[2:],
        "filling before a marker": data[:tables] + b"\xff" * 7 + data[tables:],
        "filling before the end": data[:-2] + bytes(300) + data[-2:],
    }
