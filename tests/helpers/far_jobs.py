"""Jobs for a cluster's workers in the place of measuring. Workers import this module, so it imports little."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from tapeplat.lens.lens_store import folder as lens_folder


@dataclass(frozen=True)
class CopyJob:
    """Writes what it reads into its folder, with the lens profiles that it found; dies before it where it is to.

    deaths: how often; died: a file that counts, which all workers see.
    """

    photo: Path
    folder: Path
    deaths: int = 0
    died: Path = Path()

    def run(self) -> str:
        if self.deaths:
            with self.died.open("a") as count:
                count.write("x")
            if self.died.stat().st_size <= self.deaths:
                os.kill(os.getpid(), signal.SIGKILL)
        (self.folder / "copy.txt").write_bytes(self.photo.read_bytes())
        names = sorted(file.name for file in lens_folder().rglob("*.json"))
        (self.folder / "lenses.txt").write_text("\n".join(names), "utf-8")
        return self.photo.name

    def input_files(self) -> Mapping[str, Path]:
        return {self.photo.name: self.photo}

    def moved(self, places: Mapping[str, Path], out: Path) -> CopyJob:
        return replace(self, photo=places[self.photo.name], folder=out)

    def output_folder(self) -> Path:
        return self.folder


@dataclass(frozen=True)
class GatedJob(CopyJob):
    """Is in hand until the file `died` is there, which all workers see."""

    def run(self) -> str:
        for _ in range(1200):
            if self.died.exists():
                return self.photo.name
            time.sleep(0.05)
        raise TimeoutError("the gate stayed shut")


@dataclass(frozen=True)
class FaultyJob(CopyJob):
    """Raises what nobody expected."""

    def run(self) -> str:
        raise ArithmeticError("nobody expected this")


@dataclass(frozen=True)
class GreedyJob(CopyJob):
    """Takes ever more memory, until somebody stops it; says in the file `died` how often it began."""

    def run(self) -> str:
        with self.died.open("a") as count:
            count.write("x")
        taken = list[bytes]()
        while len(taken) < 150:
            taken.append(b"x" * 2**24)
            time.sleep(0.01)
        time.sleep(20)
        raise MemoryError("nobody stopped it at 2.4 GB")
