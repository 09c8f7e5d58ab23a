from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec

import click
import pytest
from click.testing import CliRunner

from calib.errors import PhotoRefused
from measure.errors import InputMistakes, Mistake
from tapeplat.cli import COMMANDS, main
from tapeplat.output import FolderNotWritable

HEAVY = ("numpy", "cv2", "skimage", "scipy", "shapely", "PIL", "lark", "pydantic", "reportlab")


def test_help_answers_without_the_imaging_libraries():
    script = "import sys; from tapeplat.cli import main\ntry: main(['--help'])\nexcept SystemExit: print(*sys.modules)"
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
