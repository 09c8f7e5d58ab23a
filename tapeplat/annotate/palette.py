"""The colours of the annotated picture, as (blue, green, red), the order that OpenCV draws in.

No meaning hangs on colour alone: every verdict also has a word and a symbol of its own shape.  The verdicts' colours
still differ in lightness, so that they stay apart in a grey print and for colour-blind eyes.
"""

from __future__ import annotations

from typing import NamedTuple

from measure.rules.verdict import Verdict


class Colour(NamedTuple):
    """Blue, green and red, 0 to 255."""

    blue: int
    green: int
    red: int


INK = Colour(58, 22, 8)
"""Outlines and nothing else: a near-black blue, so that a program can find the outlines in the picture again."""
LINE = Colour(92, 24, 88)
"""Pipes, cables, roads and rails; they have discs at their ends, too."""
PAPER = Colour(255, 255, 255)
TEXT = Colour(24, 20, 18)
FAINT = Colour(104, 98, 94)

VERDICT_COLOURS: dict[Verdict, Colour] = {
    "met": Colour(104, 112, 0),
    "not met": Colour(10, 34, 158),
    "too close to call": Colour(32, 176, 240),
    "not measured": Colour(128, 124, 120),
    "by eye": Colour(150, 70, 96),
}
