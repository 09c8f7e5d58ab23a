"""Time for each photo and peak memory of a class, for classes of several sizes: both must stay flat.

    python -m tests.benchmarks.class_of_photos [PHOTOS CHALLENGE] [--jobs 2] [--sizes 10 20 40 60]

The photos of a folder (or the demo's first one) are copied until there are enough, each with other brightness and noise
so that no two files are the same.  Every class is measured by the command `tapeplat class` in a process of its own.
Processor time is that of all its processes, which other programs on the machine change little; memory is the sum over
that process and its workers (proportional set size where the system tells it, so that shared pages count once), looked
at ten times a second.
"""

from __future__ import annotations

import argparse
import io
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from typing import ClassVar

import numpy as np
import psutil
from PIL import Image

from tests.helpers.paths import SAMPLES

SAMPLE = SAMPLES / "quarry-lake-1.jpg"


def main() -> None:
    """Print one row a class."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("photos", type=Path, nargs="?", default=SAMPLE)
    ask.add_argument("challenge", type=Path, nargs="?", default=SAMPLE.with_suffix(".toml"))
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--sizes", type=int, nargs="+", default=[10, 20, 40, 60])
    given = ask.parse_args()
    sources = sorted(given.photos.glob("*.jpg")) if given.photos.is_dir() else [given.photos]
    print(Row.TITLES, flush=True)
    for size in given.sizes:
        print(measured(sources, given.challenge, size, given.jobs), flush=True)


@dataclass(frozen=True, slots=True)
class Row:
    """What a class of some size took: wall and processor time in s, the peak of memory in bytes, the time once more."""

    TITLES: ClassVar[str] = "photos      s s a photo cpu s a photo  peak MB  again s  refused"
    size: int
    seconds: float
    cpu: float
    peak: float
    again: float
    refused: int
    exit_code: int

    def __str__(self) -> str:
        times = f"{self.size:>6} {self.seconds:>6.1f} {self.seconds / self.size:>9.2f} {self.cpu / self.size:>13.2f}"
        wrong = f" exit {self.exit_code}" if self.exit_code not in (0, 3) else ""
        return f"{times} {self.peak / 1e6:>8.0f} {self.again:>8.1f} {self.refused:>8}{wrong}"


def measured(sources: list[Path], challenge: Path, size: int, jobs: int) -> Row:
    """Measure a class of that many photos, and once more where nothing has changed."""
    with tempfile.TemporaryDirectory() as folder:
        photos, out = Path(folder) / "class", Path(folder) / "out"
        make_photos(sources, photos, size)
        before = cpu()
        seconds, peak, code = run(challenge, photos, out, jobs)
        used = cpu() - before
        again, _, _ = run(challenge, photos, out, jobs)
        return Row(size, seconds, used, peak, again, size - len(list(out.glob("*/result.json"))), code)


def make_photos(sources: list[Path], folder: Path, count: int) -> None:
    """Copies team-1.jpg, team-2.jpg, ... that differ in brightness by a few per cent and in noise, EXIF kept."""
    folder.mkdir()
    for number, source in zip(range(1, count + 1), cycle(sources), strict=False):
        random = np.random.default_rng(number)
        with Image.open(io.BytesIO(source.read_bytes())) as image:
            pixels = np.asarray(image.convert("RGB"), dtype=np.float32)
            noise = random.integers(-2, 3, pixels.shape, dtype=np.int8)
            changed = np.clip(pixels * random.uniform(0.96, 1.04) + noise, 0, 255).astype(np.uint8)
            Image.fromarray(changed).save(folder / f"team-{number}.jpg", quality=93, exif=image.getexif())


def run(challenge: Path, photos: Path, out: Path, jobs: int) -> tuple[float, float, int]:
    """Seconds, peak memory in bytes of the whole process tree, exit code."""
    start = time.perf_counter()
    command = [
        Path(sys.executable).with_name("tapeplat"),
        "class",
        challenge,
        photos,
        "--out",
        out,
        "--jobs",
        str(jobs),
    ]
    process = psutil.Popen([*map(str, command), "--quiet"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    peak = 0.0
    while process.poll() is None:
        peak = max(peak, memory(process))
        time.sleep(0.1)
    return time.perf_counter() - start, peak, process.returncode


def cpu() -> float:
    """Processor seconds of all processes that this one started and that have ended, their own included."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def memory(process: psutil.Process) -> float:
    """Bytes held by a process and its children."""
    total = 0.0
    try:
        for part in (process, *process.children(recursive=True)):
            try:
                full = part.memory_full_info()
                total += getattr(full, "pss", full.rss)
            except psutil.Error:
                continue
    except psutil.Error:
        return total
    return total


if __name__ == "__main__":
    main()
