"""Lines in files: GeoJSON's LineStrings as pieces of a plat, and lines in result.json, written and read again."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from measure.challenge import Challenge, Line, Parcel, Zone
from measure.errors import InputMistakes
from measure.importing.plat_file import plat_of_geojson, plat_of_result, read_plat
from measure.plat.plat import Plat
from measure.repair.line_edits import AddLine, ReshapeLine
from measure.repair.pointing import PictureExtent
from measure.repair.repair import repaired
from measure.result.result import parse_result, result_text
from measure.result.result_making import result_of
from measure.rules.evaluation.evaluate import evaluate_all

MM = 25.4
CHALLENGE = Challenge(
    title="Harbour Mill",
    unit="in",
    parcel=Parcel(18 * MM, 14 * MM),
    zones=(Zone("school", 1), Zone("market", 2)),
    rules=(),
    lines=(Line("road", swatch=3, aliases=("street",), cost=5.0), Line("pipe", colour="blue")),
)
SCHOOL, MARKET = [[1, 1], [4, 1], [4, 4], [1, 4], [1, 1]], [[10, 1], [14, 1], [14, 4], [10, 4], [10, 1]]


def feature(kind: str, coordinates: object, **properties: object) -> dict[str, Any]:
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": properties}


def collection(*features: dict[str, Any]) -> dict[str, Any]:
    zones = (feature("Polygon", [SCHOOL], zone="school"), feature("Polygon", [MARKET], zone="market"))
    return {"type": "FeatureCollection", "features": [*zones, *features]}


def road(*points: list[float], **properties: object) -> dict[str, Any]:
    return feature("LineString", list(points), **{"line": "road", **properties})


def result_text_of(plat: Plat, challenge: Challenge = CHALLENGE) -> str:
    measures = challenge.measures(plat)
    return result_text(result_of(challenge, measures, evaluate_all(challenge, measures), lambda notice: notice.code))


def test_a_linestring_is_a_piece_of_a_line_with_its_length_and_uncertainty() -> None:
    plat = plat_of_geojson(collection(road([4, 2], [8, 2], [8, 5], u95=0.1, width=0.5)), CHALLENGE)
    (piece,) = plat.lines
    assert piece.length.value == pytest.approx(7 * MM)
    # The two ends and both ways of the middle point: 2 free ends and a right-angled corner, each 0.05 in.
    assert piece.length.u == pytest.approx(0.05 * MM * 2)
    assert piece.width.value == pytest.approx(0.5 * MM)


def test_an_alias_names_a_line_and_the_pieces_stand_in_the_challenges_order() -> None:
    pipe = feature("MultiLineString", [[[5, 9], [9, 9]], [[5, 7], [9, 7]]], line="pipe")
    plat = plat_of_geojson(collection(pipe, road([4, 2], [8, 2], line="Street")), CHALLENGE)
    assert [(piece.line, round(piece.points[0, 1] / MM)) for piece in plat.lines] == [
        ("road", 2),
        ("pipe", 7),
        ("pipe", 9),
    ]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (road([4, 2], [8, 2], line="rode"), "feature 3: rode is no line of this challenge; did you mean road?"),
        (road([4, 2], [8, 2], line=None), "feature 3: it names no line; the lines are road, pipe"),
        (road([4, 2]), "feature 3, line road: a line has fewer than two different points; mend that line in the file"),
        (
            road([4, 2], ["x", 2]),
            "feature 3, line road: a line has something else than pairs of numbers in it; mend that line in the file",
        ),
        (
            road([4, 2], [8, 2], width=-1),
            "feature 3: its width is -1; give a length in in, 0 or more",
        ),
    ],
)
def test_what_is_wrong_with_a_line_is_said(given: dict[str, Any], said: str) -> None:
    with pytest.raises(InputMistakes) as caught:
        plat_of_geojson(collection(given), CHALLENGE)
    assert [str(mistake) for mistake in caught.value.mistakes] == [said]


def test_a_result_has_lines_with_what_their_ends_reach() -> None:
    lines = (road([4, 2], [9.9, 2], u95=0.02), road([8, 2], [8, 6], [9, 6], u95=0.02))
    said = json.loads(result_text_of(plat_of_geojson(collection(*lines), CHALLENGE)))
    streets, pipes = said["lines"]
    first, second = streets["pieces"]
    assert first["centreline"] == [[4, 2], [9.9, 2]]
    assert [(end["at"], end["reaches"]) for end in first["ends"]] == [([4, 2], ["school"]), ([9.9, 2], ["market"])]
    assert first["reaches"] == ["school", "market"]
    assert [end["reaches"] for end in second["ends"]] == [[], []]
    assert (first["length"]["value"], second["length"]["value"]) == pytest.approx((5.9, 5))
    assert streets["length"]["value"] == pytest.approx(10.9)
    assert streets["cost"]["value"] == said["cost"]["value"] == pytest.approx(54.5)
    assert pipes == {"name": "pipe", "pieces": [], "length": None}


def test_an_end_of_which_it_cannot_be_told_what_it_reaches_says_so() -> None:
    at_the_gap = 4 + 3.0 / MM  # touch_gap is 3 mm
    said = json.loads(result_text_of(plat_of_geojson(collection(road([at_the_gap, 2], [7, 2], u95=0.02)), CHALLENGE)))
    (end, _) = said["lines"][0]["pieces"][0]["ends"]
    assert (end["reaches"], end["may_reach"]) == ([], ["school"])


def test_lines_come_back_from_a_result_as_certain_as_they_were(tmp_path: Path) -> None:
    ring = road([5, 5], [9, 5], [9, 9], [5, 5], u95=0.04)
    plat = plat_of_geojson(collection(road([4, 2], [8, 2.5], [9.9, 2], u95=0.1, width=0.5), ring), CHALLENGE)
    text = result_text_of(plat)
    (tmp_path / "result.json").write_text(text, encoding="utf-8")
    again = read_plat(tmp_path / "result.json", CHALLENGE)
    assert [piece.closed for piece in again.lines] == [False, True]
    for before, after in zip(plat.lines, again.lines, strict=True):
        assert np.allclose(before.points, after.points)
        assert (before.length.value, before.length.u) == pytest.approx((after.length.value, after.length.u))
        assert before.width.value == pytest.approx(after.width.value)
        assert before.ends == after.ends
    first, second = (json.loads(said)["lines"][0]["pieces"] for said in (text, result_text_of(again)))
    assert [piece["ends"] for piece in first] == [piece["ends"] for piece in second]


def test_a_line_of_which_nothing_is_found_is_named_and_one_of_which_nothing_is_known_is_not() -> None:
    plat = plat_of_geojson(collection(road([4, 2], [8, 2])), CHALLENGE)
    assert [n["subject"] for n in json.loads(result_text_of(plat))["notices"] if n["code"] == "no-line"] == [
        {"zone": "pipe"}
    ]
    assert "no-line" not in result_text_of(replace(plat, unread_lines=("pipe",)))


def test_a_repaired_line_says_what_was_done_and_comes_back_the_same() -> None:
    before = plat_of_geojson(collection(road([4, 2], [8, 2]), road([8.5, 2], [10, 2])), CHALLENGE)
    shown = PictureExtent(0.2, 0.0, 0.0, 18 * MM, 14 * MM)
    edits = (ReshapeLine("road", 1, joined=(2,)), AddLine("pipe", ((30.0, 200.0), (90.0, 250.0)), width=4.0))
    text = result_text_of(repaired(before, edits, ("school", "market"), shown, "in", ("road", "pipe")))
    said = json.loads(text)
    (joined,), (drawn,) = (line["pieces"] for line in said["lines"])
    was = [[[4.0, 2.0], [8.0, 2.0]], [[8.5, 2.0], [10.0, 2.0]]]
    assert joined["repaired"] == {
        "by": "hand", "changes": ["joined"], "points": [], "was": {"line": "road", "centrelines": was},
    }  # fmt: skip
    assert drawn["repaired"] == {"by": "hand", "changes": ["drawn"], "points": [1, 2]}
    assert said["warnings"][-2:] == ["line-joined-by-hand", "drawn-by-hand"]
    again = json.loads(result_text_of(plat_of_result(parse_result(text), CHALLENGE)))
    repairs = [[piece["repaired"] for line in of["lines"] for piece in line["pieces"]] for of in (said, again)]
    assert repairs[0] == repairs[1]
    assert again["warnings"] == said["warnings"]
    assert parse_result(text).has_repaired_pieces


def test_without_the_uncertainty_a_length_is_as_certain_as_it_says() -> None:
    said = json.loads(result_text_of(plat_of_geojson(collection(road([4, 2], [9, 2], u95=0.1)), CHALLENGE)))
    u95 = said["lines"][0]["length"]["u95"]
    del said["uncertainty"]
    result = parse_result(json.dumps(said))
    (piece,) = plat_of_result(result, CHALLENGE).lines
    assert piece.length.u95 / MM == pytest.approx(u95)


def test_a_challenge_without_lines_writes_none() -> None:
    plain = Challenge(CHALLENGE.title, CHALLENGE.unit, CHALLENGE.parcel, CHALLENGE.zones, ())
    assert not {"lines", "cost"} & json.loads(result_text_of(plat_of_geojson(collection(), plain), plain)).keys()
