"""A hint for a child to each mistake: where to look again, never what comes out.

Mistakes that are each other's opposite share a hint, so that a hint does not say which way the number is off.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from measure.hand.mistakes.mistake_codes import Code

_UNITS = "Look at your ruler: it may have two scales. Which one did you read, and which unit did you write?"
_AROUND = "Is it the way around or the land inside that is asked for? Say the difference in your own words."
_FACTOR = "Go through your working step by step. Is every step needed, and is one missing?"
_SIDES = "Walk around the outline with a finger and touch every side once. Is each side in your list, just once?"
_EDGE = "Look closely at the line you measured along. Which line of the tape does your class go by?"
_PLACE = "Check the label: is this the zone, the piece and the model that the row is about?"
_WRITING = "Read your number aloud and look at the ruler again. Does the paper say what the ruler says?"

HINTS: Mapping[Code, str] = {
    "unit-swap": _UNITS,
    "perimeter-for-area": _AROUND,
    "area-for-perimeter": _AROUND,
    "sides-added": "Draw the squares of one row. How many rows are there? What do you do with those two numbers?",
    "halved": _FACTOR,
    "doubled": _FACTOR,
    "side-missed": _SIDES,
    "extra-side": _SIDES,
    "bounding-box": "Does your shape fill all the space that your formula is for? Cut it into shapes you know.",
    "diameter-for-radius": "Draw the round shape and show which line your formula wants. Which one did you measure?",
    "inner-edge": _EDGE,
    "outer-edge": _EDGE,
    "ruler-offset": "Look at the start of your ruler. Which mark lies on the first corner?",
    "other-zone": _PLACE,
    "other-piece": _PLACE,
    "other-team": _PLACE,
    "digits-swapped": _WRITING,
    "decimal-slip": _WRITING,
    "fraction-as-decimal": _WRITING,
    "whole-squares": "What did you do with the squares that the outline cuts through?",
}
"""The hint to each code."""
NO_MISTAKE_FOUND = "Measure it once more, and let someone else read the ruler."

MEANINGS: Mapping[Code, str] = {
    "unit-swap": "the number of another unit",
    "perimeter-for-area": "the perimeter in place of the area",
    "area-for-perimeter": "the area in place of the perimeter",
    "halved": "half of it",
    "doubled": "twice as much",
    "sides-added": "length and width added, not multiplied",
    "side-missed": "a side left out",
    "extra-side": "a side counted twice",
    "bounding-box": "the box around the shape",
    "diameter-for-radius": "the diameter taken for the radius",
    "inner-edge": "measured along the tape's inner edge",
    "outer-edge": "measured along the tape's outer edge",
    "ruler-offset": "the ruler not laid at its zero mark",
    "other-zone": "another zone",
    "other-piece": "another piece of the zone",
    "other-team": "another team's model",
    "digits-swapped": "two digits swapped",
    "decimal-slip": "the decimal point slipped",
    "fraction-as-decimal": "a fraction written as a decimal",
    "whole-squares": "only whole squares counted",
}
"""What each code means, for the teacher."""


def hints_for(likely: Sequence[Sequence[Code]]) -> tuple[str, ...]:
    """The hints for the mistakes in the first place, at most two; a general one where none is known."""
    first = likely[0] if likely else ()
    return tuple(dict.fromkeys(HINTS[code] for code in first))[:2] or (NO_MISTAKE_FOUND,)
