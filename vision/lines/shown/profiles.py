"""Profiles across a line in the photo itself: where both its edges pass, and what lies on either side.

An edge is where the colour is half-way between the line's and that beside it, each side by itself, so that a line
along the edge of tape keeps its place.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import STEP, FloatArray, positions, sample_profiles

BESIDE, FURTHER = (1.5, 3.5), (4.0, 6.5)
"""From where to where beside the expected edge the ground is read, px; and past a cord's own shadow."""
SHADOW = 0.7
"""How far a cord's shadow reaches beside it, in widths."""
AVERAGED = 3
"""Profiles that are averaged along the line."""
LEAST_CONTRAST = 9.0
"""Levels (of 255) between the line and what lies beside it."""
WRONG_WIDTH = 0.3
"""A profile whose width differs by more than this share, and half a pixel, from the usual one does not count."""


@dataclass(frozen=True, eq=False)
class Profiles:
    """n profiles: how far the line's middle lies off the given one (n,) along the normal and its width (n,), mm; where
    both edges were found (n,); colours (n, 3) of the line, of what lies on its left and right, and further off there.

    scale (n,): photo pixels per mm across the line.  width: the usual one; spread: of single widths, mm.
    """

    offset: FloatArray
    widths: FloatArray
    found: NDArray[np.bool_]
    core: FloatArray
    left: FloatArray
    right: FloatArray
    far_left: FloatArray
    far_right: FloatArray
    scale: FloatArray
    width: float
    spread: float


def read_profiles(
    photo: NDArray[np.uint8], camera: Camera, points: FloatArray, normals: FloatArray, width: float, height: float
) -> Profiles:
    """Profiles through points (n, 2) mm along normals (n, 2), across a line about `width` mm broad."""
    base = camera.project(points, height)
    ahead = camera.project(points + normals, height)
    scale = np.linalg.norm(ahead - base, axis=1)
    across = width * float(np.median(scale))
    past = max(0.0, SHADOW * across - FURTHER[0])
    reach = across / 2 + past + FURTHER[1] + 0.5
    colours = sample_profiles(photo, base, (ahead - base) / scale[:, None], reach)
    if len(colours) >= AVERAGED:
        flat = colours.reshape(len(colours), -1)
        averaged = cv2.blur(flat, (1, AVERAGED), borderType=cv2.BORDER_REPLICATE)
        colours = np.asarray(averaged, dtype=np.float64).reshape(colours.shape)
    at = positions(reach)
    core = colours[:, np.abs(at) <= max(0.5, 0.2 * across)].mean(axis=1)
    sides, further, edges, found = [], [], [], np.ones(len(points), dtype=bool)
    for sign in (-1.0, 1.0):
        beside = sign * at - across / 2
        ground = colours[:, (beside >= BESIDE[0]) & (beside <= BESIDE[1])].mean(axis=1)
        edge, crossed = _edge(colours, core, ground, sign * at, across / 2)
        sides.append(ground)
        further.append(colours[:, (beside >= past + FURTHER[0]) & (beside <= past + FURTHER[1])].mean(axis=1))
        edges.append(sign * edge)
        found &= crossed
    clear = across / 2 + BESIDE[1]
    inside = (base > clear).all(axis=1) & (base < np.array(photo.shape[1::-1]) - 1 - clear).all(axis=1)
    widths = (edges[1] - edges[0]) / scale
    found &= inside
    usual = float(np.median(widths[found])) if found.any() else width
    found &= np.abs(widths - usual) < WRONG_WIDTH * usual + 0.5 / np.median(scale)
    spread = 1.4826 * float(np.median(np.abs(widths[found] - usual))) if found.any() else width
    middle = (edges[0] + edges[1]) / 2 / scale
    offset = np.where(found, middle, 0.0)
    return Profiles(offset, widths, found, core, *_both(sides), *_both(further), scale, usual, spread)


def _both(sides: list[FloatArray]) -> tuple[FloatArray, FloatArray]:
    return sides[0], sides[1]


def _edge(
    colours: FloatArray, core: FloatArray, ground: FloatArray, at: FloatArray, expected: float
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Where the colours (n, m, 3) fall half-way from the line's to the ground's, outwards at `at` (m,), nearest to the
    expected place.
    """
    step = ground - core
    contrast = np.linalg.norm(step, axis=1)
    share = np.einsum("nmc,nc->nm", colours - core[:, None], step) / np.maximum(contrast, 1e-9)[:, None] ** 2
    order = np.argsort(at)
    share, u = share[:, order], at[order]
    rises = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5) & (u[:-1] > -STEP)
    distance = np.where(rises, np.abs(u[:-1] + STEP / 2 - expected)[None], np.inf)
    first = distance.argmin(axis=1)
    row = np.arange(len(share))
    low, high = share[row, first], share[row, first + 1]
    edge = u[first] + STEP * np.clip((0.5 - low) / np.where(high > low, high - low, 1.0), 0, 1)
    return edge, rises[row, first] & (contrast >= LEAST_CONTRAST)
