"""A made-up class that measures made-up models by hand: what children write down, and the mistake that each made.

Written from the words of the design alone; nothing here comes from measure.hand, so that the two can be wrong only
independently.  Children find places on the tape, read rulers, lay grids and multiply; a mistake is made where it would
be made, in the measuring, the working or the writing.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import shapely
from shapely import affinity

from tests.helpers.made.hand_models import INCH, SIZE, Model, Patch, Setting, Solid, made_model, result_of


@dataclass
class Entry:
    """A row as written, the true value, and the mistake that was made; `""` for none."""

    cells: dict[str, str]
    value: float
    true: float
    mistake: str
    spread: float = 0.0
    """The method's own standard deviation for a mistaken row's quantity, in its unit."""


# ---- how children measure


def _step(setting: Setting) -> float:
    return float(setting.division) * SIZE[setting.unit]


def _read(length: float, width: float, setting: Setting) -> float:
    """A length between two ends on tape, read to the nearest division."""
    ends = setting.random.normal(0, setting.guess * width, 2).sum() if width else setting.random.normal(0, 0.3)
    return max(1.0, round((length + ends) / _step(setting))) * _step(setting)


def _area_by_formula(patch: Patch, edge: str, setting: Setting, shift: float = 0.0) -> float:
    """The lengths that a child needs for the shape, read and multiplied; shift is added to each of them."""

    def read(length: float) -> float:
        return _read(length, patch.width, setting) + shift

    if patch.diameter:
        d = patch.diameter + {"middle": 0, "inner": -1, "outer": 1}[edge] * patch.width
        return math.pi / 4 * read(d) ** 2
    s = patch.sides(edge)
    if len(s) == 3:
        height = 2 * patch.along(edge).area / s[0]
        return read(s[0]) * read(height) / 2
    if len(s) == 6:
        upper, lower = read(s[0]) * read(s[1]), read(s[4]) * read(s[3])
        return upper + lower
    if abs(s[0] - s[2]) > 1e-6:
        height = 2 * patch.along(edge).area / (s[0] + s[2])
        return (read(s[0]) + read(s[2])) / 2 * read(height)
    return read(s[0]) * read(s[1])


def _squares(patch: Patch, edge: str, setting: Setting) -> tuple[int, int]:
    """Whole and cut squares of a grid laid anyhow on the outline as the child sees it."""
    rng, g = setting.random, float(setting.square) * SIZE[setting.unit]
    seen = patch.along(edge).buffer(rng.normal(0, setting.guess * patch.width / 2), join_style="mitre")
    turn = rng.uniform(0, 90) if rng.random() < 0.4 else 0.0
    laid = affinity.translate(affinity.rotate(seen, turn), *rng.uniform(0, g, 2))
    x0, y0, x1, y1 = (math.floor(v / g) for v in laid.bounds)
    xs, ys = np.meshgrid(np.arange(x0, x1 + 1) * g, np.arange(y0, y1 + 1) * g)
    cells = shapely.box(xs.ravel(), ys.ravel(), xs.ravel() + g, ys.ravel() + g)
    inside = shapely.area(shapely.intersection(cells, laid)) / g**2
    whole = int((inside > 1 - 1e-9).sum())
    return whole, int((inside > 1e-9).sum()) - whole


MISTAKES = {
    "side": "halved unit-swap inner-edge outer-edge ruler-offset other-zone other-team "
    "digits-swapped decimal-slip fraction-as-decimal",
    "perimeter": "area-for-perimeter halved doubled unit-swap side-missed extra-side diameter-for-radius inner-edge "
    "outer-edge other-zone other-team digits-swapped decimal-slip fraction-as-decimal",
    "area": "perimeter-for-area halved doubled unit-swap sides-added bounding-box diameter-for-radius inner-edge "
    "outer-edge ruler-offset other-zone other-team digits-swapped decimal-slip whole-squares",
    "gap": "unit-swap inner-edge outer-edge ruler-offset other-zone other-team digits-swapped decimal-slip",
    "share": "halved doubled inner-edge outer-edge other-zone other-team digits-swapped decimal-slip bounding-box",
    "height": "halved unit-swap ruler-offset other-zone other-team digits-swapped decimal-slip fraction-as-decimal",
    "volume": "halved doubled unit-swap diameter-for-radius other-zone other-team digits-swapped decimal-slip",
}
ODDS = {"side": 5, "perimeter": 4, "area": 6, "gap": 2, "share": 2, "height": 2, "volume": 2}


@dataclass
class Task:
    quantity: str
    method: str
    model: Model
    patch: Patch
    side: int = 0
    other: Patch | None = None

    @property
    def solid(self) -> Solid:
        return next(s for s in self.model.solids if s.zone == self.patch.zone)

    def true(self) -> float:
        """In mm, mm2, mm3; a share as a number."""
        if self.quantity == "side":
            return self.patch.sides()[self.side - 1]
        if self.quantity == "gap":
            return self.patch.polygon.distance(self.other.polygon)
        return {
            "perimeter": self.patch.polygon.length,
            "area": self.patch.polygon.area,
            "share": self.patch.polygon.area / math.prod(self.model.parcel),
            "height": self.solid.height,
            "volume": self.solid.volume,
        }[self.quantity]


def measured(task: Task, setting: Setting, edge: str = "middle", mistake: str = "") -> float:
    """What a child finds, in mm, mm2, mm3 or as a number, with mistakes that are made while measuring."""
    patch, rng, unit = task.patch, setting.random, SIZE[setting.unit]
    mark = unit if setting.unit != "mm" else 10.0
    shift = mark if mistake == "ruler-offset" else 0.0
    if task.quantity == "side":
        return _read(patch.sides(edge)[task.side - 1], patch.width, setting) + shift
    if task.quantity == "gap":
        return _read(patch.along(edge).distance(task.other.along(edge)), patch.width, setting) + shift
    if task.quantity == "height":
        return _read(task.solid.height, 0.0, setting) + shift
    if task.quantity == "perimeter":
        if patch.diameter:
            d = _read(patch.diameter + {"middle": 0, "inner": -1, "outer": 1}[edge] * patch.width, patch.width, setting)
            return math.pi * d * (2 if mistake == "diameter-for-radius" else 1)
        read = [_read(side, patch.width, setting) for side in patch.sides(edge)]
        odd = read[rng.integers(len(read))]
        return sum(read) + {"side-missed": -odd, "extra-side": odd}.get(mistake, 0.0)
    if task.quantity == "volume":
        if task.method == "cubes":
            return _cubes(task.solid, setting) * (4 if mistake == "diameter-for-radius" else 1)
        sizes = [_read(v, 0.0, setting) for v in (task.solid.length, task.solid.width, task.solid.height)]
        volume = Solid("", task.solid.name, *sizes).volume
        return volume * (4 if mistake == "diameter-for-radius" else 1)
    if task.method == "squares":
        whole, cut = _squares(patch, edge, setting)
        count = whole + (0 if mistake == "whole-squares" else cut / 2)
        area = count * (float(setting.square) * unit) ** 2
    elif mistake == "bounding-box":
        x0, y0, x1, y1 = patch.polygon.bounds
        area = _read(x1 - x0, patch.width, setting) * _read(y1 - y0, patch.width, setting)
    else:
        area = _area_by_formula(patch, edge, setting, shift)
    area *= 4 if mistake == "diameter-for-radius" else 1
    return area / math.prod(task.model.parcel) if task.quantity == "share" else area


def _cubes(solid: Solid, setting: Setting) -> float:
    """Cubes of 1 cm, as many as fit best in each direction; a cylinder's layer is counted like squares."""
    cube = 10.0
    up = max(1, round(solid.height / cube))
    if solid.name == "cylinder":
        layer = max(1.0, round(math.pi / 4 * (solid.length / cube) ** 2 + setting.random.normal(0, 0.7)))
    else:
        layer = max(1, round(solid.length / cube)) * max(1, round(solid.width / cube))
    return up * layer * cube**3


# ---- how children write


def _written(value: float, quantity: str, method: str, setting: Setting) -> str:
    if quantity in ("side", "gap", "height", "perimeter") and setting.fractions:
        whole, rest = divmod(Fraction(round(Fraction(value) / setting.division)) * setting.division, 1)
        return f"{whole} {rest}" if whole and rest else str(rest or whole)
    if quantity in ("side", "gap", "height", "perimeter"):
        places = len(str(float(setting.division)).partition(".")[2]) if setting.division < 1 else 0
        return f"{value:.{places}f}"
    return f"{value:.1f}" if value < 1000 else f"{value:.0f}"


def entry(task: Task, models: list[Model], setting: Setting) -> Entry:
    """One row, with a mistake in one of three."""
    rng = setting.random
    power = {"area": 2, "volume": 3, "share": 0}.get(task.quantity, 1)
    scale = 0.01 if task.quantity == "share" else SIZE[setting.unit] ** power
    mistake = str(rng.choice(MISTAKES[task.quantity].split())) if rng.random() < setting.mistaken else ""
    text = ""
    for _ in range(20):
        if mistake and not _possible(mistake, task, setting):
            mistake = str(rng.choice(MISTAKES[task.quantity].split()))
            continue
        text = _with_mistake(mistake, task, models, scale, setting)
        if text:
            break
        mistake = str(rng.choice(MISTAKES[task.quantity].split()))
    else:
        mistake, text = "", _with_mistake("", task, models, scale, setting)
    trials = [measured(task, setting) / scale for _ in range(4 if mistake else 0)]
    spread = float(np.sqrt(np.mean((np.array(trials) - task.true() / scale) ** 2))) if mistake else 0.0
    unit = "%" if task.quantity == "share" else setting.unit
    division = {"squares": setting.square, "cubes": Fraction(10) / Fraction(SIZE[setting.unit])}
    cells = {
        "team": task.model.team,
        "who": "".join(rng.choice(list("ABCDEFGH"), 2)),
        "zone": task.patch.zone,
        "piece": str(rng.choice(["", "1"])) if task.quantity not in ("height", "volume", "gap") else "",
        "quantity": task.quantity,
        "other": task.other.zone if task.other else str(task.side or ""),
        "value": text,
        "unit": unit,
        "method": task.method,
        "division": "0.1" if task.quantity == "share" else _plain(division.get(task.method, setting.division), setting),
    }
    return Entry(cells, _number(text), task.true() / scale, mistake, spread)


def _plain(number: Fraction, setting: Setting) -> str:
    return str(number) if setting.fractions and number.denominator < 64 else f"{float(number):.4g}"


def _number(text: str) -> float:
    return float(sum(Fraction(part) for part in text.split()))


def _possible(mistake: str, task: Task, setting: Setting) -> bool:
    squares = task.method == "squares"
    return {
        "whole-squares": squares,
        "ruler-offset": task.method in ("ruler", "formula"),
        "bounding-box": not squares and (task.patch.diameter > 0 or len(task.patch.corners) in (3, 6)),
        "diameter-for-radius": not squares
        and (task.solid.name == "cylinder" if task.quantity == "volume" else task.patch.diameter > 0),
        "side-missed": not task.patch.diameter,
        "extra-side": not task.patch.diameter,
        "sides-added": not squares and len(task.patch.corners) == 4,
        "perimeter-for-area": not squares,
        "fraction-as-decimal": setting.fractions,
    }.get(mistake, True)


def _with_mistake(mistake: str, task: Task, models: list[Model], scale: float, setting: Setting) -> str:
    """The text in the cell; empty where this mistake cannot be made here."""
    rng, unit = setting.random, SIZE[setting.unit]
    edge = mistake.removesuffix("-edge") if mistake.endswith("-edge") else "middle"
    if mistake in ("other-zone", "other-team"):
        other = _elsewhere(mistake, task, models, rng)
        return _written(measured(other, setting) / scale, task.quantity, task.method, setting) if other else ""
    if mistake == "perimeter-for-area":
        swapped = Task("perimeter", "ruler", task.model, task.patch)
        return _written(measured(swapped, setting) / unit, "area", task.method, setting)
    if mistake == "area-for-perimeter":
        swapped = Task("area", "formula", task.model, task.patch)
        return _written(measured(swapped, setting) / unit**2, "area", task.method, setting)
    if mistake == "sides-added":
        sides = [_read(side, task.patch.width, setting) for side in task.patch.sides()[:2]]
        return _written(sum(sides) / unit, "area", task.method, setting)
    value = measured(task, setting, edge, mistake) / scale
    value *= {"halved": 0.5, "doubled": 2.0}.get(mistake, 1.0)
    if mistake == "unit-swap":
        other = {"in": 10.0, "cm": INCH, "mm": 10.0}[setting.unit]
        power = {"area": 2, "volume": 3}.get(task.quantity, 1)
        return f"{value * (unit / other) ** power:.1f}"
    text = _written(value, task.quantity, task.method, setting)
    if mistake == "digits-swapped":
        return _swapped_digits(text, rng)
    if mistake == "decimal-slip":
        text = f"{_number(text):g}" if "/" in text else text
        return f"{float(Fraction(text)) * rng.choice([0.1, 10]):.4f}".rstrip("0").rstrip(".")
    if mistake == "fraction-as-decimal":
        whole, _, part = text.rpartition(" ")
        return f"{whole}.{part.replace('/', '')}" if "/" in part and whole else ""
    return text


def _elsewhere(mistake: str, task: Task, models: list[Model], rng: np.random.Generator) -> Task | None:
    model = task.model
    if mistake == "other-team":
        model = models[rng.integers(len(models))]
        patch = model.patch(task.patch.zone)
    else:
        patch = model.patches[rng.integers(len(model.patches))]
    if patch is task.patch or (task.side > len(patch.corners)) or (task.side and patch.diameter):
        return None
    other = model.patch(task.other.zone) if task.other else None
    return None if other is patch else Task(task.quantity, task.method, model, patch, task.side, other)


def _swapped_digits(text: str, rng: np.random.Generator) -> str:
    whole = text.split()[0].partition(".")[0] if "/" not in text.split()[0] else ""
    places = [i for i in range(len(text) - 1) if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]]
    places = [i for i in places if "/" not in text[: i + 2]]
    if not places or not whole:
        return ""
    i = int(rng.choice(places))
    return text[:i] + text[i + 1] + text[i] + text[i + 2 :]


def made_class(setting: Setting, teams: int, rows: int) -> tuple[list[dict], str, list[Entry]]:
    """The result files, the CSV file's text, and what is true of every row."""
    rng = setting.random
    models = [made_model(str(n + 1), setting) for n in range(teams)]
    entries = []
    quantities = list(ODDS)
    odds = np.array([ODDS[q] for q in quantities], float)
    while len(entries) < rows:
        model = models[rng.integers(teams)]
        patch = model.patches[rng.integers(len(model.patches))]
        quantity = str(rng.choice(quantities, p=odds / odds.sum()))
        method = {"area": ["squares", "formula", "formula"], "share": ["formula"], "volume": ["cubes", "formula"]}
        task = Task(quantity, str(rng.choice(method.get(quantity, ["ruler"]))), model, patch)
        if quantity == "side":
            if patch.diameter:
                continue
            task.side = int(rng.integers(len(patch.corners))) + 1
        if quantity == "gap":
            task.other = model.patches[rng.integers(len(model.patches))]
            if task.other is patch:
                continue
        entries.append(entry(task, models, setting))
    table = io.StringIO()
    writer = csv.DictWriter(table, list(entries[0].cells))
    writer.writeheader()
    writer.writerows(row.cells for row in entries)
    return [result_of(model, setting) for model in models], table.getvalue(), entries
