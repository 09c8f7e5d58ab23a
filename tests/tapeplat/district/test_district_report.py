"""The district's report as its readers get it: counts of teams, no name of any, hidden where they are small."""

from __future__ import annotations

import csv
import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tapeplat.cli.main import main
from tapeplat.district.district_pages import ALL, own_names
from tests.helpers.made.attempts import as_bytes, result
from tests.helpers.made.filed_plainly import file_one


def run(*words: object) -> Result:
    return CliRunner().invoke(main, list(map(str, words)))


@pytest.fixture(scope="module")
def schools(tmp_path_factory) -> Path:
    """Four schools of eight teams, of which four met one rule and three the other; one of one team."""
    root = tmp_path_factory.mktemp("schools")
    for school in ("Alder", "Birch", "Cedar", "Dogwood"):
        for team in range(8):
            rules = [("=one piece", "met" if team < 4 else "not met"), ("none", "met" if team < 3 else "by eye")]
            file_one(root, school, team=f"Wombat {team}", rules=rules)
    file_one(root, "Elm", team="Wombat 1", rules=[("=one piece", "met"), ("none", "met")])
    return root


def table(folder: Path) -> list[dict[str, str]]:
    return list(csv.DictReader((folder / "district.csv").read_text("utf-8-sig").splitlines()))


def test_the_report_counts_teams_and_names_none(schools: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run("report", "--district", "--schools", schools, "--out", out, "--threshold", 3, "--school-names", "--json")
    assert done.exit_code == 0, done.stderr
    said = {"folder": str(out), "schools": 5, "counts": 12, "shown": 6, "threshold": 3, "unreadable": 0, "warnings": []}
    told = json.loads(done.stdout)
    as_of = told.pop("as_of")
    assert (told, done.stderr) == (said, "")
    found = {
        (row["rule"], row["school"]): (row["teams that met it"], row["teams"], row["hidden"]) for row in table(out)
    }
    assert found["'=one piece", "all schools"] == ("17", "33", "")
    assert found["none", "Dogwood"] == ("3", "8", "")
    assert found["none", "Elm"] == ("", "", "yes")
    assert sorted(file.name for file in out.iterdir()) == ["district.csv", "district.html"]
    page = (out / "district.html").read_text("utf-8")
    assert "17 of 33" in page
    assert f"archives as they were on {as_of}." in page
    assert "fewer than 3 teams met the rule" in page
    for text in (page, (out / "district.csv").read_text("utf-8-sig")):
        assert "wombat" not in text.casefold()
        assert "team-" not in text


def test_attempts_that_cannot_be_read_are_told_with_the_figures(tmp_path: Path) -> None:
    schools, out = tmp_path / "schools", tmp_path / "out"
    for team in range(3):
        file_one(schools, "Alder", team=f"{team}")
    for record in list(schools.rglob("attempt.json"))[:2]:
        record.write_text("{")
    report = run("report", "--district", "--schools", schools, "--out", out, "--json")
    assert json.loads(report.stdout)["unreadable"] == 2
    assert json.loads(report.stdout)["warnings"] == [report.stderr.removeprefix("warning: ").strip()]
    assert "cannot be read, and so are not counted: 2." in (out / "district.html").read_text("utf-8")
    statistics = [run("archive", "statistics", "--schools", schools, *more) for more in ([], ["--csv"], ["--json"])]
    for done in (report, *statistics):
        assert (done.exit_code, "warning: 2 attempts cannot be read" in done.stderr) == (0, True), done.stderr
    told = json.loads(statistics[-1].stdout)
    assert (told["unreadable"], told["warnings"]) == (2, json.loads(report.stdout)["warnings"])


def test_schools_are_numbered_and_the_key_is_apart(schools: Path, tmp_path: Path) -> None:
    out, key = tmp_path / "out", tmp_path / "own" / "key.csv"
    line = ["report", "--district", "--schools", schools, "--threshold", 3]
    assert run(*line, "--out", out, "--key", key).exit_code == 0
    assert os.name == "nt" or key.stat().st_mode & 0o077 == 0, "nobody else reads it"
    names = {row["school"]: row["name"] for row in csv.DictReader(key.read_text("utf-8-sig").splitlines())}
    assert sorted(names.values()) == ["Alder", "Birch", "Cedar", "Dogwood", "Elm"]
    assert sorted(names) == [f"school {number}" for number in range(1, 6)]
    elm = next(said for said, name in names.items() if name == "Elm")
    assert {row["hidden"] for row in table(out) if row["school"] == elm} == {"yes"}
    whole = "".join(file.read_text("utf-8-sig") for file in out.iterdir())
    assert not any(name in whole for name in names.values())
    for place in (out / "key.csv", out / "within" / "key.csv"):
        refused = run(*line, "--out", out, "--key", place)
        assert (refused.exit_code, "no folder that is published" in refused.stderr) == (2, True)


def test_another_edition_in_the_folder_is_warned_of(schools: Path, tmp_path: Path) -> None:
    line = ["report", "--district", "--schools", schools, "--out", tmp_path / "out", "--threshold"]
    first, again, other = (run(*line, threshold) for threshold in (3, 3, 4))
    assert (first.stderr, again.stderr) == ("", ""), "the same figures, only numbered in another order"
    assert "held other figures: where those are published, hidden counts may be had by subtraction" in other.stderr


def test_a_school_that_is_called_as_the_total_is_apart_from_it() -> None:
    assert own_names(["Alder", ALL]) == {"Alder": "Alder", ALL: f"{ALL} (a school)"}


def test_what_does_not_go_together_is_said(schools: Path, tmp_path: Path) -> None:
    (tmp_path / "result.json").write_bytes(as_bytes(result()))
    for line, words in (
        (["--district", "--out", "o"], "--schools DIR"),
        (["--district", "--schools", schools, "--out", "o.pdf"], "it is a folder"),
        (["--district", "--schools", schools, "--out", "o", "--poster"], "--district goes without"),
        ([tmp_path, "--out", "o.pdf", "--threshold", "5"], "go with --district"),
        (["--district", "--schools", schools, "--out", "o", "--threshold", "1"], "whole number from 3"),
        (["--district", schools, "--out", "o"], f"--schools {schools}"),
        (["--out", "o.pdf"], "RESULT"),
    ):
        done = run("report", *line)
        assert (done.exit_code, words in done.stderr) == (2, True), (line, done.stderr)
