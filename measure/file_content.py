"""A file as its name and content, so that whatever reads files reads what comes from a page or a notebook, too."""

from __future__ import annotations

import errno
import os
from dataclasses import dataclass, field
from pathlib import Path

from measure.errors import InputMistakes, Mistake


@dataclass(frozen=True)
class FileContent:
    """What a file of this name would hold; messages about it use the name."""

    name: str
    data: bytes = field(repr=False)


Readable = Path | FileContent
_MOST_SHOWN = 60
"""Characters of a path in a message about it."""


def file_at(given: str | os.PathLike[str], name: str) -> Path:
    """The path of a file or a folder, there or not; name is what messages call it.

    Raises InputMistakes for what can be no path on this machine: nothing, too long a name, a NUL character.
    """
    text = os.fspath(given)
    if not text.strip():
        raise InputMistakes([Mistake(name, f"no {name.removeprefix('the ')} given", _GIVE)])
    try:
        os.stat(text)
    except ValueError:
        raise InputMistakes([Mistake(_short(text), "this cannot be a file's name", _GIVE)]) from None
    except OSError as error:
        if error.errno in _IMPOSSIBLE:
            raise InputMistakes([Mistake(_short(text), "this is too long for a file's name", _GIVE)]) from None
    return Path(text)


def is_content(text: str) -> bool:
    """Whether a text is what a file holds, not its path: it has several lines, or starts as JSON or TOML do."""
    several = "\n" in text or "\r" in text
    return several or (text.lstrip().startswith(("{", "[")) and not os.path.exists(text))


_GIVE = "give the file's path, or what is in it as text or bytes"
_IMPOSSIBLE = frozenset({errno.ENAMETOOLONG, errno.EINVAL})


def _short(text: str) -> str:
    shown = ascii(text)[1:-1]
    return shown if len(shown) <= _MOST_SHOWN else f"{shown[:_MOST_SHOWN]} ..."


def bytes_of(file: Readable, most: int) -> bytes | None:
    """The content; None where it has more than `most` bytes. Raises OSError where the file cannot be read."""
    if isinstance(file, FileContent):
        return None if len(file.data) > most else file.data
    return None if file.is_file() and file.stat().st_size > most else file.read_bytes()
