"""Which tape each pixel of the corrected picture may belong to, by colour alone.

Every colour present goes to the nearest of the tapes' tones (from the swatches) and of the grounds (the few colours
that cover much of the picture).  Light that varies moves lightness far more than the colour ratios, so lightness counts
little, and darker (shade) costs less than brighter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import Swatch, TapeColours, log_colour
from vision.colour.colours_around import with_commonest, with_patterns

RATIO_SPREAD = 0.16
"""Spread of a log colour ratio of one tape over a photo, in good light."""
NOISE, VEIL, LESS_VEIL = 0.004, 0.05, 0.02
"""Spread of a channel's linear light by noise, of the light that glare adds to all channels alike, as a share of the
card's white, and of what it had added to the swatch: they change the ratios of dark and of deep colours most.
"""
BRIGHTER, DARKER = 0.6, 0.8
"""Spread of log lightness above and below what the swatch promises."""
CODES = 1 << 18
"""How many colours are told apart."""
FARTHEST = 5.0
"""Beyond this many spreads a colour belongs to nothing."""
ALIKE, AS_LIGHT = 2.4, 0.5
"""Spreads and log lightness between two tapes up to which pixels of one are often taken for the other."""
ONE_OF_TWO = 3.0
"""The same for each colour of a tape of two: blurred together they are like many things."""
MIDWAY, CONTRAST = 0.35, 2.5
"""Share of the step in log light between two such colours, or of this step where it is less, within which a colour is
one of them: a glossy tape has all that lie between, too.
"""
GROUND_SHARE, MAIN_SHARE = 0.06, 0.25
"""A colour that covers this share of the picture is a ground; one near a tape's own only if it covers the larger
share.
"""
BOARD_SHARE = 0.5
"""Share of the parcel from which what covers it is the board and not the paper of one zone."""
UNLIKE_TAPE, PALER, NEAR_TAPE = 16.0, 5.0, 1.0
"""Mean squared distance, in spreads, from the nearest tape's tone: clearly another colour, another one or a tape's in
glare, and too near to tell.
"""
BROAD = 28.0
"""Radius of a circle, mm, that no tape holds, nor glare on one."""
SHADED_RATIO, SHADOW = 0.3, (0.5, 2.5)
"""Log colour ratio by which a ground differs in a shadow at most, and by how much it is darker there in log light."""
MOST_GROUNDS = 6
OTHER = 0


@dataclass(frozen=True, eq=False)
class Classes:
    """labels (h, w): 0 other, i + 1 the tape tapes[i], above that the grounds; table labels every colour there is.

    ground_tones: the grounds' colours, each (3,) log ratios and log lightness.
    swallowed: the tapes whose colour is not clearly another than a ground's, so that a ground may be paper of theirs;
    like_board: those that look like the board itself.
    """

    labels: NDArray[np.uint8]
    tapes: tuple[int, ...]
    grounds: int
    table: NDArray[np.uint8]
    swallowed: tuple[int, ...] = ()
    ground_tones: tuple[NDArray[np.float32], ...] = ()
    like_board: tuple[int, ...] = ()

    def tape(self, swatch: int) -> NDArray[np.bool_]:
        """Mask of the tape of box `swatch`."""
        return np.asarray(self.labels == self.tapes.index(swatch) + 1)

    def like_tape(self, bgr: NDArray[np.uint8], most: float) -> NDArray[np.bool_]:
        """Whether colours (..., 3), such as occur in the classified picture, are some tape's.

        What covers more than `most` pixels of the picture is no tape but a board of a tape's colour.
        """
        areas = np.bincount(self.labels.ravel(), minlength=256)
        tape = (np.arange(256) > 0) & (np.arange(256) <= len(self.tapes)) & (areas <= most)
        return np.asarray(tape[self.table[codes_of(bgr)]])

    @property
    def ground(self) -> NDArray[np.uint8]:
        """The grounds (h, w), numbered from 1; 0 elsewhere."""
        return np.where(self.labels > len(self.tapes), self.labels - len(self.tapes), 0).astype(np.uint8)


def classify(
    bgr: NDArray[np.uint8],
    colours: TapeColours,
    swatches: Sequence[int],
    mm_per_px: float,
    parcel: NDArray[np.bool_] | None = None,
) -> Classes:
    """Label every pixel of a corrected picture (h, w, 3); pure black is what the photo does not show.

    parcel (h, w): where the parcel lies, if that is known; a table's colour is no ground on it.
    """
    codes = codes_of(bgr)
    counts = np.bincount(codes.ravel(), minlength=CODES)
    counts[0] = 0
    present = np.flatnonzero(counts)
    tones = log_colour(colours_of(present)).astype(np.float32)
    tapes = tuple(s for s in swatches if colours.of(s) is not None)
    white = np.array([0.0, 0.0, colours.white[2]])
    veiled = float(np.exp(colours.white[2]))
    known = [s for n in tapes if (s := colours.of(n)) is not None]
    own = [(s.tones + white).astype(np.float32) for s in known]
    to_tapes = [nearest_tone(tones, to, veiled) for to in own]
    without_glare = np.min([nearest_tone(tones, to, 0.0) for to in own], axis=0)
    seen = _Seen(codes, present, mm_per_px)
    board = counts if parcel is None else np.bincount(codes[parcel], minlength=CODES)
    weights = np.stack([counts[present], board[present]])
    grounds = _grounds(tones, weights, np.min(to_tapes, axis=0), without_glare, seen)
    # What a shadow does to the board it does to the tape.
    for shade in _shades(grounds):
        to_tapes = [np.minimum(d, nearest_tone(tones, to + shade, veiled)) for d, to in zip(to_tapes, own, strict=True)]
    to_grounds = [_distance(tones, ground, veiled) for ground in grounds]
    mixed = [_parts(tones, to, to_grounds, present) if s.patterned else None for s, to in zip(known, own, strict=True)]
    distances = np.stack([*to_tapes, *to_grounds])
    patterned = [i for i, parts in enumerate(mixed) if parts is not None]
    to_patterns = distances[patterned]
    distances[patterned] = np.inf
    table, every_ground = _table(distances, present), grounds
    labels = table[codes]
    if parcel is not None:
        shares = np.bincount(labels[parcel], minlength=len(distances) + 1)[1:] / max(1, int(parcel.sum()))
        distances[len(own) :][shares[len(own) :] < GROUND_SHARE] = np.inf
        grounds = [g for g, share in zip(grounds, shares[len(own) :], strict=True) if share >= GROUND_SHARE]
        labels = np.where(parcel, _table(distances, present)[codes], labels)
    for like in _like(known, own):
        labels = with_commonest(labels, like, mm_per_px)
    if patterned:
        distances[patterned] = to_patterns
        bare = (_table(distances, present) > len(own))[codes]
        patterns = [(n, [part[codes] for part in parts]) for n, parts in enumerate(mixed, start=1) if parts is not None]
        labels = with_patterns(labels, patterns, bare, mm_per_px)
    through = [box.number for box in colours.boxes if box.state == "see-through"]
    reach = [UNLIKE_TAPE if number in through else ALIKE**2 for number in tapes]
    hidden = _hidden(own, every_ground, labels, parcel, reach)
    swallowed, like_board = (tuple(tapes[i] for i in own_of) for own_of in hidden)
    return Classes(labels, tapes, len(to_grounds), table, swallowed, tuple(grounds), like_board)


def _like(known: Sequence[Swatch], own: Sequence[NDArray[np.float32]]) -> list[list[int]]:
    """Labels of tapes of one colour each, their tones own, that are nearly the same, those of a group together."""
    plain = [i for i, swatch in enumerate(known) if not swatch.patterned]
    groups: list[list[int]] = []
    for i in plain:
        near = [g for g in groups if any(_are_like(own[j - 1], own[i]) for j in g)]
        groups = [g for g in groups if g not in near] + [[*(j for g in near for j in g), i + 1]]
    return [g for g in groups if len(g) > 1]


def _are_like(one: NDArray[np.float32], other: NDArray[np.float32]) -> bool:
    """Whether two tapes, tones (n, 3) and (m, 3), are of one colour and nearly as light."""
    light = np.abs(one[:, None, 2] - other[None, :, 2]).min()
    return bool(nearest_tone(one, other, 0.0).min() < ALIKE**2 and light < AS_LIGHT)


def _parts(
    tones: NDArray[np.float32],
    own: NDArray[np.float32],
    to_grounds: Sequence[NDArray[np.float32]],
    present: NDArray[np.intp],
) -> list[NDArray[np.bool_]]:
    """Which of all colours (CODES,) may be each colour of a tape of two, and are no ground's."""
    ground = np.min([np.full(len(tones), ONE_OF_TWO**2, dtype=np.float32), *to_grounds], axis=0)
    away = np.stack([_distance(tones, to, 0.0) for to in own])
    own_light = MIDWAY * max(float(np.ptp(own[:, 2])), CONTRAST)
    parts = [np.zeros(CODES, dtype=np.bool_) for _ in own]
    for number, part in enumerate(parts):
        near = np.abs(tones[:, 2] - own[number, 2]) < own_light
        part[present] = (away[number] < ground) & (away.argmin(axis=0) == number) & near
    return parts


def _hidden(
    own: Sequence[NDArray[np.float32]],
    grounds: Sequence[NDArray[np.float32]],
    labels: NDArray[np.uint8],
    parcel: NDArray[np.bool_] | None,
    reach: Sequence[float],
) -> tuple[list[int], list[int]]:
    """Numbers of tapes, tones own, that some ground is as near to as paper of a tape's colour is, and that look like
    the board: what covers most of the parcel (h, w) is no zone's paper.

    reach: the squared distance, in spreads, within which each tape looks like the board, through which a see-through
    one lets it shine.
    """
    centres = np.array(grounds, dtype=np.float32).reshape(-1, 3)
    shares = np.zeros(len(own) + len(grounds))
    if parcel is not None and parcel.any():
        shares = np.bincount(labels[parcel], minlength=256)[1 : len(shares) + 1] / parcel.sum()
    swallowed, like_board = [], []
    for i, to in enumerate(own):
        away = nearest_tone(centres, to, 0.0)
        near = away < UNLIKE_TAPE
        # Noise makes half the board's pixels such a tape's.
        if not near.any() or shares[len(own) :][near].sum() + shares[i] <= BOARD_SHARE:
            swallowed += [i] if near.any() else []
        elif (away[near] < reach[i]).any():
            like_board.append(i)
    return swallowed, like_board


def _shades(grounds: Sequence[NDArray[np.float32]]) -> list[NDArray[np.float32]]:
    """How much darker (3,) than another a ground is that has nearly its colour: it lies in a shadow."""
    pairs = ((one, other) for one in grounds for other in grounds)
    return [
        np.array([0.0, 0.0, other[2] - one[2]], dtype=np.float32)
        for one, other in pairs
        if np.abs(other[:2] - one[:2]).max() < SHADED_RATIO and SHADOW[0] < one[2] - other[2] < SHADOW[1]
    ]


def _table(distances: NDArray[np.float32], present: NDArray[np.intp]) -> NDArray[np.uint8]:
    """The label of every colour there is, by squared distances (classes, colours)."""
    table = np.zeros(CODES, dtype=np.uint8)
    table[present] = np.where(distances.min(axis=0) < FARTHEST**2, distances.argmin(axis=0) + 1, OTHER)
    return table


@dataclass(frozen=True, eq=False)
class _Seen:
    """The picture as codes (h, w), those present in it (n,), and its scale."""

    codes: NDArray[np.int32]
    present: NDArray[np.intp]
    mm_per_px: float

    def is_broad(self, which: NDArray[np.bool_]) -> bool:
        """Whether some of the colours present (n,) cover a place that is broader than any tape."""
        table = np.zeros(CODES, dtype=np.uint8)
        table[self.present[which]] = 1
        whole = cv2.morphologyEx(table[self.codes], cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
        return bool((cv2.distanceTransform(whole, cv2.DIST_L2, 3) * self.mm_per_px).max() > BROAD)


def codes_of(bgr: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Six bits of each channel of a picture (h, w, 3) in one number below CODES."""
    parts = (bgr >> 2).astype(np.int32)
    return np.asarray((parts[..., 0] << 12) | (parts[..., 1] << 6) | parts[..., 2])


def colours_of(codes: NDArray[np.intp]) -> NDArray[np.uint8]:
    """The colours (n, 3) in the middle of what codes (n,) stand for."""
    return (np.stack([codes >> 12, (codes >> 6) & 63, codes & 63], axis=-1) * 4 + 2).astype(np.uint8)


def nearest_tone(tones: NDArray[np.float32], to: NDArray[np.float32], white: float) -> NDArray[np.float32]:
    """Squared distance (n,), in spreads, of colours (n, 3) from the nearest of `to` (m, 3), both as log ratios and log
    lightness; white: the light that glare is a share of, 0 where there is none.
    """
    return np.asarray(np.min([_distance(tones, one, white) for one in to], axis=0))


def _distance(tones: NDArray[np.float32], to: NDArray[np.float32], white: float) -> NDArray[np.float32]:
    """Squared distance in spreads; tones (n, 3), to (3,).

    The ratios' covariance is that of independent errors plus that of a common one, inverted by Sherman and Morrison.
    """
    light = tones[:, 2] - to[2]
    apart = tones[:, :2] - to[:2]
    green = tones[:, 2] - (tones[:, 0] + tones[:, 1]) / 3
    per_light = np.exp(-np.column_stack([green[:, None] + tones[:, :2], green]))
    variance = RATIO_SPREAD**2 + NOISE**2 * (per_light[:, :2] ** 2 + per_light[:, 2:] ** 2)
    common = per_light[:, :2] - per_light[:, 2:]
    along = np.sum(common * apart / variance, axis=1)
    spread = white * np.where(along > 0, VEIL, LESS_VEIL) if white else 0.0
    explained = (spread * along) ** 2 / (1 + spread**2 * np.sum(common**2 / variance, axis=1))
    plain = np.sum(apart**2 / variance, axis=1)
    shade = (light / np.where(light > 0, BRIGHTER, DARKER)) ** 2
    return np.asarray(plain - explained + shade, dtype=np.float32)


def _grounds(
    tones: NDArray[np.float32],
    weights: NDArray[np.intp],
    tape_distance: NDArray[np.float32],
    without_glare: NDArray[np.float32],
    seen: _Seen,
) -> list[NDArray[np.float32]]:
    """Centres of colours that cover much of the picture, largest first; what is a tape's own colour is none, but the
    board: weights are how often each of the tones occurs in the picture and on the parcel (2, n).

    A board is told from tape in glare, of which there is little, as both look without it: without_glare is the distance
    from tape so.
    """
    bins = np.round(tones / np.array([0.15, 0.15, 0.25])).astype(np.int64)
    _, first, inverse = np.unique((bins + 512) @ (1 << 20, 1 << 10, 1), return_index=True, return_inverse=True)
    counts, on_board = weights
    left, total, found = counts.astype(np.float64), float(counts.sum()), []
    for _ in range(MOST_GROUNDS):
        fullest = np.bincount(inverse.ravel(), weights=left).argmax()
        centre = bins[first[fullest]] * np.array([0.15, 0.15, 0.25])
        near = (np.abs(tones - centre) < (0.3, 0.3, 0.45)).all(axis=1)
        share = left[near].sum() / total
        if share < GROUND_SHARE:
            break
        mean = (left[near] @ tones[near] / left[near].sum()).astype(np.float32)
        own, plain = (float(left[near] @ of[near] / left[near].sum()) for of in (tape_distance, without_glare))
        unlike = plain > UNLIKE_TAPE or (plain > PALER and seen.is_broad(near & (left > 0)))
        is_board = on_board[near & (left > 0)].sum() > BOARD_SHARE * on_board.sum()
        if is_board or (own > NEAR_TAPE if share > MAIN_SHARE else unlike):
            found.append(mean)
        left[near] = 0
    return found
