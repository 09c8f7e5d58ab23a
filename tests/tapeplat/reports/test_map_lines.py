"""Lines on a scale map: in place, told apart in black and white, in the key with their lengths; and on the sheets."""

from __future__ import annotations

from dataclasses import replace

import pytest

from measure.challenge import parse_challenge
from measure.result.line_results import LinePieceResult, LineResult
from measure.result.result_values import Value
from tapeplat.paper.exercises.needed_measures import Needed, needed_measures
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.reports.map_page import map_svg
from tapeplat.reports.report_content import content_of
from tests.helpers.made.results import ordinary

ROAD = LinePieceResult(((2.0, 2.0), (6.0, 2.0), (6.0, 10.0)), Value(12.0, 0.02), Value(0.2))
CABLE = LinePieceResult(((2.0, 2.0), (6.0, 2.0), (6.0, 10.0)), Value(12.0, 0.02), Value(0.1), inferred=((1, 0.0, 0.5),))


def drawing(*lines: LineResult) -> str:
    return map_svg(content_of(replace(ordinary(), lines=lines)), PAPERS["letter"])


def test_every_line_is_in_the_key_with_its_letter_and_length() -> None:
    made = drawing(LineResult("road", (ROAD,), Value(12.0, 0.02)), LineResult("pipe"))
    assert ">road<" in made
    assert ">12 in long<" in made
    assert ">pipe<" in made
    assert ">not seen<" in made
    assert made.count(">A<") == 2  # on the map, and in the key
    assert made.count(">B<") == 1


def test_lines_are_told_apart_without_colour_and_hidden_stretches_are_grey() -> None:
    plain = drawing()
    road, cable = LineResult("road", (ROAD,), Value(12.0)), LineResult("cable", (CABLE,), Value(12.0))
    first, second = drawing(road), drawing(replace(road, name="x", pieces=()), cable)
    strokes = [text.count("<line ") - plain.count("<line ") for text in (first, second)]
    assert strokes[1] > strokes[0] + 10  # the second line's stroke is dashed
    assert "Grey on a line: not seen." in second
    assert "Grey on a line" not in first


def test_letters_of_lines_that_cross_do_not_lie_on_each_other() -> None:
    made = drawing(LineResult("road", (ROAD,), Value(12.0)), LineResult("cable", (CABLE,), Value(12.0)))
    places = [line.split('x="')[1].split('"')[0] + " " + line.split(' y="')[1].split('"')[0]
              for line in made.splitlines() if line.endswith((">A</text>", ">B</text>"))]  # fmt: skip
    assert len(set(places)) == len(places) == 4


@pytest.mark.parametrize(
    ("rule", "needed"),
    [
        ("the road is at most 9 in long", [Needed("length", "road", rules=(1,))]),
        ("the road costs at most 50", [Needed("length", "road", rules=(1,))]),
        ("all lines together cost at most 50", [Needed("length", "road", rules=(1,))]),
        ("the school is within 3 in of the pipe", [Needed("gap", "school", "pipe", (1,))]),
        ("no road crosses the pipe", []),
    ],
)
def test_the_sheet_asks_for_the_lengths_and_gaps_that_rules_need(rule: str, needed: list[Needed]) -> None:
    head = f'title = "Quarry"\nunit = "in"\nrules = ["{rule}"]\n[parcel]\nwidth = 18\ndepth = 14\n'
    lines = '[[line]]\nname = "road"\nswatch = 2\ncost = 5\n[[line]]\nname = "pipe"\ncolour = "blue"\n'
    task = parse_challenge(f'{head}[[zone]]\nname = "school"\nswatch = 1\n{lines}')
    assert list(needed_measures(task)) == needed
