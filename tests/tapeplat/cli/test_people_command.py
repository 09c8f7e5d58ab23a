"""`tapeplat people` from a table and outlines on disk to what the terminal says."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from measure.challenge import read_challenge
from measure.plat.measures import Measures
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from measure.result.result import result_text
from measure.result.result_making import result_of
from measure.rules.evaluation.evaluate import evaluate_all
from measure.structures.built_structures import built_structures
from measure.structures.disagreements import Reader
from measure.structures.structures import team_structures
from measure.structures.structures_table import read_structures
from tapeplat.cli.main import main
from tapeplat.wording.notice_words import words

CHALLENGE = """
title = "Quarry Lake Village"
unit = "cm"
[parcel]
width = 40
depth = 30
[[zone]]
name = "cottages"
swatch = 1
[[zone]]
name = "workshops"
swatch = 2
[[zone]]
name = "market"
swatch = 3
"""
TABLE = """team,zone,solid,length,width,height,diameter,unit,count,division
3,cottages,cubes,,,,,cm,48,
3,cottages,prism on outline,,,0.5,,cm,1,0.000001
3,workshops,box,4,3,5,,cm,2,0.1
"""


@pytest.fixture
def result(tmp_path: Path) -> Path:
    """The result of a model with 48 unit cubes and a half-centimetre slab on 10 x 8 cm: 88 cubic cm in cottages."""
    (tmp_path / "challenge.toml").write_text(CHALLENGE, encoding="utf-8")
    (tmp_path / "structures.csv").write_text(TABLE, encoding="utf-8")
    challenge = read_challenge(tmp_path / "challenge.toml")
    corners = np.array([[10.0, 10.0], [110.0, 10.0], [110.0, 90.0], [10.0, 90.0]])
    piece = Piece("cottages", Ring(corners, np.zeros((4, 2, 0))), Quantity(10.0))
    measures = Measures(Plat(400, 300, (piece,), (), "given"))
    table = team_structures(read_structures(tmp_path / "structures.csv", challenge), measures)
    structures = built_structures(table, measures, "hand", Reader("cm"))
    outcomes = evaluate_all(challenge, measures, structures)
    text = result_text(result_of(challenge, measures, outcomes, words, structures=structures))
    path = tmp_path / "result.json"
    path.write_text(text, encoding="utf-8")
    return path


def said(*arguments: object, code: int = 0) -> str:
    done = CliRunner().invoke(main, ["people", *map(str, arguments)])
    assert done.exit_code == code, done.output
    return done.output


def test_how_many_each_zone_holds(result: Path) -> None:
    text = said(result.parent, "--per", "12", "--unit", "cm")
    assert text.splitlines()[0] == "Quarry Lake Village: 12 people per cubic cm"
    lines = {line.split("  ")[0]: line.split("  ")[-1].strip() for line in text.splitlines()[2:]}
    assert lines["cottages"].startswith("1056 people in 88.0000")
    # 2 boxes 4 x 3 x 5 cm read to 1 mm: u(V)/V = 0.0408 x sqrt(1/16 + 1/9 + 1/25), u95 of 1440 people = 54
    assert lines["workshops"] == "1440 ± 50 people in 120 ± 5 cubic cm"
    assert lines["market"] == "no structures"
    assert lines["all zones together"].startswith("2500 ± 50 people")


def test_as_many_people_as_the_rule_is_judged_on(tmp_path: Path) -> None:
    """26 cubes of 1 cm at 12 a cubic cm are 312 people, also where the class writes its numbers in inches."""
    rule = 'rules = ["cottages house at least 312 people at 12 people per cubic cm"]'
    text = CHALLENGE.replace('unit = "cm"', f'unit = "in"\n{rule}')
    (tmp_path / "challenge.toml").write_text(text, encoding="utf-8")
    (tmp_path / "s.csv").write_text("zone,solid,unit,count\ncottages,cubes,cm,26\n", encoding="utf-8")
    (tmp_path / "plan.csv").write_text('zone,wkt\ncottages,"POLYGON ((1 1, 5 1, 5 5, 1 5, 1 1))"\n', encoding="utf-8")
    files = [str(tmp_path / name) for name in ("challenge.toml", "plan.csv")]
    more = ["--structures", str(tmp_path / "s.csv"), "--out", str(tmp_path / "out")]
    done = CliRunner().invoke(main, ["check", *files, *more])
    assert done.exit_code == 0, done.output
    judged = json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))["rules"][0]
    assert (judged["verdict"], judged["value"]) == ("met", pytest.approx(312, abs=1e-9))
    text = said(tmp_path / "out", "--per", "12", "--unit", "cm", "--wanted", "312")
    assert "cottages            312 people in 26 cubic cm" in text
    assert "  cottages: enough" in text


def test_a_larger_number_and_what_is_missing_for_it(result: Path) -> None:
    text = said(result, "--per", "12", "--unit", "cm", "--wanted", "1,920".replace(",", ""))
    cottages = text.split("  cottages: ")[1].split("  workshops: ")[0]
    assert cottages.startswith("not enough; 72.0000")  # 1920 / 12 - 88
    assert "as 72 more unit cubes like those of row 2" in cottages
    assert "or the prism on outline of row 3 0.90 cm taller: 1 storey more" in cottages
    assert "or 2 more prisms on outline like row 3" in cottages
    workshops = text.split("  workshops: ")[1].split("  market: ")[0]
    assert workshops.startswith("not enough; 40 ± 5 cubic cm more needed (44 cubic cm to be sure)")
    assert "as the 2 boxes of row 4 1.67 cm taller each: 2 storeys more" in workshops
    assert "or 1 more box like row 4" in workshops
    assert text.rstrip().endswith("all zones together: enough")


def test_what_makes_sure_is_never_rounded_to_nothing(result: Path) -> None:
    """The boxes of 120 ± 5 cubic cm hold 1396 with a chance just short of 0.95: next to nothing is missing."""
    workshops = said(result, "--per", "12", "--unit", "cm", "--wanted", "1396").split("  workshops: ")[1]
    assert workshops.startswith("too close to call; 1 cubic cm more would make sure")


def test_people_are_whole_and_the_same_in_both_commands(tmp_path: Path) -> None:
    rule = 'rules = ["cottages house at least 3 people at 8 people per cubic cm"]'
    (tmp_path / "challenge.toml").write_text(CHALLENGE.replace('unit = "cm"', f'unit = "cm"\n{rule}'), encoding="utf-8")
    (tmp_path / "s.csv").write_text("zone,solid,length,unit,division\ncottages,cube,0.7,cm,0.001\n", encoding="utf-8")
    (tmp_path / "plan.csv").write_text('zone,wkt\ncottages,"POLYGON ((1 1, 5 1, 5 5, 1 5, 1 1))"\n', encoding="utf-8")
    files = [str(tmp_path / name) for name in ("challenge.toml", "plan.csv")]
    more = ["--structures", str(tmp_path / "s.csv"), "--out", str(tmp_path / "out")]
    done = CliRunner().invoke(main, ["check", *files, *more])
    assert "house 2 people." in done.output
    judged = json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))["rules"][0]
    assert judged["value"] == pytest.approx(8 * 0.343)
    assert judged["sentence"] == "The cottages house 2 people. They must house at least 3."
    assert "cottages            2 people in" in said(tmp_path / "out", "--per", "8")


def test_another_unit_and_storey_and_fractions(result: Path) -> None:
    text = said(result, "--per", "196 1/2", "--unit", "in", "--wanted", "2000", "--storey", "1/4")
    assert "196.5 people per cubic in" in text
    assert "a storey is taken as 0.25 in high" in text


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--per", "0"], "0 is not above 0"),
        (["--per", "12,5"], "write a decimal point, not a comma"),
        (["--unit", "cm"], "--per"),
        (["--per", "12", "--unit", "furlong"], "furlong"),
    ],
)
def test_a_wrong_command_line_is_exit_2(result: Path, arguments: list[str], message: str) -> None:
    assert message in said(result, *arguments, code=2)


def test_a_result_without_structures_is_exit_2(result: Path) -> None:
    content = json.loads(result.read_text(encoding="utf-8"))
    result.write_text(json.dumps({**content, "structures": []}), encoding="utf-8")
    assert "measure or check the model again with `--structures FILE.csv`" in said(result, "--per", "12", code=2)


def test_the_result_file_has_the_shape_and_the_structures(result: Path) -> None:
    content = json.loads(result.read_text(encoding="utf-8"))
    (piece,) = content["zones"][0]["pieces"]
    assert piece["shape"] == {
        "name": "rectangle",
        "also": ["parallelogram", "trapezoid"],
        "reasons": ["two pairs of parallel sides", "all angles right within what can be measured"],
    }
    cubes, prism, boxes = content["structures"]
    assert (cubes["count"], cubes["volume"], cubes["surface"]) == (48, {"value": 48.0, "u95": 0.0}, None)
    assert prism["side_surface"]["value"] == pytest.approx(36 * 0.5)
    assert (boxes["row"], boxes["floor"]["value"], boxes["surface"]["value"]) == (4, 12.0, 188.0)
    assert content["zones"][1]["volume"]["value"] == 120.0
