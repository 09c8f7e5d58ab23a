"""Two attempts' outlines over each other, at true scale: before dashed, after in full lines."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

import numpy as np
import shapely

from measure.plat.plat import Piece, Plat, Ring
from tapeplat.annotate.outline_parts import has_outline

_MARGIN = 10.0
_STYLE = """
  .parcel { fill: #ffffff; stroke: #767676; stroke-width: 0.5 }
  .after { fill: #dfe6ee; stroke: #08163a; stroke-width: 0.9; stroke-linejoin: round }
  .before { fill: none; stroke: #8a4b08; stroke-width: 0.9; stroke-dasharray: 3 2; stroke-linejoin: round }
  text { font-family: sans-serif; fill: #12141a; text-anchor: middle }
  .key { text-anchor: start }
"""


def overlay_svg(before: Plat, after: Plat, names: tuple[str, str]) -> str:
    """The drawing as SVG, in mm of the parcel's frame; names are the two attempts'."""
    low, high = _bounds(before, after)
    size = max(3.0, float(max(high - low)) / 36)
    foot = 3.4 * size
    left, top = low - _MARGIN
    width, height = high - low + 2 * _MARGIN
    lines = [
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" '
        f'width="{width:.2f}mm" height="{height + foot:.2f}mm" '
        f'viewBox="{left:.2f} {top:.2f} {width:.2f} {height + foot:.2f}">',
        f"<title>{escape(f'{names[0]} (dashed) and {names[1]} (full lines)')}</title>",
        f"<style>{_STYLE}</style>",
        f'<rect class="parcel" x="0" y="0" width="{after.width:.2f}" height="{after.depth:.2f}"/>',
        *(_piece(piece, "after") for piece in after.pieces if has_outline(piece)),
        *(_piece(piece, "before") for piece in before.pieces if has_outline(piece)),
        *_names(before, after, size),
        *_key(names, left + _MARGIN, top + height, size),
    ]
    return "\n".join([*lines, "</svg>"]) + "\n"


def _bounds(before: Plat, after: Plat) -> tuple[np.ndarray, np.ndarray]:
    every = [np.array([[0.0, 0.0], [plat.width, plat.depth]]) for plat in (before, after)]
    every += [piece.ring.points for plat in (before, after) for piece in plat.pieces if has_outline(piece)]
    points = np.vstack(every)
    return points.min(axis=0), points.max(axis=0)


def _piece(piece: Piece, style: str) -> str:
    path = " ".join(_path(ring) for ring in (piece.ring, *piece.holes))
    return f'<path class="{style}" data-zone="{escape(_clean(piece.zone))}" fill-rule="evenodd" d="{path}"/>'


def _path(ring: Ring) -> str:
    return "M" + " ".join(f"{x:.3f},{y:.3f}" for x, y in ring.points) + "Z"


def _names(before: Plat, after: Plat, size: float) -> Iterator[str]:
    """Every piece's zone where it is now; zones that are gone, where they were."""
    here = {piece.zone for piece in after.pieces if has_outline(piece)}
    gone = [piece for piece in before.pieces if has_outline(piece) and piece.zone not in here]
    for piece in [*(p for p in after.pieces if has_outline(p)), *gone]:
        shape = shapely.make_valid(shapely.Polygon(piece.ring.points, [hole.points for hole in piece.holes]))
        at = shape.representative_point()
        name = piece.zone if piece.zone in here else f"{piece.zone} (gone)"
        yield f'<text x="{at.x:.2f}" y="{at.y:.2f}" font-size="{size:.2f}">{escape(_clean(name))}</text>'


def _key(names: tuple[str, str], left: float, top: float, size: float) -> Iterator[str]:
    for row, (style, name) in enumerate(zip(("before", "after"), names, strict=True)):
        y = top + (row + 0.6) * 1.5 * size
        yield f'<path class="{style}" d="M{left:.2f},{y - size / 3:.2f}h{4 * size:.2f}"/>'
        text = escape(_clean(name))
        yield f'<text class="key" x="{left + 4.6 * size:.2f}" y="{y:.2f}" font-size="{size:.2f}">{text}</text>'


def _clean(text: str) -> str:
    """Without the control characters that XML cannot hold."""
    return "".join(c for c in text if c.isprintable() or c == " ")
