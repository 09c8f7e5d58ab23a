"""Rules about lines: the documented table, verdicts of drawn models, chances against draws with shapely's geometry."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from measure.challenge import Challenge, parse_challenge
from measure.importing.plat_file import plat_of_geojson
from measure.plat.plat import LineDoubt, Plat
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.language.rule_reader import read_rule, read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.verdict import Outcome
from tests.helpers.paths import ROOT

ZONES = ("power station", "homes", "school", "hospital", "park")
LINES = {"power line": (), "water pipe": ("pipe",), "road": (), "railway": ()}
NAMES = ZoneNames(dict.fromkeys(ZONES, ()), LINES)
SECTION = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8").split("## Lines:")[1].split("\n## ")[0]
ROWS = [
    [cell.strip().strip("`") for cell in line.strip("|\n ").split(" | ")]
    for line in SECTION.splitlines()
    if line.startswith("| ") and "`" in line
]


@pytest.mark.parametrize(("kind", "sentence", "reads_as"), ROWS, ids=[row[1] for row in ROWS])
def test_a_sentence_of_the_docs_reads_as_the_docs_say_and_back_again(kind: str, sentence: str, reads_as: str) -> None:
    rule, warnings = read_rule(sentence, NAMES, "in")
    assert (rule.kind_name, rule.reads_as(), warnings) == (kind, reads_as, ())
    assert read_rule(reads_as, NAMES, "in") == (rule, ())


@pytest.mark.parametrize(
    ("sentence", "said"),
    [
        ("the road is at most 30 in", "can mean two things; write `road is at most 30 in long` or"),
        ("the road joins the school", "say which zones it joins, two at least"),
        ("the road may cross the railway", "`may` allows it and asks for nothing"),
        ("the rode joins the school and the park", "`rode` is not known here; did you mean `road`?"),
        ("the road is pretty", "`pretty` is not understood"),
        ("the total length of the road and the power line is at most 30 in", "road and power line together is at most"),
        (
            "the road and the power line cost at most 30",
            "write `road and power line together cost at most 30` or `every",
        ),
        ("no road does not cross the railway", "`no` and `not` together"),
        ("the road does not cross the road", "a line cannot be asked to cross itself"),
        (
            "there are at most 2 separate ways from the school to the park by road",
            "how many ways there must be at least",
        ),
        ("the water pipe costs at most 20 in", "a cost is a plain number, such as `150`"),
        ("the road and the railway join the school and the park", "write a rule for each line"),
    ],
)
def test_a_sentence_with_two_meanings_or_none_is_refused(sentence: str, said: str) -> None:
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, NAMES, "in")
    assert said in caught.value.message


def test_what_was_inferred_is_said() -> None:
    rule, warnings = read_rule("there are two separate ways from the school to the park", NAMES, "in")
    assert rule.lines == ("road",)
    assert warnings == ("the ways are those on road; write `by` and another line where that is meant",)
    rule, warnings = read_rule("the power line joins the power station and the homes", NAMES, "in")
    assert warnings == ("one piece of homes is enough; write `every piece of homes` where each is meant",)


def test_without_lines_in_the_challenge_a_sentence_is_read_as_ever() -> None:
    plain = ZoneNames(dict.fromkeys((*ZONES, "road"), ()))
    assert read_rule("every piece of homes is within 3 in of the road", plain, "in")[0].kind_name == "distance"


# ---- verdicts


def challenge(*rules: str) -> Challenge:
    zones = "".join(f'[[zone]]\nname = "{name}"\nswatch = {at}\n' for at, name in enumerate(ZONES, 1))
    prices = {"water pipe": "cost = 5\n", "road": "cost = 2\n"}
    colours = ("black", "blue", "grey", "red")
    lines = "".join(
        f'[[line]]\nname = "{name}"\ncolour = "{colour}"\naliases = {list(aliases)}\n{prices.get(name, "")}'
        for (name, aliases), colour in zip(LINES.items(), colours, strict=True)
    )
    said = ",".join(f'"{rule}"' for rule in rules)
    head = f'title = "Quarry Lake"\nunit = "in"\ntouch_gap = 0.1\nrules = [{said}]\n[parcel]\nwidth = 30\ndepth = 20\n'
    return parse_challenge(head + zones + lines)


def square(zone: str, x: float, y: float, size: float = 3.0, u95: float = 0.0) -> dict[str, Any]:
    ring = [[x, y], [x + size, y], [x + size, y + size], [x, y + size], [x, y]]
    return _feature("Polygon", [ring], {"zone": zone, "u95": u95})


def line(name: str, *points: tuple[float, float], width: float = 0.0, u95: float = 0.0) -> dict[str, Any]:
    return _feature("LineString", [list(point) for point in points], {"line": name, "width": width, "u95": u95})


def _feature(kind: str, coordinates: Any, properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": properties}


TOWN = (
    square("power station", 1, 1), square("school", 10, 1), square("homes", 20, 1), square("homes", 20, 10),
    square("hospital", 10, 10), square("park", 1, 10),
)  # fmt: skip


def plat(*features: dict[str, Any], task: Challenge) -> Plat:
    return plat_of_geojson({"type": "FeatureCollection", "features": [*TOWN, *features]}, task)


def judged(rule: str, *features: dict[str, Any]) -> Outcome:
    task = challenge(rule)
    (outcome,) = evaluate_all(task, task.measures(plat(*features, task=task)))
    return outcome


NET = (line("power line", (4, 2), (10, 2)), line("power line", (7, 2.05), (7, 6), (21, 6), (21, 4)))
"""Two pieces that hang together at (7, 2): the power station, the school and the upper home."""
SHORT, RAILS = (line("power line", (4.3, 2), (10, 2)),), (line("railway", (0, 5.5), (30, 5.5), width=0.5),)
WIDE = (line("road", (0, 8), (9, 8), width=1.2), line("road", (0, 9), (9, 9), width=0.9))
RING = (
    line("road", (13, 2), (16, 2), (16, 11), (13, 11)),
    line("road", (10, 2), (7, 2), (7, 11), (10, 11)),
)
"""Two roads from the school to the hospital."""


@pytest.mark.parametrize(
    ("rule", "features", "verdict", "value"),
    [
        ("the power line joins the power station, the school and the homes", NET, "met", 0.05),
        ("the power line joins the power station and every home", NET, "not met", 4.0),
        ("the power line joins the power station and the hospital", NET, "not met", 4.0),
        ("the power line joins the power station and the school", SHORT, "not met", 0.3),
        # Two pieces apart: each reaches one of them, and no net reaches both.
        (
            "the power line joins the power station and the school",
            (line("power line", (4, 2), (6, 2)), line("power line", (6.5, 2), (10, 2))),
            "not met",
            0.5,
        ),
        # A line of another name carries nothing on.
        (
            "the power line joins the power station and the school",
            (line("power line", (4, 2), (6, 2)), line("road", (6, 2), (10, 2))),
            "not met",
            4.0,
        ),
        # A zone carries nothing on.
        (
            "the power line joins the power station and the homes",
            (line("power line", (4, 2), (10, 2)), line("power line", (13, 2), (20, 2))),
            "not met",
            3.0,
        ),
        ("the power line joins every zone", (), "not measured", None),
        ("every zone except the hospital is reached by the power line", NET, "not met", 5.0),
        ("the school is reached by the power line", NET, "met", 0.0),
        ("the hospital is not reached by the power line", NET, "met", 4.0),
        ("every home is reached by the power line", NET, "not met", 4.0),
        ("at least 1 piece of homes is reached by the power line", NET, "met", 1.0),
        # A wide road passes along the school: its edge is 0.05 in away, its middle 0.55.
        ("the school is reached by the road", (line("road", (5, 4.55), (25, 4.55), width=1.0),), "met", 0.05),
        ("the power line is less than 25 in long", NET, "not met", 6 + 3.95 + 14 + 2),
        ("the power line is at least 25 in long", NET, "met", 25.95),
        ("the road is at least 1 in wide", WIDE, "not met", 0.9),
        ("the water pipe costs at most 50", (line("water pipe", (0, 8), (9, 8)),), "met", 45.0),
        ("the water pipe costs at most 50 at 15 per foot", (line("water pipe", (0, 8), (12, 8)),), "met", 15.0),
        ("all lines together cost at most 50", (line("water pipe", (0, 8), (9, 8)), *WIDE[1:]), "not met", 63.0),
        ("the power line costs at most 50", NET, "not measured", None),
        ("all lines together cost at most 50", (), "not measured", None),
        ("every home is within 3 in of a road", (line("road", (18, 0), (18, 20)),), "met", 2.0),
        ("every home is within 3 in of a road", (line("road", (18, 0), (18, 5)),), "not met", 5.385),
        ("the railway is at least 2 in from the school", RAILS, "not met", 1.25),
        ("there are two separate ways from the school to the hospital", RING, "met", 0.0),
        ("there are two separate ways from the school to the hospital", RING[:1], "not met", None),
        ("there are at least 3 separate ways from the school to the hospital by road", RING, "not met", None),
        # Both ways go over one bridge.
        (
            "there are two separate ways from the school to the hospital by road",
            (
                line("road", (10, 2), (8, 6)),
                line("road", (13, 2), (15, 6), (8, 6)),
                line("road", (8, 6), (8, 8)),
                line("road", (8, 8), (10, 11)),
                line("road", (8, 8), (15, 8), (13, 11)),
            ),
            "not met",
            None,
        ),
        ("there is a road", RING, "met", 2.0),
        ("there is no railway", RING, "met", 0.0),
        ("there is a railway", RING, "not met", 0.0),
    ],
)  # fmt: skip
def test_a_drawn_model_gets_its_verdict(
    rule: str, features: tuple[dict[str, Any], ...], verdict: str, value: float | None
) -> None:
    outcome = judged(rule, *features)
    assert outcome.verdict == verdict, outcome
    if value is not None:
        assert outcome.value == pytest.approx(value, abs=2e-3)
        assert outcome.sentence


@pytest.mark.parametrize(
    ("road", "crosses"),
    [
        (((5, 5), (5, 15)), True),
        (((5, 5), (5, 8)), False),  # it ends on the railway
        (((5, 5), (5, 8.3)), False),  # within the railway's width
        (((5, 5), (5, 8.9)), True),
        (((5, 5), (9, 7.99), (13, 5)), False),  # it only touches it
        (((5, 5), (5, 7.5)), False),
        (((5, 5), (5, 12), (8, 12), (8, 5)), True),  # there and back
        (((0, 8.2), (30, 8.2)), False),  # along it, on it
    ],
)
def test_a_line_crosses_another_where_both_go_on(road: tuple[tuple[float, float], ...], crosses: bool) -> None:
    railway = line("railway", (0, 8), (30, 8), width=1.0)
    assert (judged("no road crosses the railway", line("road", *road), railway).verdict == "not met") == crosses
    assert (judged("the railway crosses the road", line("road", *road), railway).verdict == "met") == crosses
    assert (judged("no lines cross", line("road", *road), railway).verdict == "not met") == crosses


def test_a_line_crosses_a_zone_where_it_enters_it() -> None:
    through, along = line("railway", (0, 11), (9, 11)), line("railway", (0, 10), (9, 10))
    assert judged("the railway does not cross the park", through).verdict == "not met"
    assert judged("the railway does not cross the park", along).verdict == "met"


def test_a_closed_road_gives_two_ways() -> None:
    ring = line("road", (13, 2), (20, 6), (13, 11), (9, 6.5), (13, 2))
    assert judged("there are two separate ways from the school to the hospital", ring).verdict == "met"


def test_where_a_line_could_go_on_in_two_ways_the_rule_waits_only_if_it_matters() -> None:
    task = challenge(
        "the power line joins the power station and the school",
        "the power line joins the power station and the homes",
        "the power line joins the power station and the park",
    )
    # From the station to a shed at (7, 2); behind it one piece goes to the school, and one to the homes.
    pieces = (
        line("power line", (4, 2), (6, 2)),
        line("power line", (8, 2), (10, 2)),
        line("power line", (8, 6), (20, 3)),
    )
    made = plat(*pieces, task=task)
    at = {tuple(np.round(piece.points[0] / 25.4, 3)): number for number, piece in enumerate(made.lines)}
    ends = ((at[4, 2], 1), (at[8, 2], 0), (at[8, 6], 0))
    doubtful = Plat(
        made.width, made.depth, made.pieces, made.sources, made.frame, lines=made.lines,
        line_doubts=(LineDoubt("power line", ends, (((0, 1),), ((0, 2),))),),
    )  # fmt: skip
    verdicts = [outcome.verdict for outcome in evaluate_all(task, task.measures(doubtful))]
    assert verdicts == ["not measured", "not measured", "not met"]
    assert [outcome.verdict for outcome in evaluate_all(task, task.measures(made))] == ["not met"] * 3


@pytest.mark.parametrize(
    ("rule", "as_shown", "with_hidden_end"),
    [
        ("the power line reaches the school", "met", "met"),
        ("the power line reaches the homes", "not met", "not measured"),
        ("the homes are not reached by the power line", "met", "not measured"),
        ("the school is not reached by the power line", "not met", "not met"),
        ("the hospital is within 9 in of the power line", "met", "met"),
        ("the hospital is within 5 in of the power line", "not met", "not measured"),
        ("the hospital is at least 5 in from the power line", "met", "not measured"),
        # The hidden end lies too far away from these: a line goes on for 120 mm at most.
        ("the hospital is within 2 in of the power line", "not met", "not met"),
        ("the hospital is at least 2 in from the power line", "met", "met"),
        ("the park is not reached by the power line", "met", "met"),
        ("the power line joins the power station and the school", "met", "met"),
        ("the power line joins the power station and the homes", "not met", "not measured"),
        ("there are two separate ways from the power station to the school by power line", "not met", "not measured"),
        ("the power line does not cross the road", "met", "not measured"),
        ("the power line crosses the road", "not met", "not measured"),
        ("the power line does not cross the railway", "not met", "not met"),
        ("no lines cross", "not met", "not met"),
        ("the power line is at most 12 in long", "met", "not measured"),
        ("the power line is at least 9 in long", "met", "met"),
        ("the power line is at least 12 in long", "not met", "not measured"),
        ("the power line is at most 9 in long", "not met", "not met"),
        ("the power line costs at most 12 at 1 per inch", "met", "not measured"),
        ("there is a power line", "met", "met"),
        ("there is exactly 1 piece of power line", "not met", "not met"),
    ],
)
def test_where_an_end_is_hidden_a_verdict_waits_that_hangs_on_how_the_line_goes_on(
    rule: str, as_shown: str, with_hidden_end: str
) -> None:
    task = challenge(rule)
    drawn = (
        line("power line", (4, 2), (10, 2)), line("power line", (13, 2), (17, 2)), line("road", (18, 0), (18, 20)),
        line("railway", (5, 0), (5, 9)),
    )  # fmt: skip
    shown = plat(*drawn, task=task)
    pieces = tuple(
        replace(p, ends=("free", "hidden")) if np.allclose(p.points[-1], (17 * 25.4, 2 * 25.4)) else p
        for p in shown.lines
    )
    hidden = Plat(shown.width, shown.depth, shown.pieces, shown.sources, shown.frame, lines=pieces)
    for made, verdict in ((shown, as_shown), (hidden, with_hidden_end)):
        (outcome,) = evaluate_all(task, task.measures(made))
        assert outcome.verdict == verdict, outcome
        assert outcome.verdict != "not measured" or "hidden" in outcome.note


def test_pieces_with_hidden_ends_may_be_one() -> None:
    task = challenge("there is exactly 1 piece of road", "there are at most 2 pieces of road", "there is a road")
    drawn = plat(line("road", (5, 5), (8, 5)), line("road", (9, 5), (12, 5)), task=task)
    pieces = tuple(replace(p, ends=("hidden", "hidden")) for p in drawn.lines)
    hidden = Plat(drawn.width, drawn.depth, drawn.pieces, drawn.sources, drawn.frame, lines=pieces)
    for made, first in ((drawn, "not met"), (hidden, "not measured")):
        assert [o.verdict for o in evaluate_all(task, task.measures(made))] == [first, "met", "met"]


def test_a_line_of_which_nothing_is_known_is_not_measured() -> None:
    task = challenge("there is a road", "the road is at most 9 in long", "there is a railway")
    made = plat(task=task)
    unread = Plat(made.width, made.depth, made.pieces, made.sources, made.frame, unread_lines=("road",))
    outcomes = evaluate_all(task, task.measures(unread))
    assert [outcome.verdict for outcome in outcomes] == ["not measured", "not measured", "not met"]
    assert outcomes[0].note == "it cannot be told where road runs"


# ---- chances, against draws of every coordinate with shapely's own geometry

DRAWS = 600
U95 = 0.03


def sure_lines(*pieces: tuple[str, list[tuple[float, float]]]) -> tuple[dict[str, Any], ...]:
    return tuple(line(name, *points, u95=U95) for name, points in pieces)


NEAR_GAPS = {
    # One gap of 0.095 in, and one of 0.11 beside it on another way; touch_gap is 0.1.
    "the power line joins the power station and the school": sure_lines(
        ("power line", [(4, 2), (6, 2)]),
        ("power line", [(6.095, 2), (10, 2)]),
        ("power line", [(6, 2.11), (6.5, 4), (10, 3)]),
    ),
    # Two gaps, one after the other.
    "the power line joins the school and the hospital": sure_lines(
        ("power line", [(11, 4.08), (11, 7)]), ("power line", [(11, 7.08), (11, 10)])
    ),
    "the school is reached by the road": sure_lines(("road", [(5, 4.11), (25, 4.11)])),
    "every home is reached by the road": sure_lines(("road", [(19.9, 0), (19.92, 20)])),
    "no road crosses the railway": sure_lines(
        ("railway", [(0, 8), (30, 8)]), ("road", [(5, 5), (5, 8.08)]), ("road", [(9, 5), (9, 8.12)])
    ),
    "there are two separate ways from the school to the hospital": sure_lines(
        ("road", [(13.09, 2), (16, 2), (16, 11), (13, 11)]), ("road", [(9.93, 2), (7, 2), (7, 11), (9.91, 11)])
    ),
    "the water pipe is at most 9 in long": sure_lines(("water pipe", [(2, 8), (6, 8), (6, 13.02)])),
}


@pytest.mark.parametrize("rule", NEAR_GAPS)
def test_a_chance_is_that_of_draws(rule: str) -> None:
    task = challenge(rule)
    zones = [square(f["properties"]["zone"], *f["geometry"]["coordinates"][0][0], u95=U95) for f in TOWN]
    made = plat_of_geojson({"type": "FeatureCollection", "features": [*zones, *NEAR_GAPS[rule]]}, task)
    (outcome,) = evaluate_all(task, task.measures(made))
    held = np.mean([_holds(rule, drawn) for drawn in _draws(made, np.random.default_rng(5))])
    assert 0.02 < held < 0.98
    assert outcome.chance == pytest.approx(held, abs=4.0 * np.sqrt(0.25 / DRAWS) + 0.01)


def _draws(made: Plat, rng: np.random.Generator) -> Any:
    """Zones' polygons by name and lines by name, in inches, every coordinate drawn anew."""
    for _ in range(DRAWS):
        z = rng.standard_normal(len(made.sources))
        zones = [(p.zone, shapely.Polygon((p.ring.points + _moved(p.ring.sensitivity, z)) / 25.4)) for p in made.pieces]
        lines = [(p.line, shapely.LineString((p.points + _moved(p.sensitivity, z)) / 25.4)) for p in made.lines]
        yield zones, lines


def _moved(moves: np.ndarray, z: np.ndarray) -> np.ndarray:
    return np.asarray(moves @ z[: moves.shape[-1]])


def _holds(rule: str, drawn: tuple[list[tuple[str, Any]], list[tuple[str, Any]]]) -> bool:
    zones, lines = drawn
    if "crosses" in rule:
        (rail,) = (shape for name, shape in lines if name == "railway")
        return not any(_beyond(road, rail) > 0.1 for name, road in lines if name == "road")
    if "ways" in rule:  # two roads: both must reach both
        return all(shape.distance(_of(zones, zone)) <= 0.1 for _, shape in lines for zone in ("school", "hospital"))
    if "long" in rule:
        return bool(lines[0][1].length <= 9)
    if "reached" in rule:
        asked = [shape for name, shape in zones if name in ("school" if "school" in rule else "homes")]
        return all(min(piece.distance(shape) for _, piece in lines) <= 0.1 for shape in asked)
    nets = _nets([shape for _, shape in lines])
    wanted = [name for name in ZONES if name in rule]
    return any(all(min(p.distance(_of(zones, zone)) for p in net) <= 0.1 for zone in wanted) for net in nets)


def _of(zones: list[tuple[str, Any]], name: str) -> Any:
    return next(shape for zone, shape in zones if zone == name)


def _nets(pieces: list[Any]) -> list[list[Any]]:
    """Pieces that hang together, by growing groups until none grows."""
    groups = [[piece] for piece in pieces]
    for one, other in itertools.combinations(range(len(pieces)), 2):
        if pieces[one].distance(pieces[other]) <= 0.1:
            mine, theirs = (next(g for g in groups if pieces[at] in g) for at in (one, other))
            if mine is not theirs:
                groups.remove(theirs)
                mine += theirs
    return groups


def _beyond(road: Any, rail: Any) -> float:
    """How far below the railway a road ends that comes from above."""
    return float(shapely.get_coordinates(road)[-1, 1] - shapely.get_coordinates(rail)[:, 1].mean())


# ---- sheets


@pytest.mark.parametrize(
    ("rule", "question", "answer"),
    [
        ("the road joins the school and the park", "Which zones must the road join", "the school and the park"),
        ("every zone except the park is reached by the pipe", "How many zones must the water pipe reach?", "4"),
        ("the road is at most 9 in long", "The road must be at most 9 in long. Half of", "at most 4 1/2 in"),
        ("the road costs at most 30", "The road must cost at most 30, and 1 in costs 2. How long", "at most 15 in"),
        ("the road costs at most 30 at 4 per foot", "1 ft costs 4. How long", "at most 7 1/2 ft"),
        ("the road is at least 3/4 in wide", "The road must be at least 3/4 in wide. Two pieces", "at least 1 1/2 in"),
        ("the school is within 3 in of the road", "at most 3 in. A plan is drawn at half", "at most 1 1/2 in"),
        ("the school is between 2 in and 5 in from the road", "5 in. A plan", "between 1 in and 2 1/2 in"),
        ("there are at least 3 pieces of road", "at least 3 pieces of the road. One is laid. How many more", "2"),
        ("there is no railway", "How many pieces of the railway may there be?", "none"),
        ("there is a road", "How many pieces of the road must there be?", "at least 1"),
        ("no lines cross", "No two of our 4 lines may cross. How many pairs", "6"),
        ("the road does not cross the railway", "What must the road not cross?", "the railway"),
        ("the road does not cross the park", "What must the road not cross?", "the park"),
    ],
)  # fmt: skip
def test_a_rule_makes_a_question_with_its_answer(rule: str, question: str, answer: str) -> None:
    task = challenge(rule)
    asked = task.rules[0].rule.kind.question(task.rules[0].rule, task)
    assert asked is not None
    assert question in asked.text
    assert asked.answer == answer


def test_no_layout_of_zones_decides_a_rule_about_lines() -> None:
    task = challenge(*(row[1] for row in ROWS))
    assert {line.rule.kind.demands(line.rule, task) for line in task.rules} == {None}
