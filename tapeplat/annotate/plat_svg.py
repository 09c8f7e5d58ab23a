"""`plat.svg`: the plat as a drawing at true scale, one millimetre of the drawing to one of the parcel.

The drawing's coordinates are the parcel's frame in mm.  Every ring is one path with `data-zone`, `data-piece` (from 1
within its zone) and `data-ring` ("outline", or "hole 1" and on); stretches that no photo shows are dashed.  Lines are
paths with `data-line` and `data-piece`, along their middles.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from html import escape

import numpy as np
import shapely
from shapely.geometry import Polygon

from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import FloatArray
from tapeplat.annotate.outline_parts import has_outline, line_parts, seen_and_inferred
from tapeplat.wording.notes import LineNote, PieceNote

_MARGIN = 10.0
"""White around the parcel, mm."""
_DECIMALS = 4
"""Of a millimetre: far below any photo's uncertainty, so that the drawing adds none."""
_STYLE = """
  .parcel { fill: #ffffff; stroke: #767676; stroke-width: 0.5 }
  .fill { fill: #dfe6ee; stroke: none }
  .keep-clear { fill: url(#keep-clear) }
  .ring { fill: none; stroke: #08163a; stroke-width: 0.7; stroke-linejoin: round }
  .inferred { fill: none; stroke: #ffffff; stroke-width: 0.9; stroke-dasharray: 2 2 }
  .line { fill: none; stroke: #58185c; stroke-width: 0.7; stroke-linejoin: round }
  text { font-family: sans-serif; fill: #12141a; text-anchor: middle }
"""


def plat_svg(plat: Plat, notes: Sequence[PieceNote], title: str, lines_said: Sequence[LineNote] = ()) -> str:
    """The drawing as an SVG text. notes hold each piece's words, in the plat's order, lines_said those of lines."""
    left, top, right, bottom = _bounds(plat)
    size = f'width="{right - left:.3f}mm" height="{bottom - top:.3f}mm"'
    view = f'viewBox="{left:.3f} {top:.3f} {right - left:.3f} {bottom - top:.3f}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} role="img">',
        f"<title>{_text(title)}</title>",
        f"<style>{_STYLE}</style>",
        '<defs><pattern id="keep-clear" width="5" height="5" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V5" stroke="#08163a" stroke-width="0.6"/></pattern></defs>',
        *_parcel(plat),
    ]
    numbers: Counter[str] = Counter()
    for piece, note in zip(plat.pieces, notes, strict=True):
        numbers[piece.zone] += 1
        if has_outline(piece):
            lines += _piece(piece, note, numbers[piece.zone])
    text = max(3.0, max(right - left, bottom - top) / 55)
    pairs = zip(plat.pieces, notes, strict=True)
    lines += [line for piece, note in pairs if has_outline(piece) for line in _words(piece, note, text)]
    lines += _lines(lines_said, text)
    return "\n".join([*lines, "</svg>"]) + "\n"


def _lines(notes: Sequence[LineNote], size: float) -> Iterator[str]:
    """Every piece of a line, and its words at its middle."""
    numbers: Counter[str] = Counter()
    for note in notes:
        numbers[note.line] += 1
        data = f'data-line={_quoted(note.line)} data-piece="{numbers[note.line]}"'
        yield f'<path class="line" {data} d="M{_points(note.points)}"/>'
        for part in line_parts(note.points, note.inferred):
            if part.inferred:
                yield f'<path class="inferred" d="M{_points(part.points)}"/>'
        x, y = note.points[len(note.points) // 2] if len(note.points) > 2 else note.points.mean(axis=0)
        yield f'<text x="{x:.2f}" y="{y - 0.3 * size:.2f}" font-size="{0.7 * size:.2f}">{_text(note.text)}</text>'


def _bounds(plat: Plat) -> tuple[float, float, float, float]:
    """The parcel, where its place is known, and every piece, with a margin; in mm."""
    points = [piece.ring.points for piece in plat.pieces if has_outline(piece)]
    if plat.frame != "card" or not points:
        points.append(np.array([[0.0, 0.0], [plat.width, plat.depth]]))
    every = np.vstack(points)
    left, top = every.min(axis=0) - _MARGIN
    right, bottom = every.max(axis=0) + _MARGIN
    return float(left), float(top), float(right), float(bottom)


def _parcel(plat: Plat) -> list[str]:
    """The parcel as measured, else as stated; nothing where the photo does not tell its place."""
    if plat.parcel is not None:
        return [f'<path class="parcel" d="{_path(plat.parcel.points)}"/>']
    if plat.frame == "card":
        return []
    return [f'<rect class="parcel" x="0" y="0" width="{plat.width:.3f}" height="{plat.depth:.3f}"/>']


def _piece(piece: Piece, note: PieceNote, number: int) -> Iterator[str]:
    kind = "fill keep-clear" if note.keep_clear else "fill"
    rings = [("outline", piece.ring), *((f"hole {i}", hole) for i, hole in enumerate(piece.holes, start=1))]
    yield f'<path class="{kind}" fill-rule="evenodd" d="{" ".join(_path(ring.points) for _, ring in rings)}"/>'
    for name, ring in rings:
        data = f'data-zone={_quoted(piece.zone)} data-piece="{number}" data-ring="{name}"'
        yield f'<path class="ring" {data} d="{_path(ring.points)}"/>'
        yield from _inferred(ring)


def _inferred(ring: Ring) -> Iterator[str]:
    """White dashes over what no photo shows, so that the line below them looks dashed."""
    for part in seen_and_inferred(ring):
        if part.inferred:
            yield f'<path class="inferred" d="M{_points(part.points)}"/>'


def _words(piece: Piece, note: PieceNote, size: float) -> Iterator[str]:
    polygon = shapely.make_valid(Polygon(piece.ring.points, [hole.points for hole in piece.holes]))
    x, y = shapely.maximum_inscribed_circle(polygon, tolerance=1.0).coords[0]
    name = f"{note.name} (keep clear)" if note.keep_clear else note.name
    yield f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}" font-weight="bold">{_text(name)}</text>'
    yield f'<text x="{x:.2f}" y="{y + 1.15 * size:.2f}" font-size="{0.8 * size:.2f}">{_text(note.area)}</text>'


def _path(points: FloatArray) -> str:
    return f"M{_points(points)}Z"


def _points(points: FloatArray) -> str:
    return " ".join(f"{x:.{_DECIMALS}f},{y:.{_DECIMALS}f}" for x, y in points)


def _text(text: str) -> str:
    return escape(_clean(text), quote=False)


def _quoted(text: str) -> str:
    """As an attribute's value."""
    return '"' + _text(text).replace('"', "&quot;") + '"'


def _clean(text: str) -> str:
    """Without the control characters that XML cannot hold."""
    return "".join(c for c in text if c.isprintable() or c == " ")
