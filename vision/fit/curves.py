"""Curved outlines: the middle of a band of tape or yarn followed all the way round, kept as a curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray
from vision.find.tape_mask import TapeMask
from vision.fit.tape_edges import band_edge

SPACING = 2.0
"""Distance of profiles along the curve, mm."""
POINT_SPACING = 2.0
"""Distance of the outline's points, mm."""
GROUP = 12
"""Profiles that share one direction of colour contrast."""
SMOOTH_MM = 0.05
"""What the curve may leave unexplained at each profile, mm."""
CORD_BIAS = 0.01
"""Common displacement of the whole curve besides its edges' own, as a share of the band's width: a round cord's two
rims differ in light.
"""
LONE_RUN, MOST_OF, LEAST_KEPT = 24.0, 0.75, 12
"""A stretch of so many mm of which most does not show both edges of the band counts as hidden; least profiles kept."""
HIDDEN_BOW = 0.08
"""How far a hidden stretch may bow off the smooth line across it, of its length (common practice, no source)."""
BOWED_CORNERS, LEAST_BOW, ONE_WAY = 5, 0.25, 0.5
"""Corners, and mm of bow over most of a side, from which an outline is a curve; and by how many more of its sides, as a
share of them, bow one way than the other.
"""
CURVED_CORNERS = 9
CURVED_TURN = np.deg2rad(42)


@dataclass(frozen=True, eq=False)
class Curve:
    """A closed curve: points (n, 2) mm, their sensitivity (n, 2, m) to unit sources, the band's width, and which of
    its points (n,) are where no band shows.
    """

    points: FloatArray
    sensitivity: FloatArray
    width: float
    u_width: float
    hidden: NDArray[np.bool_]


def is_curved(corners: FloatArray) -> bool:
    """Whether a polygon of many small turns stands for a curve."""
    if len(corners) < CURVED_CORNERS:
        return False
    along = np.roll(corners, -1, axis=0) - corners
    angle = np.arctan2(along[:, 1], along[:, 0])
    turn = np.abs(np.angle(np.exp(1j * (angle - np.roll(angle, 1)))))
    return bool(np.median(turn) < CURVED_TURN)


def is_bowed(corners: FloatArray, width: float, tape: TapeMask) -> bool:
    """Whether the band between the corners bends: its middle at mid-side lies off the line through its ends."""
    if len(corners) < BOWED_CORNERS:
        return False
    bows = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = end - start
        length = float(np.linalg.norm(along))
        if length < 4.0 * width:
            continue
        normal = np.array([along[1], -along[0]]) / length
        across = np.arange(-width, width + 0.1, 0.25)
        # Clear of the corners, where the neighbours' tape lies across.
        low = max(0.15, 1.2 * width / length)
        t = np.array([low, low + 0.04, low + 0.08, 0.46, 0.5, 0.54, 0.92 - low, 0.96 - low, 1 - low])
        taped = tape.read((start + t[:, None] * along)[:, None] + across[None, :, None] * normal)
        # Where the tape's colour goes on beside the band, something else lies there.
        if not taped.any(axis=1).all() or taped[:, [0, -1]].any():
            continue
        middle = (taped * across).sum(axis=1) / taped.sum(axis=1)
        bows.append(float(np.median(middle[3:6]) - (np.median(middle[:3]) + np.median(middle[6:])) / 2))
    same_way = abs(float(np.sign(bows).sum())) > ONE_WAY * len(bows)
    return len(bows) >= 3 and same_way and abs(float(np.median(bows))) > LEAST_BOW


def follow_curve(
    photo: NDArray[np.uint8], camera: Camera, corners: FloatArray, width: float, height: float, edge: float
) -> Curve:
    """Follow the band from a rough outline (n, 2) mm, clockwise in the picture; lengths in mm.

    edge: standard uncertainty of one edge that averaging along it does not remove, px.
    """
    middle = _resampled(corners, SPACING)
    for _ in range(3):
        middle, kept, offset, width, u_width = _refined(photo, camera, middle, width, height)
    points = _resampled(middle, POINT_SPACING)
    hidden = shapely.distance(shapely.MultiPoint(kept), shapely.points(points)) > 1.5 * SPACING
    # Both edges tell the middle, each with an error of its own.
    common = float(np.hypot(edge / np.sqrt(2) * camera.mm_per_px(points.mean(axis=0)), CORD_BIAS * width))
    sensitivity = _sensitivity(points, offset, hidden, common)
    return Curve(points, sensitivity, width, u_width, hidden)


def _refined(
    photo: NDArray[np.uint8], camera: Camera, middle: FloatArray, width: float, height: float
) -> tuple[FloatArray, FloatArray, FloatArray, float, float]:
    """One round: read both edges across the curve, move it to their middle, smooth it.

    Also the places (m, 2) where the band shows and how far they lie off the curve (m,), and the band's width.
    """
    normal = normals(middle)
    group = np.arange(len(middle)) // GROUP
    outer, found_outer = _across(photo, camera, middle, normal, width / 2, width, height, group)
    inner, found_inner = _across(photo, camera, middle, normal, -width / 2, width, height, group)
    both = found_outer & found_inner & (np.abs(outer - inner - width) < 0.5 * width + 0.5)
    widths = (outer - inner)[both]
    seen_width = float(np.median(widths)) if len(widths) else width
    spread = 1.4826 * float(np.median(np.abs(widths - seen_width))) if len(widths) else width
    u_width = spread / np.sqrt(max(1, len(widths) / 4))
    offset = np.where(both, (outer + inner) / 2, np.where(found_outer, outer - seen_width / 2, inner + seen_width / 2))
    seen = (found_outer | found_inner) & (np.abs(offset) < 0.6 * width + 0.5)
    # One edge for a long way may be anything's that hides the band; what shows on both sides goes on across it.
    kept = ~_mostly(~(both & seen), round(LONE_RUN / SPACING))
    if kept.sum() < LEAST_KEPT:
        kept[:] = True
    offset = np.where(seen, offset, 0.0)
    weights = (np.where(both, 1.0, np.where(seen, 0.3, 0.02)) / SMOOTH_MM)[kept]
    moved = (middle + offset[:, None] * normal)[kept]
    from scipy.interpolate import splev, splprep  # slow to import, and only curves need it

    closed = np.vstack([moved, moved[:1]])
    spline, at = splprep(closed.T, w=np.append(weights, weights[0]), s=float(len(closed)), per=1)
    left = np.sum((moved - np.column_stack(splev(at[:-1], spline))) * normal[kept], axis=1)
    smooth = np.column_stack(splev(np.linspace(0, 1, len(middle), endpoint=False), spline))
    return _resampled(smooth, SPACING), moved[seen[kept]], left[seen[kept]], seen_width, u_width


def _mostly(flags: NDArray[np.bool_], stretch: int) -> NDArray[np.bool_]:
    """Every place of a closed line that lies in a stretch of so many places of which most flags are true."""
    count = len(flags)
    around = np.concatenate([flags, flags[: stretch - 1]]).astype(np.float64)
    full = np.convolve(around, np.ones(stretch), mode="valid") >= MOST_OF * stretch
    covered = np.zeros(count, dtype=bool)
    for step in range(stretch):
        covered |= np.roll(full, step)
    return covered


def _across(
    photo: NDArray[np.uint8],
    camera: Camera,
    middle: FloatArray,
    normal: FloatArray,
    offset: float,
    width: float,
    height: float,
    group: NDArray[np.intp],
) -> tuple[FloatArray, NDArray[np.bool_]]:
    pixels, found, _ = band_edge(photo, camera, middle, normal, offset, width, height, group)
    return np.sum((camera.locate(pixels, height) - middle) * normal, axis=1), found


def normals(points: FloatArray) -> FloatArray:
    """Unit normals (n, 2), outwards for a curve that runs clockwise in the picture."""
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    return np.column_stack([along[:, 1], -along[:, 0]])


def _resampled(points: FloatArray, spacing: float) -> FloatArray:
    """The same closed line with points at equal distances."""
    ring = shapely.LinearRing(points)
    count = max(12, round(ring.length / spacing))
    along = np.arange(count) / count * ring.length
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(ring, along)))


def _sensitivity(points: FloatArray, offset: FloatArray, hidden: NDArray[np.bool_], common: float) -> FloatArray:
    """Unevenness as independent bumps of about 8 mm along the curve, and one displacement `common` to all of it, mm.

    Every hidden stretch may bow out or in besides.
    """
    normal = normals(points)
    bumps = max(6, round(len(points) * POINT_SPACING / 8))
    scatter = max(float(offset.std()) if len(offset) else 1.0, 0.02)
    centre = np.arange(bumps) / bumps
    apart = np.abs((np.arange(len(points)) / len(points))[:, None] - centre[None, :])
    apart = np.minimum(apart, 1 - apart) * bumps
    hats = np.maximum(0.0, 1 - apart)
    bows = _bows(hidden)
    along_normal = np.column_stack([hats * scatter / np.sqrt(2), np.full(len(points), common), bows])
    return np.asarray(normal[:, :, None] * along_normal[:, None, :])


def _bows(hidden: NDArray[np.bool_]) -> FloatArray:
    """How far each hidden stretch (n, m) may bow, mm: nothing at its ends, most midway."""
    if hidden.all() or not hidden.any():
        return np.zeros((len(hidden), 0))
    start = int(np.argmin(hidden))
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.roll(hidden, -start).astype(np.int8), [0]])))
    bows = []
    for first, last in edges.reshape(-1, 2):
        bow = np.zeros(len(hidden))
        t = (np.arange(last - first) + 0.5) / (last - first)
        # Half the rise of a circle's arc over so much of the round, besides.
        share = HIDDEN_BOW + np.pi / 8 * (last - first) / len(hidden)
        bow[first:last] = share * (last - first) * POINT_SPACING * np.sin(np.pi * t)
        bows.append(np.roll(bow, start))
    return np.stack(bows, axis=1)
