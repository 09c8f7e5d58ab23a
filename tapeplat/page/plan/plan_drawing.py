"""What the drawing of a plan shows, in the challenge's unit: the parcel, its grid, what lies fast, the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from measure.challenge import Challenge
from measure.units import Unit, format_number, from_mm
from tapeplat.page.plan.plan_check import fast_zones
from tapeplat.page.plan.plan_form import Piece, drawn_zones, parcel_size

_LABELS = 6
"""Numbers along the parcel's longer side, about."""
_ROUND = (1, 2, 5, 10, 20, 50, 100, 200, 500)
COLOURS = 8
"""Fills that the style sheet has; zones after the eighth start again, and all carry their names."""


@dataclass(frozen=True)
class Line:
    """A line of the grid at a whole number of squares; label is the number on the parcel's edge, or empty."""

    at: float
    heavy: bool
    label: str


@dataclass(frozen=True)
class Shape:
    """A piece or a zone that lies fast: its outline as SVG points, where its name stands, its colour from 0."""

    zone: str
    points: str
    x: float
    y: float
    colour: int


@dataclass(frozen=True)
class Drawing:
    """Everything that the SVG shows; margin is the room for the numbers around the parcel."""

    width: float
    depth: float
    unit: Unit
    square: float
    margin: float
    across: tuple[Line, ...]
    down: tuple[Line, ...]
    fast: tuple[Shape, ...]
    crosses: tuple[Shape, ...]
    pieces: tuple[Shape, ...]
    colours: dict[str, int]

    @property
    def view_box(self) -> str:
        """The SVG's viewBox."""
        m = self.margin
        return f"{-m:g} {-m:g} {self.width + 2 * m:g} {self.depth + 2 * m:g}"


def drawing(challenge: Challenge, pieces: Sequence[Piece]) -> Drawing:
    """The drawing of a plan."""
    width, depth = parcel_size(challenge)
    square = 10.0 if challenge.unit == "mm" else 1.0
    apart = next(n for n in (*_ROUND, 1000) if n * square * _LABELS >= max(width, depth) * 0.75)
    colours = {name: at % COLOURS for at, name in enumerate(drawn_zones(challenge))}
    return Drawing(
        width,
        depth,
        challenge.unit,
        square,
        max(width, depth) / 18,
        _lines(width, square, apart),
        _lines(depth, square, apart),
        tuple(_box(zone.name, *box) for zone, box in fast_zones(challenge)),
        tuple(_crosses(challenge)),
        tuple(_shape(piece, colours) for piece in pieces),
        colours,
    )


def _lines(length: float, square: float, apart: int) -> tuple[Line, ...]:
    count = int(length / square + 1e-9)
    marks = (Line(n * square, n % apart == 0, format_number(n * square)) for n in range(count + 1))
    return tuple(line if line.heavy else Line(line.at, False, "") for line in marks)


def _crosses(challenge: Challenge) -> list[Shape]:
    """Keep-clear zones of which only the centre is stated."""
    bare = [zone for zone in challenge.zones if zone.kind == "keep-clear" and zone.place and not zone.size]
    places = [(zone.name, [from_mm(at, challenge.unit) for at in zone.place or ()]) for zone in bare]
    return [Shape(name, "", x, y, 0) for name, (x, y) in places]


def _box(zone: str, left: float, top: float, width: float, depth: float) -> Shape:
    corners = ((left, top), (left + width, top), (left + width, top + depth), (left, top + depth))
    return Shape(zone, _points(corners), left + width / 2, top + depth / 2, 0)


def _shape(piece: Piece, colours: dict[str, int]) -> Shape:
    corners = [(float(x), float(y)) for x, y in piece.corners]
    x, y = shapely.Polygon(corners).representative_point().coords[0]
    return Shape(piece.zone, _points(corners), x, y, colours[piece.zone])


def _points(corners: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.6g},{y:.6g}" for x, y in corners)
