"""Mistakes in measuring and working out one outline or solid: what they would have made of its true quantity."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from measure.hand.mistakes.prediction import About, Prediction, Reading
from measure.hand.values.tape_lines import Outline
from measure.plat.offset import TapeEdge
from measure.structures.solid_volumes import SolidName
from measure.units import MM_PER

_DEAD_END, _DEAD_END_U = 5.0, 2.0
"""mm of wood before a ruler's zero mark, and how that varies: common practice, no source."""
_ROUND: tuple[SolidName, ...] = ("cylinder", "half cylinder", "cone", "hemisphere")
_BOX_TIMES: dict[SolidName, float] = {
    "cylinder": 4 / math.pi, "half cylinder": 4 / math.pi, "triangular prism": 2.0, "square pyramid": 3.0,
    "cone": 12 / math.pi, "hemisphere": 6 / math.pi,
}  # fmt: skip
"""A solid's box over its volume (the formulas of measure.structures.solid_volumes)."""


def ruler_offsets(about: About, base: Reading) -> Iterator[Prediction]:
    """Every length read from the 1 in place of the 0, the other way, or from the end of the wood."""
    row = about.row
    if row.method not in ("ruler", "formula", "string") or row.quantity == "volume":
        return
    mark = MM_PER["in" if row.unit in ("in", "ft") else "cm"]
    for shift, u, weight in ((mark, 0.0, 0.6), (-mark, 0.0, 0.15), (-_DEAD_END, _DEAD_END_U, 0.25)):
        for value, gain, part in _shifted(about, base, shift):
            yield Prediction("ruler-offset", value, math.hypot(base.u, gain * u), weight * part)


def _shifted(about: About, base: Reading, shift: float) -> Iterator[tuple[float, float, float]]:
    """A quantity whose lengths are all off by a shift: its value, how it moves with the shift, and the weight."""
    outline, quantity = about.outline, about.row.quantity
    if quantity in ("side", "gap", "height", "length"):
        yield base.value + shift, 1.0, 1.0
    elif outline is not None and quantity == "perimeter":
        if outline.curved:
            yield base.value + math.pi * shift, math.pi, 1.0
            return
        sides = len(outline.sides("middle"))
        yield base.value + sides * shift, float(sides), 0.7
        yield base.value + shift, 1.0, 0.3
    elif outline is not None and quantity in ("area", "share"):
        ways = _lengths_multiplied(outline, about.truth.result.tape_edge)
        for length, times in ways:
            value = base.value + (length * shift + times * shift**2) / about.parcel
            yield value, length / about.parcel, 1.0 / len(ways)


def _lengths_multiplied(outline: Outline, edge: TapeEdge) -> list[tuple[float, float]]:
    """For every way to work an area out of lengths: (a, b) where lengths longer by s make it larger by a s + b s^2.

    A rectangle's length and width; a triangle's base and height; an L's two rectangles, cut either way; a disc's
    diameter. Other shapes as if they were rectangles of the same perimeter.
    """
    half, sides = 0.5 * outline.perimeter_at(edge), outline.sides(edge).tolist()
    if outline.curved:
        return [(half, math.pi / 4)]
    if len(sides) == 3:
        area = outline.area_at(float(outline.polygon.area), "middle", edge)
        return [(0.5 * side + area / side, 0.5) for side in sides if side > 0]
    bent = outline.inward_corners
    if len(sides) == 6 and len(bent) == 1:
        return [(half + sides[at % 6], 2.0) for at in (bent[0] + 1, bent[0] - 2)]
    return [(half, 1.0)]


def for_area(about: About, base: Reading) -> Iterator[Prediction]:
    """The perimeter's number, the sides' sum, the box around it, the diameter for the radius."""
    outline, row = about.outline, about.row
    perimeter = about.reading(replace(about.target, quantity="perimeter"))
    per_square = MM_PER[row.unit]
    if perimeter is not None and row.quantity == "area":
        yield Prediction("perimeter-for-area", *perimeter.times(per_square))
    if outline is None:
        return
    if outline.curved:
        yield Prediction("diameter-for-radius", *base.times(4.0))
    boxes = outline.boxes(about.truth.result.tape_edge)
    if not outline.is_box:
        for a, b in boxes:
            yield Prediction("bounding-box", a * b / about.parcel, base.u, 1.0 / len(boxes))
    if row.quantity == "area":
        yield from _sides_added(about, outline, boxes)


def _sides_added(about: About, outline: Outline, boxes: Sequence[tuple[float, float]]) -> Iterator[Prediction]:
    """Length and width added: of the box, of two neighbouring sides, of a slanted shape's side and its height."""
    edge = about.truth.result.tape_edge
    sides = outline.sides(edge).tolist()
    sums = [a + b for a, b in boxes]
    if len(sides) == 4 and not outline.is_box:
        area = outline.area_at(float(outline.polygon.area), "middle", edge)
        sums += [side + height for side, height in _sides_and_heights(sides, area)]
    if 3 <= len(sides) <= 8:
        sums += [a + b for a, b in zip(sides, [*sides[1:], sides[0]], strict=True)]
    side = about.reading(replace(about.target, quantity="perimeter"))
    u = side.u / math.sqrt(max(2, len(sides) or 4) / 2) if side else 0.0
    for total in sums:
        yield Prediction("sides-added", total * MM_PER[about.row.unit], u * MM_PER[about.row.unit], 1.0 / len(sums))


def _sides_and_heights(sides: Sequence[float], area: float) -> Iterator[tuple[float, float]]:
    """A slanted quadrilateral's length and width as a child takes them: a side, and the height over it and the side
    across from it, which together with their mean make the area.
    """
    for side, across in zip(sides, [*sides[2:], *sides[:2]], strict=True):
        if side > 0:
            yield side, 2 * area / (side + across)


def whole_squares(about: About) -> Iterator[Prediction]:
    """The cut squares left out, for every way to lay the grid."""
    target, truth = about.target, about.truth
    found = truth.estimate(target)
    if about.row.method != "squares" or found is None or len(found.outlines) != 1:
        return
    whole = truth.counts(found.outlines[0], about.division).whole / found.parcel
    u = math.hypot(found.gain * found.placing, about.division**2 / found.parcel / 2)
    for value in whole.tolist():
        yield Prediction("whole-squares", value, u, 1.0 / len(whole))


def for_perimeter(about: About, base: Reading) -> Iterator[Prediction]:
    """The area's number, a side more or less, the box around it, the diameter for the radius."""
    outline, row = about.outline, about.row
    area = about.reading(replace(about.target, quantity="area"))
    if area is not None:
        yield Prediction("area-for-perimeter", *area.times(1.0 / MM_PER[row.unit]))
    if outline is None:
        return
    if outline.curved:
        yield Prediction("diameter-for-radius", *base.times(2.0))
        return
    edge = about.truth.result.tape_edge
    sides = outline.sides(edge).tolist()
    for side in sides:
        yield Prediction("side-missed", base.value - side, base.u, 1.0 / len(sides))
        yield Prediction("extra-side", base.value + side, base.u, 1.0 / len(sides))
    boxes = outline.boxes(edge)
    if not outline.is_box:
        if len(sides) == 4:  # length and width only; of a box that is the half
            for a, b in zip(sides, [*sides[1:], sides[0]], strict=True):
                yield Prediction("side-missed", a + b, base.u, 1.0 / len(sides))
        for a, b in boxes:
            yield Prediction("bounding-box", 2 * (a + b), base.u, 1.0 / len(boxes))


def for_volume(about: About, base: Reading) -> Iterator[Prediction]:
    """The diameter for the radius of round solids, and the box around solids of one kind."""
    solids = {structure.solid for structure in about.truth.structures(about.target)}
    if solids and solids <= set(_ROUND):
        yield Prediction("diameter-for-radius", *base.times(8.0 if solids == {"hemisphere"} else 4.0))
    if len(solids) == 1:
        times = next((factor for solid, factor in _BOX_TIMES.items() if solid in solids), None)
        if times is not None:
            yield Prediction("bounding-box", *base.times(times))
