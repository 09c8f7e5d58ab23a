"""Writing a result folder: everything or nothing.

All content is made before the disk is touched; the files are then written to a hidden folder in the target and moved
up one by one, so that a full disk or a stopped program never leaves half a file under a result's name.  In the target
itself, as it may be a disk of its own (a USB stick), or lie in a folder that cannot be written.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

STAGING = ".tapeplat-unfinished-"
_LONGEST_WAIT = 10.0
_SURELY_DEAD = 3600.0
"""Seconds; writing takes less than one, and another program may be writing into the same folder."""


class FolderNotWritable(Exception):  # noqa: N818  (says what is wrong, as click's and our other refusals do)
    """A result folder cannot be written; the message says which and why."""


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write the named files into the folder, which is made (with its parents) where it is missing.

    Files of the same names are replaced, other files in the folder stay. The last file named is moved in last, so put
    the one that others refer from there. Raises FolderNotWritable, having left the folder as it was, where that is
    possible.
    """
    made: list[Path] = []
    try:
        made = made_folder(folder)
        clear_unfinished(folder, older_than=_SURELY_DEAD)
        staging = Path(tempfile.mkdtemp(prefix=STAGING, dir=folder))
        try:
            for name, content in files.items():
                (staging / name).write_bytes(content)
            with _alone_in(folder):
                for name in files:
                    os.replace(staging / name, folder / name)
        finally:
            shutil.rmtree(staging, ignore_errors=True)
    except OSError as error:
        remove_empty(made)
        raise FolderNotWritable(f"{folder} cannot be written: {_reason(error)}") from error


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Let no other program of this computer move its files into the folder at the same time: no result is a mixture.

    The lock lies among the system's temporary files, so that nothing of it stays in the folder. Where there can be
    none, or another holds it for long, writing goes on: it may then mix, and is not lost.
    """
    place = hashlib.sha256(os.fsencode(folder.resolve())).hexdigest()[:24]
    lock = FileLock(Path(tempfile.gettempdir()) / f"tapeplat-{place}.lock", timeout=_LONGEST_WAIT)
    with suppress(OSError, Timeout):
        lock.acquire()
    try:
        yield
    finally:
        lock.release()


def clear_unfinished(folder: Path, *, older_than: float = 0.0) -> None:
    """Remove what a program that was killed while writing into a folder left behind, by its age in seconds."""
    for left in folder.glob(f"{STAGING}*"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime >= older_than:
                shutil.rmtree(left, ignore_errors=True)


def made_folder(folder: Path) -> list[Path]:
    """Make a folder and its parents; returns those that were made, outermost first."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def remove_empty(folders: list[Path]) -> None:
    """Remove the folders that were made, outermost first in the list, as long as they are empty."""
    for folder in reversed(folders):
        try:
            folder.rmdir()
        except OSError:
            return


def _reason(error: OSError) -> str:
    if isinstance(error, IsADirectoryError):
        name = Path(error.filename2 or error.filename or "a file").name
        return f"{name} is a folder there; choose another name"
    if isinstance(error, FileExistsError | NotADirectoryError):
        return "there is a file of that name; choose another folder"
    return f"{(error.strerror or str(error)).lower()}; choose another folder"
