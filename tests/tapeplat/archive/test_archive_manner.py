"""`tapeplat archive` speaks as every command does: JSON alone, quiet, questions apart, nothing written over."""

from __future__ import annotations

import errno
import json
import os
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tapeplat.archive import Archive
from tapeplat.cli.filed.archive_command import archive as group
from tapeplat.cli.main import main
from tests.helpers.clock import days_later
from tests.helpers.made.attempts import attempt

HAND = "team,who,zone,quantity,value,unit\n{},Ada,jetty,area,99,sq cm\n"
FIRST = "heron-marsh.team-3.1"


@pytest.fixture
def kept(tmp_path: Path, monkeypatch) -> Archive:
    """Two attempts."""
    monkeypatch.chdir(tmp_path)
    made = Archive(tmp_path / "archive")
    made.save(attempt())
    made.save(attempt(team="4"))
    return made


def run(kept: Archive, *arguments: object, answer: str | None = None) -> Result:
    words = ["archive", *map(str, arguments), "--archive-folder", str(kept.root)]
    return CliRunner().invoke(main, words, input=answer, catch_exceptions=False)


def test_every_archive_command_has_json_and_quiet():
    for name, command in group.commands.items():
        assert {"--json", "--quiet"} <= {word for param in command.params for word in param.opts}, name


LINES: list[tuple[list[str], type]] = [
    (["export", "team-3.1", "--out", "x.zip"], dict),
    (["add", "team-3.1", "--notes", "a word"], dict),
    (["rebuild"], list),
    (["repair", "--yes"], list),
    (["remove", "team-3.1", "--yes"], list),
    (["empty-trash", "--yes"], list),
    (["expire", "--older-than", "1 day", "--yes"], list),
]


@pytest.mark.parametrize(("line", "kind"), LINES, ids=lambda line: line[0] if isinstance(line, list) else "")
def test_what_changes_the_archive_reports_as_json_or_not_at_all(kept: Archive, line: list[str], kind: type):
    kept.remove(kept.save(attempt(team="5")).id)
    quiet = run(kept, *line, "--quiet")
    assert (quiet.exit_code, quiet.output) == (0, "")
    kept.remove(kept.save(attempt(team="3")).id)
    again = [word.replace("x.zip", "y.zip").replace("team-3.1", "team-4.1") for word in line]
    done = run(kept, *again, "--json")
    assert isinstance(json.loads(done.stdout), kind)


def test_what_was_deleted_is_in_the_json(kept: Archive):
    kept.remove(FIRST)
    assert [gone["id"] for gone in json.loads(run(kept, "empty-trash", "--yes", "--json").stdout)] == [FIRST]
    assert json.loads(run(kept, "empty-trash", "--yes", "--json").stdout) == []


def test_dates_in_json_are_in_the_form_that_programs_read(kept: Archive):
    (one, _) = json.loads(run(kept, "list", "--json").stdout)
    assert "T" in one["taken"]
    assert datetime.fromisoformat(one["taken"]) == kept.entry(one["id"]).taken


def test_what_is_damaged_is_in_the_json(kept: Archive):
    (kept.entry("team-3.1").folder / "plat.svg").write_text("other")
    assert json.loads(run(kept, "repair", "--yes", "--json").stdout)[0]["files"] == ["plat.svg"]


def test_with_json_the_question_stands_beside_the_result(kept: Archive):
    done = run(kept, "remove", "team-3.1", "--json", answer="y\n")
    assert f"{FIRST}  2026-03-05" in done.stderr
    assert "move to the trash folder: 1 attempt?" in done.stderr
    shown = done.stdout.removeprefix(" y\n")  # click's test runner shows the answer there, in older versions (8.3.1)
    assert len(json.loads(shown)) == 1


@pytest.mark.parametrize("line", [["list"], ["verify"], ["rebuild"], ["expire", "--older-than", "90 years", "--yes"]])
def test_what_repair_took_away_counts_as_unreadable_no_more(kept: Archive, line: list[str]):
    (kept.entry("team-3.1").folder / "attempt.json").write_text("{")
    assert "1 more cannot be read" in run(kept, *line).stderr
    assert run(kept, "repair", "--yes").exit_code == 0
    done = run(kept, *line)
    assert (done.exit_code, done.stderr) == (0, "")


@pytest.mark.parametrize("answer", ["n\n", "\n", "", "what?\n"])
def test_without_a_yes_nothing_is_changed_and_that_is_said(kept: Archive, answer: str):
    done = run(kept, "remove", "team-3.1", answer=answer)
    assert (done.exit_code, done.stderr.splitlines()[-1]) == (1, "nothing was changed")
    assert len(kept.entries()) == 2


def test_an_export_is_not_written_over_without_a_word(kept: Archive):
    Path("x.zip").write_bytes(b"mine")
    done = run(kept, "export", "team-3.1", "--out", "x.zip")
    assert (done.exit_code, done.stderr) == (
        2,
        "x.zip: there is a file of that name; choose another, or say --replace\n",
    )
    assert Path("x.zip").read_bytes() == b"mine"
    assert run(kept, "export", "team-3.1", "--out", "x.zip", "--replace").exit_code == 0
    assert zipfile.is_zipfile("x.zip")


@pytest.mark.parametrize(
    ("table", "answer"),
    [
        ("team,zone,solid,length,unit\n3,jetty,box,3,cm\n", "is a table of structures"),
        ("Team;Zone;What;Value\n3;jetty;area;99\n", "quantity"),
        (HAND.format("4"), "it has no rows of team 3"),
        (HAND.format("3").replace("jetty", "harbour"), "harbour"),
        (HAND.format("3").replace("99", "ninety"), "ninety"),
    ],
)
def test_a_table_that_is_none_of_this_teams_is_not_filed(kept: Archive, table: str, answer: str):
    Path("h.csv").write_text(table)
    done = run(kept, "add", "team-3.1", "--hand", "h.csv")
    assert done.exit_code == 2
    assert answer in done.stderr
    assert not (kept.entry("team-3.1").folder / "hand.csv").exists()


def test_the_teams_own_rows_of_a_classes_table_are_filed_and_what_cannot_be_compared_told(kept: Archive):
    Path("h.csv").write_text(HAND.format("3") + "3,Ada,reeds,area,5,sq cm\n4,Bo,jetty,area,98,sq cm\n")
    done = run(kept, "add", "team-3.1", "--hand", "h.csv")
    assert (done.exit_code, done.stdout) == (0, f"filed with {FIRST}: hand.csv\n")
    assert "warning: " in done.stderr
    assert "98" not in (kept.entry("team-3.1").folder / "hand.csv").read_text("utf-8-sig")


def test_an_export_is_a_folder_or_a_zip(kept: Archive):
    done = run(kept, "export", "team-3.1", "--out", "x.rar")
    assert (done.exit_code, "name a folder, or a file that ends in .zip" in done.stderr) == (2, True)
    assert not Path("x.rar").exists()
    assert run(kept, "export", "team-3.1", "--out", "Team 3.1").exit_code == 0


def test_an_export_that_the_disk_does_not_take_leaves_nothing(kept: Archive, monkeypatch):
    def full(*_: object, **__: object) -> str:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("tapeplat.archive.export.tempfile.mkdtemp", full)
    done = run(kept, "export", "team-3.1", "--out", "new/x")
    assert done.exit_code == 2
    assert "new/x cannot be written: no space left on device; nothing was exported" in done.stderr
    assert not Path("new").exists()


def test_a_team_is_found_by_its_own_name_and_shown_where_the_id_has_lost_letters(kept: Archive):
    filed = kept.save(attempt(team="Żółwie 🐢"))
    assert "(team Żółwie 🐢)" in run(kept, "list").stdout
    assert kept.entry("Żółwie 🐢.1") == kept.entry("team żółwie 🐢.1") == filed
    missed = run(kept, "show", "żółwie.1")
    assert (missed.exit_code, f"did you mean {filed.id}" in missed.stderr) == (2, True)


def test_team_2_stands_before_team_10(kept: Archive):
    for team in ("10", "2", "1"):
        kept.save(attempt(team=team))
    assert [entry.team for entry in kept.entries()] == ["1", "2", "3", "4", "10"]
    listed = run(kept, "list").stdout
    assert listed.index("team-2.1") < listed.index("team-10.1")


def test_an_attempt_that_is_a_link_is_deleted_and_what_it_leads_to_stays(kept: Archive, tmp_path: Path):
    """One link stopped every later deletion: it lay where things to be deleted are put first."""
    folder = kept.entry("team-3.1").folder
    folder.rename(tmp_path / "elsewhere")
    try:
        folder.symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    except OSError:
        pytest.skip("this system lets nobody make links")
    assert "(a link: what it leads to stays)" in run(kept, "list").stdout
    with days_later(31):
        done = run(kept, "expire", "--older-than", "30 days", "--yes")
    assert (done.exit_code, "2 deleted for good" in done.stdout) == (0, True)
    assert (tmp_path / "elsewhere" / "attempt.json").is_file()
    assert kept.entries() == ()


def test_an_archive_that_a_link_had_stopped_goes_on(kept: Archive, tmp_path: Path):
    (tmp_path / "elsewhere").mkdir()
    (kept.root / ".staging" / "gone").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    kept.remove(FIRST)
    assert run(kept, "empty-trash", "--yes").stdout.splitlines()[-1] == "1 deleted for good"
    assert (tmp_path / "elsewhere").is_dir()
