"""One model from one or more photos of it, all in the parcel's frame.

Each photo is traced by itself.  A photo that cannot be used is left out with a warning; one that shows another model is
refused.  Of every outline the photo counts that shows most of its tape; where two photos show it equally well, the one
that knows it best.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
from shapely.geometry import Polygon

from calib.edges import FloatArray
from calib.errors import PhotoRefused
from calib.staging import Staging
from vision.outlines import Cause, TapeSpec, Traced, TracedPiece, TracedRing
from vision.photo import Photo
from vision.rectified import Rectified
from vision.trace import trace

SAME_PIECE = 0.5
"""Overlap over union from which two photos' outlines of one zone are the same piece."""
SAME_MODEL = 0.6
"""Share of the outlines that must be found again for a photo to show the same model."""


@dataclass(frozen=True)
class PhotoFacts:
    """What is kept of each photo that was used."""

    file: str
    sha256: str
    mm_per_px: float
    tilt_deg: float


@dataclass(frozen=True, eq=False)
class Model:
    """As Traced, from all photos together."""

    pieces: tuple[TracedPiece, ...]
    causes: tuple[Cause, ...]
    frame: Literal["tiles", "board", "card"]
    parcel: FloatArray | None
    parcel_sensitivity: FloatArray | None
    picture: Rectified
    unread: tuple[str, ...]
    photos: tuple[PhotoFacts, ...]
    warnings: tuple[str, ...]


def model_from(
    files: Sequence[Path], read: Callable[[Path], Photo], staging: Staging, tapes: Sequence[TapeSpec]
) -> Model:
    """Trace every photo and lay them together. Raises PhotoRefused where none can be used, or one is another model's."""
    traced: list[tuple[Photo, Traced]] = []
    refused: list[tuple[Path, PhotoRefused]] = []
    for file in files:
        try:
            photo = read(file)
            traced.append((photo, trace(photo, staging, tapes)))
        except PhotoRefused as refusal:
            refused.append((file, refusal))
    if not traced:
        raise refused[0][1]
    left_out = tuple(f"{file.name} is left out: {refusal.advice}" for file, refusal in refused)
    model = _merged([t for _, t in traced]) if len(traced) > 1 else _single(traced[0][1])
    facts = tuple(_facts(photo, t) for photo, t in traced)
    return replace(model, photos=facts, warnings=(*model.warnings, *left_out))


def _facts(photo: Photo, traced: Traced) -> PhotoFacts:
    camera = traced.plane.camera
    middle = traced.picture.to_mm(np.array(traced.picture.bgr.shape[1::-1]) / 2.0)
    return PhotoFacts(photo.file, photo.sha256, camera.mm_per_px(middle), float(np.rad2deg(camera.tilt)))


def _single(traced: Traced) -> Model:
    return Model(
        traced.pieces, traced.causes, traced.frame, traced.parcel, traced.parcel_sensitivity, traced.picture,
        traced.unread, (), traced.warnings,
    )  # fmt: skip


def _merged(all_traced: Sequence[Traced]) -> Model:
    """The best view of every piece, each photo's sources kept apart behind one another."""
    order = sorted(all_traced, key=lambda t: (t.frame == "card", sum(p.bridged for p in t.pieces)))
    first, others = order[0], [t for t in order[1:] if t.frame != "card"]
    for other in others:
        _check_same(first, other)
    apart = [t for t in order[1:] if t.frame == "card"]
    sizes = np.cumsum([0, *(len(t.causes) for t in (first, *others))])
    total = int(sizes[-1])
    pools = [[_shifted(p, int(at), total) for p in t.pieces] for t, at in zip((first, *others), sizes, strict=False)]
    causes = tuple(
        replace(cause, name=f"photo {i + 1}: {cause.name}") for i, t in enumerate((first, *others)) for cause in t.causes
    )
    corners = None if first.parcel_sensitivity is None else _padded(first.parcel_sensitivity, 0, total)
    warnings = [w for t in (first, *others) for w in t.warnings]
    warnings += ["a photo in which the parcel's edges were not found is left out" for _ in apart]
    return Model(
        tuple(_best(pools)), causes, first.frame, first.parcel, corners, first.picture,
        tuple(z for z in first.unread if all(z in t.unread for t in others)), (), tuple(dict.fromkeys(warnings)),
    )  # fmt: skip


def _check_same(one: Traced, other: Traced) -> None:
    if not one.pieces:
        return
    again = sum(any(_same(p, q) for q in other.pieces) for p in one.pieces)
    if again < SAME_MODEL * min(len(one.pieces), max(1, len(other.pieces))):
        raise PhotoRefused("other-model", "the photos show different models; give photos of one model only")


def _same(one: TracedPiece, other: TracedPiece) -> bool:
    if one.zone != other.zone:
        return False
    a, b = (Polygon(p.ring.points).buffer(0) for p in (one, other))
    return bool(a.intersection(b).area > SAME_PIECE * a.union(b).area)


def _best(pools: Sequence[Sequence[TracedPiece]]) -> list[TracedPiece]:
    """Every piece once, from the photo that shows most of it."""
    kept: list[TracedPiece] = []
    for piece in (p for pool in pools for p in pool):
        twin = next((i for i, k in enumerate(kept) if _same(k, piece)), None)
        if twin is None:
            kept.append(piece)
        elif (round(piece.bridged, 2), _spread(piece)) < (round(kept[twin].bridged, 2), _spread(kept[twin])):
            kept[twin] = piece
    return kept


def _spread(piece: TracedPiece) -> float:
    return float(np.sqrt((piece.ring.sensitivity**2).sum(axis=(1, 2)).mean()))


def _shifted(piece: TracedPiece, at: int, total: int) -> TracedPiece:
    def moved(ring: TracedRing) -> TracedRing:
        return replace(ring, sensitivity=_padded(ring.sensitivity, at, total))

    width = np.zeros(total)
    width[at : at + len(piece.width_sensitivity)] = piece.width_sensitivity
    return replace(piece, ring=moved(piece.ring), holes=tuple(map(moved, piece.holes)), width_sensitivity=width)


def _padded(sensitivity: FloatArray, at: int, total: int) -> FloatArray:
    wide = np.zeros((*sensitivity.shape[:2], total))
    wide[:, :, at : at + sensitivity.shape[2]] = sensitivity
    return wide
