"""Time and memory of one measurement against the least that any such program does.

    python -m tests.benchmarks.one_photo [PHOTO CHALLENGE]

For the photo as it is and enlarged to 12 megapixels it prints the time of the whole in-process measurement (reading the
file, measuring, checking the rules, drawing and encoding the results) as a ratio to its floor: decode the JPEG, detect
the tags, warp the whole picture once, convert it to Lab once.  Both are medians of alternating runs in this one
process,
so that a machine whose speed drifts slows both.  Peak memory is the whole process's.
"""

from __future__ import annotations

import argparse
import io
import resource
import statistics
import tempfile
import time
from collections.abc import Callable
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
    print(f"{'megapixels':>10} {'floor s':>8} {'measure s':>9} {'ratio':>6} {'peak MB':>8}")
    with tempfile.TemporaryDirectory() as folder:
        for photo in (given.photo, enlarged(given.photo, Path(folder) / "large.jpg")):
            row(photo, challenge)


def row(photo: Path, challenge: Path) -> None:
    """Time both, alternating, after one warm-up each."""
    import tapeplat

    data = photo.read_bytes()
    actions: list[Callable[[], object]] = [lambda: floor(data), lambda: tapeplat.measure(challenge, (photo,))]
    times: list[list[float]] = [[], []]
    for turn in range(RUNS + 1):
        for action, taken in zip(actions, times, strict=True):
            start = time.perf_counter()
            action()
            if turn:
                taken.append(time.perf_counter() - start)
    least, whole = (statistics.median(t) for t in times)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with Image.open(io.BytesIO(data)) as image:
        pixels = image.width * image.height / 1e6
    print(f"{pixels:>10.1f} {least:>8.3f} {whole:>9.3f} {whole / least:>6.2f} {peak:>8.0f}")


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
