"""From rough outlines to traced pieces: fitted, ordered into holes, with the sensitivity of every point to every
source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from calib.edges import FloatArray
from calib.estimate.adjustment import StraightLine
from calib.estimate.plane import Plane
from calib.radial_terms import RADIAL
from vision.find.closing import LEAST_TURN
from vision.find.rough_outlines import Borrowed, EdgePoints, Found
from vision.fit.curves import Curve, follow_curve, normals
from vision.fit.inner_support import NARROWER, spread_on_paper
from vision.fit.parcel_sides import edge_side, held_to_edges, parcel_corners, parcel_sensitivity
from vision.fit.sides import Side, Unevenness, agreed, fit_sides, meet, middle_points
from vision.fit.tape_edges import edge_points
from vision.picture.rectified import Rectified
from vision.picture.remarks import Remark
from vision.picture.traced import Cause, Kind, Traced, TracedPiece, TracedRing

THICKNESS_SPREAD = 0.04
"""Spread of the height of a tape's face above the board, mm (common practice, no source)."""
FLATNESS_OF_PIECES = 0.0
LEAST_BRIDGE = 3.0
"""Shorter stretches without visible tape are a string or a crumb, mm."""
HIDDEN_SLANT = 0.008
"""Hidden tape may leave its side's line by this much per mm of hidden length (hand-laid tape, common practice, no
source).
"""
STRAIGHTNESS_PX = 0.05
"""How straight hands lay tape, as the standard uncertainty of a point of its middle against a line, px."""
SPILL_PX = 0.2
"""By how much more light may spill over the edge of tape on bare ground than over its edge on paper of its own colour,
half of it, px.
"""
MOST_HIDDEN, MOST_BARE = 0.5, 0.25
"""Shares of an outline's length: with more of it unseen, or of a curve on bare ground, it is not measurable."""
SAME_LAND = 0.7
"""Overlap over union of a curve and the band that it was followed from, at least."""
SETTLED = 0.8
"""Rough corners further off than this are fitted once more from where they came to lie, mm."""
LEAST_BEND = float(np.cos(np.deg2rad(12)))
"""Cosine of the angle below which a corner that hidden tape would have is none: people lay corners."""
LEAST_SEEN = 0.1
"""Edge points for each mm of a side below which hardly any of its tape shows: a whole side has more than one."""


@dataclass(frozen=True, eq=False)
class _Ring:
    """A fitted ring before the sources are numbered: points mm, own sensitivity (n, 2, m), what is not shown, and how
    wide each side's tape is against the own tape's width.
    """

    zone: str
    points: FloatArray
    own: FloatArray
    height: float
    width: float
    u_width: float
    curved: bool
    inferred: tuple[tuple[int, float, float], ...]
    bridged: float
    taped: tuple[float, ...] = ()
    open_edges: tuple[Borrowed, ...] = ()


def straight_lines(
    photo: NDArray[np.uint8], plane: Plane, found: Sequence[Found]
) -> tuple[list[Found], list[StraightLine]]:
    """The outlines with their edges read, and every side of every straight one as a line that the lens must keep
    straight.
    """
    settled, lines = [], []
    for f in found:
        if f.curved:
            settled.append(f)
            continue
        outline, edges, sides, width = _settled(photo, plane, f)
        settled.append(replace(outline, edges=agreed(edges, sides)))
        # A strip that two outlines share is one line: its owner's.
        not_own = {b.side for b in outline.borrowed}
        for i, side in enumerate(sides):
            points, spread = middle_points(edges, side, plane.camera, width, f.face)
            if len(points) >= 4 and i not in not_own:
                lines.append(StraightLine(points, np.hypot(spread, STRAIGHTNESS_PX), f.face))
    return settled, lines


def _settled(photo: NDArray[np.uint8], plane: Plane, found: Found) -> tuple[Found, EdgePoints, list[Side], float]:
    """Fit sides to the photo's tape edges, again from the fitted place where the rough one was well off."""
    for last in (False, False, True):
        points = edge_points(photo, plane.camera, found.corners, found.tapes())
        sides, width, _ = _fitted(points, plane, found)
        fitted, _ = meet(sides)
        false_side = None if last else _false_side(fitted, sides, found)
        if last or (false_side is None and np.abs(fitted - found.corners).max() < SETTLED):
            break
        found = found.without_side(*false_side) if false_side else replace(found, corners=fitted)
    return found, points, sides, float(width[found.tapes().roll == 0][0])


def _fitted(points: EdgePoints, plane: Plane, found: Found) -> tuple[list[Side], FloatArray, float]:
    """As fit_sides; what runs along the parcel's edge without tape lies on that edge."""
    usual = Unevenness(plane.edge, plane.bow)
    sides, width, u_width = fit_sides(points, plane.camera, found.corners, found.tapes(), usual)
    for b in found.open_edges:
        sides[b.side] = edge_side(plane, found.corners, b)
    return sides, width, u_width


def _false_side(corners: FloatArray, sides: Sequence[Side], found: Found) -> tuple[int, FloatArray] | None:
    """A side on which hardly any tape shows, where its neighbours meet close by, and the corners without it.

    Such a side is a shortcut past a hidden corner, or goes on from a neighbour with a bend that nobody sees: something
    of the tape's colour hides it.
    """
    count = len(sides)
    borrowed = {b.side for b in found.borrowed}
    for i, side in enumerate(sides):
        along = side.start + np.linspace(0.25, 0.75, 21)[:, None] * (side.end - side.start)
        hardly = len(side.used) < LEAST_SEEN * np.linalg.norm(side.end - side.start)
        bare = not len(side.used) and found.tape.read(along).mean() <= 0.5
        if count <= 3 or i in borrowed or not (bare or (hardly and _goes_on(corners, i))):
            continue
        before, after = corners[[i - 1, i]], corners[[(i + 1) % count, (i + 2) % count]]
        way = np.column_stack([before[1] - before[0], after[0] - after[1]])
        if abs(np.linalg.det(way)) < 0.2 * np.linalg.norm(way[:, 0]) * np.linalg.norm(way[:, 1]):
            continue
        met = before[0] + np.linalg.solve(way, after[0] - before[0])[0] * (before[1] - before[0])
        reach = 1.2 * float(np.linalg.norm(after[0] - before[1]))
        if max(np.linalg.norm(met - before[1]), np.linalg.norm(met - after[0])) > reach:
            continue
        kept = corners.copy()
        kept[i] = met
        kept = np.delete(kept, (i + 1) % count, axis=0)
        if Polygon(kept).is_valid:
            return i, np.asarray(kept, dtype=np.float64)
    return None


def _goes_on(corners: FloatArray, side: int) -> bool:
    """Whether a side of an outline (n, 2) hardly turns away from one of its neighbours."""
    way = np.roll(corners, -1, axis=0) - corners
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    return bool(max(way[side] @ way[side - 1], way[side] @ way[(side + 1) % len(way)]) > LEAST_BEND)


def assemble(
    photo: NDArray[np.uint8],
    rough: Plane,
    plane: Plane,
    named: Sequence[tuple[Found, str]],
    *,
    frame: Literal["tiles", "board", "card"],
    picture: Rectified,
    unread: tuple[str, ...],
    remarks: tuple[Remark, ...],
) -> Traced:
    """Fit all outlines in the final plane and number their sources.

    named outlines have their corners in the frame of `rough`, the plane that they were found with.
    """
    rings = [_ring(photo, rough, plane, outline, zone) for outline, zone in named]
    causes = [Cause(name, _kind(name)) for name in plane.sources]
    causes += [Cause("height of the tape", "height"), Cause("flatness of the board", "flatness")]
    total = len(causes) + sum(r.own.shape[2] + 1 for r in rings)
    traced: list[tuple[_Ring, TracedRing, FloatArray]] = []
    for ring in rings:
        sensitivity, width = _sensitivity(ring, plane, len(causes), total)
        causes += [Cause(f"{ring.zone}: edges {i + 1}", "edge") for i in range(ring.own.shape[2])]
        causes.append(Cause(f"{ring.zone}: tape width", "width"))
        traced.append((ring, TracedRing(ring.points, sensitivity, ring.curved, ring.inferred, ring.taped), width))
    parcel = None if frame == "card" else TracedRing(parcel_corners(plane), parcel_sensitivity(plane, total))
    return Traced(tuple(_pieces(traced)), tuple(causes), plane, frame, parcel, picture, unread, remarks)


def _ring(photo: NDArray[np.uint8], rough: Plane, plane: Plane, found: Found, zone: str) -> _Ring:
    corners = plane.camera.locate(rough.camera.project(found.corners, found.face), found.face)
    if found.edges is None:
        curve = follow_curve(photo, plane.camera, corners, found.width, found.face, plane.edge)
        inferred = tuple((int(i), 0.0, 1.0) for i in np.flatnonzero(curve.hidden))
        lost = _is_bare(curve, rough, plane, found) or _strays(curve.points, corners)
        hidden = 1.0 if lost else float(curve.hidden.mean())
        return _Ring(
            zone, curve.points, curve.sensitivity, found.face, curve.width, curve.u_width, True, inferred, hidden
        )
    placed = replace(found, corners=corners)
    sides, widths, u_width = _fitted(found.edges, plane, placed)
    width = float(widths[found.tapes().roll == 0][0])
    fitted, own = meet(sides)
    inferred = _inferred(fitted, sides, rough, plane, found, widths)
    lengths = np.linalg.norm(np.roll(fitted, -1, axis=0) - fitted, axis=1)
    bridged = sum((high - low) * lengths[i] for i, low, high in inferred) / lengths.sum()
    shift = spread_on_paper(found, SPILL_PX * plane.camera.mm_per_px(fitted.mean(axis=0)))
    lone = _lone_edges(sides, found.edges)
    if found.width_doubtful:
        u_width, lone = max(u_width, NARROWER * width), np.ones(len(sides))
    narrower = lone * u_width / 2
    strays = _hidden(fitted, lengths, inferred, width)
    moved = [_moved_out(sides, by) for by in (shift, narrower, *np.diag(found.layers_apart() / 2))]
    own = np.concatenate([own, strays, *moved], axis=2)
    taped = tuple((widths / width).tolist()) if found.borrowed else ()
    return _Ring(
        zone, fitted, own, found.face, width, u_width, False, inferred, float(bridged), taped, found.open_edges
    )


def _strays(followed: FloatArray, rough: FloatArray) -> bool:
    """Whether a curve that was followed encloses other land than the band that it started from."""
    one, other = Polygon(followed).buffer(0), Polygon(rough).buffer(0)
    return bool(one.intersection(other).area < SAME_LAND * one.union(other).area)


def _is_bare(curve: Curve, rough: Plane, plane: Plane, found: Found) -> bool:
    """Whether so much of a curve lies on bare ground that it follows something else than a band that is hidden."""
    aside = curve.width * np.array([-0.3, 0, 0.3])[None, :, None] * normals(curve.points)[:, None]
    across = curve.points[:, None] + aside
    places = rough.camera.locate(plane.camera.project(across.reshape(-1, 2), found.face), found.face)
    bare = found.tape.read_ground(places).reshape(-1, 3).all(axis=1)
    return bool(bare.mean() > MOST_BARE)


def _inferred(
    corners: FloatArray, sides: Sequence[Side], rough: Plane, plane: Plane, found: Found, widths: FloatArray
) -> tuple[tuple[int, float, float], ...]:
    """Stretches of LEAST_BRIDGE mm or more where neither the tape's colour nor one of its edges shows."""
    stretches = []
    for i, side in enumerate(sides):
        # Where a strip leans on a neighbour's, that one's tape shows up to the corner.
        masks = [found.mask_of(j % len(sides)) for j in (i, i - 1, i + 1)]
        if masks[0] is None:
            continue
        start, end = corners[i], corners[(i + 1) % len(corners)]
        length = float(np.linalg.norm(end - start))
        t = (np.arange(max(4, round(length))) + 0.5) / max(4, round(length))
        middle = start + t[:, None] * (end - start)
        across = middle[:, None] + np.array([-0.3, 0, 0.3])[None, :, None] * widths[i] * side.normal
        places = rough.camera.locate(plane.camera.project(across.reshape(-1, 2), found.face), found.face)
        taped = np.any([mask.read(places) for mask in set(masks) if mask is not None], axis=0)
        shown = taped.reshape(len(t), 3).sum(axis=1) >= 2
        if len(side.seen):
            after = np.searchsorted(side.seen, t)
            near = [np.abs(side.seen[np.clip(after + d, 0, len(side.seen) - 1)] - t) for d in (-1, 0)]
            shown |= np.min(near, axis=0) * length < 1.0
        stretches += [(i, a, b) for a, b in _runs(~shown) if (b - a) * length >= LEAST_BRIDGE]
    return tuple(stretches)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """Runs of true flags as fractions of the whole."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(float(a) / len(flags), float(b) / len(flags)) for a, b in edges.reshape(-1, 2)]


def _hidden(
    corners: FloatArray, lengths: FloatArray, inferred: Sequence[tuple[int, float, float]], width: float
) -> FloatArray:
    """What hidden tape could have been: each stretch may stray from its side, at the corner that it hides or midway.

    Near a corner the neighbour's tape shows, which says nothing of this side's.
    """
    effect = np.zeros((len(corners), 2, len(inferred)))
    for k, (i, low, high) in enumerate(inferred):
        j = (i + 1) % len(corners)
        along = (corners[j] - corners[i]) / lengths[i]
        stray = HIDDEN_SLANT * (high - low) * lengths[i] * np.array([along[1], -along[0]])
        corner = 1.5 * width / lengths[i]
        effect[i, :, k] = stray * (1.0 if low < corner else 0.25 * (1 - low))
        effect[j, :, k] = stray * (1.0 if high > 1 - corner else 0.25 * high)
    return effect


def _lone_edges(sides: Sequence[Side], edges: EdgePoints) -> FloatArray:
    """How far each side (n,) moves outwards when its tape is narrower by 2: 1 where only its outer edge shows, -1 where
    only the inner one does.  All sides have one tape, so all move together.
    """
    return np.array([float(edges.edge[side.used].mean()) if len(side.used) else 0.0 for side in sides])


def _moved_out(sides: Sequence[Side], by: FloatArray) -> FloatArray:
    """How far the corners move (n, 2, 1) when each side moves outwards by so many mm (n,), all together."""
    normals = np.stack([s.normal for s in sides])
    pairs = np.stack([np.roll(normals, 1, axis=0), normals], axis=1)
    turned = np.abs(np.linalg.det(pairs)) > LEAST_TURN
    pairs[~turned] = np.eye(2)
    both = np.stack([np.roll(by, 1), by], axis=1)
    both[~turned] = by[~turned, None] * normals[~turned]
    return np.asarray(np.linalg.solve(pairs, both[..., None])) if by.any() else np.zeros((len(by), 2, 0))


def _sensitivity(ring: _Ring, plane: Plane, first: int, total: int) -> tuple[FloatArray, FloatArray]:
    """Sensitivity (n, 2, total) of a ring's points and (total,) of its width; its own sources start at `first`."""
    pixels = plane.camera.project(ring.points, ring.height)
    _, by_plane = plane.locate(pixels, ring.height)
    per_mm = (plane.camera.locate(pixels, ring.height + 0.5) - ring.points) / 0.5
    common, own = by_plane.shape[2], ring.own.shape[2]
    sensitivity = np.zeros((len(ring.points), 2, total))
    sensitivity[:, :, :common] = by_plane
    sensitivity[:, :, common] = per_mm * THICKNESS_SPREAD
    sensitivity[:, :, common + 1] = per_mm * FLATNESS_OF_PIECES
    sensitivity = held_to_edges(ring.points, sensitivity, ring.open_edges, plane)
    sensitivity[:, :, first : first + own] = ring.own
    width = np.zeros(total)
    width[first + own] = ring.u_width
    return sensitivity, width


def _kind(parameter: str) -> Kind:
    """What sort of cause a parameter of the plane is."""
    if parameter in RADIAL:
        return "lens"
    starts: tuple[tuple[str, Kind], ...] = (
        ("scale", "print"), ("tile", "tile"), ("parcel", "parcel"), ("card height", "card"),
    )  # fmt: skip
    return next((kind for start, kind in starts if parameter.startswith(start)), "plane")


def _pieces(rings: Sequence[tuple[_Ring, TracedRing, FloatArray]]) -> list[TracedPiece]:
    """Rings of one zone inside one another are holes; every other ring is a piece."""
    shapes = [Polygon(r.points).buffer(0) for r, _, _ in rings]
    outer = [_around(i, rings, shapes) for i in range(len(rings))]
    pieces = []
    for i, (ring, traced, width) in enumerate(rings):
        if outer[i] is not None and outer[outer[i]] is None:  # type: ignore[index]
            continue
        holes = tuple(rings[j][1] for j in range(len(rings)) if outer[j] == i)
        pieces.append(
            TracedPiece(ring.zone, traced, holes, ring.width, width, ring.bridged, ring.bridged <= MOST_HIDDEN)
        )
    return pieces


def _around(i: int, rings: Sequence[tuple[_Ring, TracedRing, FloatArray]], shapes: Sequence[Polygon]) -> int | None:
    """The smallest ring of the same zone that holds ring i."""
    holders = [
        j
        for j in range(len(rings))
        if j != i and rings[j][0].zone == rings[i][0].zone and shapes[j].contains(shapes[i].representative_point())
        and shapes[j].area > shapes[i].area
    ]  # fmt: skip
    return min(holders, key=lambda j: float(shapes[j].area), default=None)
