"""The model as seen from above with its outlines, lines, names and corners' numbers: what children need to measure.

No area, no length and no verdict is in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely
from PIL import Image

from measure.result.result import CorrectedResult, PieceResult, Result
from measure.result.result_values import Place
from measure.units import MM_PER

_TEXT = 1 / 34
"""Height of the letters, of the picture's longer side."""


@dataclass(frozen=True)
class Label:
    """A word or a number at a place, in px of the picture."""

    text: str
    x: float
    y: float


@dataclass(frozen=True)
class NumberedPiece:
    """One outline in px: SVG points, its name in its middle, its corners' numbers; curves have no corners.

    Of a piece of a line, which is open, the points along its middle.
    """

    points: str
    name: Label
    corners: tuple[Label, ...] = ()
    open: bool = False


@dataclass(frozen=True)
class Numbered:
    """The picture's size in px, the height of its letters, and its pieces."""

    width: int
    height: int
    letter: float
    pieces: tuple[NumberedPiece, ...]


def numbered(result: Result, folder: Path) -> Numbered | None:
    """What is drawn over the picture from above; None where there is none."""
    known = result.corrected
    if known is None or not (folder / Path(known.file).name).is_file():
        return None
    with Image.open(folder / Path(known.file).name) as picture:
        width, height = picture.size
    return Numbered(width, height, max(width, height) * _TEXT, tuple(_pieces(result, known)))


def _pieces(result: Result, known: CorrectedResult) -> Iterator[NumberedPiece]:
    for zone in result.zones:
        for number, piece in enumerate(zone.pieces, 1):
            if len(piece.outline) >= 3:
                name = f"{zone.name} {number}" if len(zone.pieces) > 1 else zone.name
                yield _piece(name, piece, MM_PER[result.unit], known)
    for line in result.lines:
        for number, course in enumerate(line.pieces, 1):
            name = f"{line.name} {number}" if len(line.pieces) > 1 else line.name
            places = _in_px(course.centreline, MM_PER[result.unit], known)
            yield NumberedPiece(_svg(places), Label(name, *places[len(places) // 2]), open=True)


def _in_px(points: Sequence[Place], mm: float, known: CorrectedResult) -> list[Place]:
    (left, top), scale = known.origin_mm, known.mm_per_px
    return [((x * mm - left) / scale + 0.5, (y * mm - top) / scale + 0.5) for x, y in points]


def _svg(places: Sequence[Place]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def _piece(name: str, piece: PieceResult, mm: float, known: CorrectedResult) -> NumberedPiece:
    places = _in_px(piece.outline, mm, known)
    middle = shapely.make_valid(shapely.Polygon(places)).representative_point()
    corners = () if piece.curved else tuple(Label(str(n), x, y) for n, (x, y) in enumerate(places, 1))
    return NumberedPiece(_svg(places), Label(name, middle.x, middle.y), corners)
