"""Zones laid out with paper of their tape's own colour, up to the tape or under it.

Such a zone is one patch of colour: no mask shows where the tape ends and the paper begins.  Yet no two materials are
quite alike.  Seen from the patch's outer border inwards, and averaged along its straight edges, the colour steps at the
tape's inner edge: at the same depth and in the same way on all sides, which no light, shadow or texture does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.colour.colour_classes import Classes
from vision.find.inner_edges import ColoursAt, InnerEdge, inner_edge
from vision.find.strips import Edge, straight_edges
from vision.find.tape_mask import TapeMask
from vision.picture.rectified import Rectified

LEAST_DEPTH = 10.0
"""Radius of a circle inside a patch, mm, from which it is looked at: a band of tape holds no such circle, or a step
that ends with the tape.
"""
ACROSS = 8.0
"""Width of a cable or cord that may lie across a patch, mm."""
NEAR, BROADEST, LEAST_GROUND = 5.0, 14.0, 0.15
"""How far from a patch the board is looked for, half the width of others' tape at most, mm, and the share of all ground
there that one colour of the board, in light or in shadow, makes up.
"""
STRAIGHT_SHARE, ON_BOARD = 0.5, 0.25
"""Shares of a patch's border that straight edges along bare board or others' tape, and along bare board, must make up;
what fills another zone borders on its tape.
"""
ONE_ROLL = 0.06
"""How much the widths of two pieces of one roll may differ, besides half a mm."""
WORN = 2.5
"""How much narrower than the tape its band in a mask may be, mm, where thin tape's edges take the board's colour."""
PAPER = 255
"""The number of such paper among the grounds."""


@dataclass(frozen=True, eq=False)
class Patch:
    """One patch of a tape's colour: its pixels in a cut-out of the tape's mask, the cut-out with the patch and its
    holes filled, and the cut-out's rows and columns in the mask.
    """

    own: NDArray[np.bool_]
    filled: TapeMask
    rows: slice
    columns: slice


def without_own_paper(
    tape: TapeMask, classes: Classes, colours_at: ColoursAt, known_width: float, largest: float, *, sure: bool
) -> TapeMask:
    """The mask without the paper that lies inside its tape; the paper counts as bare ground.

    known_width: of the roll in mm where other outlines show it, else 0; less, if a clear step says so, where it is not
    `sure`.  largest: area of a zone, mm2; more is a board or table of the tape's colour.
    """
    small = [p for p in patches_of(tape) if p.filled.mask.sum() * tape.picture.mm_per_px**2 <= largest]
    patches = [(patch, _beside(patch, classes, tape)) for patch in small]
    steps = [(patch, beside, _step(patch, beside, tape, colours_at)) for patch, beside in patches]
    edged = [(patch, beside, step) for patch, beside, step in steps if step]
    if not edged:
        return tape
    clearest = max((step for _, _, step in edged), key=lambda step: step.clear).depth
    if known_width and not sure and clearest < (1 - ONE_ROLL) * known_width - WORN:
        known_width = 0.0
    width = known_width or clearest
    papers, proven = np.zeros_like(tape.mask), list[FloatArray]()
    for patch, beside, step in edged:
        if -ONE_ROLL * width - 0.5 <= step.depth - width <= ONE_ROLL * width + (WORN if known_width else 0.5):
            # Where the board's colour has worn the mask's bands, this one is made as narrow, from both of its edges.
            paper = patch.own & (_depth(beside, patch.filled) > min(step.depth, width))
            papers[patch.rows, patch.columns][paper] = 1
            proven += [np.stack([edge.start, edge.end]) for edge in step.below]
    mask, ground = (np.where(papers, other, m).astype(np.uint8) for m, other in ((tape.mask, 0), (tape.ground, PAPER)))
    return replace(tape, mask=mask, ground=ground, paper=papers, proven=np.array(proven).reshape(-1, 2, 2))


def patches_of(tape: TapeMask) -> list[Patch]:
    """Connected parts of the mask that are too broad for a narrow band; what lies across a patch does not part it."""
    per_px = tape.picture.mm_per_px
    if (cv2.distanceTransform(tape.mask, cv2.DIST_L2, 3) * per_px).max() <= LEAST_DEPTH:
        return []
    across = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(ACROSS / 2 / per_px) + 1,) * 2)
    whole = cv2.morphologyEx(tape.mask, cv2.MORPH_CLOSE, across) & (tape.ground == 0)
    broad = cv2.distanceTransform(np.asarray(whole, dtype=np.uint8), cv2.DIST_L2, 3) * per_px > LEAST_DEPTH
    _, labels, stats, _ = cv2.connectedComponentsWithStats(np.asarray(whole, dtype=np.uint8), connectivity=8)
    return [_patch(tape, labels == number, stats[number, :4].tolist()) for number in np.unique(labels[broad])]


def _patch(tape: TapeMask, part: NDArray[np.bool_], bounds: list[int]) -> Patch:
    """One connected part, of these bounds (left, top, width, height) in pixels."""
    picture = tape.picture
    margin = round(6.0 / picture.mm_per_px)
    left, top, width, height = bounds
    rows = slice(max(0, top - margin), top + height + margin)
    columns = slice(max(0, left - margin), left + width + margin)
    part = part[rows, columns]
    contours, _ = cv2.findContours(part.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    filled = np.zeros(part.shape, dtype=np.uint8)
    cv2.drawContours(filled, contours, -1, 1, cv2.FILLED)
    corner = picture.origin + picture.mm_per_px * np.array([columns.start, rows.start])
    cut = Rectified(picture.bgr[rows, columns], picture.mm_per_px, corner)
    own = part & (tape.mask[rows, columns] > 0)
    return Patch(own, TapeMask(filled, tape.ground[rows, columns], cut), rows, columns)


def _beside(patch: Patch, classes: Classes, tape: TapeMask) -> NDArray[np.bool_]:
    """Where in its cut-out the board shows that a patch lies on, and others' bands of tape, where its own may end.

    A block may have another ground's colour, or another tape's.
    """
    per_px = tape.picture.mm_per_px
    ground, labels = tape.ground[patch.rows, patch.columns], classes.labels[patch.rows, patch.columns]
    near = cv2.dilate(patch.filled.mask, np.ones((2 * round(NEAR / per_px) + 1,) * 2, np.uint8)) > 0
    outside = patch.filled.mask == 0
    seen = np.bincount(ground[near & outside], minlength=2)
    seen[0] = 0
    beside = np.isin(ground, np.flatnonzero(seen > LEAST_GROUND * seen.sum()))
    for number in range(1, len(classes.tapes) + 1):
        other = (labels == number).astype(np.uint8)
        if (cv2.distanceTransform(other, cv2.DIST_L2, 3) * per_px).max() < BROADEST:
            beside |= other > 0
    return np.asarray(beside & outside)


def _step(patch: Patch, beside: NDArray[np.bool_], tape: TapeMask, colours_at: ColoursAt) -> InnerEdge | None:
    """The inner edge of a patch's tape; None where none shows, or the patch is no zone's."""
    edges, border = edges_on_ground(patch, beside)
    on_board, _ = edges_on_ground(patch, beside & (tape.ground[patch.rows, patch.columns] > 0))
    if sum(e.length for e in edges) < STRAIGHT_SHARE * border or sum(e.length for e in on_board) < ON_BOARD * border:
        return None
    return inner_edge(edges, tape, colours_at)


def edges_on_ground(patch: Patch, beside: NDArray[np.bool_] | NDArray[np.uint8]) -> tuple[list[Edge], float]:
    """A patch's straight edges along what is `beside` (h, w) it in its cut-out, and the length of its border, mm."""
    near = TapeMask(patch.filled.mask, (beside > 0).astype(np.uint8), patch.filled.picture)
    contours, _ = cv2.findContours(near.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    border = sum(len(c) for c in contours) * near.picture.mm_per_px
    return [e for e in straight_edges(near) if _borders(e, near)], border


def _borders(edge: Edge, near: TapeMask) -> bool:
    """Whether bare ground or others' tape lies along an edge, outside."""
    along = np.linspace(0.1, 0.9, 15)[:, None] * (edge.end - edge.start)
    outside = (edge.start + along)[:, None] - np.array([1.0, 2.0, 3.0])[None, :, None] * edge.inwards
    return bool(near.read_ground(outside).mean() >= 0.5)


def _depth(beside: NDArray[np.bool_], filled: TapeMask) -> FloatArray:
    """How deep every pixel of a filled patch lies below its border on bare ground or others' tape, mm."""
    per_px = filled.picture.mm_per_px
    reach = np.ones((2 * round(2.0 / per_px) + 1,) * 2, np.uint8)
    # Colours mix at the tape's edge, so what borders on the patch is no ground by its colour yet.
    outside = (cv2.dilate(beside.astype(np.uint8), reach) > 0) & (filled.mask == 0)
    return np.asarray(cv2.distanceTransform((~outside).astype(np.uint8), cv2.DIST_L2, 5) - 0.5) * per_px
