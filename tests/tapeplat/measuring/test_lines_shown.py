"""What photos show of lines becomes pieces of the plat; the challenge's lines are what is looked for."""

from __future__ import annotations

from typing import get_args

import numpy as np

from measure.challenge import parse_challenge
from measure.challenge.challenge_model import LineColour
from tapeplat.measuring.lines_shown import line_doubts, line_pieces, lines_of, unread_lines
from vision.colour.colour_words import COLOUR_WORDS
from vision.picture.traced_lines import LineSpec, TracedLine, TracedLines, TwoWays

TASK = parse_challenge(
    'title = "Quarry Lake"\nunit = "cm"\n[parcel]\nwidth = 40\ndepth = 30\n[[zone]]\nname = "school"\nswatch = 1\n'
    '[[line]]\nname = "road"\nswatch = 2\nmade_of = ["drawn stroke"]\n'
    '[[line]]\nname = "cable"\ncolour = "gray"\nheight = 0.4\n'
)


def test_every_line_is_looked_for_as_it_is_declared() -> None:
    assert lines_of(TASK) == (
        LineSpec("road", swatch=2, made_of=("drawn stroke",)),
        LineSpec("cable", colour="grey", height=4.0),
    )


def test_every_colour_word_of_a_challenge_is_one_that_photos_are_searched_for() -> None:
    assert set(get_args(LineColour)) - {"gray"} == set(COLOUR_WORDS)


def test_pieces_doubts_and_unread_lines_reach_the_plat() -> None:
    piece = TracedLine(
        "road", np.array([[1.0, 2.0], [3.0, 2.0]]), np.ones((2, 2, 3)), 2.02, np.array([0.1, 0.0, 0.2]),
        4.0, np.array([0.0, 0.3, 0.0]), ((0, 0.25, 0.5),), 0.25, ("free", "hidden"),
    )  # fmt: skip
    doubt = TwoWays("road", ((0, 1), (1, 0)), (((0, 1),), ()))
    traced = TracedLines((piece,), two_ways=(doubt,), unread=("cable",), too_thin=("cable", "pipe"))
    (made,) = line_pieces(traced)
    assert (made.line, made.length.value, made.width.value, made.bridged) == ("road", 2.02, 4.0, 0.25)
    assert (made.length.sensitivity.tolist(), made.width.sensitivity.tolist()) == ([0.1, 0.0, 0.2], [0.0, 0.3, 0.0])
    assert (made.inferred, made.ends, made.closed) == (((0, 0.25, 0.5),), ("free", "hidden"), False)
    (made_doubt,) = line_doubts(traced)
    assert (made_doubt.line, made_doubt.ends, made_doubt.ways) == ("road", doubt.ends, doubt.ways)
    assert unread_lines(traced) == ("cable", "pipe")
