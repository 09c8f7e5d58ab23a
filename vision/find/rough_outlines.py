"""Rough outlines as they are found, and what bounds each of their sides: their own tape, a neighbour's strip, or the
parcel's edge without tape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.find.tape_mask import TapeMask

TAPE_THICKNESS = 0.12
"""Height of a tape's face above the board where the challenge gives none, mm (common practice, no source)."""
BESIDE, PAPERED, ON_BORDER = 2.0, 0.25, 2.5
"""Where paper is looked for, mm inside the tape, the share of a side along which it must lie, and how far off a side's
outer edge a border may lie, mm, below which the tape's inner edge shows.
"""


@dataclass(frozen=True, eq=False)
class SideTapes:
    """The tape along every side of an outline, each (n,): width and height of its face in mm, number of its roll, and
    whether paper of its own colour lies along its inner edge; glared: glare has made some of it paler.

    Roll 0 is the outline's own.  A width of 0: there is no tape.
    """

    width: FloatArray
    height: FloatArray
    roll: NDArray[np.intp]
    papered: NDArray[np.bool_]
    glared: bool = False


@dataclass(frozen=True, eq=False)
class EdgePoints:
    """Where tape edges pass in the photo: side number, +1 outer or -1 inner edge, pixels (n, 2), found (n,).

    Profiles of both edges at one place stand half the array apart.  agreed: what does not lie on its side's line has
    been sorted out already.
    """

    side: NDArray[np.intp]
    edge: FloatArray
    pixels: FloatArray
    found: NDArray[np.bool_]
    agreed: bool = False


@dataclass(frozen=True, eq=False)
class Borrowed:
    """A side that is not of the outline's own tape: a strip of another outline, or one of the parcel's edges.

    edge counts the parcel's edges from the origin's clockwise: 0 top, 1 right, 2 bottom, 3 left; -1 with a lender.
    """

    side: int
    lender: Found | None = None
    edge: int = -1


@dataclass(frozen=True, eq=False)
class Found:
    """A rough outline: swatch, corners (n, 2) mm clockwise in the picture, tape width and height in mm, its tape's
    mask.

    edges are the tape's edges in the photo, once they have been read; borrowed the sides that other things bound.
    glared: glare has made some of its tape paler.  width_doubtful: nothing proves the tape's width, it may be less.
    doubled: sides along which a second strip lies partly over the first, and how far beside it, mm.
    rim: how far paper of the tape's colour may stick out from under it unseen, mm; 0 where it does not seem to.
    """

    swatch: int
    corners: FloatArray
    width: float
    height: float
    curved: bool
    tape: TapeMask
    edges: EdgePoints | None = None
    borrowed: tuple[Borrowed, ...] = ()
    glared: bool = False
    width_doubtful: bool = False
    doubled: tuple[tuple[int, float], ...] = ()
    rim: float = 0.0

    @property
    def face(self) -> float:
        """Height of what the photo shows of the tape above the plane, mm."""
        return self.height if self.height > 0 else TAPE_THICKNESS

    @property
    def open_edges(self) -> tuple[Borrowed, ...]:
        """The sides along the parcel's edge that have no tape."""
        return tuple(b for b in self.borrowed if b.lender is None)

    def tapes(self) -> SideTapes:
        """What tape bounds each side; a side along the parcel's edge has a width of 0."""
        count = len(self.corners)
        width, height = np.full(count, self.width), np.full(count, self.face)
        roll: NDArray[np.intp] = np.zeros(count, dtype=np.intp)
        lenders = list(dict.fromkeys(id(b.lender) for b in self.borrowed))
        for b in self.borrowed:
            roll[b.side] = 1 + lenders.index(id(b.lender))
            width[b.side], height[b.side] = (b.lender.width, b.lender.face) if b.lender else (0.0, 0.0)
        return SideTapes(width, height, roll, self.papered(), self.glared)

    def papered(self) -> NDArray[np.bool_]:
        """Which sides (n,) have paper of the tape's own colour along their inner edge."""
        start, end = self.corners, np.roll(self.corners, -1, axis=0)
        along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
        inwards = (0.5 * self.width + BESIDE) * np.column_stack([-along[:, 1], along[:, 0]])
        t = np.linspace(0.2, 0.8, 25)[:, None, None]
        return np.asarray(self.tape.read_paper(start + t * (end - start) + inwards).mean(axis=0) > PAPERED)

    def proven(self) -> NDArray[np.bool_]:
        """Which sides (n,) are tape for sure: with such paper, where the tape's inner edge shows; no parcel's edge."""
        own = np.ones(len(self.corners), dtype=bool)
        if self.tape.proven is None or not self.papered().any():
            return own
        start, end = self.corners, np.roll(self.corners, -1, axis=0)
        along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
        outer = 0.5 * self.width * np.column_stack([along[:, 1], -along[:, 0]])
        places = shapely.points(start + np.linspace(0.2, 0.8, 13)[:, None, None] * (end - start) + outer)
        borders = shapely.linestrings(self.tape.proven)
        near = shapely.distance(places[..., None], borders) < ON_BORDER
        own = near.any(axis=2).mean(axis=0) > 0.5
        own[[b.side for b in self.open_edges]] = False
        return np.asarray(own, dtype=np.bool_)

    def layers_apart(self) -> FloatArray:
        """How far beside its strip a second one lies along each side (n,), mm; 0 where there is none."""
        apart = np.zeros(len(self.corners))
        for side, by in self.doubled:
            apart[side] = by
        return apart

    def mask_of(self, side: int) -> TapeMask | None:
        """The mask of the tape along a side; None along the parcel's edge."""
        other = next((b for b in self.borrowed if b.side == side), None)
        if other is None:
            return self.tape
        return other.lender.tape if other.lender else None

    def without_side(self, side: int, corners: FloatArray) -> Found:
        """The outline with these corners, one side fewer than before."""
        kept = tuple(replace(b, side=b.side - (b.side > side)) for b in self.borrowed if b.side != side)
        doubled = tuple((i - (i > side), by) for i, by in self.doubled if i != side)
        return replace(self, corners=corners, borrowed=kept, doubled=doubled)
