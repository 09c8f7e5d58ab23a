"""A class on a local Dask cluster, its workers killed at random: is every photo measured, as fast as here, as here?

    python -m tests.benchmarks.cluster --photos 40 --workers 1 2 --kill 10

For each number of workers: photos a minute, the largest memory of a worker, models not measured, and results that are
not the same byte for byte as those of a run without a cluster.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import signal
import tempfile
import threading
import time
from pathlib import Path

import psutil
from click.testing import CliRunner
from PIL import Image

from tapeplat.cli.main import main as program
from tests.helpers.local_cluster import LocalCluster
from tests.helpers.paths import SAMPLES


def main() -> None:
    """Measure and print a line for each number of workers."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--photos", type=int, default=40)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--kill", type=float, default=0.0, help="Seconds between two kills; 0 for none.")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["TAPEPLAT_CONFIG"] = str(folder / "config")
        make_photos(folder / "photos", asked.photos)
        start = time.perf_counter()
        run(folder, "here")
        print(f"here: {60 * asked.photos / (time.perf_counter() - start):.0f} photos a minute", flush=True)
        for workers in asked.workers:
            print(on_cluster(folder, workers, asked.kill, asked.photos), flush=True)


def make_photos(folder: Path, count: int) -> None:
    """So many files of one photo, each coded otherwise, so that none is the same as another."""
    folder.mkdir()
    with Image.open(SAMPLES / "quarry-lake-1.jpg") as image:
        for team in range(1, count + 1):
            out = io.BytesIO()
            image.save(out, "JPEG", quality=86 + team % 10, exif=image.getexif(), comment=str(team).encode())
            (folder / f"team-{team}.jpg").write_bytes(out.getvalue())


def run(folder: Path, out: str, *more: str) -> int:
    """Measure the class; the exit code."""
    photos = str(folder / "photos")
    line = ["class", str(SAMPLES / "quarry-lake-1.toml"), photos, "--out", str(folder / out), "--quiet", *more]
    return CliRunner().invoke(program, line).exit_code


def on_cluster(folder: Path, workers: int, kill: float, photos: int) -> str:
    """A run on so many workers, in a line."""
    end, largest, killed = threading.Event(), [0.0], [0]
    with tempfile.TemporaryDirectory() as place, LocalCluster(Path(place), workers) as cluster:
        watch = threading.Thread(target=watched, args=(end, largest, killed, kill))
        watch.start()
        start = time.perf_counter()
        code = run(folder, f"there-{workers}", "--cluster", cluster.address)
        took = time.perf_counter() - start
        end.set()
        watch.join()
    made = [folder / f"there-{workers}" / f"team-{team}" for team in range(1, photos + 1)]
    missing = sum(not (team / "result.json").is_file() for team in made)
    other = sum(differs(team, folder / "here" / team.name) for team in made if (team / "result.json").is_file())
    return (
        f"{workers} workers on {os.cpu_count()} cores: {60 * photos / took:.0f} photos a minute, largest worker "
        f"{largest[0]:.0f} MB, {killed[0]} killed, {missing} not measured, {other} with other results, exit code {code}"
    )


def differs(one: Path, other: Path) -> bool:
    """Whether any file of two folders differs."""
    names = {file.name for folder in (one, other) for file in folder.iterdir()}
    return any(not (one / name).is_file() or (one / name).read_bytes() != (other / name).read_bytes() for name in names)


def watched(end: threading.Event, largest: list[float], killed: list[int], kill: float) -> None:
    """Look at the workers' memory four times a second, and kill one of them every so many seconds."""
    due, dice = time.monotonic() + kill, random.Random(1)
    while not end.wait(0.25):
        found = []
        for process in psutil.Process().children(recursive=True):
            try:
                if "spawn_main" in " ".join(process.cmdline()):
                    found.append(process)
                    largest[0] = max(largest[0], process.memory_info().rss / 1e6)
            except psutil.Error:
                continue
        if kill and found and time.monotonic() > due:
            os.kill(dice.choice(found).pid, signal.SIGKILL)
            killed[0] += 1
            due = time.monotonic() + kill


if __name__ == "__main__":
    main()
