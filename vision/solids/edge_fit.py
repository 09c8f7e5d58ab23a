"""A solid fitted to the edges that the photos show: its own edges drawn, the picture's looked for across them.

Gauss-Newton on the distances across the edges (Harris and Stennett 1990; Drummond and Cipolla 2002), in the plane's
corrected pictures, where a straight edge is straight whatever the lens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.picture.rectified import Rectified
from vision.solids.body import Body, mesh_of
from vision.solids.shadow import seen_edges, shadow, shadow_moves

DARK = 8.0
"""Added to bytes before their logarithm: below it a camera's noise is larger than what it shows."""
NOISE = 0.012
"""Steps of the logarithm that a picture's noise makes."""
CLEAR = 0.04
"""A step that is this much above noise and surroundings is an edge without doubt."""
LEAST, LOWEST, LARGEST = 8.0, 4.0, 260.0
"""Sizes of solids that are looked for, mm: smallest side, least height, largest of each."""
SEARCHED = 3.0
"""How far around an edge its surroundings reach, mm."""


@dataclass(frozen=True, eq=False)
class EdgePicture:
    """A corrected picture's colours as logarithms (h, w, 3), lightly smoothed, with its place and the camera's."""

    tones: NDArray[np.float32]
    mm_per_px: float
    origin: FloatArray
    eye: FloatArray


@dataclass(frozen=True, eq=False)
class Samples:
    """Points along the edges of a body that one photo shows: which edge each is on, place, normal, its length of the
    edge, mm, and how far it moves along its normal with every parameter (n, p).
    """

    edge: NDArray[np.int64]
    points: FloatArray
    normals: FloatArray
    share: FloatArray
    moves: FloatArray


@dataclass(frozen=True, eq=False)
class Steps:
    """What was found across the samples of one photo: offset along the normal, mm, how clear its edge is, 0 to 1."""

    samples: Samples
    offset: FloatArray
    clear: FloatArray


def edge_picture(rectified: Rectified, eye: FloatArray) -> EdgePicture:
    """The picture that edges are looked for in."""
    smooth = cv2.GaussianBlur(rectified.bgr, (0, 0), 1.0).astype(np.float32)
    return EdgePicture(np.asarray(np.log(smooth + DARK)), rectified.mm_per_px, rectified.origin, eye)


def refined(body: Body, pictures: Sequence[EdgePicture], reaches: Sequence[float]) -> Body:
    """A body moved to the pictures' edges, looked for within each of the reaches (mm) in turn."""
    for reach in reaches:
        step = _step([steps_across(body, p, reach, 1.5 if reach < 2 else 3.0) for p in pictures], body, reach)
        moved = body.with_vector(body.vector + step)
        if not is_possible(moved):
            return body
        body = moved
    return body


def is_possible(body: Body) -> bool:
    """Whether a body has a size that is looked for."""
    least, largest = min(body.length, body.width), max(body.length, body.width, body.height)
    return bool(least >= LEAST and body.height >= LOWEST and largest <= LARGEST)


def _step(found: Sequence[Steps], body: Body, reach: float) -> FloatArray:
    unit = _units(body)
    normal, right = np.zeros((len(unit), len(unit))), np.zeros(len(unit))
    soft = max(0.25, 0.35 * reach)
    for steps in found:
        slopes = steps.samples.moves * unit
        weight = steps.clear * steps.samples.share / (1 + (steps.offset / soft) ** 2)
        normal += (slopes * weight[:, None]).T @ slopes
        right += (slopes * weight[:, None]).T @ steps.offset
    held = np.eye(len(unit)) * (2.0 if reach > 2 else 0.2)
    return np.asarray(np.clip(np.linalg.solve(normal + held, right), -4, 4) * unit)


def _units(body: Body) -> FloatArray:
    """Changes of the parameters that move a body about a millimetre."""
    return np.array([1.0, 1.0, 1.0, 1.0] if body.is_round else [1.0, 1.0, 1.0, 1.0, 1.0, 0.03])


def steps_across(body: Body, picture: EdgePicture, reach: float, spacing: float = 1.5) -> Steps:
    """The step of the picture nearest to every edge of a body, the clearest where several are near.

    A step lies where the picture's own bytes are steepest: the logarithm of a blurred step is steepest well on the dark
    side of the edge.  How clear it is is told by logarithms.
    """
    samples = samples_of(body, picture.eye, spacing)
    offsets, tones = _profiles(picture, samples, reach)
    steps, rise = _steps(tones), _steps(np.exp(tones))
    is_peak = np.zeros(rise.shape, dtype=bool)
    is_peak[:, 1:-1] = (rise[:, 1:-1] >= rise[:, :-2]) & (rise[:, 1:-1] >= rise[:, 2:])
    at = np.argmax(steps * np.exp(-2 * (offsets / reach) ** 2) * is_peak, axis=1).clip(1, len(offsets) - 2)
    rows = np.arange(len(at))
    before, peak, after = rise[rows, at - 1], rise[rows, at], rise[rows, at + 1]
    bend = before - 2 * peak + after
    between = np.where(bend < -1e-9, 0.5 * (before - after) / np.where(bend < -1e-9, bend, -1.0), 0.0).clip(-1, 1)
    clear = np.minimum(steps[rows, at] / (2 * CLEAR), 1) * is_peak[rows, at] * (steps[rows, at] > 2 * NOISE)
    return Steps(samples, offsets[at] + between * picture.mm_per_px, np.asarray(clear))


def supported(body: Body, pictures: Sequence[EdgePicture], near: float = 0.8) -> list[float]:
    """The share of a body's seen edges that lie on an edge of the picture, for every photo."""
    shares = []
    for picture in pictures:
        samples = samples_of(body, picture.eye, 1.5)
        offsets, tones = _profiles(picture, samples, SEARCHED)
        steps = _steps(tones)
        best = np.max(steps[:, np.abs(offsets) <= near], axis=1)
        above = (best - np.median(steps, axis=1) - NOISE) / CLEAR
        shares.append(float(np.average(above.clip(0, 1), weights=samples.share)))
    return shares


def samples_of(body: Body, eye: FloatArray, spacing: float) -> Samples:
    """Points about `spacing` mm apart along the edges of a body that a camera sees."""
    mesh, corners = mesh_of(body.kind), body.corners
    edges = seen_edges(body, eye)
    ends = mesh.edges[edges, :2]
    places, moves = shadow(corners, eye), shadow_moves(corners, body.moves, eye)
    way = places[ends[:, 1]] - places[ends[:, 0]]
    length = np.linalg.norm(way, axis=1)
    count = np.clip(np.round(length / spacing), 1, 40).astype(int)
    on = np.repeat(np.arange(len(edges)), count)
    t = ((np.arange(len(on)) - (np.cumsum(count) - count)[on] + 0.5) / count[on])[:, None]
    unit = way / np.maximum(length, 1e-6)[:, None]
    normals = np.column_stack([-unit[on, 1], unit[on, 0]])
    start, end = ends[on].T
    moved = (1 - t)[..., None] * moves[start] + t[..., None] * moves[end]
    return Samples(
        edges[on], (1 - t) * places[start] + t * places[end], normals, (length / count)[on],
        np.einsum("ni,nip->np", normals, moved),
    )  # fmt: skip


def _profiles(picture: EdgePicture, samples: Samples, reach: float) -> tuple[FloatArray, NDArray[np.float32]]:
    """Offsets (m,) along the normals, mm, and the picture's tones (n, m + 4, 3) there and at two more at either end."""
    px = picture.mm_per_px
    most = round(reach / px)
    offsets = np.arange(-most - 2, most + 3) * px
    places = samples.points[:, None] + offsets[:, None] * samples.normals[:, None]
    x, y = ((places - picture.origin) / px).astype(np.float32).transpose(2, 0, 1)
    tones = cv2.remap(
        picture.tones, np.ascontiguousarray(x), np.ascontiguousarray(y), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    return np.asarray(offsets[2:-2], dtype=np.float64), np.asarray(tones, dtype=np.float32)


def _steps(tones: NDArray[np.float32]) -> FloatArray:
    """The size (n, m) of the step at every place of profiles (n, m + 4, 3)."""
    rise = tones[:, 3:-1] - tones[:, 1:-3] + tones[:, 4:] - tones[:, :-4]
    return np.asarray(np.sqrt((rise**2).sum(axis=-1)) / 4, dtype=np.float64)
