"""Strands carried on past the end of their mask, where colours mix but both edges of the line still show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray
from vision.lines.shown.profiles import read_profiles
from vision.lines.shown.strands import NOWHERE, STEP_MM, Strand, alike

AHEAD = 4
"""Profiles that are read ahead at once."""
MOST_STEPS = 60
CROSSED = 3.0
"""Across how many mm, besides 1.5 widths, a line is looked for where another one lies over it."""
ASIDE, OTHER_WIDTH = 0.35, 0.25
"""How far the middle may lie off the way straight on, and how much the width may differ, in widths."""
MIXED = (0.6, 1.2)
"""Log colour ratio and log lightness by which the line differs from how it was, where light or ground changes."""
LEAST_SEEN = 0.7
"""Share of the profiles ahead that must show the line for it to go on."""


def carried_on(photo: NDArray[np.uint8], camera: Camera, strands: Sequence[Strand], height: float) -> list[Strand]:
    """The strands, `height` mm above the plane, each followed from its loose ends until it stops or meets another."""
    followed = list(strands)
    for i, strand in enumerate(strands):
        others = [s.points for j, s in enumerate(followed) if j != i]
        reached = np.vstack(others) if others else np.zeros((0, 2))
        for side in (0, 1):
            if strand.meets[side] == NOWHERE and not strand.closed:
                points = followed[i].points[:: 1 if side else -1]
                longer = _followed(photo, camera, replace(strand, points=points), height, reached)
                followed[i] = replace(followed[i], points=longer[:: 1 if side else -1])
    return followed


def _followed(
    photo: NDArray[np.uint8], camera: Camera, strand: Strand, height: float, others: FloatArray
) -> FloatArray:
    """The strand's points (n, 2) and those past its last one."""
    points, width = strand.points, strand.width
    back = max(4, round(2 * width / STEP_MM))
    core = None
    for _ in range(MOST_STEPS):
        recent = points[-back:]
        way = (recent[-1] - recent[0]) / max(float(np.linalg.norm(recent[-1] - recent[0])), 1e-9)
        aside = np.array([-way[1], way[0]])
        if core is None:
            own = np.broadcast_to(aside, recent.shape)
            core = np.median(read_profiles(photo, camera, recent, own, width, height).core, axis=0)
        for gap in np.arange(0.0, 1.5 * width + CROSSED, STEP_MM):
            ahead = points[-1] + (gap + np.arange(1, AHEAD + 1) * STEP_MM)[:, None] * way
            moved = _seen(photo, camera, ahead, aside, core, replace(strand, points=points), height)
            if len(moved) >= (LEAST_SEEN if gap == 0 else 1.0) * AHEAD:
                break
        else:
            return points
        if _near(moved, others) < width + STEP_MM:
            return points
        points = np.vstack([points, moved])
    return points


def _seen(
    photo: NDArray[np.uint8], camera: Camera, ahead: FloatArray, aside: FloatArray, core: FloatArray, strand: Strand,
    height: float,
) -> FloatArray:  # fmt: skip
    """The line's middle at those of the places (n, 2) ahead where it shows."""
    across, width = np.broadcast_to(aside, ahead.shape), strand.width
    seen = read_profiles(photo, camera, ahead, across, width, height)
    room = 0.5 / float(np.median(seen.scale))
    shown = seen.found & (np.abs(seen.offset) < ASIDE * width + room)
    shown &= np.abs(seen.widths - width) < OTHER_WIDTH * width + room
    shown &= alike(seen.core, np.broadcast_to(core, seen.core.shape), MIXED)
    return np.asarray((ahead + seen.offset[:, None] * across)[shown])


def _near(points: FloatArray, others: FloatArray) -> float:
    """Least distance between points (n, 2) and others (m, 2), mm; endless where there are none."""
    if not len(others):
        return float(np.inf)
    return float(np.linalg.norm(points[:, None] - others[None], axis=2).min())
