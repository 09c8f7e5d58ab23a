"""Measured outlines against the truth: areas and gaps with their stated uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from tests.helpers.scenes.model import Scene, TruePiece
from tests.helpers.scenes.raster import FloatArray
from vision.picture.traced import Traced, TracedPiece, TracedRing


@dataclass(frozen=True)
class Score:
    """One true piece as measured: relative area error, its standard uncertainty, largest corner distance, share
    bridged.
    """

    zone: str
    note: str
    error: float
    u: float
    away: float
    bridged: float

    @property
    def z(self) -> float:
        return self.error / max(self.u, 1e-12)


@dataclass(frozen=True)
class Result:
    """All of a scene: scores of what was found, notes of what was missed, zones of what was found too much."""

    scores: tuple[Score, ...]
    missed: tuple[str, ...]
    extra: tuple[str, ...]


def polygon_of(piece: TracedPiece) -> Polygon:
    return Polygon(piece.ring.points, [h.points for h in piece.holes])


def area(piece: TracedPiece) -> tuple[float, float]:
    """Area in mm2 and its standard uncertainty."""
    total, slope = _ring_area(piece.ring)
    for hole in piece.holes:
        a, s = _ring_area(hole)
        total, slope = total - a, slope - s
    return total, float(np.linalg.norm(slope))


def _ring_area(ring: TracedRing) -> tuple[float, FloatArray]:
    """Gauss's trapezoid formula and its derivative along the sources."""
    x, y = ring.points.T
    total = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    gradient = np.column_stack([np.roll(y, -1) - np.roll(y, 1), np.roll(x, 1) - np.roll(x, -1)]) / 2
    slope = np.einsum("ij,ijk->k", gradient, ring.sensitivity)
    return (total, slope) if total >= 0 else (-total, -slope)


def compare(scene: Scene, traced: Traced) -> Result:
    """Match every true piece with the measured one that overlaps it most; in a card's frame, after a rigid fit.

    A piece that is said to be not measurable counts as missed.
    """
    traced = replace(traced, pieces=tuple(p for p in traced.pieces if p.measurable))
    shapes = [polygon_of(p) for p in traced.pieces]
    if traced.frame == "card":
        shapes = _moved(scene, traced, shapes)
    left = set(range(len(shapes)))
    scores, missed = [], []
    for true in scene.pieces:
        best = max(left, key=lambda i: _overlap(true, traced.pieces[i], shapes[i]), default=None)
        if best is None or _overlap(true, traced.pieces[best], shapes[best]) < 0.5:
            missed.append(f"{true.zone}{' (' + true.note + ')' if true.note else ''}")
            continue
        left.discard(best)
        value, u = area(traced.pieces[best])
        true_area = true.polygon.area
        away = _away(shapes[best], true.polygon)
        scores.append(
            Score(
                true.zone, true.note, (value - true_area) / true_area, u / true_area, away, traced.pieces[best].bridged
            )
        )
    return Result(tuple(scores), tuple(missed), tuple(traced.pieces[i].zone for i in sorted(left)))


def _overlap(true: TruePiece, piece: TracedPiece, shape: Polygon) -> float:
    if piece.zone != true.zone:
        return 0.0
    polygon, shape = true.polygon.buffer(0), shape.buffer(0)
    return float(polygon.intersection(shape).area / polygon.union(shape).area)


def _away(one: Polygon, other: Polygon) -> float:
    """Hausdorff distance of the borders, mm."""
    return float(shapely.hausdorff_distance(one.exterior, other.exterior, densify=0.1))


def _moved(scene: Scene, traced: Traced, shapes: Sequence[Polygon]) -> list[Polygon]:
    """From the card's frame to the parcel's: by the card's true place."""
    card = next(p for p in scene.prints if p.kind == "card")
    x, y, turn = (traced.plane.value(f"card {part}") for part in ("x", "y", "turn"))
    turn = card.turn - turn
    c, s = np.cos(turn), np.sin(turn)

    def carry(points: FloatArray) -> FloatArray:
        return (points - (x, y)) @ np.array([[c, s], [-s, c]]) + card.place

    return [shapely.transform(shape, carry) for shape in shapes]


def gap(one: Polygon, other: Polygon) -> float:
    return float(one.exterior.distance(other.exterior))
