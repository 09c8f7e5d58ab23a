"""`[[line]]` in a challenge file: pipes, cables, roads and rails, read into mm or refused in words."""

from __future__ import annotations

import pytest

from measure.challenge import Line, parse_challenge
from measure.errors import InputMistakes
from measure.units import to_mm

START = """title = "Quarry Lake Village"
unit = "in"
[parcel]
width = 18
depth = 14
[[zone]]
name = "school"
swatch = 1
"""


def lines(text: str) -> tuple[Line, ...]:
    return parse_challenge(START + text).lines


def refused(text: str) -> str:
    with pytest.raises(InputMistakes) as caught:
        lines(text)
    (mistake,) = caught.value.mistakes
    return str(mistake).removeprefix("the challenge, ")


def test_a_line_is_told_by_its_box_or_by_its_colour():
    road, cable = lines(
        '[[line]]\nname = "road"\naliases = ["street"]\nswatch = 2\ncost = 5\n'
        '[[line]]\nname = "power line"\ncolour = "gray"\nmade_of = ["string", "pipe cleaner"]\nheight = 0.5\n'
    )
    assert road == Line("road", swatch=2, aliases=("street",), cost=5.0)
    assert cable == Line("power line", colour="grey", made_of=("string", "pipe cleaner"), height=to_mm(0.5, "in"))


def test_a_challenge_without_lines_has_none():
    assert lines("") == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            '[[line]]\nname = "road"\n',
            "line 10: line road has neither a swatch nor a colour; say which box of the card holds a piece of it"
            ' (swatch = 3), or where no box is left its colour (colour = "black")',
        ),
        (
            '[[line]]\nname = "road"\nswatch = 1\n',
            "line 11: box 1 holds the tape or piece of zone school; give road a box of its own, or say its `colour` "
            "instead",
        ),
        (
            '[[line]]\nname = "road"\nswatch = 2\n[[line]]\nname = "pipe"\nswatch = 2\n',
            "line 14: box 2 holds the tape or piece of line road; give pipe a box of its own, or say its `colour` "
            "instead",
        ),
        (
            '[[line]]\nname = "road"\nswatch = 2\ncolour = "blue"\n',
            "line 12: line road has a swatch and a colour; leave `colour` out: the piece in the box tells it better",
        ),
        (
            '[[line]]\nname = "road"\ncolour = "gray"\n[[line]]\nname = "pipe"\ncolour = "grey"\n',
            "line 14: lines road and pipe are both grey; give one of them another colour, or a box of the card",
        ),
        (
            '[[line]]\nname = "schools"\ncolour = "blue"\n',
            'line 10: the name "schools" is used twice; every line needs names of its own, singular and plural too',
        ),
        (
            '[[line]]\ncolour = "blue"\n',
            'line 9: `name` is missing; give the line a name, such as name = "road"',
        ),
        (
            '[[line]]\nname = "road"\ncolour = "blu"\n',
            'line 11: `colour` is "blu", and must be "black" or "white" or "grey" or "gray" or "red" or "orange" or '
            '"yellow" or "green" or "blue" or "purple" or "pink" or "brown"; did you mean "blue"?',
        ),
        (
            '[[line]]\nname = "road"\ncolour = "blue"\nmade_of = ["rope"]\n',
            'line 12: `made_of` is "rope", and must be "string" or "pipe cleaner" or "yarn" or "tape strip" or '
            '"drawn stroke"',
        ),
        (
            '[[line]]\nname = "road"\nswatch = 9\n',
            "line 11: `swatch` is 9, and must be a box of the card, 1 to 8",
        ),
        (
            '[[line]]\nname = "road"\ncolour = "blue"\ntile = 50\n',
            "line 12: `tile` is no key here; the keys here are name, aliases, swatch, colour, made_of, height, cost",
        ),
        (
            '[line]\nname = "road"\n',
            "line 9: every line stands under [[line]], in double brackets; write [[line]] in place of [line]",
        ),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text: str, said: str):
    assert refused(text) == said
