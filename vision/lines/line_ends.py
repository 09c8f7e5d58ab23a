"""How a line ends: for all to see, at the parcel's edge, on another piece of itself, or under something."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.lines.centreline import Centreline
from vision.lines.shown.strands import alike
from vision.picture.rectified import Rectified
from vision.picture.traced_lines import LineEndKind

EDGE = 3.0
"""How near to the parcel's edge a line ends there, mm."""
BEYOND, ACROSS = (1.0, 5.0), 0.3
"""Between which distances past an end it is looked what lies there, mm, and how far to either side, in widths."""
AROUND = 12.0
"""Within how many mm of an end tape is looked at for how it shows there."""

KNOWN = 0.6
"""Share of what lies past an end that is tape or ground, at least: where both meet, their colours mix."""


def end_kind(
    line: Centreline, joined: bool, side: int, parcel: FloatArray | None, picture: Rectified,
    taped: Mapping[int, NDArray[np.bool_]],
) -> LineEndKind:  # fmt: skip
    """How a line's first (0) or last (1) point ends it; parcel: its corners (4, 2); taped (h, w): where tapes lie in
    the picture, by their boxes.

    Tape hides nothing: lines are laid over it.
    """
    if line.closed or joined:
        return "joined"
    if parcel is not None:
        land, end = shapely.Polygon(parcel), shapely.Point(line.points[-side])
        if not land.contains(end) or land.exterior.distance(end) < EDGE:
            return "edge"
    bare = line.bare[side] or any(_on_tape(line, side, picture, tape) for tape in taped.values())
    return "free" if bare else "hidden"


def _on_tape(line: Centreline, side: int, picture: Rectified, tape: NDArray[np.bool_]) -> bool:
    """Whether past an end lie this tape, in the colour that it has there, and the ground beside the line."""
    end = line.points[-side]
    back = line.points[min(3, len(line.points) - 1)] if side == 0 else line.points[max(-4, -len(line.points))]
    along = (end - back) / max(float(np.linalg.norm(end - back)), 1e-9)
    across = np.array([-along[1], along[0]]) * line.width
    beyond = [end + far * along + by * across for far in np.linspace(*BEYOND, 9) for by in (-ACROSS, 0.0, ACROSS)]
    x, y = np.rint(picture.to_px(np.array(beyond))).astype(np.int64).T
    height, width = tape.shape
    if x.min() < 0 or y.min() < 0 or x.max() >= width or y.max() >= height or not tape[y, x].any():
        return False
    reach = round(AROUND / picture.mm_per_px)
    column, row = np.rint(picture.to_px(end[None])[0]).astype(int)
    part = (slice(max(0, row - reach), row + reach + 1), slice(max(0, column - reach), column + reach + 1))
    usual = np.median(picture.bgr[part][tape[part]], axis=0)
    seen = picture.bgr[y, x].astype(np.float64)
    known = np.array([alike(seen, np.broadcast_to(colour, seen.shape)) for colour in (usual, *line.beside[-side])])
    return bool(known.any(axis=0).mean() >= KNOWN)
