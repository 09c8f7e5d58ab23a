"""Verdicts on random layouts, each against shapely's own answer worked out from the sentence's meaning."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

import pytest
import shapely

from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import exact, plat

WIDTH, DEPTH = 400.0, 300.0
ZONES = ("homes", "shops", "park", "lake")
TOUCH_GAP, TAPE = 3.0, 12.0


class Layout(NamedTuple):
    """Every zone's pieces, in no order."""

    pieces: dict[str, list[shapely.Polygon]]

    def __getitem__(self, zone: str) -> list[shapely.Polygon]:
        return self.pieces[zone]

    def land(self, zone: str) -> shapely.Geometry:
        return shapely.union_all(self.pieces[zone])


def gap(a: shapely.Geometry, b: shapely.Geometry) -> float:
    return float(a.distance(b))


def span(shape: shapely.Geometry) -> tuple[float, float]:
    """Width and length of the enclosing rectangle of least area."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    sides = [float(((corners[i + 1] - corners[i]) ** 2).sum() ** 0.5) for i in (0, 1)]
    return min(sides), max(sides)


def touch(a: shapely.Geometry, b: shapely.Geometry) -> bool:
    """The outer edges of the tapes, half a tape beyond their middles, come within the touch gap."""
    wide = [shapely.buffer(shape, TAPE / 2, join_style="mitre", mitre_limit=10.0) for shape in (a, b)]
    return gap(*wide) <= TOUCH_GAP


def others(layout: Layout, zone: str) -> list[shapely.Geometry]:
    return [layout.land(other) for other in ZONES if other != zone]


Truth = Callable[[Layout, float], bool]
# The sentence with its limit n (in mm, or cm2), from which values n is drawn, and what it means.
MEANINGS: dict[str, tuple[tuple[float, float], Truth]] = {
    "every piece of homes covers at least {n} sq cm": (
        (2, 30),
        lambda m, n: all(p.area >= 100 * n for p in m["homes"]),
    ),
    "at least 2 pieces of homes cover more than {n} sq cm": (
        (2, 60),
        lambda m, n: sum(p.area > 100 * n for p in m["homes"]) >= 2,
    ),
    "exactly 1 piece of homes covers at least {n} sq cm": (
        (2, 60),
        lambda m, n: sum(p.area >= 100 * n for p in m["homes"]) == 1,
    ),
    "no piece of homes is closer than {n} mm to the lake": (
        (5, 150),
        lambda m, n: all(gap(p, m.land("lake")) >= n for p in m["homes"]),
    ),
    "every piece of homes is within {n} mm of another piece of shops": (
        (20, 200),
        lambda m, n: all(gap(p, m.land("shops")) <= n for p in m["homes"]),
    ),
    "at most 2 pieces of homes are within {n} mm of the park": (
        (20, 150),
        lambda m, n: sum(gap(p, m.land("park")) <= n for p in m["homes"]) <= 2,
    ),
    "park is within {n} mm of every piece of shops": (
        (50, 250),
        lambda m, n: all(gap(m.land("park"), p) <= n for p in m["shops"]),
    ),
    "every piece of homes is at least {n} mm from every other piece of homes": (
        (2, 60),
        lambda m, n: all(gap(a, b) >= n for a in m["homes"] for b in m["homes"] if a is not b),
    ),
    "every piece of homes is within {n} mm of another piece of homes": (
        (5, 150),
        lambda m, n: all(min(gap(a, b) for b in m["homes"] if b is not a) <= n for a in m["homes"]),
    ),
    "every zone is within {n} mm of another zone": (
        (2, 60),
        lambda m, n: all(min(gap(m.land(z), o) for o in others(m, z)) <= n for z in ZONES),
    ),
    "park touches at most 1 other zone": (
        (0, 1),
        lambda m, _: sum(touch(m.land("park"), o) for o in others(m, "park")) <= 1,
    ),
    "every zone touches another zone": (
        (0, 1),
        lambda m, _: all(any(touch(m.land(z), o) for o in others(m, z)) for z in ZONES),
    ),
    "every piece of homes touches the park": ((0, 1), lambda m, _: all(touch(p, m.land("park")) for p in m["homes"])),
    "no piece of homes touches the lake": ((0, 1), lambda m, _: not any(touch(p, m.land("lake")) for p in m["homes"])),
    "every piece of homes is nearer to park than to lake": (
        (0, 1),
        lambda m, _: all(gap(p, m.land("park")) < gap(p, m.land("lake")) for p in m["homes"]),
    ),
    "empty land covers at least {n}% of the parcel": (
        (55, 90),
        lambda m, n: 1 - shapely.union_all([m.land(z) for z in ZONES]).area / (WIDTH * DEPTH) >= n / 100,
    ),
    "lake is in the north half": ((0, 1), lambda m, _: m.land("lake").bounds[3] <= DEPTH / 2 + TOUCH_GAP),
    "every piece of homes is in the west half": (
        (0, 1),
        lambda m, _: all(p.bounds[2] <= WIDTH / 2 + TOUCH_GAP for p in m["homes"]),
    ),
    "at least 1 piece of homes is in the south-east corner": (
        (0, 1),
        lambda m, _: any(
            p.bounds[0] >= WIDTH / 2 - TOUCH_GAP and p.bounds[1] >= DEPTH / 2 - TOUCH_GAP for p in m["homes"]
        ),
    ),
    "lake is mostly in the south half": ((0, 1), lambda m, _: m.land("lake").centroid.y >= DEPTH / 2),
    "park is north of lake": ((0, 1), lambda m, _: m.land("park").bounds[3] <= m.land("lake").bounds[1] + TOUCH_GAP),
    "every piece of homes is west of lake": (
        (0, 1),
        lambda m, _: all(p.bounds[2] <= m.land("lake").bounds[0] + TOUCH_GAP for p in m["homes"]),
    ),
    "there are at least 2 times as many pieces of homes as of shops": (
        (0, 1),
        lambda m, _: len(m["homes"]) >= 2 * len(m["shops"]),
    ),
    "there are exactly 1 more pieces of homes than of shops": (
        (0, 1),
        lambda m, _: len(m["homes"]) == len(m["shops"]) + 1,
    ),
    "the length of every piece of homes is at most {n} mm": (
        (20, 90),
        lambda m, n: all(span(p)[1] <= n for p in m["homes"]),
    ),
    "the width of lake is at least {n} mm": ((15, 60), lambda m, n: span(m.land("lake"))[0] >= n),
    "every zone except lake covers at least {n} sq cm": (
        (2, 60),
        lambda m, n: all(m.land(z).area >= 100 * n for z in ZONES if z != "lake"),
    ),
}


def shape(chance: random.Random, x: float, y: float, w: float, h: float) -> list[tuple[float, float]]:
    """A rectangle, a triangle, or an L."""
    kind = chance.randrange(4)
    if kind == 0:
        return [(x, y), (x + w, y), (x, y + h)]
    if kind == 1:
        return [(x, y), (x + w, y), (x + w, y + h / 2), (x + w / 2, y + h / 2), (x + w / 2, y + h), (x, y + h)]
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def made(seed: int) -> tuple[Layout, list[tuple[str, list[tuple[float, float]]]]]:
    """Pieces in some of the cells of a grid, so that none lie over one another."""
    chance = random.Random(seed)
    columns, rows = 5, 4
    cells = [(c, r) for c in range(columns) for r in range(rows)]
    chance.shuffle(cells)
    wanted = (
        ["homes"] * chance.randint(2, 5) + ["shops"] * chance.randint(1, 3) + ["park"] * chance.randint(1, 2) + ["lake"]
    )
    drawn = []
    for zone, (c, r) in zip(wanted, cells, strict=False):
        left, top = c * WIDTH / columns, r * DEPTH / rows
        w, h = chance.uniform(20, WIDTH / columns - 1), chance.uniform(20, DEPTH / rows - 1)
        x, y = left + chance.uniform(0.4, WIDTH / columns - w - 0.4), top + chance.uniform(0.4, DEPTH / rows - h - 0.4)
        drawn.append((zone, shape(chance, x, y, w, h)))
    pieces = {zone: [shapely.Polygon(points) for name, points in drawn if name == zone] for zone in ZONES}
    return Layout(pieces), drawn


def check(seeds: range) -> int:
    """How many verdicts were compared; they include both answers of every meaning over enough seeds."""
    count = 0
    for seed in seeds:
        layout, drawn = made(seed)
        chance = random.Random(seed + 1_000_000)
        limits = {said: round(chance.uniform(*span), 2) for said, (span, _) in MEANINGS.items()}
        sentences = {said: said.format(n=limits[said]) for said in MEANINGS}
        on = plat(*(exact(zone, points, width=TAPE) for zone, points in drawn))
        found = outcomes(challenge(*sentences.values(), zones=ZONES), on)
        for said, (_, meaning) in MEANINGS.items():
            expected = "met" if meaning(layout, limits[said]) else "not met"
            assert found[sentences[said]].verdict == expected, (seed, sentences[said])
            count += 1
    return count


def test_verdicts_on_a_few_layouts():
    assert check(range(25)) >= 300


@pytest.mark.long
def test_verdicts_on_many_layouts():
    assert check(range(100, 400)) >= 5_000


def test_every_meaning_is_met_and_not_met_somewhere():
    seen: dict[str, set[bool]] = {said: set() for said in MEANINGS}
    for seed in range(150):
        layout, _ = made(seed)
        chance = random.Random(seed + 1_000_000)
        for said, (span, meaning) in MEANINGS.items():
            seen[said].add(meaning(layout, round(chance.uniform(*span), 2)))
    assert [said for said, answers in seen.items() if len(answers) < 2] == []
