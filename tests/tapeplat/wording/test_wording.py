from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from measure.challenge import Challenge, read_challenge
from measure.plat.plat import Piece, Plat, Ring, Source
from measure.quantity import Quantity
from measure.rules.evaluation.evaluate import evaluate_all
from tapeplat.wording.notes import GapMark, Notes, OverlapMark, ZoneMark
from tapeplat.wording.wording import notes_of
from tests.helpers.made.drawn_plats import ring

FILE = """
title = "Quarry Lake Village"
unit = "{unit}"
numbers = "{numbers}"
rules = [
  "library covers at most 1/5 of the parcel",
  "library covers at least 1/5 of the parcel",
  "stables are at least 4 cm from library",
  "no zones overlap",
  "there are at least 2 pieces of stables",
  "library covers less than stables",
  "there is a market",
  "market covers at least 1/5 of the parcel",
  "by eye: every street can be walked from end to end",
]
[parcel]
width = {width}
depth = {depth}
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
[[zone]]
name = "market"
swatch = 3
"""


def rectangle(x: float, y: float, width: float, depth: float, u: float = 0.0) -> Ring:
    """With one source that stretches it to the right by u mm."""
    points = np.array([[x, y], [x + width, y], [x + width, y + depth], [x, y + depth]])
    sensitivity = np.zeros((4, 2, 1))
    sensitivity[1:3, 0, 0] = u
    return Ring(points, sensitivity)


@pytest.fixture
def read(tmp_path: Path):
    def reading(unit: str = "cm", numbers: str = "percent", width: float = 30, depth: float = 20) -> Challenge:
        file = tmp_path / "challenge.toml"
        file.write_text(FILE.format(unit=unit, numbers=numbers, width=width, depth=depth))
        return read_challenge(file)

    return reading


def plat_of(challenge: Challenge, *pieces: Piece) -> Plat:
    return Plat(challenge.parcel.width, challenge.parcel.depth, pieces, (Source("edge", "edge"),), "tiles")


def noted(challenge: Challenge, *pieces: Piece, team: str = "") -> Notes:
    measures = challenge.measures(plat_of(challenge, *pieces))
    return notes_of(challenge, measures, evaluate_all(challenge, measures), team)


LIBRARY = Piece("library", rectangle(10, 10, 80, 50, 0.1), Quantity(6.0))
STABLES = Piece("stables", rectangle(110, 10, 100, 50), Quantity(6.0))
BARN = Piece("stables", rectangle(70, 40, 40, 30), Quantity(6.0))


def test_rules_say_what_was_measured_in_the_class_s_unit(read):
    notes = noted(read(), LIBRARY, STABLES, team="3")
    assert notes.title == "Quarry Lake Village, team 3"
    # 80 x 50 mm of 300 x 200 mm is 6.667 %; the one source moves a side of 50 mm by 0.1 mm: u95 = 2 x 5 mm2 = 0.0167 %
    assert notes.rules[0].detail == "The library covers 1/15 of the parcel. It must cover at most 1/5. Sure."
    assert notes.rules[1].verdict == "not met"
    assert notes.rules[2].detail == "The stables are 2 cm from the library. They must be at least 4 cm away. Sure."
    assert notes.rules[4].detail == "The stables have 1 piece. They must have at least 2."
    assert [rule.number for rule in notes.rules] == list(range(1, len(notes.rules) + 1))
    assert notes.rules[7].verdict == "not measured"
    assert "market" in notes.rules[7].detail
    assert [p.area for p in notes.pieces] == ["40 sq cm", "50 sq cm"]


def test_no_overlap_is_said_in_words_and_an_overlap_in_numbers(read):
    market = Piece("market", rectangle(250, 10, 20, 20), Quantity(6.0))
    apart, over = (noted(read(), LIBRARY, stables, market) for stables in (STABLES, BARN))
    assert (apart.rules[3].verdict, apart.rules[3].detail) == ("met", "No zones overlap. Sure.")
    assert over.rules[3].verdict == "not met"
    assert over.rules[3].detail == (
        "The library and the stables overlap by 2 cm. They must not overlap; up to 0.3 cm does not count."
    )


def test_a_class_that_reads_fractions_gets_fractions(read):
    notes = noted(read("in", "quarter", 12, 8), LIBRARY, STABLES)
    assert notes.pieces[0].area == "6 1/4 sq in"  # 4000 / 645.16 = 6.200
    assert notes.scale.text == "2 in"
    assert notes.scale.length == pytest.approx(50.8)


def test_broken_rules_are_marked_where_they_are_broken(read):
    notes = noted(read(), LIBRARY, STABLES)
    (too_small,) = notes.rules[1].marks
    assert too_small == ZoneMark("library", "1/15: too small", None)
    (gap,) = notes.rules[2].marks
    assert isinstance(gap, GapMark)
    assert gap.text == "2 cm"
    assert np.hypot(*np.subtract(*gap.ends)) == pytest.approx(20)


def test_an_overlap_is_the_land_that_both_claim(read):
    notes = noted(read(), LIBRARY, STABLES, BARN)
    rule = notes.rules[3]
    assert rule.verdict == "not met"
    overlaps = [mark for mark in rule.marks if isinstance(mark, OverlapMark)]
    ((outside, *holes),) = overlaps[0].polygons
    assert not holes
    assert sorted(map(tuple, outside.tolist())) == [(70, 40), (70, 60), (90, 40), (90, 60)]


def test_pieces_are_numbered_where_a_zone_has_several(read):
    notes = noted(read(), LIBRARY, STABLES, BARN)
    assert [note.name for note in notes.pieces] == ["library", "stables 1", "stables 2"]


def test_what_is_not_measurable_says_so(read):
    hidden = Piece("stables", ring(np.zeros((0, 2))), Quantity(0.0), status="not measurable")
    assert noted(read(), LIBRARY, hidden).pieces[1].area == "not measurable"
