"""The result file as written, read by its published form, and checked again."""

import json
from pathlib import Path

import jsonschema
import pytest

import measure
from measure.result import parse_result
from tapeplat.checking import check_plat

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


@pytest.fixture
def written(tmp_path: Path) -> str:
    (tmp_path / "challenge.toml").write_text(CHALLENGE, encoding="utf-8")
    (tmp_path / "plan.csv").write_text(PLAN, encoding="utf-8")
    return check_plat(tmp_path / "challenge.toml", tmp_path / "plan.csv", team="Otters").result


def test_it_has_the_published_form(written: str) -> None:
    schema = json.loads((Path(measure.__file__).parent / "result.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(written))


def test_nothing_in_it_is_unknown_to_the_reader(written: str) -> None:
    """Every key that is written is one that measure.result knows."""
    content, read = json.loads(written), parse_result(written)
    assert set(content) <= set(read.__dataclass_fields__)
    for key, part in (("zones", read.zones), ("rules", read.rules), ("distances", read.distances)):
        assert all(set(entry) <= set(part[0].__dataclass_fields__) for entry in content[key])
    pieces = [piece for zone in content["zones"] for piece in zone["pieces"]]
    assert all(set(piece) <= set(read.zones[0].pieces[0].__dataclass_fields__) for piece in pieces)
    assert read.zones[2].area is None


def test_checked_again_it_says_the_same(tmp_path: Path, written: str) -> None:
    (tmp_path / "result.json").write_text(written, encoding="utf-8")
    again = check_plat(tmp_path / "challenge.toml", tmp_path / "result.json", team="Otters").result
    before, after = json.loads(written), json.loads(again)
    assert [rule["verdict"] for rule in after["rules"]] == [rule["verdict"] for rule in before["rules"]]
    for old, new in zip(before["rules"], after["rules"], strict=True):
        for key in ("value", "u95", "chance"):
            assert new[key] == pytest.approx(old[key], rel=1e-4) if old[key] is not None else new[key] is None
    assert after["zones"] == before["zones"]
    assert after["uncertainty"]["pieces"] == before["uncertainty"]["pieces"]
