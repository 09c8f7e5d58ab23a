"""Where the names of zones stand on a poster's picture: large, in their zone, over no other name; else a number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from calib.printed import Box
from tapeplat.paper.pdf.fonts import printable, text_width

SIZE = 14.0
"""Points; what can be read from some steps away."""
HEIGHT = 7.4
_BADGE = 9.0
_WIDEST = 0.55
"""Of the picture's width, what a name may take."""
_SPARE = 1.0
_STEPS = 7
"""Places tried across and down a piece."""


@dataclass(frozen=True, eq=False)
class Place:
    """One piece on the page: its zone's number and name, its shape in mm of the page."""

    number: int
    name: str
    shape: shapely.Geometry


@dataclass(frozen=True)
class Label:
    """A box with a zone's name, or with its number where the name is explained below the picture."""

    number: int
    text: str
    box: Box
    is_number: bool


def placed_labels(places: Sequence[Place], picture: Box) -> list[Label]:
    """A label on every piece. A zone whose name finds no room has its number instead, on all its pieces.

    Where that does not do all zones have numbers, and where pieces are smaller than those, they lie over each other.
    """
    every = {place.number for place in places}
    numbered = {place.number for place in places if _wide(place.name) > _WIDEST * picture.width}
    while True:
        found = _placed(places, picture, numbered)
        lacking = {place.number for place, label in zip(places, found, strict=True) if label is None}
        if not lacking or numbered == every:
            return [label or _squeezed_in(place, picture) for place, label in zip(places, found, strict=True)]
        numbered = every if lacking & numbered else numbered | lacking


def _squeezed_in(place: Place, picture: Box) -> Label:
    """A number where the piece is widest, whatever lies there."""
    x, y = shapely.maximum_inscribed_circle(place.shape, tolerance=0.5).coords[0]
    box = _held(Box(x - _BADGE / 2, y - _BADGE / 2, _BADGE, _BADGE), picture)
    return Label(place.number, str(place.number), box, is_number=True)


def _placed(places: Sequence[Place], picture: Box, numbered: set[int]) -> list[Label | None]:
    """The smallest pieces choose first: they have the fewest places."""
    made: list[Label | None] = [None] * len(places)
    taken: list[shapely.Geometry] = []
    for index in sorted(range(len(places)), key=lambda n: float(places[n].shape.area)):
        place = places[index]
        is_number = place.number in numbered
        size = (_BADGE, _BADGE) if is_number else (_wide(place.name), HEIGHT)
        box = next((box for box in _tried(place.shape, size, picture) if _free(box, taken)), None)
        if box is not None:
            taken.append(_polygon(box))
            made[index] = Label(place.number, str(place.number) if is_number else place.name, box, is_number)
    return made


def _tried(shape: shapely.Geometry, size: tuple[float, float], picture: Box) -> Iterator[Box]:
    """Boxes wholly in the piece, then such as have their middle in it, all inside the picture."""
    inmost = shapely.maximum_inscribed_circle(shape, tolerance=0.5).coords[0]
    left, top, right, bottom = shape.bounds
    across = [left + (right - left) * n / (_STEPS + 1) for n in range(1, _STEPS + 1)]
    down = [top + (bottom - top) * n / (_STEPS + 1) for n in range(1, _STEPS + 1)]
    middles = [(shape.centroid.x, shape.centroid.y), inmost, *((x, y) for y in down for x in across)]
    inside = [middle for middle in middles if shape.contains(shapely.Point(middle))]
    boxes = [_held(Box(x - size[0] / 2, y - size[1] / 2, *size), picture) for x, y in inside]
    yield from (box for box in boxes if shape.contains(_polygon(box)))
    yield from (box for box in boxes if not shape.contains(_polygon(box)))


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


def _wide(name: str) -> float:
    return text_width(printable(name), SIZE) + 4
