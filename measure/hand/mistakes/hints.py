"""A hint for a child of nine to each mistake: the one thing to do, never what comes out.

Mistakes that are each other's opposite share a hint, so that a hint does not say which way the number is off.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from measure.hand.mistakes.mistake_codes import Code

_UNITS = "Look at your ruler. Which of its sides did you read? Is that the unit you wrote?"
_AROUND = "What is asked for: the way around, or the land inside?"
_FACTOR = "Do your steps once more. Is one too many? Is one missing?"
_SIDES = "Go around the shape with a finger. Is each side in your list just once?"
_EDGE = "Look at the tape. Which line of it does your class measure along?"
_PLACE = "Check the name. Is this the right place, on the right model?"
_WRITING = "Read your ruler again, and then your number. Do both say the same?"

HINTS: Mapping[Code, str] = {
    "unit-swap": _UNITS,
    "perimeter-for-area": _AROUND,
    "area-for-perimeter": _AROUND,
    "sides-added": "Draw one row of squares. How many rows fit in? How many squares are that?",
    "halved": _FACTOR,
    "doubled": _FACTOR,
    "side-missed": _SIDES,
    "extra-side": _SIDES,
    "bounding-box": "Cut your shape into shapes that you know.",
    "diameter-for-radius": "Draw the round shape. Which line do you need? Which one did you measure?",
    "inner-edge": _EDGE,
    "outer-edge": _EDGE,
    "ruler-offset": "Look at the start of your ruler. Which mark is at the first corner?",
    "other-zone": _PLACE,
    "other-piece": _PLACE,
    "other-team": _PLACE,
    "digits-swapped": _WRITING,
    "decimal-slip": _WRITING,
    "fraction-as-decimal": _WRITING,
    "whole-squares": "Look at the squares that are cut in two. What did you do with them?",
}
"""The hint to each code."""
SMALLER_SQUARES = "Your squares are too large here. Count smaller squares."
NO_MISTAKE_FOUND = "Ask someone else to measure it once more."

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


_WAY_AROUND: Mapping[Code, str] = {"halved": "length and width only: half of the way around"}
"""What a code means of a perimeter, where that is something else."""


def meaning(code: Code, quantity: str) -> str:
    """What a code means for the teacher, of a number that is such a quantity."""
    return _WAY_AROUND.get(code, MEANINGS[code]) if quantity == "perimeter" else MEANINGS[code]


def hints_for(likely: Sequence[Sequence[Code]], quantity: str = "") -> tuple[str, ...]:
    """The hints for the mistakes in the first place, at most two; a general one where none is known."""
    first = likely[0] if likely else ()
    around = quantity == "perimeter"
    found = [_SIDES if around and HINTS[code] == _FACTOR else HINTS[code] for code in first]
    return tuple(dict.fromkeys(found))[:2] or (NO_MISTAKE_FOUND,)
