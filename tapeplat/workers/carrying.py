"""Jobs that can be done on another computer: which files they read, and how they are told where those lie there."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeVar

from measure.file_content import FileContent, Readable
from tapeplat.workers.worker_pool import Job

Answer = TypeVar("Answer")
Given = TypeVar("Given", Path, FileContent, Path | FileContent, Path | FileContent | None)
Answer_co = TypeVar("Answer_co", covariant=True)


class Carried(Job[Answer_co], Protocol[Answer_co]):
    """A job that reads and writes nothing but what it names here."""

    def input_files(self) -> Mapping[str, Path]:
        """The files that it reads, each by a name of its own: a relative path that ends in the file's own name."""

    def moved(self, places: Mapping[str, Path], out: Path) -> Carried[Answer_co]:
        """The same job with those files elsewhere, which writes into another folder."""

    def output_folder(self) -> Path | None:
        """The folder into which it writes; None where it writes nothing."""


class JobPool(Protocol):
    """Whatever does such jobs several at a time."""

    def submit(self, job: Carried[Answer]) -> Future[Answer]:
        """Hand in a job: a future of its answer, which raises WorkerFailed where there is none."""

    def kill(self) -> None:
        """End all work at once; the jobs that are not done fail."""


Pools = Callable[[int], AbstractContextManager[JobPool]]
"""Makes a pool that is fit for so many jobs."""
BEFORE = "before/"
"""Begins the names of the files that lie in the output folder already."""


@dataclass(frozen=True)
class Sealed:
    """A file on its way: its content, or where both computers see it; sha256 is of its content.

    missing says why it cannot be read; it is missing there, too, so that the job refuses it as it would here.
    """

    sha256: str
    content: bytes | None = None
    path: Path | None = None
    missing: str = ""


def sealed(file: Path, *, by_path: bool) -> Sealed:
    """A file to be sent, or that it cannot be read."""
    try:
        content = file.read_bytes()
    except OSError as error:
        return Sealed("", missing=f"{file}: {(error.strerror or str(error)).lower()}")
    digest = hashlib.sha256(content).hexdigest()
    return Sealed(digest, path=file.resolve()) if by_path else Sealed(digest, content)


def unsealed(file: Sealed, place: Path) -> Path | None:
    """Where the file is now: where both see it, else at place; None where it is not seen from here, or is another."""
    if file.missing:
        return place
    if file.content is not None:
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(file.content)
        return place
    assert file.path is not None
    try:
        there = hashlib.sha256(file.path.read_bytes()).hexdigest()
    except OSError:
        return None
    return file.path if there == file.sha256 else None


def numbered(files: Sequence[Path]) -> dict[str, Path]:
    """Files by names that differ: `0/photo.jpg`, `1/photo.jpg`."""
    return {f"{n}/{file.name}": file for n, file in enumerate(files)}


def given_file(what: str, file: Readable | None) -> dict[str, Path]:
    """A file that was given, by what it is; nothing where it is none, or its content was given."""
    return {f"{what}/{file.name}": file} if isinstance(file, Path) else {}


def carried(what: str, file: Given, places: Mapping[str, Path]) -> Given | FileContent:
    """A file that was given, as its content under the name that it has where it came from, which messages use."""
    if not isinstance(file, Path):
        return file
    return FileContent(str(file), places[f"{what}/{file.name}"].read_bytes())
