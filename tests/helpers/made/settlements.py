"""Forty challenges whose answer is known: twenty made from a layout, twenty that contradict themselves.

A solvable one is made from a hidden layout: the parcel is cut into random rectangles that do not lie on any grid of the
solver's, and every rule is set a stated slack beside what that layout has.  An unsolvable one has a contradiction put
into it by construction, said beside it, among rules that are harmless.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

NAMES = (
    "library",
    "stables",
    "school",
    "market",
    "meadow",
    "landing",
    "greenhouse",
    "orchard",
    "cottages",
    "workshops",
)
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Known:
    """A challenge's text and whether it can be met; why says how it was made."""

    name: str
    text: str
    solvable: bool
    why: str


def all_known() -> list[Known]:
    return [*solvable(), *unsolvable()]


def challenge_text(
    names: list[str] | tuple[str, ...],
    rules: list[str],
    size: tuple[float, float] = (18, 14),
    unit: str = "in",
    extra: str = "",
) -> str:
    quoted = "".join(f'  "{rule}",\n' for rule in rules)
    zones = "".join(
        f'\n[[zone]]\nname = "{name}"\nswatch = {at % 8 + 1}\ntile = {50 + at}\n' for at, name in enumerate(names)
    )
    head = f'title = "Made"\nunit = "{unit}"\n'
    return f"{head}rules = [\n{quoted}]\n\n[parcel]\nwidth = {size[0]}\ndepth = {size[1]}\n{zones}{extra}"


def kept_clear(name: str, place: tuple[float, float], size: tuple[float, float], within: float = 0.25) -> str:
    return (
        f'\n[[zone]]\nname = "{name}"\nswatch = 8\ntile = 89\nkind = "keep-clear"\nplace = {list(place)}\n'
        f"place_within = {within}\nsize = {list(size)}\nsize_within = {within}\n"
    )


# ---- solvable


def solvable(seeds: Iterable[int] = range(20)) -> Iterator[Known]:
    """Slack from a quarter of the limit down to half a per cent of it."""
    slacks = (0.25, 0.15, 0.10, 0.08, 0.05, 0.04, 0.03, 0.02, 0.01, 0.005)
    for seed in seeds:
        slack = slacks[seed % 10]
        yield Known(f"layout-{seed}", *_from_layout(seed, slack))


def _from_layout(seed: int, slack: float) -> tuple[str, bool, str]:
    rng = random.Random(seed)
    unit, size = [("in", (18.0, 14.0)), ("cm", (45.0, 35.0)), ("in", (24.0, 18.0)), ("mm", (400.0, 300.0))][seed % 4]
    count = rng.randint(4, 9)
    boxes = _cut((0.0, 0.0, *size), count, rng)
    crowded = seed % 5 == 4
    shrink = 0.0 if crowded else rng.uniform(0.01, 0.05) * size[1]
    boxes = [_shrunk(box, shrink * rng.uniform(0.6, 1.0) if shrink else 0.0) for box in boxes]
    names = rng.sample(NAMES, count)
    rules = ["no zones overlap", *_true_rules(dict(zip(names, boxes, strict=True)), size, unit, slack, rng)]
    return challenge_text(names, rules, size, unit), True, f"{count} zones, {100 * slack:g} % slack"


def _cut(box: Box, count: int, rng: random.Random) -> list[Box]:
    """A box cut into so many by straight cuts, the largest piece first."""
    boxes = [box]
    while len(boxes) < count:
        boxes.sort(key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
        x1, y1, x2, y2 = boxes.pop()
        at = rng.uniform(0.3, 0.7)
        if x2 - x1 > y2 - y1:
            cut = x1 + at * (x2 - x1)
            boxes += [(x1, y1, cut, y2), (cut, y1, x2, y2)]
        else:
            cut = y1 + at * (y2 - y1)
            boxes += [(x1, y1, x2, cut), (x1, cut, x2, y2)]
    rng.shuffle(boxes)
    return boxes


def _shrunk(box: Box, by: float) -> Box:
    return box[0] + by, box[1] + by, box[2] - by, box[3] - by


def area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def gap(a: Box, b: Box) -> float:
    return math.hypot(max(0.0, a[0] - b[2], b[0] - a[2]), max(0.0, a[1] - b[3], b[1] - a[3]))


def _true_rules(
    layout: dict[str, Box], size: tuple[float, float], unit: str, slack: float, rng: random.Random
) -> Iterator[str]:
    """Rules that the layout keeps with this slack, each a share of its limit, to five digits."""
    names = list(layout)
    whole = size[0] * size[1]
    rng.shuffle(names)
    for at, name in enumerate(names):
        share = area(layout[name]) / whole
        kind = at % 4
        if kind == 0:
            yield f"{name} covers at least {100 * share / (1 + slack):.4f}% of the parcel"
        elif kind == 1:
            yield f"{name} covers at most {100 * share / (1 - slack):.4f}% of the parcel"
        elif kind == 2:
            yield f"{name} covers exactly {100 * share:.4f}% of the parcel, within {100 * slack:g}%"
        else:
            yield f"{name} covers at least {share * whole / (1 + slack):.4f} sq {unit}"
    for a, b in pairwise(names):
        far = gap(layout[a], layout[b])
        if far > 0.15 * size[1] and rng.random() < 0.7:
            yield f"{a} is at least {far / (1 + slack):.4f} {unit} from {b}"
        elif far > 0.02 * size[1]:
            yield f"{a} is at most {far / (1 - slack):.4f} {unit} from {b}"
    a, b = names[:2]
    ratio = area(layout[a]) / area(layout[b])
    yield f"{a} covers at least {ratio / (1 + slack):.5f} times {b}"
    margin = min(min(b[0], b[1], size[0] - b[2], size[1] - b[3]) for b in layout.values())
    if margin > 0.01 * size[1]:
        yield f"every zone is at least {margin / (1 + slack):.4f} {unit} from the edge"


# ---- unsolvable

HARMLESS = ["no zones overlap", "library covers at least 3% of the parcel", "stables are at least 1 in from library"]


def unsolvable() -> Iterator[Known]:
    four = ("library", "stables", "school", "market")

    def known(name: str, rules: list[str], why: str, zones: tuple[str, ...] = four, **rest: object) -> Known:
        return Known(name, challenge_text(zones, rules, **rest), False, why)  # type: ignore[arg-type]

    yield known(
        "areas-sum",
        [*HARMLESS, *(f"{zone} covers at least 26% of the parcel" for zone in four)],
        "4 x 26 % is more than the parcel",
    )
    yield known(
        "areas-just",
        [
            "no zones overlap", "library covers at least 1/3 of the parcel", "stables cover at least 1/4 of the parcel",
            "school covers at least 20% of the parcel", "market covers at least 21.8% of the parcel",
        ],
        "the shares add up to 100.13 %",
    )  # fmt: skip
    yield known(
        "ratio-cycle",
        [
            *HARMLESS, "library covers at least 1.2 times stables", "stables cover at least 1.1 times school",
            "school covers at least 0.8 times library",
        ],
        "1.2 x 1.1 x 0.8 is more than 1",
    )  # fmt: skip
    yield known(
        "ratio-and-share",
        [
            *HARMLESS, "market covers at least 40% more than stables", "stables cover at least 15% of the parcel",
            "market covers at most 1/5 of the parcel",
        ],
        "1.4 x 15 % is 21 %",
    )  # fmt: skip
    yield known(
        "too-far",
        [
            *HARMLESS,
            "library is at least 21 in from market",
            "market covers at least 12 sq in",
            "library covers at least 12 sq in",
        ],
        "the diagonal is 22.8 in, and 12 sq in take at least 1.02 in of it at either end",
    )
    yield known(
        "three-apart",
        [
            *HARMLESS, "library is at least 16.3 in from school", "school is at least 16.3 in from market",
            "market is at least 16.3 in from library",
        ],
        "the largest equilateral triangle in 18 x 14 in has sides of 16.2 in",
    )  # fmt: skip
    yield known(
        "near-and-far",
        [
            *HARMLESS, "school is at most 2 in from library", "market is at most 2 in from library",
            "library covers at most 10 sq in", "the perimeter of library is at most 16 in",
            "school is at least 13 in from market",
        ],
        "2 + 2 in and the library's longest line, under 8 in, are less than 13 in",
    )  # fmt: skip
    yield known(
        "touch-and-distance",
        [
            "no zones overlap",
            "school touches market",
            "school is at least 1/2 in from market",
            "library covers at most 1/5 of the parcel",
        ],
        "touching is nearer than 1/8 in",
    )
    yield known(
        "touch-chain",
        [
            *HARMLESS, "school touches library", "market touches library", "library covers at most 6% of the parcel",
            "the perimeter of library is at most 17 in", "market is at least 9 in from school",
        ],
        "two zones that touch a zone of perimeter 17 in are at most about 8.8 in apart",
    )  # fmt: skip
    yield known(
        "edge-and-area",
        [*HARMLESS, "every zone is at least 2 in from the edge", "all zones together cover at least 57% of the parcel"],
        "inside of 2 in all round lie 140 sq in, 55.6 %",
    )
    yield known(
        "edge-just",
        [
            "no zones overlap",
            "every zone is at least 1 in from the edge",
            *(f"{zone} covers at least 19.3% of the parcel" for zone in four),
        ],
        "inside of 1 in all round lie 192 sq in, 76.2 %; 4 x 19.3 % is 77.2 %",
    )
    yield known(
        "spacing",
        [
            "no zones overlap", "every zone is at least 2 in from every other zone",
            *(f"{zone} covers at least 19.1% of the parcel" for zone in four),
        ],
        "two by two the strips between cost 2 x (18 + 14 - 2) = 60 of 252 sq in, in a row more; 4 x 48.1 are wanted",
    )  # fmt: skip
    yield known(
        "clear-in-the-middle",
        ["no zones overlap", "meadow covers at least 55% of the parcel"],
        "beside a 6 x 5 in rock in the middle a rectangle has at most 43 %, and an L at most 54 %",
        ("meadow",),
        extra=kept_clear("rock", (9, 7), (6, 5)),
    )
    yield known(
        "clear-and-far",
        ["school is at least 9.5 in from rock", "school covers at least 4 sq in"],
        "the corner farthest from the rock is 9.39 in away",
        ("school", "market"),
        extra=kept_clear("rock", (9, 7), (4, 3)),
    )
    yield known(
        "perimeter",
        [*HARMLESS, "the perimeter of market is at most 20 in", "market covers at least 33 sq in"],
        "no shape of perimeter 20 in has more than 31.8 sq in (isoperimetric inequality)",
    )
    yield known(
        "no-land-left",
        [*HARMLESS, "market is at least 7 in from the edge", "market covers at least 1 sq in"],
        "the parcel is 14 in deep",
    )
    yield known(
        "centre-and-edge",
        [
            *HARMLESS,
            "market is within 1 in of the centre of the parcel",
            "market is at most 1 in from the edge",
            "the perimeter of market is at most 10 in",
        ],
        "its middle is at least 5 in from its side, and its box less than 5 in deep",
    )
    yield known(
        "count-and-area",
        [
            "there are exactly 3 pieces of market",
            "market covers at most 2 sq in",
            "there are at least 4 pieces of market",
        ],
        "3 is not 4",
    )
    yield known(
        "largest",
        [
            *HARMLESS,
            "school is the largest zone",
            "market covers at least 20% of the parcel",
            "school covers at most 19% of the parcel",
        ],
        "school would have to be larger than 20 %",
    )
    yield known(
        "half-as-much",
        [
            *HARMLESS, "school covers half as much as market, within 10%", "school covers at least 1/4 of the parcel",
            "market covers at most 2/5 of the parcel",
        ],
        "0.55 x 40 % is 22 %",
    )  # fmt: skip
