"""Zones whose tape is not all their own, laid as children do it, with exact truth.

lent: two zones of different tapes; one has tape on three sides, the fourth is the other's strip.  Its strips end up to
4 mm before the other's edge or lie over or under it.
open: a zone along the parcel's edge, without tape there; its strips end up to 4 mm before the edge.
corner: the same in the parcel's corner, open along both edges.
doubled: a second layer of the same tape on a part of some sides, up to 2 mm beside the first.
crossed: another zone's tape runs on across an outline.
The truth is what the tape means: the outline along the middle of the strip that is there, or the parcel's edge.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.helpers.scenes import laying
from tests.helpers.scenes.model import Strip, TruePiece
from tests.helpers.scenes.raster import FloatArray

if TYPE_CHECKING:
    from tests.helpers.scenes.random_scene import Making

LEANING = ("lent", "open", "corner")
LAYERS = ("doubled", "crossed")


def lay_leaning(made: Making, low: FloatArray, high: FloatArray, tape: int, trouble: str) -> bool:
    """Fill a cell with such zones; False where there is no room for them."""
    if trouble == "lent":
        return _lent(made, low, high, tape)
    return _open(made, low, high, tape, corner=trouble == "corner")


def _lent(made: Making, low: FloatArray, high: FloatArray, tape: int) -> bool:
    random, width = made.random, made.tapes[tape].width
    own_width = float(random.choice([w for w in (6.0, 9.0, 12.0, 15.0, 19.0, 25.4) if w <= 1.7 * width]))
    at = low[0] + (high[0] - low[0]) * random.uniform(0.4, 0.6)
    inset = random.uniform(0.0, 0.15, 2) * (high[1] - low[1])
    jitter = random.uniform(-1.5, 1.5, (6, 2))
    lender = laying.box(low[0], low[1], at - low[0], high[1] - low[1]) + jitter[:4]
    top, bottom = low[1] + inset[0], high[1] - inset[1]
    if min(at - low[0], high[0] - at, bottom - top) < 2 * max(width, own_width) + 26:
        return False
    slope = (lender[2] - lender[1]) / (lender[2, 1] - lender[1, 1])
    meet = [lender[1] + (y - lender[1, 1]) * slope for y in (top, bottom)]
    ring = np.array([meet[0], (high[0], top), (high[0], bottom), meet[1]])
    ring[1:3] += jitter[4:6]
    other = made.tape(own_width)
    made.outline(made.zone(tape), tape, lender, f"lends, {width:g} mm")
    zone = made.zone(other)
    made.pieces.append(TruePiece(zone, ring, note=f"lent, {own_width:g} beside {width:g} mm"))
    strips = laying.lay(ring, other, own_width, random, over=made.over, sides=(0, 1, 2))
    # Against the lender's strip: short of its edge, or well onto it.
    free = [
        -width / 2 - random.uniform(0, 4) if random.uniform() < 0.5 else random.uniform(-2, width / 2) for _ in "ab"
    ]
    strips = [_ending(strips[0], before=free[0]), strips[1], _ending(strips[2], after=free[1])]
    if random.uniform() < 0.5:
        made.strips[:0] = strips
    else:
        made.strips += strips
    return True


def _ending(strip: Strip, before: float | None = None, after: float | None = None) -> Strip:
    return Strip(
        strip.start, strip.end, strip.tape,
        strip.before if before is None else before, strip.after if after is None else after, strip.shade,
    )  # fmt: skip


def _open(made: Making, low: FloatArray, high: FloatArray, tape: int, *, corner: bool) -> bool:
    """The cell's sides nearest the parcel's edges moved onto them."""
    random, size = made.random, np.array([made.width, made.depth])
    gaps = np.array([low[1], size[0] - high[0], size[1] - high[1], low[0]])
    near = gaps < gaps.min() + 8
    if gaps.min() > 75 or (corner and not any(near[i] and near[(i + 1) % 4] for i in range(4))):
        return False
    first = next(i for i in range(4) if near[i] and (near[(i + 1) % 4] or not corner))
    edges = [first, (first + 1) % 4] if corner else [first]
    ring = laying.box(*low, *(high - low)) + random.uniform(-1.5, 1.5, (4, 2))
    for edge in edges:
        axis, place = ((1, 0.0), (0, size[0]), (1, size[1]), (0, 0.0))[edge]
        ring[[edge, (edge + 1) % 4], axis] = place
    width = made.tapes[tape].width
    sides = tuple(i for i in range(4) if i not in edges)
    made.pieces.append(TruePiece(made.zone(tape), ring, note=f"{'corner' if corner else 'open'}, {width:g} mm"))
    strips = laying.lay(ring, tape, width, random, over=made.over, sides=sides)
    for strip, side in zip(strips, sides, strict=True):
        before = -random.uniform(0, 4) if (side - 1) % 4 in edges else None
        after = -random.uniform(0, 4) if (side + 1) % 4 in edges else None
        made.strips.append(_ending(strip, before, after))
    return True


def double(made: Making) -> None:
    """A second layer on a part of some strips, a little aside and of a little other shade."""
    random = made.random
    for strip in list(made.strips):
        if random.uniform() > 0.35:
            continue
        way = (strip.end - strip.start) / np.linalg.norm(strip.end - strip.start)
        aside = random.uniform(-2, 2) * np.array([-way[1], way[0]])
        a = random.uniform(0, 0.5)
        b = a + random.uniform(0.2, 0.45)
        ends = [strip.start + t * (strip.end - strip.start) + aside for t in (a, b)]
        made.strips.append(
            Strip(ends[0], ends[1], strip.tape, 0.0, 0.0, float(strip.shade * random.uniform(0.93, 1.0)))
        )


def cross(made: Making) -> None:
    """A strip of one zone's tape that goes on across another zone's outline."""
    random = made.random
    zones = [p for p in made.pieces if len(p.ring) < 20]
    if len(made.tapes) < 2 or not zones:
        return
    piece = zones[random.integers(len(zones))]
    own = next(z.swatch for z in made.zones if z.name == piece.zone)
    tape = int(random.choice([n for n, t in made.tapes.items() if n != own and t.width > 5] or [own]))
    i = int(random.integers(len(piece.ring)))
    start, end = piece.ring[i], piece.ring[(i + 1) % len(piece.ring)]
    at = start + random.uniform(0.35, 0.65) * (end - start)
    way = (end - start) / np.linalg.norm(end - start)
    turn = random.uniform(-0.4, 0.4)
    normal = np.array([-way[1], way[0]]) * np.cos(turn) + way * np.sin(turn)
    reach = made.tapes[own].width / 2 + random.uniform(3, 12)
    made.strips.append(Strip(at - reach * normal, at + reach * normal, tape))
