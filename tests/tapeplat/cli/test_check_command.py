"""`tapeplat check`: outlines from a file, the same checker, the same result file."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.cli.main import main

RULES = (
    "library covers at most 1/5 of the parcel",
    "library covers at least 24 sq in",
    "library covers at least 1.4 times stables",
    "stables are at least 3 in from library",
    "stables are at least 5 cm from library",
    "every zone is inside the parcel",
    "there are exactly 2 pieces of stables",
    "there are at least 2 cylinders",
    "by eye: every street can be walked from end to end",
)

CHALLENGE = f"""title = "Quarry Lake Village"
unit = "in"
rules = {json.dumps(RULES)}
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
"""


def box(x: float, y: float, width: float, height: float) -> list[list[list[float]]]:
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
    return [[[float(a), float(b)] for a, b in corners]]


def feature(zone: str, rings: list[list[list[float]]], u95: float | None = None) -> dict[str, object]:
    properties: dict[str, object] = {"zone": zone} | ({} if u95 is None else {"u95": u95})
    return {"type": "Feature", "properties": properties, "geometry": {"type": "Polygon", "coordinates": rings}}


PLAN = [
    feature("library", box(1, 1, 6, 4), 0.02),
    feature("stables", box(9, 1, 4, 2)),
    feature("stables", box(9, 8, 4, 2)),
]
VERDICTS = ["met", "too close to call", "met", "not met", "met", "met", "met", "not measured", "by eye"]


@pytest.fixture
def files(tmp_path):
    challenge, plan = tmp_path / "village.toml", tmp_path / "plan.geojson"
    challenge.write_text(CHALLENGE, encoding="utf-8")
    plan.write_text(json.dumps({"type": "FeatureCollection", "features": PLAN}), encoding="utf-8")
    return challenge, plan


def run(*words: object):
    return CliRunner().invoke(main, ["check", *(str(word) for word in words)])


def test_the_verdicts_are_printed_as_words_in_a_table(files):
    said = run(*files)
    assert said.exit_code == 0
    assert said.output.startswith("Quarry Lake Village\n")
    for number, (rule, verdict) in enumerate(zip(RULES, VERDICTS, strict=True), 1):
        assert f"{number}  {verdict:<17}  {rule[:30]}" in said.output
    assert "9 rules: 5 met, 1 not met, 1 too close to call, 1 not measured, 1 by eye" in said.output
    assert "\x1b" not in said.output


def test_the_result_file_says_the_same_in_the_rules_own_units(files, tmp_path):
    assert run(*files, "--out", tmp_path / "out", "--team", "3").exit_code == 0
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["result.json"]
    result = json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))
    assert (result["format"], result["team"], result["unit"]) == ("tapeplat/result-1", "3", "in")
    rules = {rule["text"]: rule for rule in result["rules"]}
    assert [rules[text]["verdict"] for text in RULES] == VERDICTS
    share, size, ratio, near, metric, inside, count, *_ = (rules[text] for text in RULES)
    assert (share["kind"], share["unit"], share["limit"], share["over"]) == ("share", "", 0.2, ["library"])
    assert share["value"] == pytest.approx(24 / 252, abs=1e-5)
    assert (size["unit"], size["limit"], size["chance"]) == ("sq in", 24, pytest.approx(0.5, abs=1e-6))
    # A rectangle's area by its corners: dA = 1/2 the diagonal across each corner, two corners a diagonal, so
    # u(A)^2 = 4 (diagonal / 2)^2 u^2 = (6^2 + 4^2) u^2, with u95 = 2 u.
    assert size["u95"] == pytest.approx(0.02 * math.hypot(6, 4), rel=1e-3)
    assert (ratio["value"], ratio["limit"]) == (pytest.approx(1.5), pytest.approx(1.4))
    assert (near["value"], near["unit"], near["limit"]) == (pytest.approx(2), "in", 3)
    assert (metric["value"], metric["unit"], metric["limit"]) == (pytest.approx(5.08), "cm", 5)
    assert (inside["value"], inside["limit"], inside["u95"]) == (0, 0, pytest.approx(0.0, abs=0.06))
    assert (count["value"], count["limit"], count["u95"], count["chance"]) == (2, 2, 0, 1)


def test_a_result_file_can_be_checked_again(files, tmp_path):
    assert run(*files, "--out", tmp_path / "one").exit_code == 0
    said = run(files[0], tmp_path / "one" / "result.json", "--out", tmp_path / "two")
    assert said.exit_code == 0
    first, second = (json.loads((tmp_path / name / "result.json").read_text()) for name in ("one", "two"))
    assert [rule["verdict"] for rule in first["rules"]] == [rule["verdict"] for rule in second["rules"]]


def test_structures_from_a_table(files, tmp_path):
    table = tmp_path / "built.csv"
    table.write_text(
        "team,zone,solid,length,width,height,diameter,unit,count,division\n1,library,cylinder,,,4,2,in,2,1/8\n"
    )
    said = run(*files, "--structures", table)
    assert said.exit_code == 0
    assert "8  met  " in said.output


@pytest.mark.parametrize(
    ("broken", "message"),
    [
        ([feature("libary", box(1, 1, 6, 4))], "libary"),
        ([feature("library", [[[1, 1], [5, 5], [5, 1], [1, 5], [1, 1]]])], "cross"),
        ([], "there is no outline in it"),
    ],
)
def test_a_plat_that_cannot_be_used_is_exit_2_and_leaves_nothing(files, tmp_path, broken, message):
    challenge, plan = files
    plan.write_text(json.dumps({"type": "FeatureCollection", "features": broken}), encoding="utf-8")
    said = run(challenge, plan, "--out", tmp_path / "out")
    assert said.exit_code == 2
    assert message in said.stderr
    assert said.stdout == ""
    assert not (tmp_path / "out").exists()


def test_mistakes_in_the_challenge_or_a_missing_file_are_exit_2(files, tmp_path):
    challenge, plan = files
    assert run(challenge, tmp_path / "nowhere.geojson").exit_code == 2
    challenge.write_text(CHALLENGE.replace("width = 18", ""))
    said = run(challenge, plan)
    assert said.exit_code == 2
    assert "`width` of [parcel] is missing" in said.stderr


def test_a_folder_that_cannot_be_made_is_exit_2(files, tmp_path):
    (tmp_path / "taken").write_text("x")
    said = run(*files, "--out", tmp_path / "taken" / Path("out"))
    assert said.exit_code == 2
