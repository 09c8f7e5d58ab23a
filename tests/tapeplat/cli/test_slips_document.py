"""`docs/slips.md` is a transcript: every line in it is typed again, and is answered as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.cli.main import main
from tests.helpers.paths import ROOT
from tests.tapeplat.cli.test_everyday_slips import desk

__all__ = ["desk"]
TEXT = (ROOT / "docs" / "slips.md").read_text("utf-8")
TYPED = [block.split("\n", 1) for block in re.findall(r"^\$ tapeplat (.*?)\n\n", TEXT, re.MULTILINE | re.DOTALL)]
WRITTEN = re.findall(r"^\| `(.+?)` \| `(.+?)` \| (line .+?) \|$", TEXT, re.MULTILINE)


def answer(line: str) -> str:
    """What is said, without how the command is used."""
    done = CliRunner().invoke(main, line.split(), prog_name="tapeplat", catch_exceptions=False)
    assert done.exit_code == 2, line
    assert done.stdout == ""
    return re.sub(r"\AUsage: .*?\n\nError: ", "", done.stderr, flags=re.DOTALL).strip()


def test_there_are_more_than_twenty():
    assert len(TYPED) >= 20
    assert len(WRITTEN) >= 6


@pytest.mark.parametrize(("line", "said"), TYPED, ids=[line for line, _ in TYPED])
def test_a_typed_line_is_answered_as_the_document_says(desk: Path, line: str, said: str):
    assert answer(line) == said.strip()


@pytest.mark.parametrize(("right", "wrong", "said"), WRITTEN, ids=[wrong for _, wrong, _ in WRITTEN])
def test_a_line_of_a_challenge_is_answered_as_the_document_says(desk: Path, right: str, wrong: str, said: str):
    file = Path("quarry.toml")
    before = file.read_text("utf-8")
    assert right in before
    file.write_text(before.replace(right, wrong, 1), "utf-8")
    assert answer("rules quarry.toml").split("\n")[0] == f"quarry.toml, {said}"
