"""`tapeplat class` on small drawn photos, with real worker processes."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result
from PIL import Image

import tapeplat
from measure.result.result import read_result, result_text
from measure.result.teacher_verdicts import result_by_hand
from tapeplat.archive import Archive
from tapeplat.classroom.class_outcome import renew_pages
from tapeplat.classroom.class_record import ClassRecord, ModelRecord
from tapeplat.classroom.class_run import ClassTask, plan_class
from tapeplat.classroom.class_table import class_table
from tapeplat.cli.main import main
from tapeplat.output.result_folder import write_folder
from tapeplat.reports.class_page import ClassContent
from tapeplat.reports.report_files import team_files
from tapeplat.workers.worker_pool import WorkerPool
from tests.helpers.made.results import crowded, ordinary
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded
from tests.helpers.scenes.village import village

CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
rules = [
  "library covers at most 1/5 of the parcel",
  "stables are at least 4 1/2 in from library",
  "by eye: every street can be walked from end to end",
]
[parcel]
width = 12
depth = 10
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
[[zone]]
name = "meadow"
swatch = 3
"""
BY_EYE = "by eye: every street can be walked from end to end"


@pytest.fixture(scope="session")
def drawn() -> list[bytes]:
    """Photos of one model that differ in their last bits."""
    picture = draw(village(size=(1200, 900)))
    return [encoded(picture, quality=quality) for quality in (93, 92, 91, 90, 89, 88)]


@pytest.fixture
def room(tmp_path: Path, drawn: list[bytes]) -> Path:
    """A challenge and a class: one loose photo, one in a subfolder, one that shows nothing, one that is none."""
    (tmp_path / "challenge.toml").write_text(CHALLENGE, "utf-8")
    photos = tmp_path / "photos"
    (photos / "Blue Herons").mkdir(parents=True)
    (photos / "team-3.jpg").write_bytes(drawn[0])
    (photos / "Blue Herons" / "x.jpg").write_bytes(drawn[1])
    Image.effect_noise((900, 700), 60).save(photos / "4.jpg")
    (photos / "5.jpg").write_text("not a photo", "utf-8")
    (photos / "clip.mov").touch()
    return tmp_path


def run(room: Path, *more: object) -> Result:
    arguments = ["class", room / "challenge.toml", room / "photos", "--out", room / "out", "--jobs", 2, *more]
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def times(room: Path) -> dict[str, int]:
    return {path.parent.name: path.stat().st_mtime_ns for path in (room / "out").glob("*/result.json")}


def test_a_class_is_measured_once_and_again_only_where_something_changed(room: Path, drawn: list[bytes]):
    said = run(room)
    assert said.exit_code == 3
    assert "Quarry Lake Village: 4 models, 4 to measure" in said.output
    assert "video (clip.mov)" in said.output
    assert "team 4, 4.jpg: photo refused (no-card)" in " ".join(said.output.split())
    assert "team 5, 5.jpg: photo refused (unreadable)" in " ".join(said.output.split())
    rows = {line.split()[0]: line for line in said.output.splitlines() if line.endswith("1/3")}
    assert rows.keys() == {"team"}
    assert "file names: 3 (team-3.jpg)" in " ".join(said.stderr.split())
    first = times(room)
    assert set(first) == {"team-3", "team-blue-herons"}
    for folder in first:
        files = sorted(path.name for path in (room / "out" / folder).iterdir())
        assert files == [
            "annotated.png", "corrected.jpg", "map.svg", "plat.svg", "report.pdf", "result.json",
        ]  # fmt: skip
    assert read_result(room / "out" / "team-3").team == "3"
    assert read_result(room / "out" / "team-blue-herons").team == "Blue Herons"
    with (room / "out" / "class.csv").open(encoding="utf-8-sig", newline="") as file:
        table = {row["team"]: row for row in csv.DictReader(file)}
    assert table["4"]["state"] == "not measured: no-card"
    assert table["3"]["2. stables are at least 4 1/2 in from library"] == "not met"
    assert float(table["3"]["library (sq in)"]) == pytest.approx(90 * 70 / 25.4**2, abs=0.06)

    again = run(room)
    assert again.exit_code == 3
    assert "0 to measure, 4 unchanged" in again.output
    assert times(room) == first
    assert "photo refused (no-card)" in again.output

    (room / "photos" / "team-3.jpg").write_bytes(drawn[2])
    changed = run(room)
    assert "1 to measure, 3 unchanged" in changed.output
    assert times(room)["team-3"] != first["team-3"]
    assert times(room)["team-blue-herons"] == first["team-blue-herons"]

    (room / "photos" / "4.jpg").unlink()
    (room / "photos" / "5.jpg").unlink()
    fewer = run(room, "--quiet")
    assert fewer.exit_code == 0
    assert "[1/" not in fewer.output


def repair(challenge: Path, folder: Path, zone: str) -> None:
    """What the outline editor does: move one corner by 5 mm."""
    model = tapeplat.check(challenge, folder)
    outline = model.zone(zone).pieces[0].outline
    moved = ((outline[0][0] - 0.2, outline[0][1]), *outline[1:])
    tapeplat.repair(model, [tapeplat.Change("reshape", zone, 1, moved)]).save(folder)


def test_what_was_done_by_hand_stays_when_the_rules_change_and_goes_when_the_photo_does(room: Path, drawn: list[bytes]):
    for name in ("4.jpg", "5.jpg"):
        (room / "photos" / name).unlink()
    assert run(room).exit_code == 0
    repair(room / "challenge.toml", room / "out" / "team-blue-herons", "library")
    for team in ("team-3", "team-blue-herons"):
        file = room / "out" / team / "result.json"
        result = result_by_hand(read_result(file), BY_EYE, "met", "we walked it with a counter")
        file.write_text(result_text(result), "utf-8")
    more = (
        CHALLENGE.replace("rules = [", 'rules = [\n  "there is a meadow",')
        .replace('unit = "in"', 'unit = "in"\nnumbers = "eighth"')
        .replace("Quarry Lake", "鷺 Lake")
    )
    (room / "challenge.toml").write_text(more, "utf-8")
    (room / "photos" / "team-3.jpg").write_bytes(drawn[3])
    said = run(room)
    assert said.exit_code == 0
    assert "2 to measure" in said.output
    assert "what was done by hand is gone" in " ".join(said.stderr.split())
    assert "typeface lacks 鷺" in said.stderr
    line = next(line for line in said.output.splitlines() if line.startswith("team Blue Herons"))
    assert line.split()[3:7] == ["+", "+", "x", "+h"]
    kept = {team: read_result(room / "out" / team) for team in ("team-3", "team-blue-herons")}
    assert [rule.by_hand is not None for rule in kept["team-blue-herons"].rules] == [False, False, False, True]
    assert not any(rule.by_hand for rule in kept["team-3"].rules)
    assert kept["team-blue-herons"].zones[0].pieces[0].repaired is not None
    assert "its outlines were repaired by hand and stay" in " ".join(said.stderr.split())
    assert kept["team-3"].numbers == "eighth"


def test_pages_are_made_anew_where_a_verdict_was_set_by_hand_since(tmp_path: Path):
    models = tuple(ModelRecord(team, f"team-{team}", "", "measured", ()) for team in ("3", "4"))
    for model in models:
        result = result_text(ordinary(model.team)).encode()
        write_folder(tmp_path / model.folder, {**team_files(result, {}, "letter"), "result.json": result})
    record = ClassRecord(models=models)
    assert renew_pages(record, tmp_path, "letter") == []
    page = tmp_path / "team-3" / "report.pdf"
    assert "we walked it" not in text_of(page)
    result = result_by_hand(ordinary("3"), BY_EYE, "met", "we walked it")
    page.with_name("result.json").write_text(result_text(result), "utf-8")
    os.utime(page, (page.stat().st_atime, page.stat().st_mtime - 60))
    assert renew_pages(record, tmp_path, "letter") == ["3"]
    assert "we walked it" in text_of(page)
    assert renew_pages(record, tmp_path, "letter") == []


def test_the_record_does_not_tell_which_model_was_finished_first():
    models = [ModelRecord(team, f"team-{team}", "", "measured", ()) for team in ("2", "10", "Herons")]
    orders = [ClassRecord().having(a).having(b).having(c) for a, b, c in permutations(models)]
    assert {order.models for order in orders} == {tuple(models)}


def text_of(page: Path) -> str:
    """As pdfium reads it."""
    document = pypdfium2.PdfDocument(page)
    return " ".join("".join(p.get_textpage().get_text_bounded() for p in document).split())


def test_wrong_files_are_one_message_and_exit_2(room: Path):
    (room / "challenge.toml").write_text(CHALLENGE.replace("swatch = 3", "swatch = 93"), "utf-8")
    said = run(room)
    assert said.exit_code == 2
    assert "Traceback" not in said.output
    assert not (room / "out").exists()


def test_a_folder_without_photos_is_exit_2_and_says_what_to_do(room: Path):
    for path in [*(room / "photos").rglob("*.jpg")]:
        path.unlink()
    said = run(room)
    assert said.exit_code == 2
    assert "there is no photo in it; copy the photos into it" in said.stderr


def test_the_structures_table_is_looked_over_before_anything_is_measured(room: Path):
    head = "team,zone,solid,length,width,height,diameter,unit,count,division\n"
    (room / "s.csv").write_text(head + "3,library,box,2,2,3,,cm,1,0.1\nOtters,library,cube,2,,,,cm,1,0.1\n", "utf-8")
    task = ClassTask(room / "challenge.toml", room / "photos", room / "out", room / "s.csv")
    assert "s.csv has structures of team Otters, and there is no photo of them" in plan_class(task, WorkerPool).warnings
    (room / "s.csv").write_text(head + "3,libary,box,2,2,3,,cm,1,0.1\n", "utf-8")
    said = run(room, "--structures", room / "s.csv")
    assert said.exit_code == 2
    assert "libary" in said.stderr
    assert not (room / "out").exists()


def test_every_measured_model_is_filed_once(room: Path):
    for name in ("4.jpg", "5.jpg"):
        (room / "photos" / name).unlink()
    (room / "photos" / "Blue Herons" / "x.jpg").rename(room / "late.jpg")
    assert run(room).exit_code == 0
    (room / "late.jpg").rename(room / "photos" / "Blue Herons" / "x.jpg")
    archive = room / "archive"
    assert run(room, "--archive-folder", archive).exit_code == 0
    assert run(room, "--archive-folder", archive).exit_code == 0
    entries = Archive(archive).entries()
    assert sorted((entry.team, entry.attempt) for entry in entries) == [("3", 1), ("Blue Herons", 1)]
    assert {"result.json", "annotated.png", "report.pdf"} <= set(entries[0].files)


def test_ctrl_c_leaves_what_is_finished_and_the_next_run_goes_on(room: Path, drawn: list[bytes]):
    photos = room / "photos"
    for name in ("4.jpg", "5.jpg"):
        (photos / name).unlink()
    for number, content in enumerate(drawn[2:4], 6):
        (photos / f"{number}.jpg").write_bytes(content)
    command = [Path(sys.executable).with_name("tapeplat"), "class", room / "challenge.toml", photos]
    process = subprocess.Popen(
        [*map(str, command), "--out", str(room / "out"), "--jobs", "1"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("[1/4]"):
            os.killpg(process.pid, signal.SIGINT)  # a terminal's Ctrl-C reaches every process
            break
    output, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "stopped: " in errors
    assert "Run it again to go on" in errors
    assert "Traceback" not in errors + output
    done = json.loads((room / "out" / "class.json").read_text())["models"]
    assert 1 <= len(done) < 4
    again = run(room)
    assert again.exit_code == 0
    assert f"{4 - len(done)} to measure, {len(done)} unchanged" in again.output


def test_the_table_is_in_plain_letters_that_every_terminal_has():
    assert class_table(ClassContent("", ())).isascii()
    table = class_table(ClassContent("Quarry", (crowded(), replace(crowded(), team="x" * 90))), 60)
    assert max(map(len, table.splitlines())) <= 60
    assert table.isascii()
    assert "+h" in table
