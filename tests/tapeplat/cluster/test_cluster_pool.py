"""Jobs on a Dask cluster: done as here, tried again where a worker dies, named where that does not help."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import dask
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from measure.errors import InputMistakes
from tapeplat.cli.main import main
from tapeplat.cluster import cluster_pool
from tapeplat.cluster.cluster_connection import _checked_workers
from tapeplat.cluster.cluster_pool import ClusterPool
from tapeplat.cluster.far_job import FarJob
from tapeplat.cluster.same_program import this_program
from tapeplat.lens.lens_store import folder as lens_folder
from tapeplat.workers.carrying import Sealed, sealed
from tapeplat.workers.worker_pool import WorkerFailed
from tests.helpers.far_jobs import CopyJob, FaultyJob, GatedJob, GreedyJob
from tests.helpers.local_cluster import LocalCluster
from tests.helpers.paths import SAMPLES

pytestmark = pytest.mark.filterwarnings("ignore")  # Dask's own, of which we are not the masters
PATIENCE = 240.0
"""Seconds until something that is waited for has surely failed, on a crowded computer, too."""
WORKER = ("--nthreads", "1", "--memory-limit", "700MiB")


def test_a_cluster_does_what_this_computer_does(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All of one cluster, as starting one takes longer than most of what is tried on it."""
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    assert cluster_pool.AGAIN == 2, "as docs/cluster.md says"
    monkeypatch.setattr(cluster_pool, "AGAIN", 1)  # starting a worker anew takes seconds
    ours = certificates(tmp_path / "ours") if shutil.which("openssl") else None
    with known_to_dask(ours), LocalCluster(tmp_path, 2, *WORKER, certificates=ours) as cluster:
        if ours is not None:
            nobody_else_sends_or_sees_anything(tmp_path, cluster, ours)
        a_class_has_the_same_results_as_here(tmp_path, cluster)
        (lens_folder() / "class").mkdir(parents=True, exist_ok=True)
        (lens_folder() / "class" / "demo-26.json").write_text("{}")
        with ClusterPool(cluster.address) as pool:
            jobs_are_done_with_their_files(tmp_path, pool)
            with cluster.another(*WORKER, before=other_version(tmp_path)):
                jobs_whose_workers_die_are_tried_again_and_named(tmp_path, pool)
                a_worker_of_another_version_gets_no_job(tmp_path, cluster, pool)
            files_that_workers_do_not_see_are_sent(tmp_path, pool)
            a_lost_scheduler_is_said_of_every_job(tmp_path, cluster, pool)


def nobody_else_sends_or_sees_anything(folder: Path, cluster: LocalCluster, ours: Path) -> None:
    assert cluster.address.startswith("tls://")
    stranger = certificates(folder / "theirs")
    with known_to_dask(ours, stranger), pytest.raises(InputMistakes, match="are this computer's certificate and key"):
        ClusterPool(cluster.address)
    with pytest.raises(InputMistakes, match="there is no Dask scheduler"):
        ClusterPool(cluster.address.replace("tls", "tcp"))


def a_class_has_the_same_results_as_here(folder: Path, cluster: LocalCluster) -> None:
    challenge, here, there, kept = folder / "challenge.toml", folder / "here", folder / "there", folder / "archive"
    shutil.copy(SAMPLES / "quarry-lake-4.toml", challenge)
    small_photo(folder / "photos" / "team-1.jpg")
    (folder / "photos" / "team-2.jpg").symlink_to(folder / "nowhere.jpg")
    run, on = ["class", challenge, folder / "photos", "--jobs", "1", "--out"], ["--cluster", cluster.address]
    far, near = tapeplat(*run, there, *on, "--archive-folder", kept), tapeplat(*run, here)
    assert (far.exit_code, near.exit_code) == (3, 3), far.stderr + near.stderr
    assert "it cannot be opened" in near.stdout
    assert [line for line in far.stdout.splitlines() if "cannot be opened" in line] == [
        line for line in near.stdout.splitlines() if "cannot be opened" in line
    ]
    assert (there / "class.csv").read_bytes() == (here / "class.csv").read_bytes()
    names = sorted(file.name for file in (here / "team-1").iterdir())
    assert "result.json" in names
    assert names == sorted(file.name for file in (there / "team-1").iterdir())
    for name in names:
        assert (here / "team-1" / name).read_bytes() == (there / "team-1" / name).read_bytes()
    assert "2 models, 0 to measure, 2 unchanged" in tapeplat(*run, there, *on).stdout
    challenge.write_text(challenge.read_text("utf-8").replace("at least", "at most", 1), "utf-8")
    judged = tapeplat("archive", "judge", challenge, "--archive-folder", kept, "--json", *on)
    assert judged.exit_code == 0, judged.stderr
    assert [model["problem"] for model in json.loads(judged.stdout)] == [""]


def jobs_are_done_with_their_files(folder: Path, pool: ClusterPool) -> None:
    plain = [pool.submit(job(folder, f"team-{n}")) for n in range(6)]
    assert [future.result(PATIENCE) for future in plain] == [f"team-{n}.jpg" for n in range(6)]
    assert (folder / "team-3" / "copy.txt").read_bytes() == b"team-3"
    assert (folder / "team-3" / "lenses.txt").read_text().split() == sorted(
        f.name for f in lens_folder().rglob("*.json")
    )
    with pytest.raises(WorkerFailed, match="ArithmeticError: nobody expected this"):
        pool.answer(FaultyJob(*vars(job(folder, "faulty")).values()))


def jobs_whose_workers_die_are_tried_again_and_named(folder: Path, pool: ClusterPool) -> None:
    """Killed by somebody, and for memory by whoever watches over the worker."""
    once, always = folder / "once", folder / "always"
    dying = pool.submit(job(folder, "dying", deaths=1, died=once))
    greedy = pool.submit(GreedyJob(*vars(job(folder, "greedy", died=always)).values()))
    assert dying.result(PATIENCE) == "dying.jpg"
    assert len(once.read_text()) == 2, "again elsewhere"
    with pytest.raises(WorkerFailed, match=r"2 workers died at it, the last one at t\w\w://127"):
        greedy.result(PATIENCE)
    assert len(always.read_text()) == 2, "and no more"


def a_worker_of_another_version_gets_no_job(folder: Path, cluster: LocalCluster, pool: ClusterPool) -> None:
    cluster.wait_for(3)
    with pytest.raises(InputMistakes, match=f"Tapeplat 9.9 there, {this_program().tapeplat} here; install the same"):
        ClusterPool(cluster.address)
    gated = [GatedJob(*vars(job(folder, f"gated-{n}", died=folder / "gate")).values()) for n in range(6)]
    waiting = [pool.submit(one) for one in gated]
    until(lambda: len(pool._workers()[0]) == 3 and sum(future.running() for future in waiting) >= 2)
    time.sleep(0.5)  # until a third one would be begun, too
    in_hand = [future for future in waiting if not future.cancel()]
    (folder / "gate").touch()
    assert len(in_hand) == 2, "one of each of two workers; all others can be cancelled, as Ctrl-C does"
    assert {future.result(PATIENCE) for future in in_hand} <= {one.photo.name for one in gated}


def files_that_workers_do_not_see_are_sent(folder: Path, pool: ClusterPool) -> None:
    if not hasattr(os, "memfd_create"):
        return
    number = os.memfd_create("photo")  # of this process alone
    os.write(number, b"only here")
    sent = replace(job(folder, "sent"), photo=Path(f"/proc/self/fd/{number}"))
    assert pool.answer(sent) == str(number)
    os.close(number)
    assert (folder / "sent" / "copy.txt").read_bytes() == b"only here"


def a_lost_scheduler_is_said_of_every_job(folder: Path, cluster: LocalCluster, pool: ClusterPool) -> None:
    cluster.kill_scheduler()
    start = time.monotonic()
    lost = [pool.submit(job(folder, f"late-{n}")) for n in range(20)]
    for future in lost:
        with pytest.raises(WorkerFailed, match="the scheduler is not reached any more"):
            future.result(PATIENCE)
    assert time.monotonic() - start < 60, "the others do not each wait for it"


def job(folder: Path, name: str, **more: object) -> CopyJob:
    (folder / f"{name}.jpg").write_bytes(name.encode())
    return replace(CopyJob(folder / f"{name}.jpg", folder / name), **more)  # type: ignore[arg-type]


def tapeplat(*words: object) -> Result:
    return CliRunner().invoke(main, list(map(str, words)))


def small_photo(file: Path) -> None:
    file.parent.mkdir()
    with Image.open(SAMPLES / "quarry-lake-4.jpg") as image:
        image.resize((1224, 1632), Image.Resampling.LANCZOS).save(file, quality=90, exif=image.getexif())


def other_version(folder: Path) -> Path:
    """Where Python finds another version of the program than the installed one."""
    about = folder / "other" / "tapeplat-9.9.dist-info" / "METADATA"
    about.parent.mkdir(parents=True)
    about.write_text("Metadata-Version: 2.1\nName: tapeplat\nVersion: 9.9\n")
    return folder / "other"


def until(come: Any) -> None:
    end = time.monotonic() + PATIENCE
    while not come():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.05)


def certificates(folder: Path) -> Path:
    """An authority of its own, and what it signed for one part of a cluster."""
    folder.mkdir()

    def openssl(*words: str) -> None:
        subprocess.run(["openssl", *words], check=True, capture_output=True, cwd=folder, timeout=120)

    new = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "9")
    openssl("req", "-x509", *new, "-subj", "/CN=our authority", "-keyout", "ca.key", "-out", "ca.pem")
    openssl("req", *new[:5], "-subj", "/CN=part", "-keyout", "own.key", "-out", "own.csr")
    signed_by = ("-CA", "ca.pem", "-CAkey", "ca.key", "-CAcreateserial")
    openssl("x509", "-req", "-in", "own.csr", *signed_by, "-days", "9", "-out", "own.pem")
    return folder


@contextmanager
def known_to_dask(ours: Path | None, part: Path | None = None) -> Iterator[None]:
    """As the environment names them: whom this computer trusts, and who it is. None for no TLS."""
    if ours is None:
        yield
        return
    own = part or ours
    files = {"ca-file": ours / "ca.pem", "client.cert": own / "own.pem", "client.key": own / "own.key"}
    with dask.config.set({f"distributed.comm.tls.{name}": str(file) for name, file in files.items()}):
        yield


@pytest.mark.parametrize("address", ["", "http://127.0.0.1:8786", "tcp://127.0.0.1", "tcp://:8786", "tcp://a:b", "[:1"])
def test_what_is_no_address_is_said(address: str) -> None:
    with pytest.raises(InputMistakes, match=r"is no address of a Dask scheduler; write it as tcp://COMPUTER:8786"):
        ClusterPool(address)


def test_a_certificate_that_is_missing_or_empty_is_named(tmp_path: Path) -> None:
    (tmp_path / "empty.pem").touch()
    for name in ("none.pem", "empty.pem"):
        with (
            dask.config.set({"distributed.comm.tls.client.cert": str(tmp_path / name)}),
            pytest.raises(InputMistakes, match=f"{name} .client.cert of TLS. cannot be read, or is empty"),
        ):
            ClusterPool("tls://127.0.0.1:9")


def test_that_nobody_is_there_is_said_at_once() -> None:
    start = time.monotonic()
    with pytest.raises(InputMistakes, match=r"there is no Dask scheduler at tcp://127\.0\.0\.1:9 that this computer"):
        ClusterPool("tcp://127.0.0.1:9")
    assert time.monotonic() - start < 8, "Dask itself tries for 10 s"


class Answering:
    """Workers that answer so when they are asked which program they run."""

    def __init__(self, answers: Mapping[str, object]) -> None:
        self.answers = answers

    def scheduler_info(self, **_: object) -> object:
        return {"workers": {name: {"nthreads": 1 + ("many" in name)} for name in self.answers}}

    def run(self, *_: object, **__: object) -> Mapping[str, object]:
        return self.answers


def test_all_workers_that_cannot_be_used_are_named_and_those_that_just_went_are_not() -> None:
    with pytest.raises(
        InputMistakes, match="the scheduler at tcp://s:1 has no worker; start some with `dask worker tcp"
    ):
        _checked_workers(Answering({}), "tcp://s:1")
    here, bare = this_program(), Exception("ModuleNotFoundError('No module named tapeplat')")
    with pytest.raises(InputMistakes) as refused:
        _checked_workers(Answering({"tcp://a:1": here, "tcp://many:1": here, "tcp://b:1": bare}), "tcp://s:1")
    assert [mistake.what for mistake in refused.value.mistakes] == [
        "tcp://many:1 does 2 jobs in one process",
        f"tcp://b:1 has no Tapeplat, or another one: {bare}",
    ]
    assert "start the workers with --nthreads 1" in str(refused.value)
    assert _checked_workers(Answering({"tcp://a:1": here, "tcp://b:1": OSError("gone")}), "tcp://s:1") == {"tcp://a:1"}


def test_a_file_that_is_not_seen_from_there_or_is_another_one_is_asked_for(tmp_path: Path) -> None:
    photo = tmp_path / "p.jpg"
    photo.write_bytes(b"photo")
    for path, sha256 in ((tmp_path / "none.jpg", "0" * 64), (photo, "0" * 64)):
        done = FarJob(CopyJob(photo, tmp_path), {"p.jpg": Sealed(sha256, path=path)}, {}, this_program()).run()
        assert done.unseen
        assert done.answer is None
    sent = FarJob(CopyJob(photo, tmp_path), {"p.jpg": Sealed("", content=b"sent")}, {}, this_program()).run()
    assert sent.files["copy.txt"] == b"sent"


def test_a_file_that_cannot_be_read_here_is_missing_there_and_named_as_here(tmp_path: Path) -> None:
    gone = sealed(tmp_path / "p.jpg", by_path=True)
    done = FarJob(CopyJob(tmp_path / "p.jpg", tmp_path), {"p.jpg": gone}, {}, this_program()).run()
    assert (done.unseen, done.fault) == (False, f"{tmp_path / 'p.jpg'}: no such file or directory")


def test_a_worker_with_another_program_does_nothing(tmp_path: Path) -> None:
    other = replace(this_program(), source="another")
    done = FarJob(CopyJob(tmp_path / "p.jpg", tmp_path), {}, {}, other).run()
    assert done.other == this_program()
    assert this_program().differs_from(other).startswith("the program's files are others there")
    older = replace(this_program(), opencv="4.0.0", dask="2025.1.0")
    assert older.differs_from(replace(older, opencv="4.1.0", dask="2026.1.0")) == (
        "OpenCV 4.0.0 there, 4.1.0 here; Dask 2025.1.0 there, 2026.1.0 here"
    )
