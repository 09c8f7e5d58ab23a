"""What the things of a formula are on one plat: names of zones and of pieces, as measure.plat.measures takes them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields, replace
from itertools import combinations
from typing import TypeVar

from measure.plat.measures import piece_name, piece_of
from measure.rules.formula.formula_terms import HeightOfStructure
from measure.rules.formula.formula_things import (
    AllZones,
    Edge,
    EveryZone,
    ExtremePiece,
    Formula,
    Node,
    Parts,
    Pieces,
    Point,
    Region,
    Span,
    Structures,
    That,
    Thing,
    Zones,
)
from measure.rules.formula.formula_told import Asks
from measure.rules.formula.judging.numbers_found import Measured, NotKnown, Number
from measure.rules.measured_sizes import NO_STRUCTURES
from measure.rules.rule_context import Context
from measure.rules.told import noun, the
from measure.rules.verdict import Unknown

Names = tuple[str, ...]
HALVES = ("north", "south", "west", "east")
QUARTERS = ("north-west", "north-east", "south-west", "south-east")


@dataclass(frozen=True)
class Binding:
    """What one quantifier binds: a thing's name, two of them, a part of the parcel, or a structure's height."""

    span: Span
    names: Names = ()
    part: str = ""
    height: Number | None = None


@dataclass(frozen=True)
class Said:
    """The part of a formula that a comparison is of: what is bound in it, whether it holds, what a rule asks of it."""

    part: Formula
    bound: tuple[Binding, ...]
    holds: bool
    asks: Asks = "this"


@dataclass(frozen=True)
class Scene:
    """A plat with what is bound on it, the innermost last; met: what was found already, by what it depends on.

    said: what every comparison is of, by the comparison.
    """

    context: Context
    bound: tuple[Binding, ...] = ()
    met: dict[object, object] = field(default_factory=dict, compare=False)
    said: dict[object, Said] = field(default_factory=dict, compare=False)

    def bind(self, binding: Binding) -> Scene:
        """With one more bound."""
        return replace(self, bound=(*self.bound, binding))

    def names(self, of: Thing) -> Names | Unknown:
        """The zones or pieces that a thing is, or why that is unknown."""
        match of:
            case Zones(names):
                return names
            case AllZones(but):
                return tuple(zone for zone in self.context.zones if zone not in but)
            case That("first"):
                return self._pair().names[:1]
            case That("second"):
                return self._pair().names[1:]
            case That():
                return self._that(of)
            case ExtremePiece(largest, zone):
                return self._extreme(zone, largest)
        raise TypeError(f"no names for {type(of).__name__}")

    def part(self, what: str) -> str:
        """Which half, quarter or edge is bound."""
        return next(b.part for b in reversed(self.bound) if isinstance(b.span, Parts) and b.span.what == what)

    def structure_height(self) -> Number:
        """The height of the bound structure."""
        found = next(b.height for b in reversed(self.bound) if isinstance(b.span, Structures))
        assert found is not None
        return found

    def _pair(self) -> Binding:
        return next(b for b in reversed(self.bound) if getattr(b.span, "pairs", False))

    def _that(self, said: That) -> Names:
        other, kind = said.what.startswith("other"), Pieces if "piece" in said.what else EveryZone
        for binding in reversed(self.bound):
            span = binding.span
            fits = isinstance(span, kind) and not span.pairs and span.other == other
            if fits and (not said.zone or said.zone in getattr(span, "zones", ())):
                return binding.names
        raise TypeError(f"{said} is not bound")

    def _extreme(self, zone: str, largest: bool) -> Names | Unknown:
        """By the measured areas."""
        missing = self.context.missing((zone,))
        if missing:
            return missing
        measures = self.context.measures
        areas = {index: measures.piece_area(zone, index) for index in range(1, measures.count(zone) + 1)}
        known = {index: area.value for index, area in areas.items() if area is not None}
        if not known:
            return Unknown("the area of {} is not known", (zone,))
        pick = max if largest else min
        return (piece_name(zone, pick(known, key=lambda index: known[index])),)

    def spoken(self, part: Node) -> Node:
        """The part with its things as they are said, also what is bound: `piece 2 of the homes`."""
        match part:
            case That(_, zone):
                names = self._named(part)
                return Zones(tuple(map(self._spoken, names))) if names else replace(part, zone=zone and the(zone))
            case ExtremePiece(largest, zone):
                return ExtremePiece(largest, the(zone))
            case Edge("that"):
                return Edge(self.part("edge")) if self.bound else part  # type: ignore[arg-type]
            case Point("that"):
                return Point(self.part("corner")) if self.bound else part
            case Region("that half" | "that quarter" as name):
                what = name.removeprefix("that ")
                return Region(f"{self.part(what)} {what}") if self.bound else part
        inner = replace(self, bound=()) if hasattr(part, "over") else self  # it binds things of its own
        return replace(part, **{f.name: inner._in_part(part, getattr(part, f.name)) for f in fields(part)})

    def _in_part(self, part: Node, value: object) -> object:
        if isinstance(value, Node):
            return self.spoken(value)
        if isinstance(value, tuple):
            return tuple(self._in_part(part, each) for each in value)
        is_name = isinstance(value, str) and value and isinstance(part, Zones | AllZones | Pieces | EveryZone)
        return the(value) if is_name and isinstance(value, str) else value

    def _named(self, said: That) -> Names:
        """What it is, empty where that is not bound."""
        try:
            found = self.names(said)
        except (TypeError, StopIteration):
            return ()
        return () if isinstance(found, Unknown) else found

    def _spoken(self, name: str) -> str:
        zone, index = piece_of(name)
        return noun(zone if index and self.context.measures.count(zone) == 1 else name).text

    # ---- what quantifiers range over

    def each(self, over: Span, *, there: bool) -> tuple[Binding, ...] | Unknown:
        """One binding for each; there: only zones that have a piece. Unknown where there is nothing to range over."""
        match over:
            case Pieces(zones, other, pairs):
                return self._of_pieces(over, zones, other=other, pairs=pairs)
            case EveryZone(but, other, pairs):
                left_out = {*but, *(self._bound_zones() if other else ())}
                zones = tuple(zone for zone in self.context.zones if zone not in left_out)
                if there or other or pairs:
                    zones = tuple(zone for zone in zones if self.context.measures.count(zone))
                return self._bindings(over, zones, pairs)
            case Parts(what):
                ways = QUARTERS if what in ("quarter", "corner") else HALVES
                return tuple(Binding(over, part=way) for way in ways)
            case Structures(on):
                return self._of_structures(over, on)
        raise TypeError(f"nothing to go through in {type(over).__name__}")

    def _of_pieces(self, over: Span, zones: Names, *, other: bool, pairs: bool) -> tuple[Binding, ...] | Unknown:
        measures = self.context.measures
        pieces = tuple(piece_name(zone, at) for zone in zones for at in range(1, measures.count(zone) + 1))
        if not pieces:
            return Unknown("no outline of {} was found", zones)
        if other:
            own = {name for binding in self.bound for name in binding.names}
            pieces = tuple(piece for piece in pieces if piece not in own and piece_of(piece)[0] not in own)
        return self._bindings(over, pieces, pairs)

    def _bindings(self, over: Span, names: Names, pairs: bool) -> tuple[Binding, ...] | Unknown:
        if not pairs:
            return tuple(Binding(over, (name,)) for name in names)
        if len(names) < 2:
            return Unknown("{} is alone", names) if names else Unknown("there are no two to compare")
        return tuple(Binding(over, pair) for pair in combinations(names, 2))

    def _bound_zones(self) -> Iterator[str]:
        for binding in self.bound:
            yield from (piece_of(name)[0] for name in binding.names)

    def _of_structures(self, over: Span, on: Thing | None) -> tuple[Binding, ...] | Unknown:
        zones: tuple[str | None, ...] = (None,)
        if on is not None:
            names = self.names(on)
            if isinstance(names, Unknown):
                return names
            zones = names
        found: list[Binding] = []
        for zone in zones:
            named = (zone,) if zone else ()
            if self.context.structures is None:
                return Unknown(NO_STRUCTURES, named)
            heights = self.context.structures.heights(zone, None)
            found += [Binding(over, height=Measured((height,), named)) for height in heights.known]
            if heights.more:
                found.append(Binding(over, height=NotKnown(Unknown(heights.more, named), low=0.0)))
        return tuple(found)


# ---- what is found once for all bindings that it does not speak of

Found = TypeVar("Found")
MOST = 10_000
"""So many different parts are found in one rule: some seconds' work, and more than any class has pieces for."""
_ALL = "all of them"


class TooMuchToFind(Exception):  # noqa: N818  (caught at once, and said in words)
    """A rule goes through more things than can be gone through while somebody waits."""


def found_once(part: Node, scene: Scene, find: Callable[[], Found]) -> Found:
    """What `find` finds for a part of a formula in a scene; the same again costs nothing. Raises TooMuchToFind."""
    spoken_of = _spoken_of(part, scene)
    bound = tuple(
        (binding.names, binding.part, id(binding.height))
        for binding in scene.bound
        if _ALL in spoken_of or _kind(binding.span) in spoken_of
    )
    key = (id(part), id(scene.context.allowance), scene.context.against, bound)
    if key not in scene.met:
        if len(scene.met) > MOST:
            raise TooMuchToFind
        scene.met[key] = find()
    return scene.met[key]  # type: ignore[return-value]


def _spoken_of(part: Node, scene: Scene) -> frozenset[str]:
    """The kinds of bound things that a part speaks of."""
    key = ("spoken of", id(part))
    if key not in scene.met:
        scene.met[key] = frozenset(_kinds(part))
    return scene.met[key]  # type: ignore[return-value]


def _kinds(part: Node) -> Iterator[str]:
    for below in part.descendants():
        match below:
            case That("first") | That("second"):
                yield "pair"
            case That(what):
                yield what
            case Edge("that"):
                yield "edge"
            case Point("that"):
                yield "corner"
            case Region("that half") | Region("that quarter"):
                yield below.name.removeprefix("that ")
            case HeightOfStructure():
                yield "structure"
            case Span() if getattr(below, "other", False):
                yield _ALL  # but those that are bound


def _kind(span: Span) -> str:
    if isinstance(span, Parts):
        return span.what
    if isinstance(span, Structures):
        return "structure"
    if getattr(span, "pairs", False):
        return "pair"
    kind = "piece" if isinstance(span, Pieces) else "zone"
    return f"other {kind}" if getattr(span, "other", False) else kind
