"""Many solids tried at once where something stands: which of them have edges where the photos have some.

An evolution strategy (Beyer and Schwefel 2002) on two things that cost little: how strongly each photo's corrected
picture steps across the edges that a solid would show there, and how much of what the photos disagree about it
explains.  Steps are looked up as structure tensors (Foerstner and Guelch 1987), blurred, so that a near miss is told
from a far one, and without what the surroundings show in the same direction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.solids.body import Body, BodyKind, mesh_of
from vision.solids.edge_fit import CLEAR, LARGEST, LEAST, LOWEST, NOISE, EdgePicture
from vision.solids.region_fit import Region
from vision.solids.shadow import LEAST_BELOW

COARSE = 2
"""Pixels of a picture of edges to one that is looked up."""
BLURS, AROUND = (2.2, 1.0), 5.0
"""Of the steps, mm, while sizes are still far off and when they are near; of the surroundings."""
GAIN = 1.2
"""What brings the blurred steps of a clear edge near 1, but not above."""
GENERATIONS = ((0.5, 0), (0.35, 0), (0.25, 0), (0.18, 0), (0.12, 1), (0.07, 1), (0.035, 1))
"""How far children are from their parents, as a share of the sizes, and which blur serves."""
PARENTS, FAMILY, BEST = 12, 360, 3
CLOSER = ((0.1, 1), (0.05, 1))
"""As GENERATIONS, where a solid is known but for its neighbours."""
CARRIED, ALONG, BESIDE = 0.6, 0.7, 0.4
"""The share of children that also move by a share of the way between two parents, and how little they move besides
(differential evolution: Storn and Price 1997): sizes that hang together change together.
"""
SIDES = 16
"""Flat sides in place of a round one: here a few tenths of a millimetre do not matter."""
KINDS_KEPT = 3
"""Kinds of solids that are tried beyond the first two generations."""
_Array = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class EdgeField:
    """A photo's steps as structure tensors xx, xy, yy (h, w, 3), one picture for each blur, with place and camera."""

    tensors: tuple[_Array, ...]
    mm_per_px: float
    origin: FloatArray
    eye: FloatArray


def edge_field(picture: EdgePicture) -> EdgeField:
    """The steps of a picture, each at most as large as that of a clear edge."""
    px = picture.mm_per_px * COARSE
    height, width = (n // COARSE * COARSE for n in picture.tones.shape[:2])
    small = cv2.resize(
        picture.tones[:height, :width], (width // COARSE, height // COARSE), interpolation=cv2.INTER_AREA
    )
    x, y = (cv2.Sobel(small, cv2.CV_32F, *way, ksize=3, scale=0.25) for way in ((1, 0), (0, 1)))
    tensor = np.stack([(x * x).sum(axis=-1), (x * y).sum(axis=-1), (y * y).sum(axis=-1)], axis=-1)
    size = np.sqrt(tensor[..., 0] + tensor[..., 2])
    tensor *= (((size - NOISE) / CLEAR).clip(0, 1) / np.maximum(size, 1e-6) ** 2)[..., None]
    around = cv2.GaussianBlur(tensor, (0, 0), AROUND / px)
    levels = [cv2.GaussianBlur(tensor, (0, 0), blur / px) * GAIN - around for blur in BLURS]
    origin = picture.origin + (COARSE - 1) / 2 * picture.mm_per_px
    return EdgeField(tuple(np.ascontiguousarray(t, dtype=np.float32) for t in levels), px, origin, picture.eye)


def searched(
    starts: Sequence[Body],
    region: Region,
    fields: Sequence[EdgeField],
    most: float,
    generations: Sequence[tuple[float, int]] = GENERATIONS,
) -> list[Body]:
    """The most promising solids near some of them, a few of each kind, the best first; most: the gain to expect."""
    random = np.random.default_rng(0)
    kinds = dict.fromkeys(start.kind for start in starts)
    groups = {kind: np.array([start.vector for start in starts if start.kind == kind]) for kind in kinds}
    ranked: dict[BodyKind, _Ranked] = {}
    for number, (spread, level) in enumerate(generations):
        for kind, parents in groups.items():
            tried = _possible(_with_children(parents, spread, random))
            ranked[kind] = _ranked(kind, tried, _Judge(region, fields, level, most), spread)
        best = sorted(groups, key=lambda kind: -ranked[kind].scores[0])
        groups = {kind: ranked[kind].vectors[:PARENTS] for kind in (best[:KINDS_KEPT] if number > 1 else best)}
    found = [
        (score, _body(kind, vector))
        for kind in groups
        for score, vector in zip(ranked[kind].scores[:BEST], ranked[kind].vectors[:BEST], strict=True)
    ]
    return [body for _, body in sorted(found, key=lambda f: -f[0])]


@dataclass(frozen=True, eq=False)
class _Ranked:
    """Solids of one kind, the best first: parameters (n, p), scores (n,)."""

    vectors: FloatArray
    scores: FloatArray


@dataclass(frozen=True, eq=False)
class _Judge:
    """By what solids are ranked: edges of one blur, and what they explain against the gain to expect."""

    region: Region
    fields: Sequence[EdgeField]
    level: int
    most: float


def _body(kind: BodyKind, vector: FloatArray) -> Body:
    return Body(kind, 0.0, 0.0, 0.0, 0.0, 0.0).with_vector(vector)


def _with_children(parents: FloatArray, spread: float, random: np.random.Generator) -> FloatArray:
    """Parents (n, p), and children of each: some parameters, or where single sides are, changed by a share of the size.

    A change of the length or of the width moves one side and leaves the other where it is, or moves both alike.
    """
    children = np.repeat(parents, max(1, FAMILY // len(parents)), axis=0)
    is_round = children.shape[1] == 4
    change = random.normal(0, spread, children.shape) * _unit(children) * (random.random(children.shape) < 0.45)
    one_side = random.integers(-1, 2, (2, len(children))) / 2
    turn = np.arctan2(children[:, 1], children[:, 0]) if is_round else children[:, 5]
    along, across = np.column_stack([np.cos(turn), np.sin(turn)]), np.column_stack([-np.sin(turn), np.cos(turn)])
    change[:, :2] += along * (one_side[0] * change[:, 2])[:, None]
    if not is_round:
        change[:, :2] += across * (one_side[1] * change[:, 4])[:, None]
    one, other = random.integers(0, len(parents), (2, len(children)))
    carried = (random.random(len(children)) < CARRIED)[:, None]
    along = ALONG * (parents[one] - parents[other])
    return np.concatenate([parents, children + np.where(carried, along + BESIDE * change, change)])


def _unit(vectors: FloatArray) -> FloatArray:
    """What counts as a large change of every parameter (n, p)."""
    if vectors.shape[1] == 4:
        return np.column_stack([vectors[:, 2], vectors[:, 2], vectors[:, 2], vectors[:, 3]])
    side = np.sqrt(vectors[:, 2] * vectors[:, 4])
    return np.column_stack([side, side, vectors[:, 2], vectors[:, 3], vectors[:, 4], np.full(len(vectors), 1.2)])


def _possible(vectors: FloatArray) -> FloatArray:
    """Those of the solids (n, p) that have a size that is looked for, at least one."""
    sides = vectors[:, [2]] if vectors.shape[1] == 4 else vectors[:, [2, 4]]
    high = vectors[:, 3]
    fits = (sides.min(axis=1) >= LEAST) & (high >= LOWEST) & (np.maximum(sides.max(axis=1), high) <= LARGEST)
    return vectors[fits] if fits.any() else vectors[:1]


def _ranked(kind: BodyKind, vectors: FloatArray, judge: _Judge, spread: float) -> _Ranked:
    """The best of the solids by their edges, unlike one another, in order of that and of what they explain."""
    edges = np.stack([edge_scores(kind, vectors, field, judge.level) for field in judge.fields])
    score = edges.mean(axis=0) + 0.5 * edges.min(axis=0)
    first = _unlike(vectors, np.argsort(-score, kind="stable")[: 8 * PARENTS], 0.4 * spread)[: PARENTS + BEST]
    gains = np.array([judge.region.gain(_body(kind, vectors[i])) for i in first])
    whole = score[first] + 0.5 * gains / judge.most
    order = np.argsort(-whole, kind="stable")
    return _Ranked(vectors[first[order]], whole[order])


def _unlike(vectors: FloatArray, order: NDArray[np.int64], apart: float) -> NDArray[np.int64]:
    """Those of the rows in this order that differ from all before by more than a share of their size."""
    unit = _unit(vectors[order])
    scaled, kept = vectors[order] / unit.mean(axis=0), list[int]()
    for at in range(len(order)):
        if not kept or np.abs(scaled[kept] - scaled[at]).max(axis=1).min() > apart:
            kept.append(at)
    return order[kept]


def edge_scores(kind: BodyKind, vectors: FloatArray, field: EdgeField, level: int) -> FloatArray:
    """How far the seen edges of solids of one kind, parameters (n, p), lie on a photo's edges, 0 to 1, (n,)."""
    mesh = mesh_of(kind, SIDES)
    corners = _corners(kind, vectors)
    seen = _seen(corners, kind, field.eye)
    stretch = (-field.eye[2] / np.maximum(-field.eye[2] - corners[..., 2], LEAST_BELOW)).astype(np.float32)
    eye = field.eye[:2].astype(np.float32)
    shown = eye + (corners[..., :2] - eye) * stretch[..., None]
    start, end = shown[:, mesh.edges[:, 0]], shown[:, mesh.edges[:, 1]]
    way = end - start
    length = np.sqrt((way**2).sum(axis=-1)) + np.float32(1e-6)
    count = 2 if mesh.smooth.any() else 9
    t = ((np.arange(count) + 0.5) / count).astype(np.float32)
    points = (start[:, :, None] + way[:, :, None] * t[:, None]).reshape(len(vectors), -1, 2)
    pixels = (points - field.origin.astype(np.float32)) / np.float32(field.mm_per_px)
    x, y = np.ascontiguousarray(pixels[..., 0]), np.ascontiguousarray(pixels[..., 1])
    tensor = cv2.remap(field.tensors[level], x, y, cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    tensor = tensor.reshape(len(vectors), len(mesh.edges), count, 3)
    nx, ny = (-way[..., 1] / length)[..., None], (way[..., 0] / length)[..., None]
    step = nx * nx * tensor[..., 0] + 2 * nx * ny * tensor[..., 1] + ny * ny * tensor[..., 2]
    clear = step.clip(0, 1).mean(axis=-1)
    weight = length * seen
    return np.asarray((clear * weight).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-6), dtype=np.float64)


def _corners(kind: BodyKind, vectors: FloatArray) -> _Array:
    """The corners (n, c, 3) of solids with parameters (n, p)."""
    unit = mesh_of(kind, SIDES).corners.astype(np.float32)
    x, y, length, height, *rest = vectors.astype(np.float32).T[..., None]
    width, turn = rest if rest else (length, np.zeros_like(x))
    along, across = unit[:, 0] * length, unit[:, 1] * width
    c, s = np.cos(turn), np.sin(turn)
    return np.stack([x + c * along - s * across, y + s * along + c * across, unit[:, 2] * height], axis=-1)


def _seen(corners: _Array, kind: BodyKind, eye: FloatArray) -> NDArray[np.bool_]:
    """Which edges (n, e) a camera sees."""
    mesh = mesh_of(kind, SIDES)
    a, b, c = (corners[:, mesh.faces[:, i]] for i in range(3))
    u, v, w = b - a, c - a, np.append(eye[:2], -eye[2]).astype(np.float32) - a
    volume = (
        (u[..., 1] * v[..., 2] - u[..., 2] * v[..., 1]) * w[..., 0]
        + (u[..., 2] * v[..., 0] - u[..., 0] * v[..., 2]) * w[..., 1]
        + (u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]) * w[..., 2]
    )
    lit = np.concatenate([volume > 0, np.zeros((len(corners), 1), dtype=bool)], axis=1)
    one, other = lit[:, mesh.edges[:, 2]], lit[:, mesh.edges[:, 3]]
    return np.asarray(np.where(mesh.smooth, one != other, one | other))
