"""Photos of very many pixels are worked on one at a time, so that their memory never adds up.

How large a photo is stands at its file's beginning; nothing is decoded to know it.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

_HEAD = 2_000_000
"""Bytes in which the size stands, behind what phones write before the picture."""
LARGE = 20_000_000
"""Pixels: most phones' photos have 12 million."""
_FRAME = re.compile(rb"\xff[\xc0-\xc3\xc5-\xc7\xc9-\xcb\xcd-\xcf]..\x08(..)(..)", re.DOTALL)
_HEIC_SIZE = re.compile(rb"ispe\0\0\0\0(....)(....)", re.DOTALL)


class OneLarge:
    """Lets one piece of work on large photos go on at a time; all else at once."""

    def __init__(self) -> None:
        self._lock = threading.Lock()

    @contextmanager
    def turn(self, contents: Iterable[bytes]) -> Iterator[None]:
        """Work on these files' contents; waits where another large one is being worked on."""
        if not any(map(is_large, contents)):
            yield
            return
        with self._lock:
            yield


def is_large(content: bytes) -> bool:
    """Whether a photo's file may hold so many pixels; thumbnails within it count, too, as they are small."""
    if content.startswith(b"\x89PNG"):
        return _pixels(content[16:20], content[20:24]) > LARGE
    of_kind = _FRAME if content.startswith(b"\xff\xd8") else _HEIC_SIZE
    sizes = of_kind.finditer(content, 0, _HEAD)
    return any(_pixels(size[1], size[2]) > LARGE for size in sizes)


def _pixels(height: bytes, width: bytes) -> int:
    return int.from_bytes(height, "big") * int.from_bytes(width, "big")
