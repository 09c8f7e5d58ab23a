"""All commands speak in one manner: options of one name, JSON alone, warnings apart, nobody's result written over."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from measure.content_kinds import kind_of_file
from measure.result.result import read_result, result_text
from tapeplat.archive import Archive
from tapeplat.cli.main import COMMANDS, JOBS, main
from tests.helpers.made.attempts import attempt
from tests.helpers.made.results import ordinary
from tests.helpers.paths import ROOT, SAMPLES

CHALLENGE = """title = "Quarry"
unit = "in"
rules = ["library covers at most 1/5 of the parcel"]
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "pond"
swatch = 2
"""
PLAT = 'zone,wkt\nlibrary,"POLYGON ((1 1, 5 1, 5 4, 1 4, 1 1))"\n'


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, list(map(str, arguments)), catch_exceptions=False)


@pytest.fixture
def desk(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("c.toml").write_text(CHALLENGE)
    Path("plat.csv").write_text(PLAT)
    return tmp_path


def test_every_command_stands_under_a_job_of_its_own():
    assert sorted(name for names in JOBS.values() for name in names) == sorted(COMMANDS)


def test_json_is_all_that_is_printed(desk: Path):
    done = run("check", "c.toml", "plat.csv", "--team", "3", "--json")
    assert json.loads(done.stdout)["team"] == "3"
    assert "warning: no outline of pond was found" in done.stderr
    assert json.loads(run("rules", "c.toml", "--json").stdout)["rules"][0]["text"].startswith("library")
    Archive(desk / "a").save(attempt())
    for words in (["list"], ["show", "team-3.1"], ["compare", "team-3.1", "team-3.1"], ["verify"]):
        said = run("archive", *words, "--archive-folder", "a", "--json")
        assert said.exit_code == 0
        json.loads(said.stdout)


def test_reports_and_the_demo_have_json_too(desk: Path):
    assert run("check", "c.toml", "plat.csv", "--out", "o", "--team", "3").exit_code == 0
    assert json.loads(run("report", "o", "--out", "map.svg", "--json").stdout) == {"file": "map.svg", "teams": ["3"]}
    assert run("report", "o", "--out", "wall.pdf").stdout.splitlines()[-1] == "page: wall.pdf"
    for name, entry in COMMANDS.items():
        command = main.get_command(click.Context(main), name)
        assert command is not None
        options = {word for param in command.params for word in param.opts}
        assert isinstance(command, click.Group) or name == "serve" or {"--json", "--quiet"} <= options, entry


def test_pictures_of_an_earlier_result_do_not_stay_beside_another(desk: Path):
    assert run("check", "c.toml", "plat.csv", "--out", "o").exit_code == 0
    for name in ("annotated.png", "plat.svg", "notes.txt"):
        (desk / "o" / name).write_text("before")
    done = run("check", "c.toml", "plat.csv", "--out", "o")
    assert "removed: annotated.png, plat.svg of the result that was here before" in done.stdout
    assert sorted(path.name for path in (desk / "o").iterdir()) == ["notes.txt", "result.json"]
    (desk / "o" / "annotated.png").write_text("of this very result")
    assert run("check", "c.toml", "o", "--out", "o").exit_code == 0
    assert (desk / "o" / "annotated.png").is_file()


def test_a_page_about_challenges_is_none(desk: Path):
    Path("README.md").write_text("# Ours\n\n```toml\ntitle = 'x'\n[parcel]\n```\n")
    assert kind_of_file(Path("README.md")) is None


def test_single_brackets_are_told_at_the_first_zone(desk: Path):
    Path("c.toml").write_text(CHALLENGE.replace("[[zone]]", "[zone]"))
    assert "c.toml, line 7: every zone stands under [[zone]]" in run("rules", "c.toml").stderr


def test_no_colours_are_printed(desk: Path, monkeypatch):
    for variable in ({}, {"NO_COLOR": "1"}, {"CLICOLOR_FORCE": "1"}):
        done = CliRunner().invoke(main, ["check", "c.toml", "plat.csv"], env=variable, color=True)
        assert "\x1b" not in done.output


def test_quiet_leaves_warnings_alone(desk: Path):
    done = run("check", "c.toml", "plat.csv", "--quiet", "--out", "o")
    assert done.stdout == ""
    assert "warning: " in done.stderr


def test_warnings_go_to_standard_error_and_the_last_line_names_what_was_written(desk: Path):
    done = run("check", "c.toml", "plat.csv", "--out", "o")
    assert "warning" not in done.stdout
    assert done.stdout.splitlines()[-1] == "result: o/result.json"


@pytest.mark.parametrize("command", [["check", "c.toml", "plat.csv"], ["measure", "c.toml", "photo.jpg"]])
@pytest.mark.parametrize("team", ["", "4"])
def test_another_teams_result_is_not_written_over_without_a_word(desk: Path, command: list[str], team: str):
    folder = desk / "o"
    folder.mkdir()
    (folder / "result.json").write_text(result_text(ordinary("3")), "utf-8")
    (desk / "photo.jpg").write_bytes((SAMPLES / "quarry-lake-4.jpg").read_bytes()[:999])
    said = run(*command, "--out", "o", "--team", team)
    assert said.exit_code == 2
    assert "it holds the result of team 3" in said.stderr
    assert read_result(folder) == ordinary("3")
    if command[0] == "check":
        assert run(*command, "--out", "o", "--team", "Team 3").exit_code == 0
        assert run(*command, "--out", "o", "--team", "4", "--replace").exit_code == 0
        assert read_result(folder).team == "4"


def test_options_of_one_name_have_one_form_and_default_everywhere():
    seen: dict[str, set[tuple[str, bool, str]]] = {}
    for name in COMMANDS:
        command = main.get_command(click.Context(main), name)
        assert command is not None
        inner = command.commands.values() if isinstance(command, click.Group) else [command]
        for option in (p for each in inner for p in each.params if isinstance(p, click.Option)):
            form = (option.type.name, option.is_flag, "" if option.required else str(option.default))
            seen.setdefault(max(option.opts, key=len), set()).add(form)
    same = ("--archive", "--archive-folder", "--paper", "--json", "--quiet", "--yes", "--replace", "--structures")
    assert {name: forms for name, forms in seen.items() if name in same and len(forms) > 1} == {}


def test_the_documents_list_every_exit_code_that_the_program_gives():
    text = (ROOT / "docs" / "commands.md").read_text("utf-8")
    codes = {line.split("|")[1].strip() for line in text.splitlines() if line.startswith("| ") and line[2].isdigit()}
    assert codes == {"0", "1", "2", "3", "130"}


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_are_told_how_to_complete(shell: str, monkeypatch):
    assert f"_TAPEPLAT_COMPLETE={shell}_source" in (ROOT / "docs" / "commands.md").read_text("utf-8")
    monkeypatch.setenv("_TAPEPLAT_COMPLETE", f"{shell}_source")
    said = CliRunner().invoke(main, [], prog_name="tapeplat")
    if shell != "bash":  # which asks bash itself for its version
        assert "_TAPEPLAT_COMPLETE" in said.output


COMPLETED = [
    ("tapeplat arch", "plain,archive"),
    ("tapeplat measure ", "file,"),
    ("tapeplat measure c.toml ph", "file,ph"),
    ("tapeplat class c.toml ", "dir,"),
    ("tapeplat class c.toml photos --structures ", "file,"),
    ("tapeplat archive emp", "plain,empty-trash"),
    ("tapeplat sheets c.toml --paper a", "plain,a4"),
]


@pytest.mark.parametrize(("typed", "offered"), COMPLETED)
def test_commands_options_and_files_are_completed(typed: str, offered: str):
    """As bash asks, with the words so far and the number of the one that is being typed."""
    words = typed.split()
    count = len(words) if typed.endswith(" ") else len(words) - 1
    env = {"_TAPEPLAT_COMPLETE": "bash_complete", "COMP_WORDS": typed, "COMP_CWORD": str(count)}
    done = CliRunner().invoke(main, [], prog_name="tapeplat", env=env)
    assert done.stdout.splitlines() == [offered]
