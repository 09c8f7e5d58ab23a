"""Time and memory of one measurement against the least that any such program does.

    python -m tests.benchmarks.one_photo [PHOTO CHALLENGE]

For the photo as it is and enlarged to 12 megapixels it prints the time of the whole in-process measurement (reading the
file, measuring, checking the rules) as a ratio to its floor: decode the JPEG, detect the tags, warp the whole picture
once, convert it to Lab once.  Then that of `tapeplat measure` as a command, which imports, draws and writes besides,
against its own floor: a bare process that imports numpy, cv2 and shapely, and the floor before.  All are processor
times, each the least of alternating runs, so that a busy machine changes them little.  Peak memory is the process's.
The commands run with compiled modules, as an installed program has them, also where PYTHONDONTWRITEBYTECODE is set.
"""

from __future__ import annotations

import argparse
import io
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from tests.helpers.paths import SAMPLES

LARGE = 12_000_000
RUNS = 5


def main() -> None:
    """Print one row a size."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("photo", type=Path, nargs="?", default=sorted(SAMPLES.glob("*.jpg"))[0])
    ask.add_argument("challenge", type=Path, nargs="?")
    given = ask.parse_args()
    challenge = given.challenge or given.photo.with_suffix(".toml")
    print(f"{'megapixels':>10} {'':10} {'floor s':>8} {'measure s':>9} {'ratio':>6} {'peak MB':>8}")
    with tempfile.TemporaryDirectory() as folder:
        for photo in (given.photo, enlarged(given.photo, Path(folder) / "large.jpg")):
            rows(photo, challenge, Path(folder) / "out")


def rows(photo: Path, challenge: Path, out: Path) -> None:
    """Time the measurement in this process and as a command, each with its floor, after one warm-up."""
    import tapeplat

    data = photo.read_bytes()
    within: list[Callable[[], object]] = [lambda: floor(data), lambda: tapeplat.measure(challenge, (photo,))]
    least, whole = (min(times) for times in alternating(within, time.process_time))
    command = [
        str(Path(sys.executable).with_name("tapeplat")),
        "measure",
        str(challenge),
        str(photo),
        "--out",
        str(out),
    ]
    peaks: list[float] = []
    bare, run = (
        min(times)
        for times in alternating(
            [
                lambda: finished([sys.executable, "-c", "import numpy, cv2, shapely"]),
                lambda: peaks.append(finished(command)),
            ],
            children_time,
        )
    )
    with Image.open(io.BytesIO(data)) as image:
        pixels = image.width * image.height / 1e6
    mine = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    for what, below, taken, peak in (("in-process", least, whole, mine), ("command", bare + least, run, max(peaks))):
        print(f"{pixels:>10.1f} {what:10} {below:>8.3f} {taken:>9.3f} {taken / below:>6.2f} {peak:>8.0f}")


def alternating(actions: Sequence[Callable[[], object]], clock: Callable[[], float]) -> list[list[float]]:
    """What each of the actions takes by the clock, in RUNS turns after a first one."""
    times: list[list[float]] = [[] for _ in actions]
    for turn in range(RUNS + 1):
        for action, taken in zip(actions, times, strict=True):
            start = clock()
            action()
            if turn:
                taken.append(clock() - start)
    return times


def finished(command: Sequence[str]) -> float:
    """Run a command to its end; its peak memory, MB."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    process = subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{' '.join(command)} failed")
    return used.ru_maxrss / 1024


def children_time() -> float:
    """Processor time of all commands that have ended, s."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def floor(data: bytes) -> None:
    """What any measurement from a photo must do at least."""
    bgr = np.asarray(cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR))
    grey = cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    cv2.aruco.ArucoDetector(dictionary, cv2.aruco.DetectorParameters()).detectMarkers(grey)
    matrix = np.array([[0.98, 0.02, 3.0], [-0.02, 0.98, 5.0], [1e-6, 1e-6, 1.0]])
    flat = cv2.warpPerspective(bgr, matrix, bgr.shape[1::-1])
    cv2.cvtColor(flat, cv2.COLOR_BGR2LAB)


def enlarged(photo: Path, to: Path) -> Path:
    """The same photo with LARGE pixels, its EXIF kept."""
    with Image.open(photo) as image:
        scale = (LARGE / (image.width * image.height)) ** 0.5
        size = (round(image.width * scale), round(image.height * scale))
        exif = image.getexif()
        image.resize(size, Image.Resampling.LANCZOS).save(to, quality=92, exif=exif)
    return to


if __name__ == "__main__":
    main()
