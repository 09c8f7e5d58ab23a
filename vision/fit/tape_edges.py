"""Where a tape's edges pass in the photo: brightness profiles across both edges of the band, along every side.

Profiles are read in the photo itself, not in a corrected copy, so nothing is interpolated twice.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.card.colours import log_colour
from calib.edges import STEP, FloatArray, half_way, sample_profiles
from vision.find.rough_outlines import EdgePoints, SideTapes

SPACING = 1.25
"""Distance of profiles along a side, mm."""
CORNER_SPARE = 1.5
"""Kept clear of a neighbour's tape at a corner, mm."""
LEAST_CONTRAST = 7.0
"""Levels (of 255) between tape and what lies beside it, along the colour direction that tells them apart best."""
FAINT_CONTRAST, AVERAGED = 1.5, 16
"""As LEAST_CONTRAST where the tape lies on paper of its own colour, and how many profiles are averaged there."""
STRIPED, CHECKED = 0.35, 0.7
"""Typical spread of log colour ratios and of log lightness along a tape from which it must be a patterned one."""
PATTERNED, OFTEN, MOSTLY = 0.5, 0.3, 0.5
"""Difference of a step from tape to what lies beside it from the side's common one, over their size, the share of a
side's steps that differ so much, and the share of such sides, from which on the tape is patterned.
"""
LEAVES, FIRST_PX = 0.4, 3.0
"""Share of a profile's largest difference from the colour where it starts at which another one begins, and how many px
behind that it is reached.
"""
OTHER_HUE, BRIGHTER, DARKER = 0.6, 0.7, 1.6
"""Log colour ratio and log lightness by which a colour is not the outline's tape in other light."""
LEAST_POINTS = 6
"""Edge points below which a side's line is not fitted."""


def edge_points(photo: NDArray[np.uint8], camera: Camera, corners: FloatArray, tapes: SideTapes) -> EdgePoints:
    """Read profiles across both tape edges of every side of a rough outline.

    photo (h, w, 3); corners (n, 2) mm, clockwise in the picture.
    """
    side, middle, normal = places_along(corners, tapes.width)
    pixels, found = np.zeros((2, len(side), 2)), np.zeros((2, len(side)), dtype=bool)
    for roll in np.unique(tapes.roll[side]):
        own = tapes.roll[side] == roll
        width, height = (float(of[side][own][0]) for of in (tapes.width, tapes.height))
        parts = [
            band_edge(photo, camera, middle[own], normal[own], sign * width / 2, width, height, side[own], faint)
            for sign, faint in ((1.0, None), (-1.0, tapes.papered[side[own]]))
        ]
        pixels[:, own] = [p[0] for p in parts]
        colours = np.concatenate([p[2] for p in parts])
        alike = tapes.glared | _of_one_tape(colours).reshape(2, -1)
        found[:, own] = np.stack([p[1] for p in parts]) & alike
    edge = np.repeat([1.0, -1.0], len(side))
    return EdgePoints(np.concatenate([side, side]), edge, pixels.reshape(-1, 2), found.ravel())


def places_along(corners: FloatArray, width: FloatArray) -> tuple[NDArray[np.intp], FloatArray, FloatArray]:
    """Places along a rough outline (n, 2) mm, clear of its corners: side (m,), middle and outward normal (m, 2) each.

    width (n,) of the tape along each side, mm; none where there is no tape.
    """
    side, along = _places(corners, width)
    start, end = corners[side], np.roll(corners, -1, axis=0)[side]
    direction = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
    normal = np.column_stack([direction[:, 1], -direction[:, 0]])
    return side, start + along[:, None] * (end - start), normal


def _of_one_tape(colours: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which colours (n, 3) beside an edge are the outline's own in some light; what hides tape has edges too."""
    tones = log_colour(colours)
    common = np.median(tones, axis=0)
    apart = np.abs(tones - common)
    if np.median(apart[:, :2].max(axis=1)) > STRIPED or np.median(apart[:, 2]) > CHECKED:
        return np.ones(len(colours), dtype=bool)
    alike = (apart[:, :2] < OTHER_HUE).all(axis=1)
    return np.asarray(alike & (tones[:, 2] < common[2] + BRIGHTER) & (tones[:, 2] > common[2] - DARKER), dtype=np.bool_)


def _places(corners: FloatArray, width: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """Side numbers and fractions of all profiles, clear of the neighbours' tape at the corners; none without tape."""
    ends = np.roll(corners, -1, axis=0)
    length = np.linalg.norm(ends - corners, axis=1)
    direction = (ends - corners) / length[:, None]
    turn = np.arccos(np.clip(np.sum(direction * np.roll(direction, 1, axis=0), axis=1), -1, 1))
    from_start = _covered(turn, width, np.roll(width, 1)) + CORNER_SPARE
    from_end = _covered(np.roll(turn, -1), width, np.roll(width, -1)) + CORNER_SPARE
    sides, fractions = [np.zeros(0, dtype=np.intp)], [np.zeros(0)]
    for i in np.flatnonzero(width > 0):
        size = length[i]
        low, high = from_start[i] / size, 1 - from_end[i] / size
        if high - low < 0.3:
            low, high = min(low, 0.35), max(high, 0.65)
        count = max(LEAST_POINTS, round((high - low) * size / SPACING))
        sides.append(np.full(count, i))
        fractions.append(low + (np.arange(count) + 0.5) / count * (high - low))
    return np.concatenate(sides), np.concatenate(fractions)


def _covered(turn: FloatArray, own: FloatArray, other: FloatArray) -> FloatArray:
    """How far from a corner a neighbour's band covers a side's, mm: turn of the outline there, both widths, each (n,).

    At an interior angle a the other's band covers other/2 / sin a + own/2 cot a; of one width w, w/2 cot(a/2).
    """
    sine, cosine = np.maximum(np.sin(turn), 1e-6), np.cos(turn)
    slant = np.where(other > 0, -cosine, np.abs(cosine))
    apart = (other + own * slant) / (2 * sine)
    alike = np.abs(other - own) < 0.02 * own
    covered = np.where(alike, own / 2 * np.tan(turn / 2), apart)
    return np.asarray(np.clip(covered, 0.0, 2.5 * np.maximum(own, other)))


def band_edge(
    photo: NDArray[np.uint8],
    camera: Camera,
    middle: FloatArray,
    normal: FloatArray,
    offset: float,
    width: float,
    height: float,
    side: NDArray[np.intp],
    faint: NDArray[np.bool_] | None = None,
) -> tuple[FloatArray, NDArray[np.bool_], NDArray[np.uint8]]:
    """One edge of the band, `offset` mm outwards of its middle: where it passes in the photo (n, 2) px, found (n,), and
    the colour (n, 3) on the tape's side of it.

    side (n,) groups the profiles that share one difference of colour between tape and what lies beside it.  Where an
    edge is `faint` (n,), profiles are averaged over a stretch of the side.
    """
    places = middle + offset * normal
    base = camera.project(places, height)
    ahead = camera.project(places + np.sign(offset) * normal, height)
    per_mm = np.linalg.norm(ahead - base, axis=1)
    ways = (ahead - base) / per_mm[:, None]
    reach = float(np.clip(0.45 * width * np.median(per_mm), 3.0, 9.0))
    colours = sample_profiles(photo, base, ways, reach)
    least = LEAST_CONTRAST
    if faint is not None and faint.any():
        colours, least = _averaged(colours, side, faint), FAINT_CONTRAST
    grey = _along_contrast(colours, side)
    if faint is not None and faint.any():
        # A thin shadow of the tape, or a gap, shows better than the step to paper of its colour: there the tape ends.
        grey[faint] = _first_away(colours[faint], max(2, round(0.25 * colours.shape[1])))
    seen = half_way(grey, reach, plateau=0.3 * reach, min_contrast=least)
    pixels = base + seen.offset[:, None] * ways
    inside = (pixels > 1).all(axis=1) & (pixels < np.array(photo.shape[1::-1]) - 2).all(axis=1)
    near = colours[:, : max(2, round(0.3 * colours.shape[1] / 2))].mean(axis=1).astype(np.uint8)
    return pixels, seen.found & (seen.contrast > 0) & inside, near


def _averaged(colours: FloatArray, side: NDArray[np.intp], faint: NDArray[np.bool_]) -> FloatArray:
    """Profiles (n, m, 3), the faint ones averaged with their neighbours on the same side."""
    averaged = colours.copy()
    for i in np.unique(side[faint]):
        own = np.flatnonzero(side == i)
        flat = colours[own].reshape(len(own), -1)
        size = (1, min(AVERAGED, len(own)))
        averaged[own] = cv2.blur(flat, size, borderType=cv2.BORDER_REPLICATE).reshape(colours[own].shape)
    return averaged


def _along_contrast(colours: FloatArray, side: NDArray[np.intp]) -> FloatArray:
    """Profiles (n, m, 3) projected on their side's own difference between beside and tape: tape low, beside high.

    A patterned tape has no common one, and steps of its own: there every profile is followed from outside.
    """
    k = max(2, round(0.25 * colours.shape[1]))
    step = colours[:, -k:].mean(axis=1) - colours[:, :k].mean(axis=1)
    sides = [side == i for i in np.unique(side)]
    if np.mean([_is_patterned(step[own]) for own in sides]) > MOSTLY:
        return _from_outside(colours, k)
    grey = np.empty(colours.shape[:2])
    for own in sides:
        direction = np.median(step[own], axis=0)
        grey[own] = colours[own] @ (direction / max(float(np.linalg.norm(direction)), 1e-9))
    return grey


def _is_patterned(steps: FloatArray) -> bool:
    """Whether steps (n, 3) from a side's tape to what lies beside it have no common direction."""
    away, size = (np.linalg.norm(of, axis=1) for of in (steps - np.median(steps, axis=0), steps))
    return bool(np.percentile(away, 100 * (1 - OFTEN)) > PATTERNED * np.median(size))


def _from_outside(colours: FloatArray, k: int) -> FloatArray:
    """Profiles (n, m, 3) by how far each is off the colour beside the tape, of its last k samples: beside high."""
    return -_first_away(colours[:, ::-1], k)[:, ::-1]


def _first_away(colours: FloatArray, k: int) -> FloatArray:
    """Profiles (n, m, 3) by how far each is off the colour of its first k samples, up to the first other one.

    What lies behind that first colour, a pattern's next one, counts as the same.
    """
    apart = colours - colours[:, :k].mean(axis=1, keepdims=True)
    away = np.linalg.norm(apart, axis=2)
    rows = np.arange(len(colours))
    first = (away > LEAVES * away.max(axis=1, keepdims=True)).argmax(axis=1)
    behind = first[:, None] + np.arange(round(FIRST_PX / STEP) + 1)
    peak = first + np.take_along_axis(away, np.minimum(behind, away.shape[1] - 1), axis=1).argmax(axis=1)
    peak = np.minimum(peak, away.shape[1] - 1)
    towards = apart[rows, peak] / np.maximum(away[rows, peak], 1e-9)[:, None]
    along = np.einsum("nmc,nc->nm", apart, towards)
    return np.asarray(np.where(np.arange(away.shape[1]) > peak[:, None], away[rows, peak][:, None], along))
