from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec

import click
import pytest
from click.testing import CliRunner

from calib.photo_refused import PhotoRefused
from measure.errors import InputMistakes, Mistake
from tapeplat.cli.main import COMMANDS, main
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.paper.book import NAMES
from tests.helpers.paths import ROOT

DOCUMENTS = [path.read_text("utf-8") for path in (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))]
HEAVY = ("numpy", "cv2", "skimage", "scipy", "shapely", "PIL", "lark", "pydantic", "reportlab")


def test_help_answers_without_the_imaging_libraries():
    script = "import sys; from tapeplat.cli.main import main\ntry: main(['-h'])\nexcept SystemExit: print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60)
    assert not set(HEAVY) & set(run.stdout.split())
    assert all(f"\n  {name} " in run.stdout for name in COMMANDS)


@pytest.mark.parametrize("name", [n for n, entry in COMMANDS.items() if find_spec(entry.module)])
def test_every_command_has_help_that_begins_as_the_list_of_commands_says(name):
    command = main.get_command(click.Context(main), name)
    said = CliRunner().invoke(main, [name, "--help"])
    assert said.exit_code == 0
    assert command is not None
    assert (command.help or "").startswith(COMMANDS[name].summary)
    assert all(param.help for param in command.params if isinstance(param, click.Option))


def commands(group: click.Group, name: str = "") -> Iterator[tuple[str, click.Command]]:
    """Every command with its name as it is typed behind the program's."""
    for own in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), own)
        if isinstance(command, click.Group):
            yield from commands(command, f"{name}{own} ")
        elif command is not None:
            yield f"{name}{own}", command


@pytest.mark.parametrize(("name", "command"), list(commands(main)), ids=str)
def test_the_documents_name_every_command_and_every_option(name, command):
    """An option is named in a document that names its command; in a table of commands `archive list` is enough."""
    called = name if name.startswith("archive ") else f"tapeplat {name}"
    about = [text for text in DOCUMENTS if re.search(rf"{called}\b", text)]
    assert about, called
    options = [option for p in command.params for option in p.opts if option.startswith("--") and option != "--help"]
    assert [o for o in options if not any(re.search(rf"{o}(?![-\w])", text) for text in about)] == []


def test_every_sheet_is_in_its_document():
    text = (ROOT / "docs" / "sheets.md").read_text("utf-8")
    assert [name for name in NAMES if f"`{name}`" not in text] == []


def test_every_document_is_named_in_the_readme_and_every_one_that_is_named_is_there():
    named = set(re.findall(r"docs/[\w-]+\.(?:md|png)", "\n".join(DOCUMENTS)))
    assert {path for path in named if not (ROOT / path).is_file()} == set()
    assert [path.name for path in (ROOT / "docs").glob("*.md") if f"`docs/{path.name}`" not in DOCUMENTS[0]] == []


def test_a_command_that_does_not_exist_is_exit_2():
    said = CliRunner().invoke(main, ["measrue"])
    assert said.exit_code == 2
    assert "measrue" in said.output


@pytest.mark.parametrize(
    ("failure", "code", "text"),
    [
        (PhotoRefused("blurred", "hold still"), 3, "photo refused (blurred): hold still\n"),
        (InputMistakes([Mistake("line 3", "no unit"), Mistake("", "two")]), 2, "line 3: no unit\ntwo\n"),
        (FolderNotWritable("out cannot be written: disk full"), 2, "out cannot be written: disk full\n"),
    ],
)
def test_what_a_teacher_can_put_right_is_one_message_on_standard_error(monkeypatch, failure, code, text):
    @click.command()
    def failing() -> None:
        raise failure

    monkeypatch.setattr(type(main), "get_command", lambda *_: failing)
    said = CliRunner().invoke(main, ["demo"])
    assert (said.exit_code, said.stderr, said.stdout) == (code, text, "")
