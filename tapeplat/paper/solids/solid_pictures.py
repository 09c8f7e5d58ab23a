"""Every solid as a line drawing: its visible faces, and its sizes as lines with their names.

Oblique projection: x to the right, y (depth) up to the right at 45 degrees and half as long, z up. Sizes are in
mm, drawn `_SCALE` times as large; the picture's origin is the solid's corner at the reader's left, or the middle of a
round base.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely

from measure.structures.solid_volumes import Size, SolidName
from tapeplat.paper.pdf.pdf_canvas import Pages, Point

_DEPTH = 0.5 * math.sqrt(0.5)
_LIGHT, _MIDDLE, _DARK = 0.97, 0.88, 0.78
"""Greys of what faces up, the reader, and the right."""
_TICK = 1.0
_SCALE = 0.88
_WORD_SIZE = 8.5
_ROUND_POINTS = 48
Place = tuple[float, float, float]


@dataclass(frozen=True)
class Face:
    """A visible face as a ring on the page, and its grey; faces are drawn in their order."""

    ring: tuple[Point, ...]
    grey: float


@dataclass(frozen=True)
class SizeLine:
    """A size as a line beside the solid: its ends on the page, where its name stands, whether that reads upwards."""

    name: Size
    ends: tuple[Point, Point]
    word: Point
    upwards: bool = False


@dataclass(frozen=True)
class SolidPicture:
    """All that is drawn of one solid."""

    faces: tuple[Face, ...]
    sizes: tuple[SizeLine, ...] = ()


def draw_solid(pages: Pages, name: SolidName, left: float, bottom: float) -> None:
    """The picture, its origin at (left, bottom) on the page."""
    picture = PICTURES[name]
    for face in picture.faces:
        pages.shape([[(left + _SCALE * x, bottom + _SCALE * y) for x, y in face.ring]], width=0.35, fill=face.grey)
    for size in picture.sizes:
        (x1, y1), (x2, y2) = ((left + _SCALE * x, bottom + _SCALE * y) for x, y in size.ends)
        pages.line((x1, y1), (x2, y2), width=0.3)
        long = math.hypot(x2 - x1, y2 - y1)
        across, down = -(y2 - y1) / long * _TICK, (x2 - x1) / long * _TICK
        for x, y in ((x1, y1), (x2, y2)):
            pages.line((x - across, y - down), (x + across, y + down), width=0.3)
        x, y = left + _SCALE * size.word[0], bottom + _SCALE * size.word[1]
        pages.text(x, y, size.name, size=_WORD_SIZE, align="centre", upwards=size.upwards)


def _on_page(places: Iterable[Place]) -> tuple[Point, ...]:
    return tuple((x + _DEPTH * y, -z - _DEPTH * y) for x, y, z in places)


def _size(name: Size, start: Place, end: Place, shift: Point, word: Point) -> SizeLine:
    """A line beside two places, shifted on the page; its name stands at its middle, shifted again."""
    (x1, y1), (x2, y2) = ((x + shift[0], y + shift[1]) for x, y in _on_page((start, end)))
    return SizeLine(name, ((x1, y1), (x2, y2)), ((x1 + x2) / 2 + word[0], (y1 + y2) / 2 + word[1]), word == _LEFT_WORD)


def _prism(base: Sequence[Point], height: float) -> tuple[Face, ...]:
    """Upright on a base that runs anticlockwise (x to the right, y away); its visible sides, the far ones first."""
    sides = list(zip(base, [*base[1:], base[0]], strict=True))
    sides.sort(key=lambda side: -(side[0][1] + side[1][1]))
    faces = []
    for (x1, y1), (x2, y2) in sides:
        if x2 - x1 > 1e-9 or y2 - y1 > 1e-9:  # it faces the reader, or the right
            ring = _on_page([(x1, y1, 0), (x2, y2, 0), (x2, y2, height), (x1, y1, height)])
            faces.append(Face(ring, _MIDDLE if x2 - x1 > 1e-9 else _DARK))
    return (*faces, Face(_on_page([(x, y, height) for x, y in base]), _LIGHT))


def _box(length: float, width: float, height: float, at: Place = (0, 0, 0)) -> tuple[Face, ...]:
    x, y, z = at
    base = [(x, y), (x + length, y), (x + length, y + width), (x, y + width)]
    made = _prism(base, height)
    return tuple(Face(tuple((px, py - z) for px, py in face.ring), face.grey) for face in made)


def _circle(radius: float, z: float) -> list[Place]:
    turns = (2 * math.pi * n / _ROUND_POINTS for n in range(_ROUND_POINTS))
    return [(radius * math.cos(turn), radius * math.sin(turn), z) for turn in turns]


def _outline(places: Iterable[Place], grey: float) -> Face:
    """What a solid without dents covers on the page."""
    around = shapely.convex_hull(shapely.MultiPoint(_on_page(places)))
    return Face(tuple((float(x), float(y)) for x, y in shapely.get_coordinates(around)[:-1]), grey)


def _half_disc(radius: float, y: float) -> list[Place]:
    turns = (math.pi * n / (_ROUND_POINTS // 2) for n in range(_ROUND_POINTS // 2 + 1))
    return [(radius + radius * math.cos(turn), y, radius * math.sin(turn)) for turn in turns]


def _stack() -> tuple[Face, ...]:
    """Three by two cubes, and one on top."""
    cubes = [(x, y, 0.0) for y in (6.0, 0.0) for x in (0.0, 6.0, 12.0)] + [(0.0, 6.0, 6.0)]
    cubes.sort(key=lambda cube: (-cube[1], cube[2], cube[0]))
    return tuple(face for cube in cubes for face in _box(6, 6, 6, cube))


_BELOW, _BELOW_WORD = (0.0, 3.0), (0.0, 4.2)
_RIGHT, _RIGHT_WORD = (2.6, 1.2), (3.8, 5.6)
_LEFT, _LEFT_WORD = (-2.4, 0.0), (-1.6, 0.0)
_DOME = [place for n in range(13) for place in _circle(9 * math.cos(n * math.pi / 24), 9 * math.sin(n * math.pi / 24))]
_ELL = [(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (9.0, 8.0), (9.0, 18.0), (0.0, 18.0)]

PICTURES: dict[SolidName, SolidPicture] = {
    "box": SolidPicture(
        _box(20, 14, 11),
        (
            _size("length", (0, 0, 0), (20, 0, 0), _BELOW, _BELOW_WORD),
            _size("width", (20, 0, 0), (20, 14, 0), _RIGHT, _RIGHT_WORD),
            _size("height", (0, 0, 0), (0, 0, 11), _LEFT, _LEFT_WORD),
        ),
    ),
    "cube": SolidPicture(_box(14, 14, 14), (_size("length", (0, 0, 0), (14, 0, 0), _BELOW, _BELOW_WORD),)),
    "cylinder": SolidPicture(
        (_outline([*_circle(8, 0), *_circle(8, 15)], _MIDDLE), Face(_on_page(_circle(8, 15)), _LIGHT)),
        (
            _size("diameter", (-8, 0, 15), (8, 0, 15), (0, 0), (0, -6.5)),
            _size("height", (-8, 0, 0), (-8, 0, 15), (-2.6, 0), _LEFT_WORD),
        ),
    ),
    "half cylinder": SolidPicture(
        (
            _outline([*_half_disc(9, 0), *_half_disc(9, 18)], _LIGHT),
            Face(_on_page(_half_disc(9, 0)), _MIDDLE),
        ),
        (
            _size("diameter", (0, 0, 0), (18, 0, 0), _BELOW, _BELOW_WORD),
            _size("length", (18, 0, 0), (18, 18, 0), _RIGHT, _RIGHT_WORD),
        ),
    ),
    "triangular prism": SolidPicture(
        (
            Face(_on_page([(18, 0, 0), (18, 18, 0), (9, 18, 12), (9, 0, 12)]), _DARK),
            Face(_on_page([(0, 0, 0), (18, 0, 0), (9, 0, 12)]), _MIDDLE),
        ),
        (
            _size("width", (0, 0, 0), (18, 0, 0), _BELOW, _BELOW_WORD),
            _size("length", (18, 0, 0), (18, 18, 0), _RIGHT, _RIGHT_WORD),
            _size("height", (9, 0, 0), (9, 0, 12), (0, 0), (-12.0, -3.5)),
        ),
    ),
    "square pyramid": SolidPicture(
        (
            Face(_on_page([(16, 0, 0), (16, 16, 0), (8, 8, 15)]), _DARK),
            Face(_on_page([(0, 0, 0), (16, 0, 0), (8, 8, 15)]), _MIDDLE),
        ),
        (
            _size("length", (0, 0, 0), (16, 0, 0), _BELOW, _BELOW_WORD),
            _size("height", (8, 8, 0), (8, 8, 15), (0, 0), (-14.0, -1.0)),
        ),
    ),
    "cone": SolidPicture(
        (_outline([*_circle(8, 0), (0, 0, 16)], _MIDDLE),),
        (
            _size("diameter", (-8, 0, 0), (8, 0, 0), (0, 6.2), _BELOW_WORD),
            _size("height", (0, 0, 0), (0, 0, 16), (0, 0), (-11.5, -2.0)),
        ),
    ),
    "hemisphere": SolidPicture(
        (_outline(_DOME, _MIDDLE),), (_size("diameter", (-9, 0, 0), (9, 0, 0), (0, 6.6), _BELOW_WORD),)
    ),
    "prism on outline": SolidPicture(_prism(_ELL, 10), (_size("height", (0, 0, 0), (0, 0, 10), _LEFT, _LEFT_WORD),)),
    "cubes": SolidPicture(_stack()),
}
