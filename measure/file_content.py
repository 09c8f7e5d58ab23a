"""A file as its name and content, so that whatever reads files reads what comes from a page or a notebook, too."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True)
class FileContent:
    """What a file of this name would hold; messages about it use the name."""

    name: str
    data: bytes = field(repr=False)


Readable = Path | FileContent


def bytes_of(file: Readable, most: int) -> bytes | None:
    """The content; None where it has more than `most` bytes. Raises OSError where the file cannot be read."""
    if isinstance(file, FileContent):
        return None if len(file.data) > most else file.data
    return None if file.is_file() and file.stat().st_size > most else file.read_bytes()
