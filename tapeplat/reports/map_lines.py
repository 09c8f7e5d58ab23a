"""Lines on a scale map: each in a stroke of its own, told apart in a grey print by dashes and a letter."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from string import ascii_uppercase

import numpy as np

from measure.quantity import FloatArray
from measure.voice import value_said
from tapeplat.annotate.outline_parts import dashes, line_parts
from tapeplat.paper.pdf.pdf_canvas import Point
from tapeplat.paper.pdf.tiling import View
from tapeplat.reports.map_canvas import MapCanvas
from tapeplat.reports.report_content import TeamContent

_STROKES: tuple[tuple[float, float, float], ...] = (
    (1.1, 0.0, 0.0), (1.1, 3.0, 1.4), (1.1, 0.9, 1.1), (0.5, 0.0, 0.0), (0.5, 3.0, 1.4), (0.5, 0.9, 1.1),
)  # fmt: skip
"""Width, dash and gap in mm, line by line as the challenge has them."""
_CASING = 1.2
"""mm of white around a stroke, so that it shows on any pattern."""
_BADGE = 2.3
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
_HIDDEN_GREY = 0.55
"""What no photo shows."""


def draw_map_lines(board: MapCanvas, content: TeamContent, view: View) -> None:
    """Every piece of every line, with its line's letter at its middle; what no photo shows is grey."""
    names = [line.name for line in content.result.lines]
    shift = np.array([view.dx, view.dy])
    pieces = [piece for piece in content.plat.lines if piece.line in names]
    courses = [(names.index(piece.line), piece.points * view.scale + shift, piece.inferred) for piece in pieces]
    for index, course, _ in courses:
        _run(board, course, _STROKES[index % len(_STROKES)][0] + _CASING, 1.0)
    for index, course, inferred in courses:
        for part in line_parts(course, inferred):
            _stroke(board, part.points, index, _HIDDEN_GREY if part.inferred else 0.0)
    taken: list[Point] = []
    for index, course, _ in courses:
        place = _free_place(course, taken)
        taken.append(place)
        draw_letter(board, place, index)


def line_entries(content: TeamContent) -> list[tuple[str, str]]:
    """The key's lines: name, and length in words."""
    unit, numbers = content.result.unit, content.result.numbers
    said = [
        "not seen" if line.length is None else f"{value_said(line.length, unit, numbers)} long"
        for line in content.result.lines
    ]
    return [(line.name, words) for line, words in zip(content.result.lines, said, strict=True)]


def draw_sample(board: MapCanvas, start: Point, end: Point, index: int) -> None:
    """A stroke of a line for the key."""
    _stroke(board, np.array([start, end]), index, 0.0)


def draw_letter(board: MapCanvas, centre: Point, index: int) -> None:
    """A line's letter in a square, where zones have numbers in circles."""
    (x, y), half = centre, _BADGE
    board.shape([[(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]], fill=1.0)
    letter = ascii_uppercase[index % len(ascii_uppercase)]
    board.fitted(x, y + 1.1, letter, 2 * half, size=8.5, bold=True, align="centre")


def _stroke(board: MapCanvas, course: FloatArray, index: int, grey: float) -> None:
    width, on, off = _STROKES[index % len(_STROKES)]
    for part in dashes(course, on, off) if on else [course]:
        _run(board, part, width, grey)


def _run(board: MapCanvas, course: FloatArray, width: float, grey: float) -> None:
    for start, end in pairwise(course.tolist()):
        board.line((start[0], start[1]), (end[0], end[1]), width=width, grey=grey)


def _free_place(course: FloatArray, taken: Sequence[Point]) -> Point:
    """The place nearest to a course's middle on which no other letter lies; the middle where there is none."""
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(course, axis=0).T))])
    along = lengths[-1] * np.array(_SHARES)
    places = list(zip(*(np.interp(along, lengths, course[:, axis]).tolist() for axis in (0, 1)), strict=True))
    free = (place for place in places if all(max(abs(place[0] - x), abs(place[1] - y)) > 2 * _BADGE for x, y in taken))
    return next(free, places[0])
