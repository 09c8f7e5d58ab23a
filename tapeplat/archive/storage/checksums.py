"""`SHA256SUMS`: an attempt's checksums in coreutils' form, so that `sha256sum -c SHA256SUMS` checks them, too."""

from __future__ import annotations

import errno
import hashlib
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

SUMS = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")

What = Literal["missing", "changed", "unreadable", "listed twice"]


@dataclass(frozen=True)
class Damage:
    """One thing that is wrong: where (an attempt's folder, relative to the archive), which file, what."""

    folder: str
    file: str
    what: What

    def __str__(self) -> str:
        return f"{self.folder}: {self.file} is {self.what}"


def sums_of(files: Mapping[str, bytes]) -> bytes:
    """The checksum file of files by name."""
    lines = (f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(files))
    return "".join(lines).encode("ascii")


def check(folder: Path, called: str) -> tuple[Damage, ...]:
    """What is wrong in a folder, compared with its SHA256SUMS; called names it in what is said."""
    try:
        known = read_sums(read_regular(folder / SUMS))
    except FileNotFoundError:
        return (Damage(called, SUMS, "missing"),)
    except (OSError, ValueError):
        return (Damage(called, SUMS, "unreadable"),)
    found = ((name, _state(folder / name, checksum)) for name, checksum in known.items())
    return tuple(Damage(called, name, what) for name, what in found if what is not None)


def read_regular(path: Path) -> bytes:
    """A file's content. Raises OSError, also for what is no file: a named pipe would be waited for without end."""
    if not stat.S_ISREG(path.stat().st_mode):
        raise OSError(errno.EINVAL, "this is no file", str(path))
    return path.read_bytes()


def read_sums(content: bytes) -> dict[str, str]:
    """Checksums by file name. Raises ValueError where a line is none, or names a file outside the folder."""
    known = {}
    for line in content.decode("ascii").splitlines():
        match = _LINE.fullmatch(line)
        if match is None or match[2].startswith("/") or ".." in match[2].split("/"):
            raise ValueError(f"{SUMS} is damaged")
        known[match[2]] = match[1]
    if not known:
        raise ValueError(f"{SUMS} is empty")
    return known


def _state(path: Path, checksum: str) -> What | None:
    try:
        found = hashlib.sha256(read_regular(path)).hexdigest()
    except FileNotFoundError:
        return "missing"
    except OSError:
        return "unreadable"
    return None if found == checksum else "changed"
