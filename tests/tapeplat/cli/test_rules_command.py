"""`tapeplat rules`: every rule as it is read, with its warnings, or every mistake in the file."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from measure.challenge import read_challenge
from tapeplat.cli.main import main
from tapeplat.cli.rules_command import rules_report
from tests.helpers.paths import SAMPLES

CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
rules = [
  "library covers at least half of the parcel",
  "stables cover at least 60% of the parcel",
  "stables are at least 4 from library",
  "by eye: every street can be walked from end to end",
]
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
[[zone]]
name = "crusher"
swatch = 8
kind = "keep-clear"
place = [9, 6.5]
place_within = 0.5
"""

REPORT = """Quarry Lake Village: 4 rules

 1  library covers at least half of the parcel
    reads as: the area of library is at least 50% of the parcel

 2  stables cover at least 60% of the parcel
    reads as: the area of stables is at least 60% of the parcel

 3  stables are at least 4 from library
    reads as: the distance from stables to library is at least 4 in
    warning: read as 4 in, the challenge's unit

 4  by eye: every street can be walked from end to end
    reads as: by eye: every street can be walked from end to end

Checked too, because of the keep-clear zones:
    nothing overlaps crusher
    the centre of crusher is where the challenge puts it, within 0.5 in

warning: rules 1 and 2 ask for 110 % of the parcel in all, so zones must overlap to meet them"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "village.toml"
    path.write_text(CHALLENGE, encoding="utf-8")
    return path


def run(*words: object):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_every_rule_is_shown_as_it_is_read_with_its_warnings(file):
    said = run("rules", file)
    assert said.exit_code == 0
    assert said.output == REPORT + "\n"


@pytest.mark.parametrize("width", [60, 80])
def test_no_line_is_wider_than_the_terminal_and_nothing_is_lost(file, width):
    text = rules_report(read_challenge(file), width)
    assert max(map(len, text.splitlines())) <= width
    assert text.split() == REPORT.split()


def test_a_challenge_without_rules(tmp_path):
    path = tmp_path / "empty.toml"
    path.write_text(CHALLENGE[: CHALLENGE.index("rules")] + CHALLENGE[CHALLENGE.index("[parcel]") :], encoding="utf-8")
    said = run("rules", path)
    assert said.exit_code == 0
    assert said.output.startswith("Quarry Lake Village: 0 rules\n")
    assert said.output.endswith("warning: the challenge has no rules\n")


def test_all_mistakes_are_said_with_their_lines_and_exit_2(file):
    file.write_text(CHALLENGE.replace("library covers", "libary covers").replace("width = 18", "widht = 18"))
    said = run("rules", file)
    assert said.exit_code == 2
    assert said.stdout == ""
    assert said.stderr == (
        "village.toml, line 4: `libary` is no zone of this challenge; did you mean `library`?\n"
        "    libary covers at least half of the parcel\n"
        "    ^^^^^^\n"
        "village.toml, line 10: `widht` is no key here; did you mean `width`?\n"
    )


def test_a_file_that_is_not_there_is_exit_2(tmp_path):
    said = run("rules", tmp_path / "nowhere.toml")
    assert said.exit_code == 2
    assert said.stderr.startswith(f"there is no file {tmp_path / 'nowhere.toml'}")


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_the_samples_rules_are_read_without_a_warning(sample):
    said = run("rules", sample)
    assert said.exit_code == 0
    assert said.output.count("reads as: ") == len(read_challenge(sample).rules)
    assert "warning" not in said.output
