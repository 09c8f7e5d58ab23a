"""What callers give as a file: its text, its path, or what can be neither."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import tapeplat
from measure.errors import InputMistakes

CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
rules = ["library covers at least 2 sq in"]
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
"""
PLAN = 'zone,wkt\nlibrary,"POLYGON ((1 1, 7 1, 7 5, 1 5, 1 1))"\n'


@pytest.mark.parametrize("compact", [False, True], ids=["as written", "on one line"])
def test_the_text_of_a_result_is_read_as_a_result(compact: bool) -> None:
    text = tapeplat.check(CHALLENGE, PLAN).files["result.json"].decode("utf-8")
    given = json.dumps(json.loads(text)) if compact else text
    assert tapeplat.check(CHALLENGE, given).zone("library").area == tapeplat.check(CHALLENGE, PLAN).zone("library").area


def test_the_text_of_a_result_with_a_picture_is_read_without_one() -> None:
    content = json.loads(tapeplat.check(CHALLENGE, PLAN).files["result.json"])
    content["corrected"] = {"file": "corrected.jpg", "mm_per_px": 0.2, "origin_mm": [-12.0, -12.0]}
    again = tapeplat.check(CHALLENGE, json.dumps(content))
    assert again.picture is None
    assert again.result.corrected is not None


def test_a_file_whose_name_starts_as_json_does_is_that_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("[3] plan.csv").write_text(PLAN, encoding="utf-8")
    assert tapeplat.check(CHALLENGE, "[3] plan.csv").rules[0].verdict == "met"


GIVEN: dict[str, Callable[[str], object]] = {
    "challenge": tapeplat.read_challenge,
    "plat": lambda text: tapeplat.check(CHALLENGE, text),
    "structures": lambda text: tapeplat.check(CHALLENGE, PLAN, structures=text),
    "result": lambda text: tapeplat.compare_hand(text, "zone,quantity,value\nlibrary,area,24\n"),
    "photo 1": lambda text: tapeplat.measure(CHALLENGE, text),
}


@pytest.mark.parametrize("what", GIVEN)
@pytest.mark.parametrize(
    ("text", "said"), [("x" * 5000, "too long"), ("a\0b", "cannot be a file's name"), ("", "no {} given")]
)
def test_what_can_be_no_path_is_a_short_mistake(what: str, text: str, said: str) -> None:
    with pytest.raises(InputMistakes) as caught:
        GIVEN[what](text)
    assert said.format(what) in str(caught.value)
    assert len(str(caught.value)) < 200
