"""Solids that stand on the plane, found in two or more photos of one model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from vision.solids.body import Body
from vision.solids.disagreement import Disagreement
from vision.solids.edge_fit import EdgePicture, is_possible, refined, supported
from vision.solids.edge_search import CLOSER, edge_field, searched
from vision.solids.first_places import Column, first_places
from vision.solids.region_fit import Match, Region, fitted
from vision.solids.shadow import draw_shadow

SUPPORT, LESS_SUPPORT = 0.85, 0.76
LEAST_SUPPORT, LEAST_SHOWN = 0.42, 0.4
LEAST_GAIN = 40.0
STANDS_OUT, DOUBTFUL_GAIN, DOUBTFUL_SUPPORT = 0.6, 300.0, 0.5
"""From where on something that is not measured is told of all the same."""
MOST_PLACES, MOST_FAILED, MOST_TRIED, ROUNDS = 24, 10, 1.2, 2
"""Places looked at, how many of them in vain, how often in vain about the same of what the photos show; how often."""
LEAST_HEIGHT = 12.0
"""Of solids that are told, mm: what is lower may be thick paper or the tape's own edge."""
SLIM = 15.0
"""Narrower solids, mm, are easily an end of another: they must be clear."""
NEIGHBOURS, SAME_GAIN, BOTH = 60.0, 0.6, 0.7
"""mm between two solids that may be one, the share of what both explain that the one explains, and of each footprint
that it stands on.
"""
FEW, MANY = 30, 50
"""Evaluations of a first look at a place, and of a solid that is tried there."""
CLEAR_SUPPORT, LEAST_CLEAR, HOPELESS = 0.9, 0.8, 0.55
"""The share of its edges that the photos show of a solid that needs no second look, the least in one photo, and of
one that is not worth it.
"""
FINE_REACHES = (1.5, 1.0, 1.0, 0.8, 0.8)
REACHES = (3.0, 2.0, *FINE_REACHES)


@dataclass(frozen=True, eq=False)
class FoundBody:
    """A solid with the share of its edges that every photo shows, how it explains what they disagree about, and what
    else it may be: other solids with their scores, its own first.
    """

    body: Body
    support: tuple[float, ...]
    match: Match
    score: float
    rivals: tuple[tuple[float, Body], ...] = ()

    @property
    def is_clear(self) -> bool:
        """Whether every photo shows nearly all of its edges."""
        return bool(np.mean(self.support) > CLEAR_SUPPORT and min(self.support) > LEAST_CLEAR)

    def is_sure(self, mean: float) -> bool:
        """Whether the photos show it without doubt: mean is the least share of its edges that they show."""
        if min(self.body.length, self.body.width) < SLIM:
            mean = max(mean, SUPPORT)
        enough = np.mean(self.support) > mean and min(self.support) > LEAST_SUPPORT
        return bool(enough and self.match.shown > LEAST_SHOWN)


@dataclass(frozen=True, eq=False)
class FoundBodies:
    """The solids that photos show without doubt, and what else may stand there: not as it is, but where."""

    sure: tuple[FoundBody, ...]
    doubtful: tuple[FoundBody, ...]


def bodies_in(apart: Disagreement, pictures: Sequence[EdgePicture]) -> FoundBodies:
    """The solids that two or more photos show: what they disagree about, and each one's picture."""
    search = _Search(apart, pictures)
    found = search.found()
    return FoundBodies(tuple(found), tuple(search.doubtful(found)))


class _Search:
    def __init__(self, apart: Disagreement, pictures: Sequence[EdgePicture]) -> None:
        self.apart, self.pictures = apart, pictures
        self.fields = [edge_field(p) for p in pictures]
        self.free = apart.compared.astype(np.float32)
        self.solved: dict[tuple[float, ...], FoundBody] = {}

    def found(self) -> list[FoundBody]:
        """Solids one after another: what shows alone and clearly first, then what is left of its neighbours."""
        found: list[FoundBody] = []
        for _ in range(ROUNDS):
            before = len(found)
            unsure = self._add(found)
            for one in sorted(unsure, key=lambda f: -f.score):
                region = Region(self.apart, self.free, one.body)
                if (
                    one.body.height >= LEAST_HEIGHT
                    and one.is_sure(LESS_SUPPORT)
                    and region.match(one.body).gain > 0.6 * one.match.gain
                ):
                    self._take(one, found)
            if len(found) == before:
                break
        return self._joined(found)

    def doubtful(self, found: Sequence[FoundBody]) -> list[FoundBody]:
        """What was tried and is not sure, but explains by itself what the photos disagree about."""
        kept: list[FoundBody] = []
        for one in sorted(self.solved.values(), key=lambda f: -f.match.gain):
            if any(_overlap(one.body, other.body) > 0.1 or _near(one.body, other.body) for other in (*found, *kept)):
                continue
            match = Region(self.apart, self.free, one.body).match(one.body)
            alone = match.shown - match.rim > STANDS_OUT and match.gain > DOUBTFUL_GAIN
            if alone and np.mean(one.support) > DOUBTFUL_SUPPORT:
                kept.append(one)
        return kept

    def _joined(self, found: list[FoundBody]) -> list[FoundBody]:
        """Where the photos agree about the middle of a plain roof, its two ends may pass for two narrow solids."""
        for one, other in combinations(found, 2):
            far = np.hypot(one.body.x - other.body.x, one.body.y - other.body.y) > NEIGHBOURS
            if far or (one.is_clear and other.is_clear):
                continue
            rest = [f for f in found if f is not one and f is not other]
            self.free = self.apart.compared.astype(np.float32)
            for kept in rest:
                self._cover(kept.body)
            whole = self._whole(one.body, other.body)
            is_both = min(_share(part.body, whole.body) for part in (one, other)) > BOTH
            more = whole.match.gain > SAME_GAIN * (one.match.gain + other.match.gain)
            if is_both and more and whole.is_sure(SUPPORT):
                return self._joined([*rest, whole])
        return found

    def _whole(self, one: Body, other: Body) -> FoundBody:
        """The best solid on both footprints together."""
        both = np.concatenate([one.footprint, other.footprint]).astype(np.float32)
        (x, y), (length, width), degrees = cv2.minAreaRect(both)
        box = Body("box", x, y, length, width, max(one.height, other.height), float(np.deg2rad(degrees)))
        starts = [
            box,
            *_others(box),
            replace(box, kind="cylinder", length=max(length, width), width=max(length, width)),
        ]
        region = Region(self.apart, self.free, box)
        most = max(region.gain(box), 1.0)
        tried = searched([s for s in starts if is_possible(s)], region, self.fields, most)
        near = [
            self._judged(refined(b, self.pictures, FINE_REACHES), region, most * region.mm_per_px**2) for b in tried
        ]
        whole = max(near, key=lambda f: f.score)
        return replace(whole, rivals=((whole.score, whole.body),))

    def _add(self, found: list[FoundBody]) -> list[FoundBody]:
        """Takes what is clear among what is left, and returns what is less so."""
        left = replace(self.apart, pairs={k: d * self.free for k, d in self.apart.pairs.items()})
        starts = sorted((self._started(c) for c in first_places(left, MOST_PLACES)), key=lambda s: -s[0].promise)
        unsure: list[FoundBody] = []
        tried = np.zeros(self.free.shape, np.float32)
        for match, bodies in starts:
            first = bodies[0]
            shown = self._shown(first)
            if match.gain < LEAST_GAIN or float(tried[shown > 0].mean()) > MOST_TRIED:
                continue
            if len(unsure) >= MOST_FAILED:
                break
            region = Region(self.apart, self.free, first)
            if any(_overlap(first, f.body) > 0.3 for f in found) or region.match(first).gain < 0.5 * match.gain:
                continue
            new = self._once(region, bodies)
            if not (new.is_sure(SUPPORT) and self._take(new, found)):
                unsure.append(new)
                tried += shown
        return unsure

    def _take(self, new: FoundBody, found: list[FoundBody]) -> bool:
        if any(_overlap(new.body, other.body) > 0.2 for other in found):
            return False
        found.append(new)
        self._cover(new.body)
        return True

    def _started(self, column: Column) -> tuple[Match, list[Body]]:
        """A box and a cone that explain what the photos disagree about at a column, the better first, and how well."""
        side, x, y = 0.9 * column.width, column.x, column.y
        box = Body("box", x, y, side, side, column.height)
        starts = [box, Body("cone", x, y, column.width, column.width, 1.3 * column.height)]
        region = Region(self.apart, self.free, box)
        made = [fitted(region, start, FEW) for start in starts]
        gains = [region.gain(body) for body in made]
        order = sorted(range(len(made)), key=lambda i: -gains[i])
        return region.match(made[order[0]]), [made[i] for i in order]

    def _once(self, region: Region, starts: Sequence[Body]) -> FoundBody:
        """The solid at some starts; where nothing around has been explained since, the same as before."""
        key = (float(region.free.sum()), *(value for start in starts for value in start.vector))
        if key not in self.solved:
            self.solved[key] = self._solved(region, starts)
        return self.solved[key]

    def _solved(self, region: Region, starts: Sequence[Body]) -> FoundBody:
        box = next(s for s in starts if s.kind == "box")
        cone = next(s for s in starts if s.kind == "cone")
        fits = sorted(
            (fitted(region, s, MANY) for s in (box, cone, *_variants(box, cone))), key=lambda f: -region.gain(f)
        )
        most = max(region.gain(fits[0]), 1.0)
        tried = searched([start for fit in fits for start in _sizes(fit)], region, self.fields, most)
        most *= region.mm_per_px**2
        closer = [refined(body, self.pictures, REACHES) for body in (*tried, *fits[:2])]
        near = sorted((self._judged(body, region, most) for body in closer), key=lambda f: -f.score)
        if HOPELESS < np.mean(near[0].support) < CLEAR_SUPPORT:
            near = sorted([*near, *self._around(near[0], region, most)], key=lambda f: -f.score)
        return replace(near[0], rivals=tuple((f.score, f.body) for f in near))

    def _around(self, found: FoundBody, region: Region, most: float) -> list[FoundBody]:
        """A body's neighbours, and other solids about as large: an edge that it lies on may be another's."""
        body = found.body
        starts = [body, *_hops(body), *_others(body)]
        tried = searched(starts, region, self.fields, most / region.mm_per_px**2, CLOSER)
        return [self._judged(refined(b, self.pictures, REACHES), region, most) for b in tried]

    def _judged(self, body: Body, region: Region, most: float) -> FoundBody:
        support, match = supported(body, self.pictures), region.match(body)
        score = float(
            np.mean(support)
            + 0.5 * min(support)
            + 0.4 * match.shown
            - 0.3 * match.rim
            + 0.5 * min(match.gain / most, 1.0)
        )  # fmt: skip
        return FoundBody(body, tuple(support), match, score)

    def _shown(self, body: Body) -> NDArray[np.uint8]:
        """Where any photo shows a body (h, w), 1 there."""
        mask = np.zeros(self.free.shape, np.uint8)
        for eye in self.apart.eyes:
            draw_shadow(mask, body, eye, self.apart.origin, self.apart.mm_per_px)
        return mask

    def _cover(self, body: Body) -> None:
        """What a solid explains is not looked at again."""
        self.free[cv2.dilate(self._shown(body), np.ones((3, 3), np.uint8)) > 0] = 0


def _hops(body: Body) -> list[Body]:
    """The body a little and a lot higher, lower, longer, wider; as one end of a box."""
    hops = [body.as_high_as(factor * body.height) for factor in (0.88, 1.12)]
    for longer, wider in (
        (4.0, 0.0),
        (-4.0, 0.0),
        (0.0, 4.0),
        (0.0, -4.0),
        (0.7 * body.length, 0.0),
        (0.0, 0.7 * body.width),
    ):
        if body.is_round:
            longer = wider = longer + wider
        hops.append(replace(body, length=body.length + longer, width=body.width + wider))
    if body.kind in ("box", "prism"):
        along, across = np.array([[np.cos(body.turn), np.sin(body.turn)], [-np.sin(body.turn), np.cos(body.turn)]])
        for sign in (0.4, -0.4):
            (dx, dy), (ex, ey) = sign * body.length * along, sign * body.width * across
            whole = replace(body, kind="box")
            hops.append(replace(whole, x=body.x + dx, y=body.y + dy, length=1.8 * body.length))
            hops.append(replace(whole, x=body.x + ex, y=body.y + ey, width=1.8 * body.width))
    return [hop for hop in hops if is_possible(hop)]


_TIMES = (
    (1.0, 1.0), (1.0, 0.7), (1.0, 1.4), (1.35, 1.0), (0.75, 1.0), (1.35, 0.75), (1.8, 1.0), (1.8, 2.0), (1.0, 2.2),
)  # fmt: skip
"""How much wider and higher a solid may be than the first look at it says."""


def _sizes(body: Body) -> list[Body]:
    """The body as it is, and smaller, larger, lower and higher."""
    return [
        replace(body, length=wide * body.length, width=wide * body.width, height=high * body.height)
        for wide, high in _TIMES
    ]


def _others(body: Body) -> list[Body]:
    """Solids of other kinds that look much like a body."""
    side = float(np.sqrt(body.length * body.width))
    x, y, h = body.x, body.y, body.height
    if body.kind in ("pyramid", "cone"):
        turns = (0.0, np.pi / 4) if body.is_round else (body.turn, body.turn + np.pi / 4)
        return [
            Body("cone", x, y, 1.15 * side, 1.15 * side, h),
            *(Body("pyramid", x, y, side, side, h, t) for t in turns),
        ]
    if body.kind in ("box", "prism"):
        return [
            Body("box", x, y, body.length, body.width, h, body.turn),
            Body("prism", x, y, body.length, body.width, h, body.turn),
            Body("prism", x, y, body.width, body.length, h, body.turn + np.pi / 2),
            Body("pyramid", x, y, body.length, body.width, h, body.turn),
        ]
    return [Body("box", x, y, 0.9 * side, 0.9 * side, h, t) for t in (0.0, np.pi / 4)]


def _variants(box: Body, cone: Body) -> list[Body]:
    """What else could look like a box or a cone."""
    side = float(np.sqrt(box.length * box.width))
    x, y, a, b, h, turn = box.x, box.y, box.length, box.width, box.height, box.turn
    return [
        replace(box, turn=turn + np.pi / 4),
        Body("cylinder", x, y, 1.1 * side, 1.1 * side, h),
        Body("prism", x, y, 1.05 * a, 1.1 * b, 1.1 * h, turn),
        Body("prism", x, y, 1.05 * b, 1.1 * a, 1.1 * h, turn + np.pi / 2),
        Body("pyramid", cone.x, cone.y, 0.9 * cone.length, 0.9 * cone.length, cone.height, turn),
    ]


def _near(one: Body, other: Body) -> bool:
    return float(np.hypot(one.x - other.x, one.y - other.y)) < 25.0


def _share(part: Body, whole: Body) -> float:
    """The share of a body's footprint that another's covers."""
    a, b = Polygon(part.footprint), Polygon(whole.footprint)
    return float(a.intersection(b).area / a.area)


def _overlap(one: Body, other: Body) -> float:
    a, b = Polygon(one.footprint), Polygon(other.footprint)
    return float(a.intersection(b).area / min(a.area, b.area))
