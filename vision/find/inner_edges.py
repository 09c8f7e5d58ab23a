"""How deep below a patch's border its tape ends, where paper of the tape's own colour goes on inside.

No two materials are quite alike.  Along a straight edge of the patch, and averaged along it, the colour steps at the
tape's inner edge, or its unrest does, or a crease shows.  Light, gloss and shadows make such a step another on every
side, so each side is judged by its own unrest; what they share is its depth, for a roll has one width.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.find.strips import Edge
from vision.find.tape_mask import TapeMask

ColoursAt = Callable[[FloatArray], NDArray[np.uint8]]
"""The photo's colours (n, m, 3) at places (n, m, 2) in mm."""
NEAREST, SHALLOWEST, DEEPEST, STEP = 0.75, 4.0, 36.0, 0.25
"""From where, from which step on, how deep and how finely below its border a patch is read, mm; nearer to the border
its blur and the phone's sharpening look like steps.
"""
LONG_EDGE, CORNER = 25.0, 26.0
"""Edges of this length, mm, are read; within CORNER mm of their ends, or a quarter, another strip may lie across."""
GAP, WINDOW, ASIDE, CREASE = 2, 5, 7, 3
"""Steps left out on both sides of a step, averaged beyond them, and away from it, where it must have become weaker; and
half the width of a crease.
"""
SHOWN = 0.3
"""Share of an edge along which the tape's colour must show at a depth."""
GOES_ON = 5.0
"""How far beyond its inner edge the tape's colour must go on, mm; else it ends there and is a plain band."""
FAINTEST = np.array([0.004, 0.004, 0.004, 0.1])
"""Smallest steps of both log ratios, of log lightness and of the log of its unrest that are told from none."""
DARK = 0.006
"""Unrest of log lightness that is told from none."""
CREASED, MOST_CREASED = 4.0, 8.0
"""Strength of a crease, in spreads, from which and up to which it counts."""
STRONGEST = 12.0
"""No side's step counts more than as one of so many spreads."""
APART, SETTLED, WIDER = 2, 3, 5
"""Steps by which sides may differ in depth, within which each one's own depth is looked for, and within which it must
not step much more.
"""
CLEAR_STEP, NEARLY, SEEN = 4.0, 0.6, 2.4
"""Mean strength from which a step is taken for the inner edge, against the strongest one's, and on one side."""
SUPPORT, SIDES, LEAST_LIKE = 0.75, 3, 0.15
"""Share of the edges, by length, that must show the step, how many, and how strongly against what is usual among them.
"""


@dataclass(frozen=True)
class InnerEdge:
    """How deep the tape's inner edge lies below a patch's border, mm, how clear it is, by the length it is seen, and
    below which edges it shows.
    """

    depth: float
    clear: float
    below: tuple[Edge, ...]


def inner_edge(edges: Sequence[Edge], tape: TapeMask, colours_at: ColoursAt) -> InnerEdge | None:
    """The depth at which the colour steps below most of a patch's straight edges; None where it does not.

    A pond or sheet in the zone may follow its tape at some distance: of steps about as clear the least deep counts.
    """
    read = [(e, _strength(e, tape, colours_at)) for e in edges if e.length >= LONG_EDGE]
    read = [(edge, strength) for edge, strength in read if np.isfinite(strength).any()]
    if len(read) < SIDES:
        return None
    length, strength = np.array([e.length for e, _ in read]), np.stack([s for _, s in read])
    near = _farthest_of(STRONGEST * np.tanh(np.nan_to_num(strength) / STRONGEST), APART)
    weight = np.isfinite(strength) * length[:, None]
    enough = weight.sum(axis=0) > 0.5 * length.sum()
    mean = np.where(enough, (near * weight).sum(axis=0) / np.maximum(weight.sum(axis=0), 1e-9), 0.0)
    peaks = np.flatnonzero((mean >= _farthest_of(mean[None], 2 * APART)[0]) & (mean >= CLEAR_STEP))
    peaks = peaks[mean[peaks] >= NEARLY * mean.max()]
    if not len(peaks):
        return None
    depth = _common_depth(strength, length, int(peaks[0]))
    at = round((depth - NEAREST) / STEP)
    shows = (near[:, at] > SEEN) & (near[:, at] > NEARLY * _farthest_of(near, WIDER)[:, at])
    own = _farthest_of(np.nan_to_num(strength), APART)[:, at]
    shows &= own > LEAST_LIKE * float(np.median(own))
    if length[shows].sum() < SUPPORT * length.sum():
        return None
    below = tuple(edge for (edge, _), is_shown in zip(read, shows, strict=True) if is_shown)
    return InnerEdge(depth, float(mean[peaks[0]] * length.sum()), below)


def _common_depth(strength: FloatArray, length: FloatArray, at: int) -> float:
    """The mean of the depths at which the sides step, near the depth at which they do so together."""
    near = slice(max(0, at - SETTLED), at + SETTLED + 2 * APART + 1)
    own = np.nan_to_num(strength[:, near])
    weight = length * (own.max(axis=1) > SEEN)
    return float(_depths()[near][own.argmax(axis=1)] @ weight / weight.sum())


def _farthest_of(values: FloatArray, reach: int) -> FloatArray:
    """The largest of each row's values (n, m) within `reach` steps."""
    kernel = np.ones((1, 2 * reach + 1), np.uint8)
    return np.asarray(cv2.dilate(values, kernel, borderType=cv2.BORDER_REPLICATE), dtype=np.float64)


def _depths() -> FloatArray:
    return np.arange(NEAREST, DEEPEST, STEP)


def _strength(edge: Edge, tape: TapeMask, colours_at: ColoursAt) -> FloatArray:
    """How strongly a side steps at every depth (n,), in spreads of what steps elsewhere on it; nan where none could."""
    tones, unrest = _read(edge, tape, colours_at)
    known = np.isfinite(unrest)
    on = round(GOES_ON / STEP)
    goes_on = np.array([known[i : i + on].all() and i + on <= len(known) for i in range(len(known))])
    steps, creases = np.column_stack([_along(_steps(tones)), _steps(unrest[None])[0]]), _along(_creases(tones))
    usable = goes_on & np.isfinite(steps).all(axis=1)
    if usable.sum() < 2 * WINDOW:
        return np.full(len(known), np.nan)
    step = np.where(usable, _in_spreads(steps, usable, FAINTEST), np.nan)
    # What spills over a border fades away, a step does not.
    above, below = np.full((2, len(step)), np.nan)
    above[ASIDE:], below[:-ASIDE] = step[:-ASIDE], step[ASIDE:]
    stands_out = np.maximum(step - np.fmax(np.nan_to_num(above), np.nan_to_num(below)), 0.0)
    sure = goes_on & np.isfinite(creases[:, 0]) & (_depths() >= SHALLOWEST)
    crease = np.where(sure, _in_spreads(np.nan_to_num(creases), usable, FAINTEST[:3]) - CREASED, 0.0)
    crease = np.where(crease >= _farthest_of(crease[None], 2)[0], np.clip(crease, 0.0, MOST_CREASED), 0.0)
    return np.where(usable & (_depths() >= SHALLOWEST), stands_out + _farthest_of(crease[None], 1)[0], np.nan)


def _read(edge: Edge, tape: TapeMask, colours_at: ColoursAt) -> tuple[FloatArray, FloatArray]:
    """Log ratios and log lightness (m, n, 3) at m places along an edge and n depths, nan where it is not the tape's
    colour; and the log of lightness's unrest (n,) at every depth, nan where too little of that colour shows.
    """
    trim = min(0.25 * edge.length, CORNER)
    along, depth = np.arange(trim, edge.length - trim, 0.5), _depths()
    way = (edge.end - edge.start) / edge.length
    places = edge.start + along[:, None, None] * way + depth[None, :, None] * edge.inwards
    tones = log_colour(np.asarray(cv2.blur(colours_at(places), (1, 5)), dtype=np.uint8)).astype(np.float64)
    own = tape.read(places)
    tones[~own] = np.nan
    apart = np.abs(tones[2:, :, 2] - tones[:-2, :, 2])
    count = np.isfinite(apart).sum(axis=0)
    unrest = np.log(np.nansum(apart, axis=0) / np.maximum(count, 1) + DARK)
    unrest[(own.mean(axis=0) < SHOWN) | (count == 0)] = np.nan
    return tones, unrest


def _along(values: FloatArray) -> FloatArray:
    """The middle (n, k) of what places along an edge say (m, n, k); nan where too few do."""
    enough = np.isfinite(values[..., 0]).mean(axis=0) >= SHOWN
    middle = np.full(values.shape[1:], np.nan)
    # What is not known is sorted last.
    ordered = np.sort(values[:, enough], axis=0)
    count = np.isfinite(ordered).sum(axis=0)
    pair = [np.take_along_axis(ordered, at[None], axis=0)[0] for at in ((count - 1) // 2, count // 2)]
    middle[enough] = (pair[0] + pair[1]) / 2
    return middle


def _steps(read: FloatArray) -> FloatArray:
    """By how much what is read (m, n, ...) differs beyond every depth from before; nan where it is not known."""
    steps, first = np.full_like(read, np.nan), GAP + WINDOW
    mean = np.lib.stride_tricks.sliding_window_view(read, WINDOW, axis=1).mean(axis=-1)
    if read.shape[1] > 2 * first:
        # mean[:, k] is of the window from k on, which starts at i + GAP beyond depth i, at i - GAP - WINDOW + 1 before.
        beyond = mean[:, first + GAP : read.shape[1] - first + GAP]
        below = mean[:, 1 : read.shape[1] - 2 * first + 1]
        steps[:, first : read.shape[1] - first] = beyond - below
    return steps


def _creases(tones: FloatArray) -> FloatArray:
    """By how much every depth (m, n, 3) differs from both sides of it."""
    creases = np.full_like(tones, np.nan)
    beside = tones[:, : -2 * CREASE] + tones[:, 2 * CREASE :]
    creases[:, CREASE:-CREASE] = tones[:, CREASE:-CREASE] - 0.5 * beside
    return creases


def _in_spreads(values: FloatArray, usable: NDArray[np.bool_], least: FloatArray) -> FloatArray:
    """The size of values (n, k), each against its usual spread among the usable."""
    usual = np.median(values[usable], axis=0)
    spread = 1.4826 * np.median(np.abs(values[usable] - usual), axis=0) + least
    return np.asarray(np.linalg.norm(values / spread, axis=1))
