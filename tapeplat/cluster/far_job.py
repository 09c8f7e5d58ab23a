"""One job on a worker of a cluster: its files put down, the job done there, what it wrote sent back."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Generic, TypeVar

from tapeplat.cluster.same_program import Program, this_program
from tapeplat.lens.lens_store import FOLDER_VARIABLE
from tapeplat.workers.carrying import BEFORE, Carried, Sealed, unsealed
from tapeplat.workers.worker_pool import compute_with_one_thread

Answer = TypeVar("Answer")


@dataclass(frozen=True)
class Done(Generic[Answer]):
    """A job's answer and the files that it wrote, by their names in its folder; or what kept it from beginning.

    unseen: files that were sent by their paths are not seen from that computer. other: it runs another program.
    """

    answer: Answer | None
    files: Mapping[str, bytes]
    unseen: bool = False
    other: Program | None = None
    fault: str = ""


@dataclass(frozen=True)
class FarJob(Generic[Answer]):
    """A job with its files, and the lens profiles of the computer that sends it."""

    job: Carried[Answer]
    files: Mapping[str, Sealed]
    lenses: Mapping[str, bytes]
    program: Program

    def run(self) -> Done[Answer]:
        """Do it. Whatever the job itself raises is in `fault`."""
        here = this_program()
        if here != self.program:
            return Done(None, {}, other=here)
        compute_with_one_thread()
        with tempfile.TemporaryDirectory(prefix="tapeplat-") as folder:
            places, out = self._put_down(Path(folder)), Path(folder) / "out"
            if places is None:
                return Done(None, {}, unseen=True)
            out.mkdir()
            before = os.environ.get(FOLDER_VARIABLE)
            os.environ[FOLDER_VARIABLE] = str(Path(folder) / "config")
            try:
                answer = self.job.moved(places, out).run()
            except Exception as error:
                missing = [file.missing for file in self.files.values() if file.missing]
                return Done(None, {}, fault=missing[0] if missing else f"{type(error).__name__}: {error}")
            finally:
                if before is None:
                    del os.environ[FOLDER_VARIABLE]
                else:
                    os.environ[FOLDER_VARIABLE] = before
            return Done(answer, self._written(out))

    def _written(self, out: Path) -> dict[str, bytes]:
        """What the job wrote, without what was there before and is the same."""
        made = {file.name: file.read_bytes() for file in out.iterdir() if file.is_file()}
        before = {n.removeprefix(BEFORE): file.sha256 for n, file in self.files.items() if n.startswith(BEFORE)}
        return {name: content for name, content in made.items() if sha256(content).hexdigest() != before.get(name)}

    def _put_down(self, folder: Path) -> dict[str, Path] | None:
        """Where each file is now; None where one is not seen from here."""
        for name, content in self.lenses.items():
            place = folder / "config" / "lenses" / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        places = {name: unsealed(file, folder / "files" / name) for name, file in self.files.items()}
        there = {name: place for name, place in places.items() if place is not None}
        return there if len(there) == len(places) else None
