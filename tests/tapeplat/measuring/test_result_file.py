"""The result file as written, read by its published form, and checked again."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import shapely
from click.testing import CliRunner
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

import measure
import tapeplat
from measure.result.result import ByHand, CorrectedResult, parse_result, read_result, result_text
from measure.result.settlement import settlement_of
from measure.result.teacher_verdicts import result_by_hand
from measure.rules.measured_sizes import NO_STRUCTURES
from tapeplat.cli.main import main
from tapeplat.measuring.measured_model import MeasuredModel
from tests.helpers.examples import examples

CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
tape_edge = "outer"
rules = ["library covers at least 1.2 times stables", "library covers at least 24 sq in",
         "stables are at least 1 in from library", "every zone is at least 1/2 in from the edge",
         "by eye: every street can be walked from end to end"]
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
aliases = ["barns"]
[[zone]]
name = "crusher"
kind = "keep-clear"
swatch = 3
"""
PLAN = """zone,wkt,u95
library,"POLYGON ((1 1, 7 1, 7 5, 1 5, 1 1), (3 2, 4 2, 4 3, 3 3, 3 2))",0.04
stables,"MULTIPOLYGON (((9 1, 13 1, 13 3, 9 3, 9 1)), ((9 8, 13 8, 12 11, 9 8)))",0.02
"""


def text_of(model: MeasuredModel) -> str:
    return model.files["result.json"].decode("utf-8")


@pytest.fixture
def written(tmp_path: Path) -> str:
    (tmp_path / "challenge.toml").write_text(CHALLENGE, encoding="utf-8")
    (tmp_path / "plan.csv").write_text(PLAN, encoding="utf-8")
    return text_of(tapeplat.check(tmp_path / "challenge.toml", tmp_path / "plan.csv", team="Otters"))


def test_it_has_the_published_form(written: str) -> None:
    schema = json.loads((Path(measure.__file__).parent / "result" / "result.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(written))


def test_nothing_in_it_is_unknown_to_the_reader(written: str) -> None:
    """Every key that is written is one that measure.result.result knows."""
    content, read = json.loads(written), parse_result(written)
    assert set(content) <= set(read.__dataclass_fields__)
    for key, part in (("zones", read.zones), ("rules", read.rules), ("distances", read.distances)):
        assert all(set(entry) <= set(part[0].__dataclass_fields__) for entry in content[key])
    pieces = [piece for zone in content["zones"] for piece in zone["pieces"]]
    assert all(set(piece) <= set(read.zones[0].pieces[0].__dataclass_fields__) for piece in pieces)
    assert read.zones[2].area is None


def test_checked_again_it_says_the_same(tmp_path: Path, written: str) -> None:
    (tmp_path / "result.json").write_text(written, encoding="utf-8")
    again = text_of(tapeplat.check(tmp_path / "challenge.toml", tmp_path / "result.json", team="Otters"))
    before, after = json.loads(written), json.loads(again)
    assert [rule["verdict"] for rule in after["rules"]] == [rule["verdict"] for rule in before["rules"]]
    for old, new in zip(before["rules"], after["rules"], strict=True):
        for key in ("value", "u95", "chance"):
            assert new[key] == pytest.approx(old[key], rel=1e-4) if old[key] is not None else new[key] is None
    assert after["zones"] == before["zones"]
    assert after["uncertainty"]["pieces"] == before["uncertainty"]["pieces"]


def checked(tmp_path: Path, file: Path, out: Path | None = None) -> dict[str, Any]:
    """What the command writes, or would."""
    if out is None:
        content: dict[str, Any] = json.loads(text_of(tapeplat.check(tmp_path / "challenge.toml", file)))
        return content
    command = ["check", str(tmp_path / "challenge.toml"), str(file), "--out", str(out)]
    assert CliRunner().invoke(main, command).exit_code == 0
    content = json.loads((out / "result.json").read_text(encoding="utf-8"))
    return content


def test_checked_again_it_keeps_its_team_and_the_verdicts_by_hand(tmp_path: Path, written: str) -> None:
    by_eye = "by eye: every street can be walked from end to end"
    result = result_by_hand(parse_result(written), by_eye, "met", "walked")
    gone = replace(
        result.rules[0], text="a rule of last week", reads_as="another rule", by_hand=ByHand("met", "it was")
    )
    file = tmp_path / "result.json"
    file.write_text(result_text(replace(result, rules=(*result.rules, gone))), encoding="utf-8")
    again = checked(tmp_path, file)
    assert again["team"] == "Otters"
    assert [rule.get("by_hand") for rule in again["rules"] if rule["kind"] == "by eye"] == [
        {"verdict": "met", "reason": "walked"}
    ]
    lost = 'the verdict by hand on "a rule of last week" waits: the challenge has no such rule now'
    assert lost in again["warnings"]
    report = tapeplat.check(tmp_path / "challenge.toml", file).report()
    assert "By hand: met (walked)." in " ".join(report.split())


def test_the_corrected_picture_stays_with_the_result_that_lies_beside_it(tmp_path: Path, written: str) -> None:
    file = tmp_path / "result.json"
    with_picture = replace(parse_result(written), corrected=CorrectedResult("corrected.jpg", 0.2, (-12.0, -12.0)))
    file.write_text(result_text(with_picture), encoding="utf-8")
    assert checked(tmp_path, file, tmp_path)["corrected"]["file"] == "corrected.jpg"
    assert "corrected" not in checked(tmp_path, file, tmp_path / "elsewhere")


def test_a_piece_that_is_not_measurable_stays_one(tmp_path: Path, written: str) -> None:
    """Where a photo shows tape but no outline, or no colour to find one by, there is a piece without points."""
    file, content = tmp_path / "result.json", json.loads(written)
    content["zones"][1] |= {"area": None, "pieces": [{"outline": [], "status": "not measurable"}]}
    content["uncertainty"]["pieces"] = [m for m in content["uncertainty"]["pieces"] if m["zone"] != "stables"]
    file.write_text(json.dumps(content), encoding="utf-8")
    again = checked(tmp_path, file)
    assert again["zones"][1]["area"] is None
    (piece,) = again["zones"][1]["pieces"]
    assert (piece["outline"], piece["status"], piece["area"], piece["perimeter"]) == ([], "not measurable", None, None)
    assert [rule["verdict"] for rule in again["rules"][:3]] == ["not measured", "not met", "not measured"]
    assert again["distances"] == []


def test_a_zone_with_a_piece_that_is_not_measured_has_no_area_and_no_gap(tmp_path: Path, written: str) -> None:
    """What the seen pieces cover, and how far they are off, is not what the zone covers, nor how far it is off."""
    file, content = tmp_path / "result.json", json.loads(written)
    whole = checked(tmp_path, file_with(file, content))
    assert whole["zones"][1]["area"]
    assert whole["distances"]
    content["zones"][1]["pieces"].append({"outline": [], "status": "not measurable"})
    again = checked(tmp_path, file_with(file, content))
    assert again["zones"][1]["area"] is None
    assert [piece["area"] is None for piece in again["zones"][1]["pieces"]] == [False, False, True]
    assert again["distances"] == []


def file_with(file: Path, content: dict[str, Any]) -> Path:
    file.write_text(json.dumps(content), encoding="utf-8")
    return file


BUILT = """zone,solid,length,width,height,unit,count,division
library,box,2,1,1 1/2,in,2,1/8
library,cubes,,,,in,5,
library,prism on outline,,,1,in,1,1/8
stables,square pyramid,5,,4,cm,3,0.1
stables,prism on outline,,,2,in,2,1/8
"""
BUILT_RULES = """rules = ["library holds at least 12 cubic in", "the volume of library is at least 1.5 times stables",
         "there are at least 3 structures", "there are exactly 3 pyramids in stables",
         "every structure in stables is at most 3 in tall",
         "library houses at least 100 people at 9 people per cubic in"]
"""


SIZES = ("volume", "surface", "side_surface", "height", "floor")


def built(tmp_path: Path) -> Path:
    """A challenge about structures beside the plan, its other rules left out."""
    rules = CHALLENGE[CHALLENGE.index("rules = ") : CHALLENGE.index("[parcel]")]
    file = tmp_path / "built.toml"
    file.write_text(CHALLENGE.replace(rules, BUILT_RULES), encoding="utf-8")
    (tmp_path / "plan.csv").write_text(PLAN, encoding="utf-8")
    return file


@pytest.mark.parametrize("how", ["file", "model", "result", "repeatedly"])
def test_checked_again_the_structures_that_it_holds_are_judged(tmp_path: Path, how: str) -> None:
    challenge = built(tmp_path)
    first = tapeplat.check(challenge, tmp_path / "plan.csv", structures=BUILT)
    assert all(rule.verdict != "not measured" for rule in first.rules if rule.kind != "keep-clear")
    first.save(tmp_path / "o")
    given = {"file": tmp_path / "o" / "result.json", "model": first, "result": first.result}
    again = tapeplat.check(challenge, given.get(how) or tapeplat.check(challenge, first))
    assert [rule.verdict for rule in again.rules] == [rule.verdict for rule in first.rules]
    for old, new in zip(first.rules, again.rules, strict=True):
        assert new.value == (pytest.approx(old.value) if old.value is not None else None), old.text
        assert new.u95 == (pytest.approx(old.u95, rel=1e-3) if old.u95 is not None else None), old.text
    for kept, counted in zip(again.structures, first.structures, strict=True):
        assert replace(kept, **dict.fromkeys(SIZES)) == replace(counted, **dict.fromkeys(SIZES))
        for size in SIZES:
            a, b = getattr(kept, size), getattr(counted, size)
            assert (a is None) == (b is None), size
            assert a is None or (a.value, a.u95) == (pytest.approx(b.value), pytest.approx(b.u95, rel=1e-3)), size
    assert again.warnings == first.warnings


def test_a_table_given_again_replaces_the_structures_and_what_was_said_of_them(tmp_path: Path) -> None:
    challenge = built(tmp_path)
    first = tapeplat.check(challenge, tmp_path / "plan.csv", structures=BUILT.replace("box,2,1", "box,20,10"))
    assert any("base of the box" in warning for warning in first.warnings)
    again = tapeplat.check(challenge, first, structures="zone,solid,length,unit\nlibrary,cube,2,in\n")
    assert [(kept.solid, kept.volume.value if kept.volume else None) for kept in again.structures] == [("cube", 8.0)]
    assert not any("base of the box" in warning for warning in again.warnings)


def test_a_result_without_structures_still_has_none(tmp_path: Path) -> None:
    challenge = built(tmp_path)
    again = tapeplat.check(challenge, tapeplat.check(challenge, tmp_path / "plan.csv"))
    assert again.rules[0].note == NO_STRUCTURES


def test_a_prism_on_one_of_several_outlines_stays_on_it(tmp_path: Path) -> None:
    challenge = built(tmp_path)
    table = "zone,solid,height,unit,piece\nstables,prism on outline,2,in,2\n"
    first = tapeplat.check(challenge, tmp_path / "plan.csv", structures=table)
    again = tapeplat.check(challenge, first)
    assert again.structures[0].volume is not None
    assert first.structures[0].volume is not None
    assert again.structures[0].volume.value == pytest.approx(first.structures[0].volume.value)


UNITS: dict[str, float] = {"in": 25.4, "cm": 10.0, "mm": 1.0}
CLOSE = """title = "Quarry Lake Village"
unit = "{unit}"
tape_edge = "{edge}"
rules = ["a covers at least {area!r} sq {unit}", "the perimeter of a is at most {around!r} {unit}",
         "a is at least {gap!r} {unit} from b", "a covers at most {share!r} of the parcel",
         "a and b hold at least 26 cubic cm", "a houses at least 312 people at 12 people per cubic cm",
         "a covers at least {times!r} times b", "every zone is at least {edge_gap!r} {unit} from the edge"]
[parcel]
width = {width!r}
depth = {depth!r}
[[zone]]
name = "a"
swatch = 1
[[zone]]
name = "b"
swatch = 2
"""
TABLE = "zone,solid,length,width,height,unit,count,division\na,cubes,,,,cm,26,\nb,box,4,3,5,in,1,1/8\n"
sizes = st.floats(20, 90)


@given(st.sampled_from(sorted(UNITS)), sizes, sizes, sizes, st.sampled_from([0.0, 1e-6, 0.4]), st.floats(-0.5, 0.5))
@examples(20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_judged_on_the_files_numbers_every_rule_gets_its_verdict_again(
    tmp_path: Path, unit: str, width: float, depth: float, gap: float, u95: float, off: float
) -> None:
    """Rules whose limits are as near as half of the uncertainty, or are met exactly: a nanometre decides there, too."""
    one = 1 / UNITS[unit]
    a = [(30 * one, 40 * one, (30 + width) * one, (40 + depth) * one)]
    b = [((30 + width + gap) * one, 45 * one, (30 + width + gap + 50) * one, 91 * one)]
    slack = off * u95
    limits = {
        "unit": unit, "edge": "middle", "width": 400 * one, "depth": 300 * one, "gap": (gap + slack) * one,
        "area": (width * depth + slack * 2 * (width + depth)) * one**2, "around": (2 * (width + depth) + slack) * one,
        "share": (width * depth + slack * width) / 120_000, "times": width * depth / 2300, "edge_gap": 30 * one,
    }  # fmt: skip
    (tmp_path / "c.toml").write_text(CLOSE.format(**limits), encoding="utf-8")
    (tmp_path / "s.csv").write_text(TABLE, encoding="utf-8")
    rows = [f'{zone},"{shapely.box(*box[0]).wkt}",{u95 * one!r}' for zone, box in (("a", a), ("b", b))]
    (tmp_path / "plan.csv").write_text("\n".join(["zone,wkt,u95", *rows]), encoding="utf-8")
    first = tapeplat.check(tmp_path / "c.toml", tmp_path / "plan.csv", structures=tmp_path / "s.csv")
    (tmp_path / "result.json").write_text(text_of(first), encoding="utf-8")
    again = tapeplat.check(tmp_path / "c.toml", tmp_path / "result.json", structures=tmp_path / "s.csv").result
    assert [rule.verdict for rule in again.rules] == [rule.verdict for rule in first.result.rules]
    for before, after in zip(first.result.rules, again.rules, strict=True):
        assert after.chance == pytest.approx(before.chance, abs=1e-5)
    people = settlement_of(read_result(tmp_path)).zones[0].volume
    assert people is not None
    assert 12 * people.value / 1000 == pytest.approx(312, rel=1e-12)
