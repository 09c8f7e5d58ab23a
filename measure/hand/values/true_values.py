"""Every true quantity that a hand measurement can mean, from one result, with what its hand uncertainty depends on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from measure.hand.values.gaps import Gap, Gaps
from measure.hand.values.hand_table import POWER, Method, QuantityName
from measure.hand.values.hand_uncertainty import STRING, cube_u, end_u, placing_u, scale_u
from measure.hand.values.squares import Counts, counts
from measure.hand.values.tape_lines import Outline, Placing
from measure.plat.measures import Measures
from measure.plat.offset import TapeEdge
from measure.quantity import COVERAGE_FACTOR
from measure.result.built_results import StructureResult
from measure.result.result import PieceResult, Result, ZoneResult
from measure.result.result_plat import plat_of
from measure.result.result_values import Value
from measure.ruler_readings import reading_u
from measure.units import MM_PER

_PRINT = "print"
"""The kind of the sources that reading the check lines has (measure.plat.plat.Source)."""


@dataclass(frozen=True)
class Target:
    """A quantity of one model: piece from 1 or None for the whole zone; edge None is the challenge's own."""

    quantity: QuantityName
    zone: str
    piece: int | None = None
    side: int | None = None
    other: str = ""
    edge: TapeEdge | None = None


@dataclass(frozen=True, eq=False)
class Estimate:
    """The photo's value in mm, mm2, mm3 or as a share, its standard uncertainty u, and what a hand value's rests on.

    print_u is the part of u from reading the check lines.  A hand value moves by gain for a mm of each end of the
    lengths in it; placing is how well such an end is placed on the tape (mm, 0 off the tape); spread is what a formula
    leaves out; outlines are what squares are counted on (empty where none can be), parcel the divisor of shares.
    """

    value: float
    u: float
    gain: float
    placing: float = 0.0
    print_u: float = 0.0
    spread: float = 0.0
    outlines: tuple[Outline, ...] = ()
    parcel: float = 1.0


class ModelTruth:
    """What one result says. `same_ruler` is whether its check lines were read with the class's own ruler."""

    def __init__(self, result: Result, *, same_ruler: bool = False) -> None:
        self.result, self.same_ruler = result, same_ruler
        self.unit = MM_PER[result.unit]
        self.parcel = result.parcel.area * self.unit**2
        self.zones = {zone.name: zone for zone in result.zones}
        self.lines = {line.name: line for line in result.lines}
        self._known: dict[Target, Estimate | None] = {}
        self._counts: dict[tuple[int, float], Counts] = {}

    @cached_property
    def measures(self) -> Measures:
        """The measures of the result's plat, for gaps other than the result's own."""
        return Measures(plat_of(self.result), self.result.tape_edge)

    @cached_property
    def _gaps(self) -> Gaps:
        return Gaps(self.result, self.measures)

    @cached_property
    def outlines(self) -> dict[str, tuple[Outline | None, ...]]:
        """Every zone's pieces; None for those that are not measurable."""
        pieces = {zone: self.measures.all_pieces(zone) for zone in self.zones}
        return {
            zone: tuple(Outline.of(piece) if piece.status == "measured" else None for piece in found)
            for zone, found in pieces.items()
        }

    def pieces(self, zone: str) -> int:
        """How many pieces the zone (or the line) has."""
        if zone in self.lines:
            return len(self.lines[zone].pieces)
        return len(self.zones[zone].pieces) if zone in self.zones else 0

    def outline(self, target: Target) -> Outline | None:
        """The one outline that a target is about; None where there is none, or more than one."""
        there = self.outlines.get(target.zone, ())
        if target.piece is None:
            return there[0] if len(there) == 1 else None
        return there[target.piece - 1] if target.piece <= len(there) else None

    def estimate(self, target: Target) -> Estimate | None:
        """What the result says of a target; None where it says nothing."""
        if target not in self._known:
            self._known[target] = self._estimate(target)
        return self._known[target]

    def structures(self, target: Target) -> tuple[StructureResult, ...]:
        """The rows of structures that a height or a volume is about: piece counts a zone's rows."""
        there = tuple(s for s in self.result.structures if s.zone == target.zone)
        return there if target.piece is None else there[target.piece - 1 : target.piece]

    def hand_u(self, estimate: Estimate, quantity: QuantityName, method: Method, division: float) -> float:
        """Standard uncertainty of measuring that by hand; division in mm."""
        if quantity == "height":
            own = reading_u(division)
        elif quantity == "volume":
            own = estimate.gain * (cube_u(division) if method in ("cubes", "squares") else reading_u(division))
        elif quantity in ("area", "share") and method == "squares" and estimate.outlines:
            own = math.hypot(self.counting_u(estimate, division), estimate.gain * estimate.placing)
        else:
            # By formula only two sides of four are read for a perimeter, and each counts twice.
            twice = math.sqrt(2.0) if quantity == "perimeter" and method == "formula" else 1.0
            own = twice * estimate.gain * end_u(division, estimate.placing)
            if quantity in ("area", "share"):
                own = math.hypot(own, estimate.spread)
        laid = STRING * estimate.value if method == "string" else 0.0
        return math.hypot(own, laid, scale_u(estimate.value, _lengths_in(quantity)))

    def counting_u(self, estimate: Estimate, side: float) -> float:
        """Of counting squares of that side (mm), in the estimate's own unit."""
        parts = [self.counts(outline, side).u(float(outline.polygon.area)) for outline in estimate.outlines]
        return math.hypot(*parts, side**2 / math.sqrt(12.0)) / estimate.parcel

    def counts(self, outline: Outline, side: float) -> Counts:
        """What counting squares on the outline gives, worked out once."""
        key = (id(outline), side)
        if key not in self._counts:
            self._counts[key] = counts(outline.polygon, side)
        return self._counts[key]

    def shared(self, estimate: Estimate, quantity: QuantityName) -> float:
        """Covariance of a hand value with the photo's, in the estimate's unit squared: the ruler's scale, if shared."""
        ruler = scale_u(estimate.value, _lengths_in(quantity))
        return ruler * min(ruler, estimate.print_u) if self.same_ruler else 0.0

    def _estimate(self, target: Target) -> Estimate | None:
        if target.zone not in (self.lines if target.quantity == "length" else self.zones):
            return None
        make = {
            "side": self._side, "perimeter": self._perimeter, "area": self._area, "share": self._share,
            "gap": self._gap, "height": self._height, "volume": self._volume,
            "length": self._length,
        }[target.quantity]  # fmt: skip
        return make(target)

    def _edge(self, target: Target) -> TapeEdge:
        return target.edge or self.result.tape_edge

    def _side(self, target: Target) -> Estimate | None:
        outline = self.outline(target)
        if outline is None or target.side is None:
            return None
        sides = outline.sides(self._edge(target))
        if target.side > len(sides) or sides[target.side - 1] <= 0:
            return None
        value = float(sides[target.side - 1])
        placing = outline.side_placing(target.side - 1, self._placed(target))
        made = Estimate(value, outline.side_u(target.side - 1), math.sqrt(2.0), placing)
        return replace(made, print_u=self._print_u([outline], value, 1))

    def _there(self, target: Target) -> list[tuple[Outline, PieceResult]] | None:
        """The pieces that a target is about; None where one of them is not measured."""
        found = list(zip(self.outlines[target.zone], self.zones[target.zone].pieces, strict=True))
        if target.piece is not None:
            found = found[target.piece - 1 : target.piece]
        there = [(outline, piece) for outline, piece in found if outline is not None]
        return there if there and len(there) == len(found) else None

    def _perimeter(self, target: Target) -> Estimate | None:
        there = self._there(target)
        if there is None or any(piece.perimeter is None for _, piece in there):
            return None
        outlines = [outline for outline, _ in there]
        known = _together(piece.perimeter for _, piece in there)
        own, edge = self.result.tape_edge, self._edge(target)
        value = known.value * self.unit + sum(o.perimeter_at(edge) - o.perimeter_at(own) for o in outlines)
        placed = self._placed(target)
        gain, placing = _over_all((o.perimeter_gain(), o.perimeter_placing(placed)) for o in outlines)
        made = Estimate(value, known.u95 * self.unit / COVERAGE_FACTOR, gain, placing)
        return replace(made, print_u=self._print_u(outlines, value, 1))

    def _area(self, target: Target) -> Estimate | None:
        there = self._there(target)
        if there is None or any(piece.area is None for _, piece in there):
            return None
        outlines = [outline for outline, _ in there]
        zone: ZoneResult = self.zones[target.zone]
        known = zone.area if target.piece is None and zone.area else _together(piece.area for _, piece in there)
        own, edge, scale = self.result.tape_edge, self._edge(target), self.unit**2
        value = known.value * scale + sum(_step(outline, own, edge) for outline in outlines)
        placed = self._placed(target)
        gain, placing = _over_all((o.area_gain(), o.area_placing(placed)) for o in outlines)
        made = Estimate(
            value,
            known.u95 * scale / COVERAGE_FACTOR,
            gain,
            placing,
            spread=math.hypot(*(outline.product_spread() for outline in outlines)),
            outlines=tuple(outlines),
        )
        return replace(made, print_u=self._print_u(outlines, value, 2))

    def _share(self, target: Target) -> Estimate | None:
        area = self._area(target)
        if area is None:
            return None
        part = 1.0 / self.parcel
        return replace(
            area,
            value=area.value * part,
            u=area.u * part,
            gain=area.gain * part,
            print_u=area.print_u * part,
            spread=area.spread * part,
            parcel=self.parcel,
        )

    def _gap(self, target: Target) -> Estimate | None:
        a, b = target.zone, target.other
        if a == b or not self.outlines.get(a) or not self.outlines.get(b):
            return None
        gap = Gap(a, target.piece, b, target.edge)
        value, u = self._gaps.known(gap) or (None, 0.0)
        if value is None:
            return None
        known = [o for zone in (a, b) for o in self.outlines[zone] if o is not None]
        placing = math.hypot(*map(self._placed(target), self._gaps.widths(gap)))
        return Estimate(value, u, math.sqrt(2.0), placing / math.sqrt(2.0), self._print_u(known, value, 1))

    def _length(self, target: Target) -> Estimate | None:
        """Of all pieces of a line, or of one; each has two ends."""
        line = self.lines[target.zone]
        pieces = line.pieces if target.piece is None else line.pieces[target.piece - 1 : target.piece]
        known = line.length if target.piece is None else _together(piece.length for piece in pieces)
        if known is None or not pieces:
            return None
        u = known.u95 * self.unit / COVERAGE_FACTOR
        return Estimate(known.value * self.unit, u, math.sqrt(2.0 * len(pieces)), placing_u(0.0, "outer"))

    def _height(self, target: Target) -> Estimate | None:
        """Of the tallest, where several stand in the zone and the row does not say which."""
        heights = [s.height for s in self.structures(target) if s.height is not None]
        if not heights:
            return None
        tallest = max(heights, key=lambda height: height.value)
        return Estimate(tallest.value * self.unit, tallest.u95 * self.unit / COVERAGE_FACTOR, 1.0)

    def _volume(self, target: Target) -> Estimate | None:
        there = self.structures(target)
        if not there or any(s.volume is None for s in there):
            return None
        scale, zone = self.unit**3, self.zones[target.zone]
        known = zone.volume if target.piece is None and zone.volume else _together(s.volume for s in there)
        gain = math.hypot(*(self._volume_gain(s) for s in there))
        return Estimate(known.value * scale, known.u95 * scale / COVERAGE_FACTOR, gain)

    def _volume_gain(self, structure: StructureResult) -> float:
        """mm3 for a mm of each of the three directions of one, times how many there are.

        Its own height where that is known, and a square base; else a cube.
        """
        if structure.volume is None or structure.volume.value <= 0:
            return 0.0
        one = structure.volume.value * self.unit**3 / structure.count
        tall = structure.height.value * self.unit if structure.height else one ** (1.0 / 3.0)
        return structure.count * one * math.sqrt(1.0 / tall**2 + 2.0 * tall / one)

    def _placed(self, target: Target) -> Placing:
        """Who goes by a wrong line places it no better than the right one."""
        edges = self._edge(target), self.result.tape_edge
        return lambda width: max(placing_u(width, edge) for edge in edges)

    def _print_u(self, outlines: list[Outline], value: float, power: int) -> float:
        if not self.same_ruler:
            return 0.0
        prints = [at for at, source in enumerate(self.measures.plat.sources) if source.kind == _PRINT]
        share = max(outline.print_share(prints, self.measures.source_count()) for outline in outlines)
        return power * value * share


def _over_all(parts: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Of outlines' gains and how well their ends are placed: the gain of all, and the placing that goes with it."""
    known = tuple(parts)
    gain = math.hypot(*(own for own, _ in known))
    return gain, math.hypot(*(own * placing for own, placing in known)) / gain if gain else 0.0


def _step(outline: Outline, known_at: TapeEdge, edge: TapeEdge) -> float:
    """How much larger the area along an edge is than along another; not smaller than leaves nothing."""
    known = outline.area_at(float(outline.polygon.area), "middle", known_at)
    return outline.area_at(known, known_at, edge) - known


def _together(parts: Iterable[Value | None]) -> Value:
    """The sum of values that are independent as far as a result file's values tell."""
    known = [part for part in parts if part is not None]
    return Value(sum(part.value for part in known), math.hypot(*(part.u95 for part in known)))


def _lengths_in(quantity: QuantityName) -> int:
    """How many lengths multiply into a quantity."""
    return 2 if quantity == "share" else POWER[quantity]
