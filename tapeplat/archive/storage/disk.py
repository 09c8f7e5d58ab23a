"""The disk below the archive: one writer at a time, whole folders moved into place, nothing half after a crash.

Everything is written into `.staging` in the archive itself, flushed to the disk, and then renamed, which a file system
does wholly or not at all.  The operating system frees the lock of a process that dies; what it left in `.staging` is
finished or thrown away by the next writer.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from tapeplat.output.result_folder import FolderNotWritable

STAGING = ".staging"
LOCK = ".lock"
LONGEST_WAIT = 60.0
"""Seconds that a writer waits for another one, which needs a fraction of a second for an attempt."""
_SWAP = "swap-"
_FULL = (errno.ENOSPC, errno.EDQUOT)


class ArchiveNotWritable(FolderNotWritable):
    """The archive cannot be written; the message says why, and what became of what was to be written."""


@contextmanager
def writing(root: Path, task: str) -> Iterator[Path]:
    """Be the only writer; gives the empty staging folder. task says in messages what was not done.

    Raises ArchiveNotWritable where another process keeps the archive busy, and for every fault of the disk.
    """
    try:
        if not root.is_dir():
            root.mkdir(parents=True, exist_ok=True)
            root.chmod(0o700)  # pupils' work is no other account's business
        with FileLock(root / LOCK, timeout=LONGEST_WAIT):
            staging = root / STAGING
            staging.mkdir(exist_ok=True)
            recover(root)
            try:
                yield staging
            finally:
                _empty(staging)
    except Timeout as error:
        raise ArchiveNotWritable(f"{task}: another program is writing to {root}; wait a minute, try again") from error
    except OSError as error:
        raise ArchiveNotWritable(f"{task}: {reason(error, root)}") from error


def reason(error: OSError, root: Path) -> str:
    """What is wrong with the disk, and what to do."""
    if error.errno in _FULL:
        return f"the disk of {root} is full; free some space, then do it again. All that was filed before is safe"
    if isinstance(error, FileExistsError | NotADirectoryError):
        return f"{root} cannot be used: there is a file in the way ({error.filename}); choose another archive"
    said = (error.strerror or str(error)).lower()
    return f"{root} cannot be written ({said}); check the folder, close programs that show its files, or choose another"


def write_tree(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files (names with forward slashes) into a new folder and flush all of it to the disk."""
    folder.mkdir()
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    for parent in sorted({folder, *((folder / name).parent for name in files)}):
        _flush(parent)


def move(source: Path, target: Path) -> None:
    """Rename a folder or file to where nothing is, durably; makes the folders above it."""
    _make(target.parent)
    if target.exists():
        raise FileExistsError(errno.EEXIST, "it is there already", str(target))
    source.rename(target)
    _flush(target.parent)
    _flush(source.parent)


def write_file(staging: Path, target: Path, content: bytes) -> None:
    """Put one file into place, over an older one, wholly or not at all; nothing where it is there already."""
    with suppress(OSError):
        if target.read_bytes() == content:
            return
    fresh = staging / "file"
    with fresh.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(target)
    _flush(target.parent)


def swap(root: Path, staging: Path, fresh: Path, target: Path) -> None:
    """Put a new folder in an old one's place. From the rename to `swap-...` on it is done, even if we die."""
    job = staging / "job"
    job.mkdir()
    with (job / "where").open("w", encoding="utf-8") as file:
        file.write(target.relative_to(root).as_posix())
        file.flush()
        os.fsync(file.fileno())
    fresh.rename(job / "new")
    _flush(job)
    decided = staging / f"{_SWAP}{os.getpid()}"
    job.rename(decided)
    _flush(staging)
    try:
        _finish(root, decided)
    except OSError:
        if (decided / "new").exists() and target.exists():
            shutil.rmtree(decided, ignore_errors=True)
        raise


def recover(root: Path) -> None:
    """Finish what a dead writer had decided; throw away what it had not."""
    staging = root / STAGING
    for job in sorted(staging.glob(f"{_SWAP}*")):
        with suppress(OSError):  # a file of it is open in another program: the next writer tries again
            _finish(root, job)
    _empty(staging)


def unfinished(root: Path) -> bool:
    """Whether a dead writer left something that it had decided on."""
    return any((root / STAGING).glob(f"{_SWAP}*"))


def destroy(staging: Path, folder: Path) -> None:
    """Delete a folder for good: first out of sight in one move, then file by file."""
    gone = staging / "gone"
    folder.rename(gone)
    _flush(folder.parent)
    _delete(gone)


def tidy(folder: Path, root: Path) -> None:
    """Remove a folder and those above it, up to the root, that have become empty."""
    while folder != root:
        try:
            folder.rmdir()
        except OSError:
            return
        folder = folder.parent


def _finish(root: Path, job: Path) -> None:
    target, fresh = root / (job / "where").read_text(encoding="utf-8"), job / "new"
    if fresh.exists():
        if target.exists():
            target.rename(job / "old")
        _make(target.parent)
        fresh.rename(target)
        _flush(target.parent)
    shutil.rmtree(job)


def _empty(staging: Path) -> None:
    """Throw away everything but decided swaps."""
    for left in staging.iterdir() if staging.is_dir() else ():
        if left.name.startswith(_SWAP):
            continue
        with suppress(OSError):
            _delete(left)


def _delete(path: Path) -> None:
    """Delete a folder with all in it, a file, or a link, which what it leads to outlives."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink()


def _make(folder: Path) -> None:
    """Make a folder and those above it, durably."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for made in missing:
        _flush(made.parent)


def _flush(folder: Path) -> None:
    """Flush a folder's list of names; Windows does that by itself and lets nobody open a folder."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
