"""Where the names of zones stand on a poster's picture: over no other zone and no other name; else a number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from calib.printed import Box
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import Point

SIZE = 14.0
"""Points; what can be read from some steps away."""
_HEIGHT, _BADGE = 0.53, 0.64
"""mm for a point of the text: the height of a name's box, the side of a number's."""
_WIDEST = 0.55
"""Of the picture's width, what a name may take."""
_MOST_HIDDEN = 0.6
"""Of a piece, what its own name may hide."""
_SPARE = 1.0
_STEPS = 7
"""Places tried across and down a piece."""
_AROUND = 36
"""Places tried across and down the picture for a name beside its piece."""
_FARTHEST = 0.25
"""Of the picture's width, how far beside its piece a name may stand."""
_INTO = 2.0
"""How far a line from a name reaches into its piece, mm."""


@dataclass(frozen=True, eq=False)
class Place:
    """One piece on the page: its zone's number and name, its shape in mm of the page."""

    number: int
    name: str
    shape: shapely.Geometry


@dataclass(frozen=True)
class Label:
    """A box with a zone's name, or with a number where the name is explained below the picture.

    leader is the line from a box beside its piece to the piece.
    """

    number: int
    text: str
    box: Box
    is_number: bool
    leader: tuple[Point, Point] | None = None


def placed_labels(
    places: Sequence[Place], picture: Box, size: float = SIZE, lines: Sequence[shapely.Geometry] = ()
) -> list[Label]:
    """A label on every piece. A zone whose name finds no room has a number instead, on all its pieces.

    Numbers count from 1, in the zones' order. Where numbers find no room, they lie where a piece is widest. lines are
    what names must not cover, besides other pieces.
    """
    every = {place.number for place in places}
    numbered = {place.number for place in places if _wide(place.name, size) > _WIDEST * picture.width}
    room = _Room(places, picture, size, lines)
    while True:
        found = room.placed(numbered)
        lacking = {place.number for place, label in zip(places, found, strict=True) if label is None}
        if not lacking or numbered == every:
            break
        numbered = every if lacking & numbered else numbered | lacking
    made = [label or room.squeezed_in(place) for place, label in zip(places, found, strict=True)]
    new = {old: str(n) for n, old in enumerate(sorted({label.number for label in made if label.is_number}), start=1)}
    return [replace(label, text=new[label.number]) if label.is_number else label for label in made]


class _Room:
    """The picture with what lies in it."""

    def __init__(self, places: Sequence[Place], picture: Box, size: float, lines: Sequence[shapely.Geometry]) -> None:
        self.places, self.picture, self.size = places, picture, size
        self.land = [
            shapely.union_all([other.shape for other in places if other is not place and not _around(other, place)])
            for place in places
        ]
        self.lines = shapely.union_all(list(lines)) if lines else shapely.Point()
        for shape in (*self.land, self.lines):
            shapely.prepare(shape)

    def placed(self, numbered: set[int]) -> list[Label | None]:
        """The smallest pieces choose first: they have the fewest places."""
        made: list[Label | None] = [None] * len(self.places)
        taken: list[shapely.Geometry] = []
        for index in sorted(range(len(self.places)), key=lambda n: float(self.places[n].shape.area)):
            place = self.places[index]
            is_number = place.number in numbered
            side = _BADGE * self.size
            size = (side, side) if is_number else (_wide(place.name, self.size), _HEIGHT * self.size)
            found = self._inside(index, size, taken) or self._beside(index, size, taken)
            if found is not None:
                box, leader = found
                taken.append(_polygon(box))
                text = str(place.number) if is_number else place.name
                made[index] = Label(place.number, text, box, is_number, leader)
        return made

    def squeezed_in(self, place: Place) -> Label:
        """A number where the piece is widest, whatever lies there."""
        x, y = shapely.maximum_inscribed_circle(place.shape, tolerance=0.5).coords[0]
        side = _BADGE * self.size
        box = _held(Box(x - side / 2, y - side / 2, side, side), self.picture)
        return Label(place.number, str(place.number), box, is_number=True)

    def _inside(
        self, index: int, size: tuple[float, float], taken: Sequence[shapely.Geometry]
    ) -> tuple[Box, None] | None:
        """Wholly in the piece, and not hiding most of it."""
        shape = self.places[index].shape
        if size[0] * size[1] > _MOST_HIDDEN * shape.area:
            return None
        for x, y in _middles(shape):
            box = Box(x - size[0] / 2, y - size[1] / 2, *size)
            outline = _polygon(box)
            clear = not self.land[index].intersects(outline) and not self.lines.intersects(outline)
            if clear and shape.contains(outline) and _free(box, taken):
                return box, None
        return None

    def _beside(
        self, index: int, size: tuple[float, float], taken: Sequence[shapely.Geometry]
    ) -> tuple[Box, tuple[Point, Point]] | None:
        """On free land near the piece, with a line to it that crosses no other piece and no other name."""
        picture, shape = self.picture, self.places[index].shape
        xs = np.linspace(picture.x + _SPARE, picture.x + picture.width - size[0] - _SPARE, _AROUND)
        ys = np.linspace(picture.y + _SPARE, picture.y + picture.height - size[1] - _SPARE, _AROUND)
        left, top = (grid.ravel() for grid in np.meshgrid(xs, ys))
        boxes = shapely.box(left - _SPARE, top - _SPARE, left + size[0] + _SPARE, top + size[1] + _SPARE)
        away = shapely.distance(boxes, shape)
        free = ~shapely.intersects(self.land[index], boxes) & (away > 0) & (away < _FARTHEST * picture.width)
        free &= ~shapely.intersects(self.lines, boxes)
        for other in taken:
            free &= ~shapely.intersects(other, boxes)
        for at in np.argsort(away, kind="stable"):
            if not free[at]:
                continue
            box = Box(float(left[at]), float(top[at]), *size)
            leader = _leader(box, shape)
            line = shapely.LineString(leader)
            if not self.land[index].intersects(line) and not any(other.intersects(line) for other in taken):
                return box, leader
        return None


def _around(other: Place, place: Place) -> bool:
    """Whether a piece lies within another, as a lake in a park."""
    return bool(other.shape.buffer(_SPARE).contains(place.shape))


def _leader(box: Box, shape: shapely.Geometry) -> tuple[Point, Point]:
    """From the box to a little within the piece."""
    inner = shape.buffer(-_INTO)
    start, end = shapely.shortest_line(_polygon(box), shape if inner.is_empty else inner).coords
    return (start[0], start[1]), (end[0], end[1])


def _middles(shape: shapely.Geometry) -> Iterator[Point]:
    """Points of the piece where a box may have its middle, the best first."""
    inmost = shapely.maximum_inscribed_circle(shape, tolerance=0.5).coords[0]
    left, top, right, bottom = shape.bounds
    across = [left + (right - left) * n / (_STEPS + 1) for n in range(1, _STEPS + 1)]
    down = [top + (bottom - top) * n / (_STEPS + 1) for n in range(1, _STEPS + 1)]
    middles = [(shape.centroid.x, shape.centroid.y), inmost, *((x, y) for y in down for x in across)]
    yield from (middle for middle in middles if shape.contains(shapely.Point(middle)))


def _held(box: Box, picture: Box) -> Box:
    """Moved so that it lies in the picture."""
    x = min(max(box.x, picture.x + _SPARE), picture.x + picture.width - box.width - _SPARE)
    y = min(max(box.y, picture.y + _SPARE), picture.y + picture.height - box.height - _SPARE)
    return Box(x, y, box.width, box.height)


def _free(box: Box, taken: Sequence[shapely.Geometry]) -> bool:
    around = shapely.box(box.x - _SPARE, box.y - _SPARE, box.x + box.width + _SPARE, box.y + box.height + _SPARE)
    return not any(around.intersects(other) for other in taken)


def _polygon(box: Box) -> shapely.Geometry:
    return shapely.box(box.x, box.y, box.x + box.width, box.y + box.height)


def _wide(name: str, size: float) -> float:
    return text_width(printable(name), size) + 4
