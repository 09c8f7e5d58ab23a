"""`tapeplat solvable` from files on disk to what the terminal says."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from functools import partial
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.cli.main import main

HEAD = 'title = "Quarry Lake Village"\nunit = "in"\nrules = [\n{}]\n[parcel]\nwidth = 18\ndepth = 14\n'
ZONES = "".join(
    f'[[zone]]\nname = "{name}"\nswatch = {at}\n' for at, name in enumerate(("library", "stables", "market"), 1)
)
GOOD = ["no zones overlap", "library covers at most 1/5 of the parcel", "stables are at least 4 1/2 in from library"]


def challenge(folder: Path, rules: list[str]) -> str:
    path = folder / "challenge.toml"
    path.write_text(HEAD.format("".join(f'  "{rule}",\n' for rule in rules)) + ZONES, encoding="utf-8")
    return str(path)


def run(*arguments: str) -> str:
    found = CliRunner().invoke(main, ["solvable", *arguments])
    assert found.exit_code == 0, found.output
    return found.stdout


def test_a_solvable_challenge_is_drawn_and_the_drawing_passes_the_checker(tmp_path: Path) -> None:
    file = challenge(tmp_path, [*GOOD, "by eye: it looks inviting"])
    said = run(file, "--out", str(tmp_path / "sample"))
    assert "solvable (found in" in said
    assert "How tight: roomy." in said
    assert "Not decided by a layout (structures, or by eye): rule 4." in said
    assert "<svg" in (tmp_path / "sample" / "plat.svg").read_text(encoding="utf-8")
    checked = CliRunner().invoke(main, ["check", file, str(tmp_path / "sample" / "layout.geojson")])
    assert "3 met" in checked.stdout


def test_progress_goes_to_standard_error_and_can_be_left_out(tmp_path: Path) -> None:
    file = challenge(tmp_path, GOOD)
    assert "trying: rectangles" in CliRunner().invoke(main, ["solvable", file]).stderr
    assert CliRunner().invoke(main, ["solvable", file, "--quiet"]).stderr == ""


def test_a_contradiction_is_said_with_its_rules_and_what_loosening_takes(tmp_path: Path) -> None:
    rules = [
        *GOOD,
        "market covers at least 1.4 times library",
        "library covers at least 15%",
        "market covers at most 20%",
    ]
    said = run(challenge(tmp_path, rules), "--quiet", "--out", str(tmp_path / "sample"))
    assert "not solvable (proved in" in said
    assert "No outlines of any shape keep all rules" in said
    conflict = said[said.index("These rules cannot hold together") : said.index("Each has its part")]
    assert [line.split()[0] for line in conflict.splitlines()[1:]] == ["4", "5", "6"]
    assert "then all rules can be met" in said
    assert not (tmp_path / "sample").exists()


def test_the_answer_as_json(tmp_path: Path) -> None:
    made = json.loads(run(challenge(tmp_path, GOOD), "--json"))
    assert made["solvable"] is True
    assert {entry["rule"] for entry in made["tightness"]["room"]} == {2, 3}
    rules = ["library touches market", "library is at least 1 in from market"]
    made = json.loads(run(challenge(tmp_path, rules), "--json"))
    assert made["solvable"] is False
    assert [entry["rule"] for entry in made["conflict"]["rules"]] == [1, 2]
    assert made["conflict"]["minimal"] is True


def test_what_a_team_could_change_is_said_and_drawn_only_when_asked(tmp_path: Path) -> None:
    file = challenge(tmp_path, GOOD)
    plat = tmp_path / "team.csv"
    boxes = {"library": (0, 1, 5, 6), "stables": (7, 1, 11, 5), "market": (1, 8, 4, 12)}
    rows = [f'{zone},"POLYGON (({a} {b}, {c} {b}, {c} {d}, {a} {d}, {a} {b}))"' for zone, (a, b, c, d) in boxes.items()]
    plat.write_text("\n".join(["zone,wkt", *rows]), encoding="utf-8")
    said = run(file, "--near", str(plat), "--out", str(tmp_path / "near"))
    assert said.strip() == "move stables about 2 1/2 in towards the right edge"
    assert not (tmp_path / "near").exists()
    run(file, "--near", str(plat), "--out", str(tmp_path / "near"), "--draw")
    assert (tmp_path / "near" / "plat.svg").exists()


@pytest.mark.parametrize("room", ["60%", "0", "much"])
def test_room_must_be_a_share_up_to_a_half(room: str, tmp_path: Path) -> None:
    found = CliRunner().invoke(main, ["solvable", challenge(tmp_path, GOOD), "--looser", room])
    assert found.exit_code == 2
    assert "Traceback" not in found.output


def test_room_beyond_twice_the_limit_is_not_counted(tmp_path: Path) -> None:
    said = run(challenge(tmp_path, ["library does not touch stables", "library covers at least 2/5 of the parcel"]))
    assert "  > 200 %   1  library does not touch stables" in said


def test_a_length_in_inches_is_said_in_parts_of_an_inch(tmp_path: Path) -> None:
    said = run(challenge(tmp_path, ["library is at least 9 in from stables", *GOOD[:1]]), "--tighter", "3%", "--quiet")
    line = next(line for line in said.splitlines() if '"library is at least' in line)
    assert "." not in line.split('"')[1]


def test_without_any_number_in_the_rules_there_is_no_table(tmp_path: Path) -> None:
    said = run(challenge(tmp_path, ["no zones overlap"]), "--quiet")
    assert "no rule has a number that could be tight" in said
    assert "Room of each rule" not in said


@pytest.mark.parametrize("words", [["--seconds", "nan"], ["--draw"], ["--near", "team.csv", "--looser", "20%"]])
def test_options_that_make_no_sense_are_refused(words: list[str], tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("team.csv").write_text("zone,wkt\n")
    found = CliRunner().invoke(main, ["solvable", challenge(tmp_path, GOOD), *words])
    assert found.exit_code == 2
    assert "Error: " in found.output
    assert not isinstance(found.exception, ValueError)


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal to send to one process")
def test_ctrl_c_ends_it_in_the_middle_of_a_search(tmp_path: Path) -> None:
    # Ten rules that take several seconds to be proved impossible, and many searches.
    names = ("library", "stables", "market")
    rules = [f"{a} is at least 5.1 in from {b}" for a, b in combinations(names, 2)]
    rules += [f"{name} covers at least 1/8 of the parcel" for name in names]
    command = [
        sys.executable,
        "-c",
        "from tapeplat.cli.main import main; main()",
        "solvable",
        challenge(tmp_path, rules),
    ]
    # Where the tests themselves run in a shell's background, Ctrl-C is ignored and programs they start inherit that.
    listening = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stderr=pipe, stdout=pipe, text=True, preexec_fn=listening) as running:
        assert running.stderr is not None
        assert running.stderr.readline().startswith("trying: rectangles")
        running.send_signal(signal.SIGINT)
        _, said = running.communicate(timeout=20)
    assert running.returncode == 130
    assert said.strip().endswith("stopped; what was finished before is kept")
    assert "what loosening" not in said


def test_a_wrong_challenge_is_refused_with_its_line(tmp_path: Path) -> None:
    found = CliRunner().invoke(main, ["solvable", challenge(tmp_path, ["libary covers at most 1/5 of the parcel"])])
    assert found.exit_code == 2
    assert "line 4" in found.output
