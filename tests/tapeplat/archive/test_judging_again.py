"""Filed outlines judged again by a changed challenge: in the archive, and by the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from measure.file_content import FileContent
from measure.result.result import read_result, result_text
from measure.result.teacher_verdicts import result_by_hand
from tapeplat.archive import Archive, Entry, NewAttempt
from tapeplat.archive.judging import is_judged_by, judge_again
from tapeplat.cli.main import main
from tests.helpers.page.browser import CHALLENGE
from tests.helpers.page.student_world import TITLE, measured_files

LOOSER = CHALLENGE.replace("at most 1/5", "at most 1/25").replace("at least 4 cm", "at least 3 cm")
FILE = "gull.toml"


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    return Archive(tmp_path / "archive")


@pytest.fixture
def entry(archive: Archive, tmp_path: Path) -> Entry:
    files = measured_files(tmp_path / "made")
    return archive.save(NewAttempt(TITLE, "3", CHALLENGE.encode(), files), surroundings=True)


def test_outlines_stay_and_verdicts_follow_the_challenge(archive: Archive, entry: Entry) -> None:
    before = read_result(entry.folder)
    said = judge_again(archive, entry, FileContent(FILE, LOOSER.encode()))
    after = read_result(entry.folder)
    assert [zone.pieces[0].outline for zone in after.zones] == [zone.pieces[0].outline for zone in before.zones]
    assert [rule.text for rule in after.rules][:2] == [
        "market covers at most 1/25 of the parcel",
        "market is at least 3 cm from dock",
    ]
    fates = {change.text: (change.before, change.after) for change in said.changes}
    assert fates["market covers at most 1/25 of the parcel"] == ("met", "not met")
    assert "market covers at most 1/5 of the parcel" not in fates
    assert said.problem == ""
    assert archive.verify() == ()
    (kept,) = (entry.folder / "revisions").iterdir()
    assert (kept / "challenge.toml").read_text() == CHALLENGE
    assert "judged again" in (kept / "why.txt").read_text()


def test_a_verdict_by_hand_stays_with_its_rule(archive: Archive, entry: Entry) -> None:
    text = "by eye: every street can be walked from end to end"
    by_hand = result_by_hand(read_result(entry.folder), text, "met", "walked it")
    archive.replace_result(entry, {"result.json": result_text(by_hand).encode()}, "by hand")
    judge_again(archive, entry, FileContent(FILE, LOOSER.encode()))
    (rule,) = [rule for rule in read_result(entry.folder).rules if rule.text == text]
    assert rule.by_hand is not None
    assert rule.by_hand.verdict == "met"


def test_a_verdict_by_hand_waits_for_its_rule_and_comes_back_with_it(archive: Archive, entry: Entry) -> None:
    text = "market covers at most 1/5 of the parcel"
    by_hand = result_by_hand(read_result(entry.folder), text, "not met", "it lay over the edge")
    archive.replace_result(entry, {"result.json": result_text(by_hand).encode()}, "by hand")
    waits = judge_again(archive, entry, FileContent(FILE, LOOSER.encode()))
    assert any(f'your verdict "not met" on "{text}" is not counted' in remark for remark in waits.remarks)
    assert [rule.by_hand for rule in read_result(entry.folder).rules if "market covers" in rule.text] == [None]
    still = judge_again(archive, entry, FileContent(FILE, LOOSER.replace("3 cm", "2 cm").encode()))
    assert still.remarks == ()
    back = judge_again(archive, entry, FileContent(FILE, CHALLENGE.encode()))
    assert back.remarks == (f'your verdict "not met" on "{text}" is back',)
    after = read_result(entry.folder)
    assert [rule.by_hand for rule in after.rules if rule.text == text] == [by_hand.rules[0].by_hand]
    assert [notice.code for notice in after.notices] == [notice.code for notice in by_hand.notices]


def test_a_title_or_a_comment_is_no_reason_to_judge_again(entry: Entry) -> None:
    assert is_judged_by(entry, CHALLENGE)
    assert is_judged_by(entry, "# for the summer\n" + CHALLENGE.replace(TITLE, "Kestrel Bay"))
    assert not is_judged_by(entry, LOOSER)
    assert not is_judged_by(entry, CHALLENGE.replace("swatch = 1\n", 'swatch = 1\naliases = ["shops"]\n'))


def test_what_is_allowed_beside_the_limits_is_a_reason_alone(archive: Archive, entry: Entry) -> None:
    allowing = 'allow = "10 %"\n' + CHALLENGE
    assert not is_judged_by(entry, allowing)
    judge_again(archive, entry, FileContent(FILE, allowing.encode()))
    assert is_judged_by(entry, "# the same\n" + allowing)
    assert not is_judged_by(entry, CHALLENGE)


def test_what_cannot_be_judged_is_left_as_it_was(archive: Archive, entry: Entry) -> None:
    without = CHALLENGE.replace('name = "dock"', 'name = "quay"').replace("from dock", "from quay")
    said = judge_again(archive, entry, FileContent(FILE, without.encode()))
    assert "dock" in said.problem
    assert (entry.folder / "challenge.toml").read_text() == CHALLENGE
    assert not (entry.folder / "revisions").exists()


def test_a_changed_card_is_said_to_need_the_photo(archive: Archive, entry: Entry) -> None:
    card = f"{CHALLENGE}\n[card]\nprinted_line = [99.0, 79.5]\n"
    assert "as they were measured before" in judge_again(archive, entry, FileContent(FILE, card.encode())).remarks[0]


def test_the_command_judges_what_is_of_the_challenge_and_says_what_changed(
    archive: Archive, entry: Entry, tmp_path: Path
) -> None:
    file = tmp_path / FILE
    file.write_text(LOOSER, encoding="utf-8")
    command = ["archive", "judge", str(file), "--archive-folder", str(archive.root)]
    said = CliRunner().invoke(main, command)
    assert said.exit_code == 0, said.output
    assert "market covers at most 1/25 of the parcel  (met -> not met)" in said.output
    assert "1 judged again; 0 were judged by this challenge already" in said.output
    assert "0 judged again; 1 were" in CliRunner().invoke(main, command).output
    assert json.loads((entry.folder / "result.json").read_bytes())["rules"][0]["limit"] == 0.04
    file.write_text(LOOSER.replace("dock", "quay"), encoding="utf-8")
    failed = CliRunner().invoke(main, command)
    assert failed.exit_code == 2
    assert "left as it was" in failed.output


def test_the_command_judges_a_whole_class_and_no_other(archive: Archive, tmp_path: Path) -> None:
    """A class's challenge was renamed between two attempts; another class works on one of the first title."""
    files, kestrel = measured_files(tmp_path / "made"), CHALLENGE.replace(TITLE, "Kestrel Bay")
    filed = [(TITLE, "1", "a", CHALLENGE), ("Kestrel Bay", "2", "a", kestrel), (TITLE, "3", "b", CHALLENGE)]
    first, second, other = (
        archive.save(NewAttempt(title, team, text.encode(), files, class_id=owner))
        for title, team, owner, text in filed
    )
    file = tmp_path / FILE
    command = ["archive", "judge", str(file), "--archive-folder", str(archive.root)]
    file.write_text(LOOSER.replace(TITLE, "Kestrel Bay"), encoding="utf-8")
    assert "2 judged again" in CliRunner().invoke(main, command).output
    texts = [(entry.folder / "challenge.toml").read_text() for entry in (first, second, other)]
    assert texts == [file.read_text(), file.read_text(), CHALLENGE]
    file.write_text(LOOSER, encoding="utf-8")
    asked = CliRunner().invoke(main, command)
    assert asked.exit_code == 2
    assert "belong to 2 classes" in asked.output
    assert f"--class-of {other.id}" in " ".join(asked.output.split())
    assert "1 judged again" in CliRunner().invoke(main, [*command, "--class-of", other.id]).output
    assert (first.folder / "challenge.toml").read_text() == texts[0]
