"""A class on a local Dask cluster, its workers killed at random: is every photo measured, as fast as here, as here?

    python -m tests.benchmarks.cluster --photos 40 --workers 1 2 --kill 10
    nice -n 15 python -m tests.benchmarks.cluster --photos 1000 --width 1600 --alone --check 100 --kill 10 --lose 120

For each number of workers: photos a minute, processor time a photo, the largest memory of a worker, models not
measured, and results that are not the same byte for byte as those of a run without a cluster: of all photos, or with
--alone (photos of no known phone, which tell each other nothing) and --check of the first ones. With --lose the
scheduler is killed so many seconds into the run, and the same line runs again on a new cluster. With --carry photos
are only carried there and back: the processor time that sending and scheduling take, whatever is measured.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import resource
import signal
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import psutil
from click.testing import CliRunner
from PIL import Image

from tapeplat.cli.main import main as program
from tapeplat.cluster.cluster_pool import ClusterPool
from tests.helpers.far_jobs import CopyJob
from tests.helpers.local_cluster import LocalCluster
from tests.helpers.paths import SAMPLES


@dataclass
class Seen:
    """What was seen of the workers: memory of the largest, MB; processor time by process, s; how many were killed."""

    largest: float = 0.0
    worked: dict[int, float] = field(default_factory=dict)
    killed: int = 0


def main() -> None:
    """Measure and print a line for each number of workers."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--photos", type=int, default=40)
    parser.add_argument("--width", type=int, default=0, help="Photos' width in pixels; 0 for the shipped photo's own.")
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--kill", type=float, default=0.0, help="Seconds between two kills; 0 for none.")
    parser.add_argument("--lose", type=float, default=0.0, help="Seconds until the scheduler is killed; 0 for never.")
    parser.add_argument("--alone", action="store_true", help="Photos that do not say which phone took them.")
    parser.add_argument("--check", type=int, default=0, help="Compare so many results alone; needs --alone.")
    parser.add_argument("--carry", type=int, default=0, help="Carry so many photos there and back, and no more.")
    asked = parser.parse_args()
    if asked.check and not asked.alone:
        parser.error("--check needs --alone: what photos of one phone tell each other depends on how many there are")
    if asked.carry:
        carried(asked.carry)
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["TAPEPLAT_CONFIG"] = str(folder / "config")
        make_photos(folder / "photos", asked.photos, asked.width, told=not asked.alone)
        checked = asked.check or asked.photos
        make_photos(folder / "some", checked, asked.width, told=not asked.alone)
        start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
        run(folder, "some", "here")
        took, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
        worked = (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) / checked
        print(f"here: {60 * checked / took:.0f} photos a minute, {worked:.2f} s of processor time a photo", flush=True)
        for workers in asked.workers:
            print(on_cluster(folder, workers, asked), flush=True)


def carried(count: int) -> None:
    """The processor time of this program and of the scheduler for each photo that is carried, by path and by value."""
    photo = SAMPLES / "quarry-lake-1.jpg"
    with tempfile.TemporaryDirectory() as name, LocalCluster(Path(name), 1) as cluster:
        scheduler = next(p for p in psutil.Process().children() if "distributed.cli.dask_scheduler" in p.cmdline())
        with ClusterPool(cluster.address) as pool:
            for by_path in (True, False):
                pool._by_path = by_path
                start, own, before = time.perf_counter(), time.process_time(), scheduler.cpu_times()
                jobs = [pool.submit(CopyJob(photo, Path(name) / f"{by_path}-{n}")) for n in range(count)]
                for job in jobs:
                    job.result()
                after = scheduler.cpu_times()
                there = after.user + after.system - before.user - before.system
                here, took = time.process_time() - own, time.perf_counter() - start
                print(
                    f"{photo.stat().st_size / 1e6:.1f} MB {'by path, ' if by_path else 'sent and '}sent back: "
                    f"{1000 * here / count:.1f} ms of this program, {1000 * there / count:.1f} ms of the scheduler, "
                    f"{count / took:.0f} a second with one worker",
                    flush=True,
                )


def make_photos(folder: Path, count: int, width: int, *, told: bool) -> None:
    """So many files of one photo, each coded otherwise, so that none is the same as another; told: by which phone."""
    folder.mkdir()
    with Image.open(SAMPLES / "quarry-lake-1.jpg") as image:
        exif = image.getexif() if told else Image.Exif()
        size = (width, round(width * image.height / image.width)) if width else image.size
        shown = image.resize(size, Image.Resampling.LANCZOS) if width else image
        for team in range(1, count + 1):
            out = io.BytesIO()
            shown.save(out, "JPEG", quality=86 + team % 10, exif=exif, comment=str(team).encode())
            (folder / f"team-{team}.jpg").write_bytes(out.getvalue())


def run(folder: Path, photos_in: str, out: str, *more: str) -> int:
    """Measure the class; the exit code."""
    photos = str(folder / photos_in)
    line = ["class", str(SAMPLES / "quarry-lake-1.toml"), photos, "--out", str(folder / out), "--quiet", *more]
    return CliRunner().invoke(program, line).exit_code


def on_cluster(folder: Path, workers: int, asked: argparse.Namespace) -> str:
    """A run on so many workers, and another where the scheduler is lost in it, in a line."""
    seen, out, codes, lost = Seen(), f"there-{workers}", list[int](), ""
    start, own = time.perf_counter(), time.process_time()
    if asked.lose:
        codes.append(cluster_run(folder, workers, asked.kill, seen, asked.lose))
        lost = (
            f"scheduler killed after {asked.lose:.0f} s with {len(measured(folder / out))} measured, then run again; "
        )
    codes.append(cluster_run(folder, workers, asked.kill, seen, 0.0))
    took, own = time.perf_counter() - start, time.process_time() - own
    made = measured(folder / out)
    here = [folder / "here" / team.name for team in made]
    other = [differs(team, known) for team, known in zip(made, here, strict=True) if known.is_dir()]
    return (
        f"{workers} workers on {os.cpu_count()} cores: {60 * asked.photos / took:.0f} photos a minute, "
        f"{sum(seen.worked.values()) / asked.photos:.2f} s of the workers' and "
        f"{own / asked.photos:.2f} s of this program's processor time a photo, largest worker "
        f"{seen.largest:.0f} MB, {seen.killed} killed, {lost}{asked.photos - len(made)} not measured, "
        f"{sum(other)} of {len(other)} with other results, exit codes {codes}"
    )


def measured(out: Path) -> list[Path]:
    """The teams' folders with a result."""
    return [file.parent for file in out.glob("team-*/result.json")]


def cluster_run(folder: Path, workers: int, kill: float, seen: Seen, lose: float) -> int:
    """A run on a new cluster of so many workers, whose scheduler is killed after `lose` seconds; the exit code."""
    end = threading.Event()
    with tempfile.TemporaryDirectory() as place, LocalCluster(Path(place), workers) as cluster:
        watch = threading.Thread(target=watched, args=(end, seen, kill))
        loss = threading.Timer(lose, cluster.kill_scheduler)
        watch.start()
        if lose:
            loss.start()
        try:
            return run(folder, "photos", f"there-{workers}", "--cluster", cluster.address)
        finally:
            end.set()
            watch.join()
            loss.cancel()


def differs(one: Path, other: Path) -> bool:
    """Whether any file of two folders differs."""
    names = {file.name for folder in (one, other) for file in folder.iterdir()}
    return any(not (one / name).is_file() or (one / name).read_bytes() != (other / name).read_bytes() for name in names)


def watched(end: threading.Event, seen: Seen, kill: float) -> None:
    """Look at the workers four times a second, and kill one of them every so many seconds."""
    due, dice = time.monotonic() + kill, random.Random(1)
    while not end.wait(0.25):
        found = []
        for process in psutil.Process().children(recursive=True):
            try:
                if "spawn_main" in " ".join(process.cmdline()):
                    found.append(process)
                    times = process.cpu_times()
                    seen.worked[process.pid] = times.user + times.system
                    seen.largest = max(seen.largest, process.memory_info().rss / 1e6)
            except psutil.Error:
                continue
        if kill and found and time.monotonic() > due:
            os.kill(dice.choice(found).pid, signal.SIGKILL)
            seen.killed += 1
            due = time.monotonic() + kill


if __name__ == "__main__":
    main()
