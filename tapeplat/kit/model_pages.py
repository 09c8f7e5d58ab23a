"""Pages from a team's own measured model: questions on its results, and practice with its own outlines."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

import numpy as np
import shapely

from measure.quantity import FloatArray
from measure.result.result import RuleResult
from measure.result.result_values import Value
from measure.units import MM_PER
from measure.voice import reckoned_said, value_said
from tapeplat.kit.kit_blocks import Block, Grid, Heading, KitPage, Lines, Text
from tapeplat.kit.shape_drawing import Shape, drawing_of, length_said, shapes_with
from tapeplat.reports.report_content import TeamContent, verdict_of
from tapeplat.wording.rule_value import rule_value

_ON_A_PAGE, _MOST_SHAPES = 2, 4


def questions_page(model: TeamContent) -> KitPage:
    """What to talk about: what this team's own numbers say."""
    blocks: list[Block] = []
    for question in questions_of(model):
        blocks += [Text(question), Lines(2)]
    return KitPage("own-questions", f"{model.name}: what do our numbers say?", "children", tuple(blocks))


def questions_of(model: TeamContent) -> list[str]:
    """Of a rule that is met, of one that is not, of the sizes of two zones, of what is left of the parcel."""
    result = model.result
    met = next((rule for rule in result.rules if verdict_of(rule) == "met" and rule.value is not None), None)
    broken = next((rule for rule in result.rules if verdict_of(rule) == "not met" and rule.value is not None), None)
    found = []
    if met is not None:
        found.append(f"Rule: {met.text}. {_found(met, model)}How did you make it fit?")
    if broken is not None:
        found.append(f"Rule: {broken.text}. {_found(broken, model)}What would you move or change?")
    sizes = sorted(
        ((zone.area.value, zone.area.u95, zone.name) for zone in result.zones if zone.area and zone.kind == "zone"),
        reverse=True,
    )
    unit, style = f"sq {result.unit}", result.numbers
    if len(sizes) > 1:
        large, small = sizes[0], sizes[-1]
        found.append(
            f"Your largest zone is {large[2]}: {value_said(Value(*large[:2]), unit, style)}. Your smallest is "
            f"{small[2]}: {value_said(Value(*small[:2]), unit, style)}. How much larger is one than the other?"
        )
    used, unsure = sum(area for area, _, _ in sizes), sum(u95 for _, u95, _ in sizes)
    if 0 < used < result.parcel.area:
        whole = reckoned_said(result.parcel.area, unit, style)
        found.append(
            f"Your parcel is {whole}. Your zones take {value_said(Value(used, unsure), unit, style)}. How much is left?"
        )
    found.append("Which number surprised you most? Why?")
    return found


def _found(rule: RuleResult, model: TeamContent) -> str:
    """`We have just over 7 sq in. `; nothing where the number says nothing by itself."""
    value = rule_value(rule, model.result.numbers)
    return f"We have {value}. " if value else ""


def practice_page(model: TeamContent) -> KitPage:
    """Triangles and quadrilaterals that the team taped itself."""
    blocks: list[Block] = [Text("The pictures are not full size. Measure on your model.")]
    for shape in _chosen(model):
        n = len(shape.corners)
        title = f"A {'triangle' if n == 3 else 'quadrilateral'}: {shape.zone}"
        blocks += [Heading(title), drawing_of(shape, model.result.unit, model.result.numbers, _alt(shape))]
        blocks += [Text(task) for task in (_TRIANGLE if n == 3 else _QUADRILATERAL)]
    return KitPage("practice", f"{model.name}: shapes from our own model", "children", tuple(blocks))


def can_practise(model: TeamContent) -> bool:
    """Whether the model has a triangle or a quadrilateral."""
    return bool(_chosen(model))


_TRIANGLE = (
    "How long is the way around? ______",
    "Are two sides the same? Are all three? ______",
    "Is there a right angle? ______",
    "Lay a string for the height on your model. How long is it? ______",
    "Work out the area. ______",
)
_QUADRILATERAL = (
    "How long is the way around? ______",
    "Which sides are the same? Which are parallel? ______",
    "How many right angles are there? What is the shape's name? ______",
    "Work out the area. Cut it in two triangles if you must. ______",
)


def answers_page(model: TeamContent) -> KitPage:
    """For the teacher: what the shapes are, from the photo; a child's ruler reads a little more or less."""
    unit, style = model.result.unit, model.result.numbers
    rows = [("zone", "shape", "way around", "area")]
    for shape in _chosen(model):
        around, area = float(shape.sides.sum()), shapely.Polygon(shape.corners).area
        rows.append(
            (
                shape.zone,
                _kind(shape),
                length_said(around, unit, style, len(shape.sides)),
                value_said(Value(area / MM_PER[unit] ** 2, around / MM_PER[unit] ** 2), f"sq {unit}", style),
            )
        )
    note = (
        "From the photo, along the tape's middle. A side counts as equal, parallel or square to another within 3 % "
        "or 3 degrees: tape that children laid is never exact."
    )
    return KitPage("answers", f"{model.name}: answers", "teacher", (Grid(tuple(rows), (3, 3, 2, 2)), Text(note)))


def _chosen(model: TeamContent) -> list[Shape]:
    """Triangles and quadrilaterals in turn, the largest first; two fill a page."""
    pieces = model.plat.pieces
    pairs = zip_longest(shapes_with(pieces, 3), shapes_with(pieces, 4))
    found = [shape for pair in pairs for shape in pair if shape is not None]
    return found[:_MOST_SHAPES] if len(found) >= _MOST_SHAPES else found[:_ON_A_PAGE]


def _alt(shape: Shape) -> str:
    return f"The outline of {shape.zone} with {len(shape.corners)} numbered corners and the length of each side"


_SAME, _TURN = 0.03, 3.0
"""How far lengths (as a part) and angles (degrees) may differ and be called the same."""


def _kind(shape: Shape) -> str:
    """By sides and angles as a class names them."""
    sides, angles = shape.sides, list(_angles(shape.corners))
    right = sum(abs(angle - 90) <= _TURN for angle in angles)
    if len(sides) == 3:
        equal = sum(_alike(sides[a], sides[b]) for a, b in ((0, 1), (1, 2), (2, 0)))
        name = "equilateral triangle" if equal == 3 else "isosceles triangle" if equal else "scalene triangle"
        return f"right {name}" if right else name
    opposite = _alike(sides[0], sides[2]) and _alike(sides[1], sides[3])
    if right == 4:
        return "square" if _alike(sides[0], sides[1]) else "rectangle"
    parallel = [abs(angles[a] + angles[b] - 180) <= 2 * _TURN for a, b in ((0, 1), (1, 2))]
    if all(parallel) and opposite:
        return "rhombus" if _alike(sides[0], sides[1]) else "parallelogram"
    return "trapezoid" if any(parallel) else "quadrilateral"


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= _SAME * max(one, other)


def _angles(corners: FloatArray) -> Iterator[float]:
    """The inner angle at each corner, degrees."""
    for before, here, after in zip(np.roll(corners, 1, axis=0), corners, np.roll(corners, -1, axis=0), strict=True):
        a, b = before - here, after - here
        cosine = float(a @ b) / float(np.linalg.norm(a) * np.linalg.norm(b))
        yield float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))
