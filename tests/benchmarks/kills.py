"""Commands killed at random moments (SIGKILL): what was reported is there, whole, and the next run works.

`python -m tests.benchmarks.kills FIRST COUNT [--of measure,class,archive]`.  Kill number n of a command falls at the
same share of its usual time every time.  Prints what went wrong and a line for each command.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np

from tapeplat.archive import Archive
from tapeplat.output.result_folder import STAGING
from tests.helpers.made.attempts import attempt
from tests.helpers.paths import SAMPLES

PROGRAM = [sys.executable, "-m", "tests.helpers.program"]
SMALL = 1400
"""Pixels of the photo's longer side: enough to be measured, and quick."""


@dataclass(frozen=True)
class Desk:
    """The folder of one trial; kills are the seconds after which a command that was running was killed."""

    root: Path
    kills: list[float] = field(default_factory=list)

    def run(self, *words: object, kill: float | None = None) -> subprocess.CompletedProcess[bytes] | None:
        """Run a command; kill it after so many seconds: then, or where it was killed, None."""
        env = {**os.environ, "OMP_NUM_THREADS": "1", "TAPEPLAT_CONFIG": str(self.root / "config")}
        command = [*PROGRAM, *map(str, words)]
        pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        process = subprocess.Popen(command, env=env, start_new_session=True, **pipes)  # type: ignore[call-overload]
        try:
            out, errors = process.communicate(timeout=kill)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            self.kills.append(kill or 0.0)
            process.communicate()
            return None
        return subprocess.CompletedProcess(command, process.returncode, out, errors)

    def unsound(self) -> list[str]:
        """What is half, missing or cannot be read."""
        wrong = [f"archive: {damage}" for damage in Archive(self.root / "archive").verify()]
        wrong += ["archive: cannot be read"] if Archive(self.root / "archive").unreadable() else []
        for path in self.root.rglob("*.json"):
            if "archive" not in path.parts and not any(part.startswith(STAGING) for part in path.parts):
                wrong += [] if _whole(path) else [f"{path.relative_to(self.root)} is half"]
        return wrong


def measure(desk: Desk, kill: float | None) -> str:
    """One photo, filed."""
    words = ("measure", desk.root / "c.toml", desk.root / "photos" / "3.jpg", "--out", desk.root / "out", "--team", "3")
    done = desk.run(*words, "--archive-folder", desk.root / "archive", kill=kill)
    return "" if done is None or done.returncode == 0 else f"exit {done.returncode}: {done.stderr.decode()[-200:]}"


def classes(desk: Desk, kill: float | None) -> str:
    """A class of two, filed."""
    words = ("class", desk.root / "c.toml", desk.root / "photos", "--out", desk.root / "class", "--jobs", "1")
    done = desk.run(*words, "--archive-folder", desk.root / "archive", kill=kill)
    return "" if done is None or done.returncode == 0 else f"exit {done.returncode}: {done.stderr.decode()[-200:]}"


def archive(desk: Desk, kill: float | None) -> str:
    """A filed attempt added to, removed, erased; the list made anew."""
    known = Archive(desk.root / "archive")
    first = known.entries()[0].id if known.entries() else known.save(attempt()).id
    chance = random.Random(kill)
    words = chance.choice(
        [("add", first, "--notes", "a word"), ("remove", first, "--yes"), ("empty-trash", "--yes"), ("rebuild",),
         ("expire", "--older-than", "1 day", "--yes"), ("repair", "--yes"),
         ("export", first, "--out", desk.root / "x.zip")]
    )  # fmt: skip
    done = desk.run("archive", *words, "--archive-folder", desk.root / "archive", kill=kill)
    return "" if done is None or done.returncode == 0 else f"exit {done.returncode}: {done.stderr.decode()[-200:]}"


OF: dict[str, Callable[[Desk, float | None], str]] = {"measure": measure, "class": classes, "archive": archive}


def tried(name: str, first: int, count: int) -> tuple[int, list[str]]:
    """How often the command was killed while it ran, and everything that was wrong afterwards."""
    command, wrong = OF[name], list[str]()
    with tempfile.TemporaryDirectory(prefix="tapeplat-kills-") as folder:
        desk = Desk(Path(folder))
        _lay_out(desk.root)
        usual = _time_of(command, desk)
        for number in range(first, first + count):
            filed = {entry.id for entry in Archive(desk.root / "archive").entries()}
            command(desk, random.Random(number).uniform(0.05, 1.0) * usual)
            wrong += [f"{name} {number}: {said}" for said in desk.unsound()]
            lost = filed - {entry.id for entry in Archive(desk.root / "archive").entries()}
            wrong += [f"{name} {number}: lost {one}" for one in lost if name != "archive"]
            if number % 10 == 9:
                _again(command, desk, f"{name} {number}", wrong)
        return len(desk.kills), wrong


def _again(command: Callable[[Desk, float | None], str], desk: Desk, name: str, wrong: list[str]) -> None:
    """The next run works, and clears away what the killed ones left; the archive starts anew now and then."""
    said = command(desk, None)
    wrong += [f"{name}, the next run: {said}"] if said else []
    wrong += [f"{name}, the next run: {one}" for one in desk.unsound()]
    shutil.rmtree(desk.root / "archive", ignore_errors=True)
    shutil.rmtree(desk.root / "class", ignore_errors=True)


def _time_of(command: Callable[[Desk, float | None], str], desk: Desk) -> float:
    started = time.monotonic()
    said = command(desk, None)
    if said:
        raise SystemExit(f"it does not even work undisturbed: {said}")
    shutil.rmtree(desk.root / "class", ignore_errors=True)
    return time.monotonic() - started


def _lay_out(root: Path) -> None:
    """Two small photos of a sample and its challenge."""
    shutil.copy(SAMPLES / "quarry-lake-4.toml", root / "c.toml")
    (root / "photos").mkdir()
    picture = cv2.imread(str(SAMPLES / "quarry-lake-4.jpg"))
    scale = SMALL / max(picture.shape)
    for team, size in (("3", scale), ("4", 1.02 * scale)):
        small = cv2.resize(picture, None, fx=size, fy=size, interpolation=cv2.INTER_AREA)
        cv2.imwrite(str(root / "photos" / f"{team}.jpg"), np.asarray(small))


def _whole(path: Path) -> bool:
    try:
        json.loads(path.read_bytes())
    except (OSError, ValueError):
        return False
    return True


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int)
    parser.add_argument("count", type=int)
    parser.add_argument("--of", default=",".join(OF))
    given = parser.parse_args()
    begun = time.monotonic()
    for each in given.of.split(","):
        number, found = tried(each, given.first, given.count)
        print("\n".join(found), end="\n" if found else "")
        print(
            f"{each}: killed {number} times, {len(found)} things wrong, {time.monotonic() - begun:.0f} s so far",
            flush=True,
        )
