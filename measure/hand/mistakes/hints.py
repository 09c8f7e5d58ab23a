"""A hint for a child to each mistake: the one thing to do, never what comes out.

Mistakes that are each other's opposite share a hint, so that a hint does not say which way the number is off.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from measure.hand.mistakes.mistake_codes import Code

_UNITS = "Look at your ruler: which of its scales did you read, and is it the unit that you wrote?"
_AROUND = "Say in your own words what is asked for: the way around, or the land inside?"
_FACTOR = "Go through your working step by step: is every step needed, and is one missing?"
_SIDES = "Walk around the outline with a finger: is each side in your list, just once?"
_EDGE = "Look closely at the line you measured along: is it the line of the tape that your class goes by?"
_PLACE = "Check the label: is this the zone, the piece and the model that you wrote down?"
_WRITING = "Read your number aloud beside the ruler: do both say the same?"

HINTS: Mapping[Code, str] = {
    "unit-swap": _UNITS,
    "perimeter-for-area": _AROUND,
    "area-for-perimeter": _AROUND,
    "sides-added": "Draw the squares of one row, and of the next: how do you find out how many there are in all rows?",
    "halved": _FACTOR,
    "doubled": _FACTOR,
    "side-missed": _SIDES,
    "extra-side": _SIDES,
    "bounding-box": "Cut your shape into shapes that you have a formula for.",
    "diameter-for-radius": "Draw the round shape: which line does your formula want, and which one did you measure?",
    "inner-edge": _EDGE,
    "outer-edge": _EDGE,
    "ruler-offset": "Look at the start of your ruler: which mark lies on the first corner?",
    "other-zone": _PLACE,
    "other-piece": _PLACE,
    "other-team": _PLACE,
    "digits-swapped": _WRITING,
    "decimal-slip": _WRITING,
    "fraction-as-decimal": _WRITING,
    "whole-squares": "Look at the squares that the outline cuts through: what did you do with them?",
}
"""The hint to each code."""
NO_MISTAKE_FOUND = "Let someone else measure it once more."

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
