"""A traced photo once other photos of the same camera have told more of its lens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calib.edges import FloatArray
from calib.estimate.conditioning import Conditioned, with_evidence
from calib.lens.class_lens import RadialEvidence
from vision.picture.photo import Photo
from vision.picture.rectified import Rectified, rectify
from vision.picture.traced import Traced, TracedPiece, TracedRing
from vision.picture.traced_lines import TracedLine


def with_lens_told(photo: Photo, traced: Traced, evidence: RadialEvidence) -> Traced:
    """The photo's outlines as they are with the other photos' evidence: nothing is looked for anew.

    Every point moves, and is as uncertain, as the plane's own sources are by the evidence; the picture is made anew.
    """
    told = with_evidence(traced.plane, evidence)
    return replace(
        traced,
        plane=told.plane,
        pieces=tuple(_piece(piece, told) for piece in traced.pieces),
        parcel=None if traced.parcel is None else _ring(traced.parcel, told),
        picture=_picture(photo, traced.picture, told),
        lines=replace(traced.lines, pieces=tuple(_line(line, told) for line in traced.lines.pieces)),
    )


def without_pixels(traced: Traced) -> Traced:
    """Without its picture's pixels, to be kept in little room; `with_lens_told` makes them anew."""
    height, width = traced.picture.bgr.shape[:2]
    return replace(traced, picture=replace(traced.picture, bgr=np.zeros((height, width, 0), dtype=np.uint8)))


def _piece(piece: TracedPiece, told: Conditioned) -> TracedPiece:
    width = _turned(piece.width_sensitivity, told)
    moved = float(piece.width_sensitivity[: len(told.mean)] @ told.mean)
    holes = tuple(_ring(hole, told) for hole in piece.holes)
    return replace(piece, ring=_ring(piece.ring, told), holes=holes, width=piece.width + moved, width_sensitivity=width)


def _line(line: TracedLine, told: Conditioned) -> TracedLine:
    count = len(told.mean)
    return replace(
        line,
        points=line.points + line.sensitivity[:, :, :count] @ told.mean,
        sensitivity=_turned(line.sensitivity, told),
        length=line.length + float(line.length_sensitivity[:count] @ told.mean),
        length_sensitivity=_turned(line.length_sensitivity, told),
        width=line.width + float(line.width_sensitivity[:count] @ told.mean),
        width_sensitivity=_turned(line.width_sensitivity, told),
    )


def _ring(ring: TracedRing, told: Conditioned) -> TracedRing:
    moved = ring.sensitivity[:, :, : len(told.mean)] @ told.mean
    return replace(ring, points=ring.points + moved, sensitivity=_turned(ring.sensitivity, told))


def _turned(sensitivity: FloatArray, told: Conditioned) -> FloatArray:
    """Sensitivities (..., k) whose first sources are the plane's."""
    count = len(told.mean)
    return np.concatenate([sensitivity[..., :count] @ told.turn, sensitivity[..., count:]], axis=-1)


def _picture(photo: Photo, before: Rectified, told: Conditioned) -> Rectified:
    """The same part of the plane at the same scale."""
    height, width = before.bgr.shape[:2]
    high = before.origin + (np.array([width, height]) - 1.5) * before.mm_per_px
    return rectify(photo.bgr, told.plane.camera, before.origin, high, before.mm_per_px, outside=255)
