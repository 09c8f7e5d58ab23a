"""The command: what it writes, and one plain line and exit code 2 where it cannot."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.cli.main import main
from tapeplat.paper.book import NAMES
from tests.helpers.made.sheet_challenges import QUARRY
from tests.helpers.rendered_sheets import Rendered


@pytest.fixture
def challenge(tmp_path: Path) -> Path:
    path = tmp_path / "quarry.toml"
    path.write_text(QUARRY, "utf-8")
    return path


def run(*arguments: object):
    return CliRunner().invoke(main, ["sheets", *map(str, arguments)])


def refused(*arguments: object) -> str:
    """The one line that a refused command says."""
    outcome = run(*arguments)
    assert outcome.exit_code == 2
    assert outcome.stdout == ""
    assert outcome.stderr.count("\n") == 1
    return outcome.stderr


def test_only_the_card_on_a4(challenge, tmp_path):
    out = tmp_path / "card.pdf"
    outcome = run(challenge, "--out", out, "--only", "card", "--paper", "a4")
    assert (outcome.exit_code, outcome.stderr) == (0, "")
    assert outcome.stdout == f"sheets: {out}; print them at 100 %, then measure the card's check lines with a ruler\n"
    pages = Rendered(out.read_bytes())
    assert pages.headings() == ["The card"]
    assert pages.size(0) == pytest.approx((210, 297), abs=0.1)
    assert list(tmp_path.glob(".sheets-*")) == []


def test_the_whole_book_on_letter(challenge, tmp_path):
    out = tmp_path / "book.pdf"
    assert run(challenge, "--out", out).exit_code == 0
    pages = Rendered(out.read_bytes())
    assert pages.headings()[0] == "What is in this file"
    assert pages.size(0) == pytest.approx((215.9, 279.4), abs=0.1)


def test_sheets_come_in_the_book_s_order(challenge, tmp_path):
    out = tmp_path / "two.pdf"
    assert run(challenge, "--out", out, "--only", "key, Tiles").exit_code == 0
    assert Rendered(out.read_bytes()).headings() == ["Corner tiles", "Zone key"]


def test_unknown_sheet(challenge, tmp_path):
    said = refused(challenge, "--out", tmp_path / "x.pdf", "--only", "card,kard")
    assert said.startswith('--only: there is no sheet "kard"; the sheets are teacher, card, ')
    assert not (tmp_path / "x.pdf").exists()


def test_a_folder_that_cannot_be_made(challenge, tmp_path):
    (tmp_path / "no").write_text("a file")
    said = refused(challenge, "--out", tmp_path / "no" / "x.pdf", "--only", "key")
    assert "no cannot be written: there is a file of that name; choose another folder" in said


def test_a_folder_as_output(challenge, tmp_path):
    (tmp_path / "x.pdf").mkdir()
    assert "x.pdf is a folder there; choose another name" in refused(
        challenge, "--out", tmp_path / "x.pdf", "--only", "key"
    )
    assert [path.name for path in tmp_path.glob(".*")] == []


def test_a_challenge_that_is_not_there(tmp_path):
    assert "nowhere.toml" in refused(tmp_path / "nowhere.toml", "--out", tmp_path / "x.pdf")


def test_a_photo_without_a_result(challenge, tmp_path):
    assert "--result" in refused(challenge, "--out", tmp_path / "x.pdf", "--only", "photo")


def test_sheets_without_use_are_left_out_with_a_word(challenge, tmp_path):
    challenge.write_text(QUARRY.replace("swatch = 1\ntile = 50", "swatch = 7").replace("tile = 51\n", ""))
    outcome = run(challenge, "--out", tmp_path / "x.pdf", "--only", "zonetiles,tiles")
    assert outcome.exit_code == 0
    assert outcome.stderr == "warning: no zone of this challenge has a tile\n"


def test_characters_that_cannot_be_printed_are_named(challenge, tmp_path):
    challenge.write_text(QUARRY.replace("Quarry Lake", "Dvořák 水"), "utf-8")
    outcome = run(challenge, "--out", tmp_path / "x.pdf", "--only", "key")
    assert outcome.exit_code == 0
    assert "lacks ř 水" in outcome.stderr


def test_help_names_every_sheet():
    words = " ".join(run("--help").output.split())
    for name in NAMES:
        assert name in words
