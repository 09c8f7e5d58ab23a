"""Whether the inner edge of an outline's tape shows, which proves how wide the tape is.

Paper of the tape's own colour hides that edge, and the border of a pond on it, where it runs along the tape for a
while, passes for it: then the tape may be narrower than it seems.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.find.closing import Candidate, clockwise, off_corners
from vision.find.rough_outlines import Found
from vision.find.tape_mask import TapeMask

AT_EDGE, DEEP = 1.2, 60.0
"""How far from where it is expected the tape's colour may end inside, mm, and how deep that is looked for, mm."""
LEAST_SHARE, SURE_SHARE = 0.45, 0.85
"""Share of an outline along which its colour ends at the tape's inner edge, of all that ends there or goes on: from
which that edge is taken for the tape's, and from which nothing else can be meant.
"""
NARROWER = 0.3
"""Spread of how much narrower than it seems tape is whose width nothing proves, relative."""
EDGE_ON_PAPER = 0.25
"""Standard uncertainty of the place of tape's inner edge on paper of its own colour, mm, on all sides alike: a thin
shadow that the tape throws, or a gap, is as strong there as the step (measured on drawn models).
"""
HARDLY = 0.33
"""Points of a side's inner edge against those of its outer one, below which the outer one decides alone."""


def inner_edge_share(closed: Sequence[Candidate], width: float, tape: TapeMask) -> float:
    """As `share_at_inner_edge`, the largest of the outlines that strips close; 0 of none."""
    return max((share_at_inner_edge(clockwise(c.corners), width, tape) for c in closed), default=0.0)


def with_doubtful_widths(found: Sequence[Found]) -> list[Found]:
    """The outlines, marked where neither they nor another straight one of the same roll prove the tape's width."""
    straight = [f for f in found if not f.curved]
    shares = ((f, share_at_inner_edge(f.corners, f.width, f.tape, _borrowed(f))) for f in straight)
    proven = {f.swatch for f, share in shares if share >= LEAST_SHARE}
    doubtful = [not f.curved and f.swatch not in proven for f in found]
    return [replace(f, width_doubtful=True) if d else f for f, d in zip(found, doubtful, strict=True)]


def outer_edge_alone(outline: Found) -> NDArray[np.bool_]:
    """Which sides (n,) of an outline whose edges are read show the outer edge of their tape and hardly the inner one,
    as paper of the tape's own colour lies up to it.
    """
    points, papered = outline.edges, outline.papered()
    if points is None:
        return np.zeros(len(papered), dtype=bool)
    outer, inner = (
        np.bincount(points.side[points.found & (points.edge == edge)], minlength=len(papered)) for edge in (1.0, -1.0)
    )
    return np.asarray(papered & (outer > 0) & (inner < HARDLY * outer), dtype=np.bool_)


def spread_on_paper(outline: Found, spill: float) -> FloatArray:
    """How far the middle of each side (n,) on paper of its tape's colour may lie off, mm, that of all sides together.

    spill: by how much the light that spills over its two edges may differ, half of it, mm.
    """
    return np.asarray(outline.papered() * np.linalg.norm([spill, EDGE_ON_PAPER / 2, outline.rim / np.sqrt(12)]))


def share_at_inner_edge(corners: FloatArray, width: float, tape: TapeMask, besides: Sequence[int] = ()) -> float:
    """Share of an outline (n, 2) mm along which its tape's colour ends at the inner edge of tape of this width, mm.

    corners run clockwise in the picture; sides `besides` do not count, nor what something else than the tape's colour
    hides.
    """
    depth = _depth(corners, width, tape, besides) - width / 2
    ends, goes_on = (np.abs(depth) < AT_EDGE).sum(), (depth >= AT_EDGE).sum()
    return float(ends / (ends + goes_on)) if ends + goes_on else 1.0


def _depth(corners: FloatArray, width: float, tape: TapeMask, besides: Sequence[int]) -> FloatArray:
    """How deep inside an outline's middle its tape's colour ends, mm, at every mm (k,) where tape shows off corners."""
    ends = np.roll(corners, -1, axis=0)
    length = np.linalg.norm(ends - corners, axis=1)
    around = float(length.sum())
    at = np.arange(0.5, max(1.0, around), 1.0)
    side = np.minimum(np.searchsorted(np.cumsum(length), at, side="right"), len(corners) - 1)
    along = ((ends - corners) / length[:, None])[side]
    points = shapely.get_coordinates(shapely.line_interpolate_point(shapely.LinearRing(corners), at))
    free = tape.read(points) & off_corners(corners, around, width) & ~np.isin(side, besides)
    inwards = np.column_stack([-along[:, 1], along[:, 0]])
    steps = np.arange(0.0, DEEP, tape.picture.mm_per_px)
    taped = tape.read(points[free, None] + steps[None, :, None] * inwards[free, None])
    first = np.where(taped.all(axis=1), len(steps) - 1, np.argmin(taped, axis=1))
    return np.asarray(steps[first], dtype=np.float64)


def _borrowed(outline: Found) -> list[int]:
    return [b.side for b in outline.borrowed]
