"""A plan between the form's rows and outlines: rectangles, or corners, in the challenge's unit, as people write them.

A row of the form is one piece; without script it is filled in by hand, with script the drawing fills it in.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from fractions import Fraction
from functools import lru_cache

import numpy as np
from werkzeug.datastructures import MultiDict

from measure.challenge import Challenge
from measure.numbers import mixed, written
from measure.plat.ring_validity import problem_of
from measure.units import Unit, from_mm, parse_number

MOST_PIECES = 60
_MOST_ROWS = MOST_PIECES + 1  # one more than is kept, so that nothing is left out without a word
_MOST_CORNERS = 80
_LONGEST = {"corners": 2000}
_LONGEST_LENGTH = 20
"""Letters of a field, as many as the form lets anybody type."""
_MOST_LETTERS = 40_000
"""Of a whole plan as it is kept: 60 rectangles take a quarter of that."""
_CORNER = re.compile(r"\(([^,()]*),([^,()]*)\)")
_ROOM = 1e-6
"""Of the unit: a parcel of 457.2 mm is 18 in wide."""
Corner = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class PieceRow:
    """One row as texts: a zone, and either a rectangle or corners such as `(2, 3) (6, 3) (6, 8)`."""

    zone: str = ""
    left: str = ""
    top: str = ""
    width: str = ""
    depth: str = ""
    corners: str = ""

    @property
    def blank(self) -> bool:
        """Whether it stands for nothing; choosing no zone removes a piece."""
        return not self.zone


_FIELDS = tuple(field.name for field in fields(PieceRow))
_LENGTHS = _FIELDS[1:5]


@dataclass(frozen=True)
class Piece:
    """A piece of a plan that can be judged: its zone, and its corners in the challenge's unit."""

    zone: str
    corners: tuple[Corner, ...]


@dataclass(frozen=True)
class ReadPlan:
    """A form's pieces, and what is wrong with it by the field's name (`piece_0_width`)."""

    pieces: tuple[Piece, ...]
    wrong: dict[str, tuple[str, ...]]


def rows_from_browser(form: MultiDict[str, str]) -> tuple[PieceRow, ...]:
    """What the browser sent, without the rows that stand for nothing."""
    columns = [[" ".join(text.split()) for text in form.getlist(f"piece_{name}")[:_MOST_ROWS]] for name in _FIELDS]
    rows = (PieceRow(*cells) for cells in zip(*columns, strict=False))
    return tuple(row for row in rows if not row.blank)


def rows_json(rows: Sequence[PieceRow]) -> str:
    """Rows as they are saved."""
    return json.dumps([vars(row) for row in rows], ensure_ascii=False)


def rows_from_json(text: str) -> tuple[PieceRow, ...]:
    """Saved rows."""
    return tuple(PieceRow(**{name: str(row.get(name, "")) for name in _FIELDS}) for row in json.loads(text))


def read_rows(rows: Sequence[PieceRow], challenge: Challenge) -> ReadPlan:
    """The pieces that the rows describe, and everything that is wrong with them."""
    zones, size = drawn_zones(challenge), parcel_size(challenge)
    pieces: list[Piece] = []
    wrong: dict[str, tuple[str, ...]] = {}
    if len(rows) > MOST_PIECES or len(rows_json(rows)) > _MOST_LETTERS:
        return ReadPlan(
            (), {"piece_0_zone": ("This plan is too long to be kept. Use fewer pieces, or fewer corners.",)}
        )
    for at, row in enumerate(rows):
        mine = _too_long(row)
        corners = () if mine else _corners(row, mine) if row.corners else _rectangle(row, mine)
        if row.zone not in zones:
            mine["zone"] = "Choose a zone of this task."
        if not mine and corners:
            mine |= _problems(corners, "corners" if row.corners else "left", size, challenge.unit)
        if mine or not corners:
            wrong |= {f"piece_{at}_{name}": (said,) for name, said in mine.items()}
        else:
            pieces.append(Piece(row.zone, corners))
    return ReadPlan(tuple(pieces), wrong)


def _too_long(row: PieceRow) -> dict[str, str]:
    fields_of = ((name, getattr(row, name)) for name in _FIELDS[1:])
    return {name: "This is too long." for name, text in fields_of if len(text) > _LONGEST.get(name, _LONGEST_LENGTH)}


def drawn_zones(challenge: Challenge) -> tuple[str, ...]:
    """The zones that a team draws: not those that lie fast, which the plan shows already."""
    return tuple(zone.name for zone in challenge.zones if not (zone.kind == "keep-clear" and zone.place and zone.size))


def parcel_size(challenge: Challenge) -> tuple[float, float]:
    """Width and depth in the challenge's unit."""
    return from_mm(challenge.parcel.width, challenge.unit), from_mm(challenge.parcel.depth, challenge.unit)


def number_text(number: Fraction, unit: Unit) -> str:
    """`4 1/2` in inches, `4.5` in cm."""
    return mixed(number) if unit == "in" else written(number)


def _rectangle(row: PieceRow, wrong: dict[str, str]) -> tuple[Corner, ...]:
    numbers = {name: _number(getattr(row, name)) for name in _LENGTHS}
    for name, number in numbers.items():
        if number is None:
            wrong[name] = "Write a number, like 4 or 4 1/2."
        elif name in ("width", "depth") and number <= 0:
            wrong[name] = "This is more than 0."
    left, top, width, depth = (number or Fraction(0) for number in numbers.values())
    right, bottom = left + width, top + depth
    return () if wrong else ((left, top), (right, top), (right, bottom), (left, bottom))


def _corners(row: PieceRow, wrong: dict[str, str]) -> tuple[Corner, ...]:
    said = "Write the corners like (2, 3) (6, 3) (6, 8): from the left, then from the top."
    found = [(_number(x), _number(y)) for x, y in _CORNER.findall(row.corners)]
    corners = tuple((x, y) for x, y in found if x is not None and y is not None)
    rest = _CORNER.sub("", row.corners).strip(" ,;")
    if rest or len(corners) < len(found) or not corners:
        wrong["corners"] = said
    elif not 3 <= len(corners) <= _MOST_CORNERS:
        wrong["corners"] = f"A piece has 3 to {_MOST_CORNERS} corners."
    return corners


@lru_cache(maxsize=4096)
def _number(text: str) -> Fraction | None:
    plain = re.sub(r"^(\d+),(\d+)$", r"\1.\2", text.strip())
    try:
        number = parse_number(plain)
    except ValueError:
        return None
    return number if 0 <= number <= 100_000 else None


def _problems(corners: tuple[Corner, ...], field: str, size: tuple[float, float], unit: Unit) -> Mapping[str, str]:
    """What is wrong with the outline as a whole, under the field that it is told at."""
    points = np.array([[float(x), float(y)] for x, y in (*corners, corners[0])])
    across, down = points.max(axis=0)
    if across > size[0] + _ROOM or down > size[1] + _ROOM:
        width, depth = (number_text(Fraction(side).limit_denominator(64), unit) for side in size)
        return {field: f"This goes over the edge. The parcel is {width} {unit} wide and {depth} {unit} deep."}
    problem = problem_of(points, unit)
    return {field: f"{problem[:1].upper()}{problem[1:]}."} if problem else {}


def places(pieces: Sequence[Piece]) -> Iterator[tuple[str, list[list[float]]]]:
    """Every piece's zone and closed ring, as numbers."""
    for piece in pieces:
        ring = [[float(x), float(y)] for x, y in piece.corners]
        yield piece.zone, [*ring, ring[0]]
