"""The scale map of a plat: zones in patterns that survive a grey print, a grid in the class's unit, scale bar, north.

North is the parcel's top by convention; the map says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from calib.printed import Box
from measure.numbers import round_length
from measure.plat.plat import Piece, Plat
from measure.quantity import FloatArray
from measure.units import MM_PER, Unit, from_mm
from tapeplat.annotate.outline_parts import dashes, has_outline, seen_and_inferred
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import Point
from tapeplat.paper.pdf.tiling import View, fitting_scale, readable_step
from tapeplat.reports.map_canvas import MapCanvas
from tapeplat.reports.map_lines import draw_letter, draw_map_lines, draw_sample, line_entries
from tapeplat.reports.patterns import KEEP_CLEAR, PATTERNS, Filled, Pattern, filled
from tapeplat.reports.report_content import TeamContent

_LEFT, _TOP, _FOOT = 9.0, 6.0, 20.0
"""Room beside the map for the grid's numbers, and below it for scale bar and north arrow."""
_LEAST_CELL = 7.0
_BADGE = 2.9
_SPARE = 4.0
"""White around the outlines where the parcel's place is not known, mm of the model."""
LEGEND_ROW = 9.5
_NUMBER = 6.5
_SWATCH = (13.0, 6.5)
_COLUMN_GAP = 6.0


@dataclass(frozen=True)
class Land:
    """One piece on the page: its zone's number in the legend, its shape in mm of the page."""

    number: int
    shape: shapely.Geometry
    piece: Piece


def draw_map(board: MapCanvas, box: Box, content: TeamContent) -> float:
    """Draw the map into the box; returns n of its scale, 1 : n."""
    plat, unit = content.plat, content.result.unit
    extent = outlines_extent(plat)
    area = Box(box.x + _LEFT, box.y + _TOP, box.width - _LEFT - 2, box.height - _TOP - _FOOT)
    n = fitting_scale(extent.width, extent.height, area)
    left = area.x + (area.width - extent.width / n) / 2
    view = View(1 / n, left - extent.x / n, area.y - extent.y / n)
    frame = view.box(_frame(plat, extent))
    _draw_grid(board, view, frame, unit)
    lands = lands_of(content, view)
    draw_lands(board, lands, content)
    draw_map_lines(board, content, view)
    if plat.frame != "card":
        board.shape([_corners(frame)], width=0.6)
    _draw_names(board, lands, content)
    _draw_foot(board, Box(frame.x, area.y + extent.height / n + 4, box.x + box.width - frame.x, _FOOT - 4), content, n)
    return n


def map_height(content: TeamContent, width: float, most: float) -> float:
    """The height that draw_map uses of a box of this width and of at most this height, mm."""
    extent = outlines_extent(content.plat)
    n = fitting_scale(extent.width, extent.height, Box(0, 0, width - _LEFT - 2, most - _TOP - _FOOT))
    return extent.height / n + _TOP + _FOOT


def legend_height(content: TeamContent) -> float:
    """The height of the legend in two columns, mm."""
    return LEGEND_ROW * _rows(content)


def _rows(content: TeamContent) -> int:
    """Of the legend: zones, then lines."""
    return max(1, math.ceil((len(content.zones) + len(content.result.lines)) / 2))


def draw_legend(board: MapCanvas, box: Box, content: TeamContent) -> None:
    """Every zone's number, pattern, name and area, every line's letter, stroke and length, in two columns."""
    rows = _rows(content)
    height = min(LEGEND_ROW, box.height / rows)
    width = (box.width - _COLUMN_GAP) / 2
    scale = min(1.0, height / LEGEND_ROW)
    for index, zone in enumerate(content.zones):
        x = box.x + (index // rows) * (width + _COLUMN_GAP)
        y = box.y + (index % rows) * height
        swatch = Box(x + _NUMBER, y, _SWATCH[0], _SWATCH[1] * scale)
        shape = shapely.box(swatch.x, y, swatch.x + swatch.width, y + swatch.height)
        board.fitted(
            x + _NUMBER - 1.5, y + 4.6 * scale, str(index + 1), _NUMBER, size=10 * scale, bold=True, align="right"
        )
        _draw_pattern(board, filled(pattern_of(content, index), shape), [_corners(swatch)])
        board.shape([_corners(swatch)], width=0.4)
        start = swatch.x + swatch.width + 2.5
        room = x + width - start
        name = f"{zone.name} (keep clear)" if zone.keep_clear else zone.name
        board.fitted(start, y + 3.1 * scale, name, room, size=10 * scale, bold=True)
        board.fitted(start, y + 6.9 * scale, zone.size, room, size=8.5 * scale)
    for index, (name, length) in enumerate(line_entries(content)):
        place = len(content.zones) + index
        x, y = box.x + (place // rows) * (width + _COLUMN_GAP), box.y + (place % rows) * height
        middle = y + 0.5 * _SWATCH[1] * scale
        draw_letter(board, (x + 0.5 * _NUMBER, middle), index)
        draw_sample(board, (x + _NUMBER, middle), (x + _NUMBER + _SWATCH[0], middle), index)
        start = x + _NUMBER + _SWATCH[0] + 2.5
        board.fitted(start, y + 3.1 * scale, name, x + width - start, size=10 * scale, bold=True)
        board.fitted(start, y + 6.9 * scale, length, x + width - start, size=8.5 * scale)


def pattern_of(content: TeamContent, index: int) -> Pattern:
    """The pattern of a zone by its place in the challenge; keep-clear zones share one of their own."""
    if content.zones[index].keep_clear:
        return KEEP_CLEAR
    before = sum(not zone.keep_clear for zone in content.zones[:index])
    return PATTERNS[before % len(PATTERNS)]


def outlines_extent(plat: Plat) -> Box:
    """What the map shows, mm: the parcel where its place is known, and every outline."""
    points = [piece.ring.points for piece in plat.pieces if has_outline(piece)]
    if plat.frame != "card" or not points:
        points.append(np.array([[0.0, 0.0], [plat.width, plat.depth]]))
    every = np.vstack(points)
    spare = _SPARE if plat.frame == "card" else 0.0
    (left, top), (right, bottom) = every.min(axis=0) - spare, every.max(axis=0) + spare
    return Box(float(left), float(top), float(right - left), float(bottom - top))


def _frame(plat: Plat, extent: Box) -> Box:
    return extent if plat.frame == "card" else Box(0, 0, plat.width, plat.depth)


def _draw_grid(board: MapCanvas, view: View, frame: Box, unit: Unit) -> None:
    """Lines at whole units with their numbers along the top and the left, counted from the frame's top-left corner."""
    step = readable_step(MM_PER[unit], view.scale, _LEAST_CELL)
    pace = step * view.scale
    for k in range(int(frame.width / pace + 1e-6) + 1):
        x = frame.x + k * pace
        board.line((x, frame.y), (x, frame.y + frame.height), width=0.12, grey=0.65)
        board.fitted(x, frame.y - 1.6, _number(k * step, unit), pace, size=7.5, align="centre", grey=0.25)
    for k in range(int(frame.height / pace + 1e-6) + 1):
        y = frame.y + k * pace
        board.line((frame.x, y), (frame.x + frame.width, y), width=0.12, grey=0.65)
        if k:
            board.fitted(frame.x - 1.6, y + 0.9, _number(k * step, unit), 6.5, size=7.5, align="right", grey=0.25)
    board.fitted(frame.x - 1.6, frame.y - 1.6, unit, 6.5, size=7.5, align="right", grey=0.25)


def _number(mm: float, unit: Unit) -> str:
    return f"{from_mm(mm, unit):g}"


def lands_of(content: TeamContent, view: View) -> list[Land]:
    """The pieces that have an outline, on the page."""
    numbers = {zone.name: index for index, zone in enumerate(content.zones, 1)}
    shift = np.array([view.dx, view.dy])
    found = []
    for piece in content.plat.pieces:
        if has_outline(piece):
            rings = [ring.points * view.scale + shift for ring in (piece.ring, *piece.holes)]
            shape = shapely.make_valid(shapely.Polygon(rings[0], rings[1:]))
            found.append(Land(numbers[piece.zone], shape, _on_page(piece, view)))
    return found


def _on_page(piece: Piece, view: View) -> Piece:
    shift = np.array([view.dx, view.dy])
    ring, *holes = (replace(ring, points=ring.points * view.scale + shift) for ring in (piece.ring, *piece.holes))
    return replace(piece, ring=ring, holes=tuple(holes))


def draw_lands(board: MapCanvas, lands: Sequence[Land], content: TeamContent) -> None:
    """White, then patterns, then outlines, so that land that two zones claim shows both."""
    for land in lands:
        board.shape(_rings(land.piece), fill=1.0)
    for land in lands:
        _draw_pattern(board, filled(pattern_of(content, land.number - 1), land.shape), _rings(land.piece))
    for land in lands:
        for ring in (land.piece.ring, *land.piece.holes):
            board.shape([_places(ring.points)], width=0.55)
            for part in seen_and_inferred(ring):
                for dash in dashes(part.points, 1.2, 1.2) if part.inferred else []:
                    for start, end in pairwise(dash):
                        board.line(_place(start), _place(end), width=0.75, grey=1.0)


def _draw_pattern(board: MapCanvas, fill: Filled, rings: Sequence[Sequence[Point]]) -> None:
    if fill.tone < 1:
        board.shape(rings, fill=fill.tone)
    for line in fill.lines:
        for start, end in pairwise(line):
            board.line(_place(start), _place(end), width=fill.line_width, grey=0.15)
    for dot in fill.dots:
        board.shape([_circle(_place(dot), fill.dot_radius, 10)], fill=0.15)


def _draw_names(board: MapCanvas, lands: Sequence[Land], content: TeamContent) -> None:
    """The number on every piece, and the zone's name below it where that fits into the piece."""
    for land in lands:
        name = content.zones[land.number - 1].name
        width = text_width(printable(name), 8.5) + 2
        inmost = shapely.maximum_inscribed_circle(land.shape, tolerance=0.5).coords[0]
        places = [place for place in (land.shape.centroid.coords[0], inmost) if _fits(land, place, width)]
        x, y = places[0] if places else inmost
        _draw_badge(board, (x, y - 2.6 if places else y), land.number)
        if places:
            board.shape([_corners(Box(x - width / 2, y + 0.4, width, 4.4))], fill=1.0)
            board.fitted(x, y + 3.5, name, width - 2, size=8.5, align="centre")


def _fits(land: Land, place: Point, width: float) -> bool:
    """Whether number and name lie wholly inside the piece, about this place."""
    x, y = place
    return bool(shapely.box(x - width / 2, y - 6, x + width / 2, y + 5).within(land.shape))


def _draw_badge(board: MapCanvas, centre: Point, number: int) -> None:
    x, y = centre
    board.shape([_circle(centre, _BADGE, 36)], width=0.25, fill=1.0)
    board.fitted(x, y + 1.1, str(number), 1.6 * _BADGE, size=8.5, bold=True, align="centre")


def _draw_foot(board: MapCanvas, box: Box, content: TeamContent, n: float) -> None:
    """Scale bar on the left, the scale in words in the middle, north arrow on the right."""
    unit = content.result.unit
    longest = from_mm(max(content.plat.width, content.plat.depth), unit)
    length = round_length(longest / 4)
    bar = Box(box.x, box.y + 6.5, length * MM_PER[unit] / n, 2.0)
    draw_scale_bar(board, bar, length, unit)
    words = bar.x + bar.width + 16
    room = box.x + box.width - 20 - words
    board.fitted(words, box.y + 6.5, f"Scale 1 : {n:g}", room, size=11, bold=True)
    board.fitted(words, box.y + 11, _remarks(content.plat), room, size=8)
    _draw_north(board, (box.x + box.width - 7, box.y + 1))


def _remarks(plat: Plat) -> str:
    said = "North is the parcel's top."
    if plat.frame == "card":
        said = "The photo does not tell where the parcel lies: north is the top of the card."
    inferred = any(ring.inferred for piece in plat.pieces for ring in (piece.ring, *piece.holes))
    said = f"{said} Dashed: not seen in the photo." if inferred else said
    return f"{said} Grey on a line: not seen." if any(line.inferred for line in plat.lines) else said


def draw_scale_bar(board: MapCanvas, bar: Box, length: float, unit: Unit) -> None:
    """Four parts, black and white in turn, with the numbers at the start, the middle and the end."""
    part = bar.width / 4
    for index in range(4):
        board.shape([_corners(Box(bar.x + index * part, bar.y, part, bar.height))], fill=0.0 if index % 2 == 0 else 1.0)
    board.shape([_corners(bar)], width=0.25)
    for share, words in ((0.0, "0"), (0.5, f"{length / 2:g}"), (1.0, f"{length:g} {unit}")):
        board.fitted(bar.x + share * bar.width, bar.y - 1.4, words, 14, size=9, align="centre")


def _draw_north(board: MapCanvas, top: Point) -> None:
    x, y = top
    board.fitted(x, y + 3, "N", 8, size=11, bold=True, align="centre")
    tip, foot, waist = (x, y + 4.2), y + 14.0, (x, y + 11.6)
    board.shape([[tip, (x - 3.2, foot), waist]], width=0.3, fill=0.0)
    board.shape([[tip, (x + 3.2, foot), waist]], width=0.3, fill=1.0)


def _rings(piece: Piece) -> list[list[Point]]:
    return [_places(ring.points) for ring in (piece.ring, *piece.holes)]


def _places(points: FloatArray) -> list[Point]:
    return [_place(point) for point in points]


def _place(point: FloatArray) -> Point:
    return float(point[0]), float(point[1])


def _corners(box: Box) -> list[Point]:
    return [_place(corner) for corner in box.corners]


def _circle(centre: Point, radius: float, sides: int) -> list[Point]:
    angles = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    return [(centre[0] + radius * float(np.cos(a)), centre[1] + radius * float(np.sin(a))) for a in angles]
