"""Made-up models and their result files, for classes that measure them by hand (see classroom.py).

Nothing here comes from the program: lengths and areas are shapely's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity

INCH = 25.4
SIZE = {"in": INCH, "cm": 10.0, "mm": 1.0}
ZONES = ("library", "stables", "market", "meadow", "orchard", "landing", "school")


@dataclass
class Patch:
    """One taped outline: corners along the tape's middle in mm; diameter of a round one."""

    zone: str
    corners: list[tuple[float, float]]
    width: float
    diameter: float = 0.0

    @property
    def polygon(self) -> shapely.Polygon:
        return shapely.Polygon(self.corners)

    def along(self, edge: str) -> shapely.Polygon:
        if edge == "middle":
            return self.polygon
        return self.polygon.buffer(self.width / 2 * (1 if edge == "outer" else -1), join_style="mitre", mitre_limit=20)

    def sides(self, edge: str = "middle") -> list[float]:
        """Side lengths, each side of the edge's polygon matched with the middle's by direction and place."""
        if edge == "middle":
            return [math.dist(a, b) for a, b in zip(self.corners, self.corners[1:] + self.corners[:1], strict=True)]
        ring = list(self.along(edge).exterior.coords)
        moved = list(pairwise(ring))
        corners = zip(self.corners, self.corners[1:] + self.corners[:1], strict=True)
        return [math.dist(*min(moved, key=lambda line: _unlike(line, side))) for side in corners]


def _unlike(line, side) -> float:
    """How badly a line of a moved outline suits a side: not parallel, or far off."""
    (ax, ay), (bx, by) = line
    (cx, cy), (dx, dy) = side
    across = abs((bx - ax) * (dy - cy) - (by - ay) * (dx - cx)) / (math.dist(*line) * math.dist(*side))
    return 1e6 * (across > 0.02) + math.hypot((ax + bx - cx - dx) / 2, (ay + by - cy - dy) / 2)


@dataclass
class Solid:
    """length, width, height of a box; diameter (as length) and height of a cylinder; in mm."""

    zone: str
    name: str
    length: float
    width: float
    height: float

    @property
    def volume(self) -> float:
        if self.name == "cylinder":
            return math.pi / 4 * self.length**2 * self.height
        return self.length * self.width * self.height


@dataclass
class Model:
    team: str
    patches: list[Patch]
    solids: list[Solid]
    parcel: tuple[float, float]

    def patch(self, zone: str) -> Patch:
        return next(p for p in self.patches if p.zone == zone)


@dataclass
class Setting:
    """One kind of class: the unit, the ruler's division and the grid's side in it, the tape's widths in mm."""

    unit: str = "in"
    division: Fraction = Fraction(1, 8)
    square: Fraction = Fraction(1, 2)
    widths: tuple[float, ...] = (12.0, 19.0, 24.0)
    guess: float = 0.10
    """Standard deviation of where a child puts the tape's middle, in widths."""
    fractions: bool = True
    parcel: tuple[float, float] = (457.2, 355.6)
    mistaken: float = 1 / 3
    random: np.random.Generator = field(default_factory=lambda: np.random.default_rng(7))


def made_model(team: str, setting: Setting) -> Model:
    """Seven outlines in a three by three raster, none near another; a box or a cylinder in each."""
    rng, patches, solids = setting.random, [], []
    cells = [(i % 3, i // 3) for i in range(9)]
    rng.shuffle(cells)
    across, down = setting.parcel[0] / 3, setting.parcel[1] / 3
    for zone, (i, j) in zip(ZONES, cells, strict=False):
        w, h = across * rng.uniform(0.5, 0.78), down * rng.uniform(0.5, 0.78)
        kind = rng.choice(["rectangle", "rectangle", "L", "triangle", "trapezoid", "round"])
        patch = _patch(zone, str(kind), w, h, float(rng.choice(setting.widths)), rng)
        x, y = i * across + rng.uniform(0.08, 0.14) * across, j * down + rng.uniform(0.08, 0.14) * down
        patch.corners = [(x + a, y + b) for a, b in patch.corners]
        patches.append(patch)
        size = [float(v) for v in rng.uniform(18, 70, 3)]
        solids.append(Solid(zone, str(rng.choice(["box", "cylinder"])), *size))
    return Model(team, patches, solids, setting.parcel)


def _patch(zone: str, kind: str, w: float, h: float, width: float, rng: np.random.Generator) -> Patch:
    a, b = rng.uniform(0.35, 0.6), rng.uniform(0.4, 0.65)
    if kind == "round":
        d = min(w, h)
        turn = np.linspace(0, 2 * np.pi, 120, endpoint=False)
        return Patch(zone, [(d / 2 + d / 2 * math.cos(t), d / 2 + d / 2 * math.sin(t)) for t in turn], width, d)
    shapes = {
        "rectangle": [(0, 0), (w, 0), (w, h), (0, h)],
        "L": [(0, 0), (w, 0), (w, h * b), (w * a, h * b), (w * a, h), (0, h)],
        "triangle": [(0, 0), (w, 0), (w * a, h)],
        "trapezoid": [(w * a / 2, 0), (w, 0), (w, h), (0, h)],
    }
    turn = rng.uniform(-3, 3) if kind == "rectangle" else 0.0
    shape = affinity.rotate(shapely.Polygon(shapes[kind]), turn, origin=(0, 0))
    return Patch(zone, list(shape.exterior.coords)[:-1], width)


# ---- the result file, as a photo would have it


def result_of(model: Model, setting: Setting) -> dict:
    """A result file of the model, its values off by what the file says of their uncertainty."""
    rng, unit = setting.random, SIZE[setting.unit]

    def value(true: float, relative: float, power: int) -> dict:
        return {"value": true * (1 + rng.normal(0, relative / 2)) / unit**power, "u95": true * relative / unit**power}

    zones = []
    for patch in model.patches:
        piece = {
            "outline": [[x / unit, y / unit] for x, y in patch.corners],
            "holes": [],
            "status": "measured",
            "area": value(patch.polygon.area, 0.006, 2),
            "perimeter": value(patch.polygon.length, 0.003, 1),
            "tape_width": {"value": patch.width / unit, "u95": 0.3 / unit},
            "curved": patch.diameter > 0,
        }
        zones.append({"name": patch.zone, "kind": "zone", "area": piece["area"], "pieces": [piece]})
    distances = [
        {"between": [a.zone, b.zone], **value(a.polygon.distance(b.polygon), 0.004, 1)}
        for at, a in enumerate(model.patches)
        for b in model.patches[at + 1 :]
    ]
    structures = [
        {
            "row": at,
            "zone": s.zone,
            "solid": s.name,
            "count": 1,
            "height": value(s.height, 0.005, 1),
            "volume": value(s.volume, 0.01, 3),
        }
        for at, s in enumerate(model.solids, start=2)
    ]
    width, depth = (size / unit for size in model.parcel)
    return {
        "format": "tapeplat/result-1",
        "title": "Quarry Lake Village",
        "team": model.team,
        "unit": setting.unit,
        "tape_edge": "middle",
        "parcel": {"width": width, "depth": depth, "area": width * depth},
        "zones": zones,
        "distances": distances,
        "structures": structures,
    }
