"""Standard output and error that never stop the work: what cannot be printed is lost, not what was to be done.

A terminal of another encoding (cp1252, ASCII) lacks letters of a team's name; a pipe may be closed by its reader
(`| head -3`); the disk that output goes to may be full.  None of them may end a command half way.
"""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys
from contextlib import suppress
from typing import TextIO


class Forgiving(io.RawIOBase):
    """The raw end of a stream; what it cannot take is taken as written, and `lost` keeps the first reason."""

    def __init__(self, raw: io.RawIOBase) -> None:
        self._raw = raw
        self.lost: OSError | None = None

    def write(self, data: object) -> int:
        """The number of bytes, all of them where the stream takes no more."""
        size = len(memoryview(data))  # type: ignore[arg-type]
        if self.lost is not None:
            return size
        try:
            written: int | None = self._raw.write(data)  # type: ignore[arg-type]
        except OSError as error:
            self.lost = error
            return size
        return size if written is None else written

    def writable(self) -> bool:
        """Always, so that a buffer can stand before it."""
        return True

    def fileno(self) -> int:
        """The stream's own."""
        return self._raw.fileno()

    def isatty(self) -> bool:
        """Whether somebody looks on."""
        return self._raw.isatty()


class _Ascii(io.TextIOWrapper):
    """A stream of ASCII letters that says it is one of UTF-8, as click writes UTF-8 to one that says it is of ASCII."""

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """Not its own."""
        return "utf-8"


def steady() -> None:
    """Make standard output and error forgiving, once."""
    sys.stdout, sys.stderr = _steady(sys.stdout), _steady(sys.stderr)


def lost_output() -> OSError | None:
    """Why something that was printed is lost, after all is written out; None where nothing is, or nobody wanted it."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError, AttributeError):  # None where it was closed before the program began
            stream.flush()
    raw = _raw(sys.stdout)
    lost = raw.lost if isinstance(raw, Forgiving) else None
    return None if lost is None or _closed_by_reader(lost) else lost


def _steady(stream: TextIO) -> TextIO:
    raw = _raw(stream)
    if raw is None or isinstance(raw, Forgiving):
        if isinstance(stream, io.TextIOWrapper) and stream.errors != "replace":
            stream.reconfigure(errors="replace")
        return stream
    with suppress(OSError, ValueError):
        stream.flush()
    buffer = io.BufferedWriter(Forgiving(raw))
    kind = _Ascii if codecs.lookup(stream.encoding).name == "ascii" else io.TextIOWrapper
    return kind(buffer, stream.encoding, "replace", line_buffering=True, write_through=stream is sys.stderr)


def _raw(stream: TextIO) -> io.RawIOBase | None:
    """A stream's raw end, buffered or (PYTHONUNBUFFERED) not; None where it has none."""
    buffer = getattr(stream, "buffer", None)
    raw = buffer if isinstance(buffer, io.RawIOBase) else getattr(buffer, "raw", None)
    return raw if isinstance(raw, io.RawIOBase) else None


def _closed_by_reader(error: OSError) -> bool:
    """Windows says EINVAL of a pipe whose reader has gone (bugs.python.org, 35754)."""
    return error.errno == errno.EPIPE or (os.name == "nt" and error.errno == errno.EINVAL)
