"""Outlines of which a side is laid twice: another strip runs along it, beside it or for a part over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.ops import unary_union

from calib.edges import FloatArray
from vision.find.borrowed_sides import OpenTape
from vision.find.closing import profile
from vision.find.rough_outlines import Found

ASIDE, TWICE = (0.45, 1.3), 0.6
"""How far off a side's middle a second strip along it lies, in widths, and along how much of the side."""
LEAST_LEFT = 30.0
"""Length of strips with both edges that are no outline's, mm, from which more of their tape must be there."""
ALONGSIDE = 0.35
"""How far off one line a strip and a side may lie, in widths, for the strip to be of the side."""
WITHIN = 0.5
"""Share of a strip or patch inside an outline from which it is a thing that stands there."""
MOSTLY_STRAIGHT, BROAD_RUN = 0.5, 60.0
"""Share of a curve that straight strips make, and for how many mm in a row it is broader than its tape."""
CLEAR, LEAST_CLEAR = 0.8, 0.42
"""How far from its corners a side is looked at, in widths of its tape, and the share of its length that is at most."""
MOST_BROAD, EVEN, EVENLY = 2.2, 1.0, 0.75
"""By how many times two strips are broader at most, and within how many mm, along which share of a side at least, they
are equally broad.
"""
BROADER, ACROSS = (0.12, 1.5), 41
"""By how much a side's tape is broader than the outline's other sides', relative and mm, where a second strip lies over
a part of it; and at how many places along a side it is looked at.
"""
MOST_COVERED = 0.45
"""How far a second strip may lie beside the first, in widths, for the outline's uncertainty to cover both."""


def is_laid_twice(outline: Found, found: Sequence[Found], own: OpenTape) -> bool:
    """Whether another strip of its tape lies along a side of an outline, so that either of the two may be meant."""
    if outline.curved:
        return outline.tape.paper is None and _is_broad(shapely.LinearRing(outline.corners), outline, own)
    return _laid_aside(outline, found, own) or any(
        apart > MOST_COVERED * own.width for _, apart in _doubled(outline, found, own)
    )


def with_doubled(found: Sequence[Found], tapes: Sequence[OpenTape]) -> list[Found]:
    """The outlines, marked where along a side a second strip lies partly over the first: either may be meant."""
    by_swatch = {t.swatch: t for t in tapes}
    return [f if f.curved else replace(f, doubled=_doubled(f, found, by_swatch[f.swatch])) for f in found]


def _laid_aside(outline: Found, found: Sequence[Found], own: OpenTape) -> bool:
    """Whether another strip runs along most of a side, well aside of it: either of the two may be meant.

    What is a side of another outline, or lies wholly in this one's tape, is none.
    """
    others = unary_union(
        [shapely.LinearRing(f.corners).buffer(ASIDE[0] * own.width) for f in found if f is not outline]
    )
    borrowed = {b.side for b in outline.borrowed}
    for i, (start, end) in enumerate(zip(outline.corners, np.roll(outline.corners, -1, axis=0), strict=True)):
        length = float(np.linalg.norm(end - start))
        along = (end - start) / length
        for strip in own.strips if i not in borrowed else ():
            places = strip.at(np.linspace(strip.low, strip.high, 21)) - start
            off = np.abs(places @ np.array([-along[1], along[0]]))
            shared = np.ptp(np.clip(places @ along, 0.0, length))
            aside = ASIDE[0] * own.width < np.median(off) and (off < ASIDE[1] * own.width).all()
            line = LineString(strip.at(np.array([strip.low, strip.high])))
            if aside and shared > TWICE * length and line.intersection(others).length < WITHIN * line.length:
                return True
    return False


def _doubled(outline: Found, found: Sequence[Found], own: OpenTape) -> tuple[tuple[int, float], ...]:
    """Sides along most of which, clear of their corners, tape is broader than along most others, and by how many mm.

    What touches it there, of another outline of the tape, does not count.
    """
    if outline.glared or outline.tape.paper is not None:
        return ()
    others = [
        shapely.LinearRing(f.corners).buffer(f.width) for f in found if f is not outline and f.swatch == own.swatch
    ]
    besides = unary_union(others)
    ends = np.roll(outline.corners, -1, axis=0)
    borrowed = {b.side for b in outline.borrowed}
    widths: dict[int, FloatArray] = {}
    for i, (start, end) in enumerate(zip(outline.corners, ends, strict=True)):
        clear = CLEAR * own.width / float(np.linalg.norm(end - start))
        if i not in borrowed and clear < LEAST_CLEAR and not LineString([start, end]).intersects(besides):
            places = start + np.linspace(clear, 1 - clear, ACROSS)[:, None] * (end - start)
            widths[i] = _width_across(places, own)
    if len(widths) < 3:
        return ()
    usual = float(np.median([np.median(side) for side in widths.values()]))
    least = usual + max(BROADER[0] * usual, BROADER[1])
    broad = {i: side for i, side in widths.items() if least < np.median(side) < MOST_BROAD * usual}
    # A thing or a shadow beside the tape has no edge along it.
    even = (i for i, side in broad.items() if (np.abs(side - np.median(side)) < EVEN).mean() > EVENLY)
    return tuple((i, float(np.median(broad[i])) - usual) for i in even)


def _width_across(places: FloatArray, own: OpenTape) -> FloatArray:
    """How broad (n,) the tape is that lies across a side at places (n, 2) on its middle, mm; 0 where none does."""
    step = own.tape.picture.mm_per_px
    along = (places[-1] - places[0]) / np.linalg.norm(places[-1] - places[0])
    away = np.arange(0.0, 2.5 * own.width, step)
    taped = [
        own.tape.read(places[:, None] + sign * away[None, :, None] * np.array([-along[1], along[0]]))
        for sign in (1.0, -1.0)
    ]
    reached = [np.where(one.all(axis=1), len(away), np.argmin(one, axis=1)) * step for one in taped]
    return np.asarray(np.where(taped[0][:, 0], reached[0] + reached[1] - step, 0.0))


def _is_broad(ring: shapely.LinearRing, outline: Found, own: OpenTape) -> bool:
    """Whether a band followed as a curve has straight sides for the most part and is for a while broader than its tape.

    There tape lies beside tape, and the curve cuts the corners that it hides.
    """
    straight = [LineString(s.at(np.array([s.low, s.high]))) for s in own.strips if s.paired and s.length >= LEAST_LEFT]
    shown, band = profile(ring, outline.width, outline.tape)
    points = shapely.points(
        shapely.get_coordinates(shapely.line_interpolate_point(ring, np.arange(0.5, max(1.0, ring.length), 1.0)))
    )
    sided = shapely.distance(points, shapely.union_all(straight)) < ALONGSIDE * own.width
    return bool(sided.mean() > MOSTLY_STRAIGHT and longest(shown & ~band & ~sided) > BROAD_RUN)


def longest(flags: NDArray[np.bool_]) -> int:
    """Length of the longest run of true flags around a closed line."""
    if flags.all():
        return len(flags)
    turned = np.roll(flags, -int(np.argmin(flags)))
    edges = np.flatnonzero(np.diff(np.concatenate([[0], turned.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))
