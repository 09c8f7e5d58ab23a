"""Jobs on a Dask cluster: done as here, tried again where a worker dies, named where that does not help."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import time
from contextlib import AbstractContextManager
from dataclasses import replace
from pathlib import Path

import dask
import pytest
from click.testing import CliRunner

from measure.errors import InputMistakes
from tapeplat.cli.main import main
from tapeplat.cluster import cluster_pool
from tapeplat.cluster.cluster_pool import ClusterPool
from tapeplat.cluster.far_job import FarJob
from tapeplat.cluster.same_program import this_program
from tapeplat.lens.lens_store import folder as lens_folder
from tapeplat.workers.carrying import Sealed
from tapeplat.workers.worker_pool import WorkerFailed
from tests.helpers.far_jobs import CopyJob, FaultyJob, GatedJob
from tests.helpers.local_cluster import LocalCluster
from tests.helpers.paths import SAMPLES

pytestmark = pytest.mark.filterwarnings("ignore")  # Dask's own, of which we are not the masters


def job(folder: Path, name: str, **more: object) -> CopyJob:
    (folder / f"{name}.jpg").write_bytes(name.encode())
    return replace(CopyJob(folder / f"{name}.jpg", folder / name), **more)  # type: ignore[arg-type]


def test_jobs_are_done_and_tried_again_and_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of one cluster all that can happen to a job, and at the end to the scheduler."""
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    (lens_folder() / "class").mkdir(parents=True)
    (lens_folder() / "class" / "demo-26.json").write_text("{}")
    twice, always = tmp_path / "twice", tmp_path / "always"
    with LocalCluster(tmp_path, 2) as cluster, ClusterPool(cluster.address) as pool:
        plain = [pool.submit(job(tmp_path, f"team-{n}")) for n in range(6)]
        assert [future.result() for future in plain] == [f"team-{n}.jpg" for n in range(6)]
        assert (tmp_path / "team-3" / "copy.txt").read_bytes() == b"team-3"
        assert (tmp_path / "team-3" / "lenses.txt").read_text() == "demo-26.json"
        gated = [GatedJob(*vars(job(tmp_path, f"gated-{n}", died=tmp_path / "gate")).values()) for n in range(6)]
        waiting = [pool.submit(one) for one in gated]
        start = time.monotonic()
        while sum(future.running() for future in waiting) < 2 and time.monotonic() - start < 60:
            time.sleep(0.05)
        in_hand = [future for future in waiting if not future.cancel()]
        (tmp_path / "gate").touch()
        assert len(in_hand) == 2, "one of each worker; all others can be cancelled, as Ctrl-C does"
        assert {future.result(timeout=60) for future in in_hand} <= {one.photo.name for one in gated}
        assert pool.answer(job(tmp_path, "dying", deaths=2, died=twice)) == "dying.jpg"
        assert len(twice.read_text()) == 3, "twice elsewhere"
        with pytest.raises(WorkerFailed, match="3 workers died at it, the last one at tcp://127"):
            pool.answer(job(tmp_path, "deadly", deaths=99, died=always))
        assert len(always.read_text()) == 3, "and no more"
        with pytest.raises(WorkerFailed, match="ArithmeticError: nobody expected this"):
            pool.answer(FaultyJob(*vars(job(tmp_path, "faulty")).values()))
        with monkeypatch.context() as elsewhere:
            elsewhere.setattr(cluster_pool, "this_program", lambda: replace(this_program(), opencv="4.0.0"))
            with pytest.raises(InputMistakes, match=r"runs another program: OpenCV 4\.\d+\.\d+ there, 4\.0\.0 here"):
                ClusterPool(cluster.address)
        cluster.kill_scheduler()
        start = time.monotonic()
        lost = [pool.submit(job(tmp_path, f"late-{n}")) for n in range(20)]
        for future in lost:
            with pytest.raises(WorkerFailed, match="the scheduler is not reached any more"):
                future.result(timeout=60)
        assert time.monotonic() - start < 60, "the others do not each wait for it"


def certificates(folder: Path, authority: Path | None = None) -> Path:
    """Of a part of the cluster, by an authority of its own or another's."""
    folder.mkdir()
    ca = authority or folder

    def openssl(*words: str) -> None:
        subprocess.run(["openssl", *words], check=True, capture_output=True, cwd=folder, timeout=120)

    new = ("-newkey", "rsa:2048", "-nodes", "-days", "9")
    if authority is None:
        openssl("req", "-x509", *new, "-subj", "/CN=our authority", "-keyout", "ca.key", "-out", "ca.pem")
    openssl("req", *new[:3], "-subj", "/CN=part", "-keyout", "own.key", "-out", "own.csr")
    signed_by = ("-CA", str(ca / "ca.pem"), "-CAkey", str(ca / "ca.key"), "-CAcreateserial")
    openssl("x509", "-req", "-in", "own.csr", *signed_by, "-days", "9", "-out", "own.pem")
    return folder


def known_to_dask(ours: Path, part: Path) -> AbstractContextManager[object]:
    """As the environment names them: whom this computer trusts, and who it is."""
    files = {"ca-file": ours / "ca.pem", "client.cert": part / "own.pem", "client.key": part / "own.key"}
    return dask.config.set({f"distributed.comm.tls.{name}": str(file) for name, file in files.items()})


@pytest.mark.skipif(shutil.which("openssl") is None, reason="openssl is not installed")
def test_a_class_has_the_same_results_as_here_over_tls(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    photos, challenge = tmp_path / "photos", str(SAMPLES / "quarry-lake-4.toml")
    photos.mkdir()
    shutil.copy(SAMPLES / "quarry-lake-4.jpg", photos / "team-1.jpg")
    here, there = str(tmp_path / "here"), str(tmp_path / "there")
    run = ["class", challenge, str(photos), "--out"]
    ours, stranger = certificates(tmp_path / "ours"), certificates(tmp_path / "theirs")
    with known_to_dask(ours, ours), LocalCluster(tmp_path, 1, certificates=ours) as cluster:
        assert cluster.address.startswith("tls://")
        on = ["--cluster", cluster.address]
        with known_to_dask(ours, stranger):
            other = CliRunner().invoke(main, [*run, there, *on])
        plain = CliRunner().invoke(main, [*run, there, "--cluster", cluster.address.replace("tls", "tcp")])
        far = CliRunner().invoke(main, [*run, there, *on, "--archive-folder", str(tmp_path / "a")])
        again = CliRunner().invoke(main, [*run, there, *on])
        changed = tmp_path / "changed.toml"
        changed.write_text(Path(challenge).read_text("utf-8").replace("at least", "at most", 1), "utf-8")
        judging = ["archive", "judge", str(changed), "--archive-folder", str(tmp_path / "a"), "--json"]
        judged = CliRunner().invoke(main, [*judging, *on])
    near = CliRunner().invoke(main, [*run, here])
    assert (far.exit_code, near.exit_code, again.exit_code) == (0, 0, 0), far.stderr
    assert (other.exit_code, plain.exit_code) == (2, 2), "nobody else's computer may send or see anything"
    assert "are this computer's certificate and key named" in other.stderr
    assert "1 model, 0 to measure, 1 unchanged" in again.stdout
    names = sorted(file.name for file in (tmp_path / "here" / "team-1").iterdir())
    assert names == sorted(file.name for file in (tmp_path / "there" / "team-1").iterdir())
    for name in names:
        assert (tmp_path / "here" / "team-1" / name).read_bytes() == (tmp_path / "there" / "team-1" / name).read_bytes()
    assert judged.exit_code == 0, judged.stderr
    assert [model["problem"] for model in json.loads(judged.stdout)] == [""]


def test_what_cannot_be_used_is_said_before_anything_is_sent(tmp_path: Path) -> None:
    with pytest.raises(InputMistakes, match=r"there is no Dask scheduler at tcp://127\.0\.0\.1:9 that this"):
        ClusterPool("tcp://127.0.0.1:9")
    with (
        LocalCluster(tmp_path, 1, "--nthreads", "2") as cluster,
        pytest.raises(InputMistakes, match="does 2 jobs in one process; start the workers with --nthreads 1"),
    ):
        ClusterPool(cluster.address)


def test_a_file_that_is_not_seen_from_there_or_is_another_one_is_asked_for(tmp_path: Path) -> None:
    photo = tmp_path / "p.jpg"
    photo.write_bytes(b"photo")
    for path, sha256 in ((tmp_path / "none.jpg", "0" * 64), (photo, "0" * 64)):
        done = FarJob(CopyJob(photo, tmp_path), {"p.jpg": Sealed(sha256, path=path)}, {}, this_program()).run()
        assert done.unseen
        assert done.answer is None
    sent = FarJob(CopyJob(photo, tmp_path), {"p.jpg": Sealed("", content=b"sent")}, {}, this_program()).run()
    assert sent.files["copy.txt"] == b"sent"


def test_a_worker_with_another_program_does_nothing(tmp_path: Path) -> None:
    other = replace(this_program(), source="another")
    done = FarJob(CopyJob(tmp_path / "p.jpg", tmp_path), {}, {}, other).run()
    assert done.other == this_program()
    assert this_program().differs_from(other).startswith("the program's files are others there")


def test_nothing_of_it_is_loaded_without_the_option(tmp_path: Path) -> None:
    """Loading it takes longer than measuring a small photo."""
    program = (
        "import sys; from click.testing import CliRunner; from tapeplat.cli.main import main\n"
        "CliRunner().invoke(main, ['class', sys.argv[1], sys.argv[2]])\n"
        "assert not {'distributed', 'dask', 'tornado'} & set(sys.modules), 'loaded'"
    )
    line = [sys.executable, "-c", program, str(SAMPLES / "quarry-lake-4.toml"), str(tmp_path)]
    subprocess.run(line, check=True, timeout=120)
