"""Sensitivities put into their columns among more sources."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.picture.traced import Cause, Traced, TracedPiece, TracedRing
from vision.picture.traced_lines import TracedLine

Columns = Sequence[int] | NDArray[np.int64]


def spread(sensitivity: FloatArray, columns: Columns, total: int) -> FloatArray:
    """Sensitivities (..., k) put into their k columns among `total`."""
    wide = np.zeros((*sensitivity.shape[:-1], total))
    wide[..., columns] = sensitivity
    return wide


def ring_over(ring: TracedRing, columns: Columns, total: int) -> TracedRing:
    """A ring whose sources have these columns."""
    return replace(ring, sensitivity=spread(ring.sensitivity, columns, total))


def piece_over(piece: TracedPiece, columns: Columns, total: int) -> TracedPiece:
    """A piece whose sources have these columns."""
    ring, *holes = (ring_over(ring, columns, total) for ring in (piece.ring, *piece.holes))
    width = spread(piece.width_sensitivity, columns, total)
    return replace(piece, ring=ring, holes=tuple(holes), width_sensitivity=width)


def line_over(line: TracedLine, columns: Columns, total: int) -> TracedLine:
    """A piece of line whose sources have these columns."""
    return replace(
        line,
        sensitivity=spread(line.sensitivity, columns, total),
        length_sensitivity=spread(line.length_sensitivity, columns, total),
        width_sensitivity=spread(line.width_sensitivity, columns, total),
    )


def with_more_causes(traced: Traced, more: Sequence[Cause]) -> Traced:
    """The same outlines, which do not depend on causes that come after their own."""
    total = len(traced.causes) + len(more)
    own = np.arange(len(traced.causes))
    return replace(
        traced,
        causes=(*traced.causes, *more),
        pieces=tuple(piece_over(p, own, total) for p in traced.pieces),
        parcel=None if traced.parcel is None else ring_over(traced.parcel, own, total),
    )
