"""Lines on the annotated picture and on the drawing: their course, what was inferred, their words, a rule's mark."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from measure.plat.plat import Plat
from measure.quantity import FloatArray
from tapeplat.annotate.palette import LINE, VERDICT_COLOURS
from tapeplat.annotate.picture import annotated
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.wording.notes import LineMark, LineNote, Notes, RuleNote
from tests.helpers.reading_back import SVG

COURSE = np.array([[135.0, 115.0], [180.0, 118.0], [250.0, 130.0]])


@pytest.fixture
def drawn(notes: Notes) -> Notes:
    return replace(notes, rules=(), lines=(LineNote("road", COURSE, ((1, 0.0, 1.0),), "road, 4 5/8 in"),))


def share(image: np.ndarray, points: FloatArray, colour: tuple[int, ...], reach: int = 2) -> float:
    """How much of a course (px) has this colour within so many px."""
    at = np.concatenate([np.linspace(a, b, 200) for a, b in pairwise(points)]).round().astype(int)
    rows = [slice(y - reach, y + reach + 1) for y in at[:, 1]]
    columns = [slice(x - reach, x + reach + 1) for x in at[:, 0]]
    near = [image[place].reshape(-1, 3).astype(int) for place in zip(rows, columns, strict=True)]
    return float(np.mean([(np.abs(patch - colour).sum(axis=1) < 60).any() for patch in near]))


def test_a_line_is_drawn_whole_where_it_is_seen_and_dashed_where_it_was_inferred(
    picture: Any, plat: Plat, drawn: Notes
) -> None:
    bare = annotated(picture, plat, replace(drawn, lines=()))
    image = annotated(picture, plat, drawn)
    px = picture.to_px(COURSE)
    assert share(bare, px, LINE) < 0.05
    assert share(image, px[:2], LINE) > 0.8  # its words may lie on the rest
    assert 0.2 < share(image, px[1:], LINE, reach=0) < 0.85


def test_a_line_that_breaks_a_rule_has_a_band_along_it(picture: Any, plat: Plat, drawn: Notes) -> None:
    rule = RuleNote(1, "the road is at most 3 in long", "not met", marks=(LineMark(COURSE, "4 5/8 in"),))
    px = picture.to_px(COURSE)
    off = px + np.array([0.0, 7.0])
    without, with_band = (annotated(picture, plat, replace(drawn, rules=rules)) for rules in ((), (rule,)))
    assert share(with_band, off, VERDICT_COLOURS["not met"]) > share(without, off, VERDICT_COLOURS["not met"]) + 0.3


def test_the_drawing_has_every_piece_of_a_line_with_its_words(plat: Plat, drawn: Notes) -> None:
    lines = (
        *drawn.lines,
        LineNote("road", COURSE + 5, (), "road, 4 in"),
        LineNote("pipe", COURSE - 5, (), "pipe, 4 in"),
    )
    root = ET.fromstring(plat_svg(plat, drawn.pieces, "x", lines))
    paths = [path for path in root.iter(f"{SVG}path") if path.get("class") == "line"]
    assert [(p.get("data-line"), p.get("data-piece")) for p in paths] == [("road", "1"), ("road", "2"), ("pipe", "1")]
    assert paths[0].get("d") == "M135.0000,115.0000 180.0000,118.0000 250.0000,130.0000"
    assert {"road, 4 5/8 in", "pipe, 4 in"} <= {text.text for text in root.iter(f"{SVG}text")}
    assert (
        sum(path.get("class") == "inferred" for path in root.iter(f"{SVG}path")) == 2
    )  # the library's, and the road's
