"""Where the corrected picture shows what has a line's colour and is no broader than lines are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours, log_colour
from vision.colour.colour_classes import CODES, codes_of, colours_of, nearest_tone
from vision.colour.colour_words import fits_word
from vision.picture.traced_lines import LineSpec

BROADEST = 12.0
"""Width of the broadest line, mm."""
SPARE = 2.0
"""How much broader than that a place is where lines cross or touch, mm."""
RIM = 1.5
"""Within how many mm of what is broader than a line its ragged border counts as its own."""
GROUND_RATIO, GROUND_LIGHT = 0.25, (-1.2, 0.3)
"""Log colour ratio, and log lightness from and to which a colour that a word names is a ground's."""
SHADED = 1.5
"""Up to how many spreads from its tape's in the same light a colour on a tape is that tape."""
SURELY, FARTHEST, MIXED_FARTHEST = 1.5, 3.3, 5.0
"""Up to how many spreads a colour is the swatch's whatever word else names it, up to how many where nothing is nearer,
and up to how many where a thin line mixes with what is beside it.
"""
LEAST_SURE = 0.35
"""Share of a part that must be of the line's colour for sure."""
FINE, AROUND, MIXED = 0.3, 10.0, 0.4
"""Blur with which a patch is compared with what is around, how far that reaches, and how far in its border does, mm."""
OTHER_LIGHT, OTHER_RATIO = 0.35, 0.25
"""Log lightness and log colour ratio from which a line on a patch of its own colour is told."""
GLINT = 1.0
"""A hole in a line's mask that is smaller is light between its fibres, mm2."""
LEAST_EXTENT = 6.0
"""What reaches less far is a crumb, mm."""


_NEAR = np.ones((3, 3), np.uint8)


@dataclass(frozen=True, eq=False)
class LineColours:
    """What all boxes of the card tell, which of them hold the zones' tapes, all declared lines, and the colours, each
    (3,), of what covers much of the picture.
    """

    card: TapeColours
    tapes: Sequence[int]
    lines: Sequence[LineSpec]
    grounds: Sequence[NDArray[np.float32]]


@dataclass(frozen=True, eq=False)
class LineMask:
    """Where (h, w) a line may be, and where its colour shows for sure."""

    thin: NDArray[np.bool_]
    sure: NDArray[np.bool_]


def line_mask(
    bgr: NDArray[np.uint8],
    free: NDArray[np.bool_],
    own_tape: NDArray[np.bool_],
    other_tape: NDArray[np.bool_],
    spec: LineSpec,
    colours: LineColours,
    px: float,
) -> LineMask:
    """The mask of one line in a corrected picture (h, w, 3) of `px` mm per pixel; free (h, w): where one may be.

    own_tape, other_tape (h, w): where tape of the line's own colour lies, and where other tape shows.  The line's box
    must tell a colour if it has one.
    """
    codes = codes_of(bgr)
    present = np.flatnonzero(np.bincount(codes.ravel(), minlength=CODES))
    sure, maybe = np.zeros(CODES, dtype=bool), np.zeros(CODES, dtype=bool)
    sure[present], maybe[present] = _fits(present, spec, colours)
    strong, weak = sure[codes] & free & ~other_tape, maybe[codes] & free & ~other_tape
    lines = np.zeros(free.shape, dtype=bool)
    # Ground that a thin line's mixed colours resemble must not hide the line, so each mask is looked at by itself.
    for mask in (strong, weak):
        closed = np.asarray(cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_CLOSE, _NEAR), dtype=np.uint8)
        broad = _broad(closed, px) | (own_tape & mask)
        lines |= (closed > 0) & ~broad
        if mask is strong and broad.any():
            lines |= _apart(bgr, broad, px)
    lines = _without_holes(cv2.morphologyEx(lines.astype(np.uint8), cv2.MORPH_CLOSE, _NEAR) > 0, px)
    return LineMask(_parts(lines, strong, px), strong)


def tape_fits(colours: LineColours, tape: int, spec: LineSpec) -> bool:
    """Whether a tape's own colour would do for the line's."""
    swatch = colours.card.of(tape)
    if swatch is None:
        return False
    white = np.array([0.0, 0.0, colours.card.white[2]])
    if spec.swatch is None:
        sure, _ = fits_word((swatch.tones + white - colours.card.white).astype(np.float32), spec.colour or "")
        return bool(sure.any())
    own = colours.card.of(spec.swatch)
    if own is None:
        return False
    return bool(
        nearest_tone((own.tones + white).astype(np.float32), (swatch.tones + white).astype(np.float32), 0.0).min()
        < FARTHEST**2
    )


def _fits(
    present: NDArray[np.intp], spec: LineSpec, colours: LineColours
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which of the colours present (n,) are the line's, and which may be where it is thin."""
    tones, card = log_colour(colours_of(present)).astype(np.float32), colours.card
    boxes = {n for line in colours.lines if line is not spec and (n := line.swatch) is not None} - {spec.swatch}
    words = {w for line in colours.lines if line is not spec and (w := line.colour) is not None} - {spec.colour}
    if spec.swatch is None:
        sure, maybe = fits_word(tones - card.white.astype(np.float32), spec.colour or "")
        for n in boxes:
            sure &= _far(tones, card, n) > SURELY**2
        ground = _is_ground(tones, colours)
        return sure & ~ground, maybe & ~ground
    distance = _far(tones, card, spec.swatch)
    nearest = np.min([np.full(len(tones), np.inf), *(_far(tones, card, n) for n in boxes)], axis=0)
    if len(colours.grounds):
        nearest = np.minimum(nearest, nearest_tone(tones, np.stack(colours.grounds), 0.0))
    sure, maybe = (distance < FARTHEST**2) & (distance <= nearest), (distance < MIXED_FARTHEST**2)
    for word in words:
        sure &= ~fits_word(tones - card.white.astype(np.float32), word)[0] | (distance < SURELY**2)
    return sure, maybe & (distance <= nearest)


def _is_ground(tones: NDArray[np.float32], colours: LineColours) -> NDArray[np.bool_]:
    """Which colours (n, 3) are a ground's in some light: a shadow makes it darker, hardly anything brighter."""
    found = np.zeros(len(tones), dtype=bool)
    for ground in colours.grounds:
        light = tones[:, 2] - ground[2]
        same = (np.abs(tones[:, :2] - ground[:2]) < GROUND_RATIO).all(axis=1)
        found |= same & (light > GROUND_LIGHT[0]) & (light < GROUND_LIGHT[1])
    return found


def nearer_tape(bgr: NDArray[np.uint8], spec: LineSpec, tape: int, colours: LineColours) -> NDArray[np.bool_]:
    """Where (h, w) colours are a tape's, maybe in a shadow, or nearer that than those of the line if it has a box."""
    codes = codes_of(bgr)
    present = np.flatnonzero(np.bincount(codes.ravel(), minlength=CODES))
    tones = log_colour(colours_of(present)).astype(np.float32)
    table = np.zeros(CODES, dtype=bool)
    table[present] = _is_shaded(tones, colours.card, tape)
    if spec.swatch is not None:
        table[present] |= _far(tones, colours.card, tape) < _far(tones, colours.card, spec.swatch)
    return np.asarray(table[codes])


def _is_shaded(tones: NDArray[np.float32], card: TapeColours, tape: int) -> NDArray[np.bool_]:
    """Which colours (n, 3) are a tape's in less light."""
    swatch = card.of(tape)
    if swatch is None:
        return np.zeros(len(tones), dtype=bool)
    found = np.zeros(len(tones), dtype=bool)
    for own in (swatch.tones + np.array([0.0, 0.0, card.white[2]])).astype(np.float32):
        shade = np.clip(tones[:, 2] - own[2], *GROUND_LIGHT)
        # In that light the tape itself is so much darker.
        even = tones - np.array([0.0, 0.0, 1.0], dtype=np.float32) * shade[:, None]
        found |= nearest_tone(even, own[None], float(np.exp(card.white[2]))) < SHADED**2
    return found


def _far(tones: NDArray[np.float32], card: TapeColours, number: int) -> NDArray[np.float32]:
    """Squared distance (n,) of colours (n, 3) from what a box holds, in spreads; endless where it tells none."""
    swatch = card.of(number)
    if swatch is None:
        return np.full(len(tones), np.inf, dtype=np.float32)
    own = (swatch.tones + np.array([0.0, 0.0, card.white[2]])).astype(np.float32)
    return nearest_tone(tones, own, float(np.exp(card.white[2])))


def _broad(mask: NDArray[np.uint8], px: float) -> NDArray[np.bool_]:
    """All of the mask (h, w) that a circle broader than a line lies in, and that one's rim."""
    radius = (BROADEST + SPARE) / 2 / px
    core = cv2.distanceTransform(mask, cv2.DIST_L2, 3) > radius
    if not core.any():
        return core
    away = cv2.distanceTransform((~core).astype(np.uint8), cv2.DIST_L2, 3)
    return np.asarray((away <= radius + RIM / px) & (mask > 0))


def _apart(bgr: NDArray[np.uint8], broad: NDArray[np.bool_], px: float) -> NDArray[np.bool_]:
    """Where (h, w) a broad patch of the line's colour differs from what it is around: a line lies on it."""
    tones = log_colour(np.asarray(cv2.GaussianBlur(bgr, (0, 0), FINE / px), dtype=np.uint8))
    size = (2 * round(AROUND / px) + 1,) * 2
    share = cv2.boxFilter(broad.astype(np.float32), -1, size)
    around = cv2.boxFilter(tones * broad[..., None], -1, size) / np.maximum(share, 1e-6)[..., None]
    apart = np.abs(tones - around)
    # The border of a patch is mixed with what lies beside it.
    inside = cv2.erode(broad.astype(np.uint8), np.ones((3, 3), np.uint8), iterations=max(1, round(MIXED / px))) > 0
    return np.asarray(inside & ((apart[..., 2] > OTHER_LIGHT) | (apart[..., :2] > OTHER_RATIO).any(axis=-1)))


def _without_holes(mask: NDArray[np.bool_], px: float) -> NDArray[np.bool_]:
    """The mask (h, w) with glints between a line's fibres filled."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats((~mask).astype(np.uint8), connectivity=4)
    glint = stats[:count, cv2.CC_STAT_AREA] * px**2 < GLINT
    glint[0] = False
    return np.asarray(mask | glint[labels])


def _parts(mask: NDArray[np.bool_], sure: NDArray[np.bool_], px: float) -> NDArray[np.bool_]:
    """The mask's parts that reach as far as a piece of a line does, enough of each of its colour for sure."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8))
    reach = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) * px
    own = np.bincount(labels[sure & mask], minlength=count) / np.maximum(stats[:, cv2.CC_STAT_AREA], 1)
    kept = (reach >= LEAST_EXTENT) & (own >= LEAST_SURE)
    kept[0] = False
    return np.asarray(kept[labels])
