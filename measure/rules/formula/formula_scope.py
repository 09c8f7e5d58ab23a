"""Whether `that piece`, `the first` and the like are bound, and things are such as can have what is asked of them."""

from __future__ import annotations

from dataclasses import dataclass

from measure.rules.formula.formula_data import Amid, Compass, HasShape, Inside, Overlap, Quantified, Separates, Touch
from measure.rules.formula.formula_measures import Refuse
from measure.rules.formula.formula_terms import (
    Aggregate,
    Count,
    DifferentSolids,
    Gap,
    HeightOfStructure,
    PairSize,
    People,
    SideCount,
    Size,
    StructuresOn,
)
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
from measure.rules.formula.thing_words import several, thing

_OF_ONE = ("perimeter", "length", "width", "shortest side", "longest side")
_BY_ZONE = "the table of structures tells zones apart, not their pieces; write about the zone"
_Spans = tuple[Span, ...]


def check_scope(formula: Formula, refuse: Refuse) -> None:
    """Refuse, in words, what is not bound, or asked of what cannot have it."""
    _Scope(refuse).check(formula, ())


@dataclass(frozen=True)
class _Scope:
    refuse: Refuse

    def check(self, part: Node, spans: _Spans) -> None:
        """spans: those of the quantifiers around this part, the innermost last."""
        match part:
            case Quantified(_, over, body):
                self._span(over, spans)
                self.check(body, (*spans, over))
                return
            case Count(over, where):
                self._span(over, spans)
                if where is not None:
                    self.check(where, (*spans, over))
                elif self._unsaid(over):
                    self.refuse(f"say which of the {several(over)} are counted, after `where`")
                return
            case Aggregate(_, of, over):
                self._span(over, spans)
                self.check(of, (*spans, over))
                return
        self._single(part, spans)
        for below in part.parts():
            self.check(below, spans)

    @staticmethod
    def _unsaid(over: Span) -> bool:
        """Whether nobody would count these without a condition."""
        pairs = isinstance(over, EveryZone) and over.pairs
        return isinstance(over, Parts) or pairs or bool(getattr(over, "other", False))

    def _single(self, part: Node, spans: _Spans) -> None:
        match part:
            case That():
                self._that(part, spans)
            case HeightOfStructure():
                self._bound(spans, Structures, "that structure", "for every structure in homes:")
            case Edge("that"):
                self._part("edge", spans)
            case Point("that"):
                self._part("corner", spans)
            case Region("that half") | Region("that quarter"):
                self._part(part.name.removeprefix("that "), spans)
            case Size(name, of):
                self._size(name, of, spans)
            case SideCount(of) | HasShape(of):
                self._one(of, "an outline's sides and shape are")
            case People(of) | StructuresOn(of) | DifferentSolids(of):
                self._whole_zones(of, spans)
            case (
                Gap(of, Thing() as other)
                | PairSize(_, of, Thing() as other)
                | Touch(of, Thing() as other)
                | Overlap(of, other)
                | Inside(of, other)
                | Compass(of, _, other)
            ):
                self._different(of, other)
            case Amid(of, first, second) | Separates(of, first, second):
                self._different(of, first)
                self._different(of, second)
                self._different(first, second)

    def _span(self, over: Span, spans: _Spans) -> None:
        match over:
            case Pieces(_, True, _):
                self._bound(spans, Pieces, "other piece", "for every piece of homes:")
            case EveryZone(_, True, _):
                self._bound(spans, EveryZone, "other zone", "for every zone:")
            case Structures(on):
                if on is not None:
                    self.check(on, spans)
                    self._whole_zones(on, spans)

    def _that(self, said: That, spans: _Spans) -> None:
        if said.what in ("first", "second"):
            if not any(getattr(over, "pairs", False) for over in spans):
                self.refuse(f"the {said.what} of which two? begin with `for every two pieces of homes:`")
            return
        over = binder(said, spans)
        kind = "piece" if "piece" in said.what else "zone"
        if over is None:
            who = f" of {said.zone}" if said.zone else ""
            begin = f"for every {said.what}{who or ' of homes' if kind == 'piece' else ''}:"
            self.refuse(f"`{thing(said)}` is not said before; begin with `{begin}`")

    def _bound(self, spans: _Spans, kind: type[Span], said: str, example: str) -> None:
        if not any(isinstance(over, kind) for over in spans):
            self.refuse(f"`{said}` is not said before; begin with `{example}`")

    def _part(self, what: str, spans: _Spans) -> None:
        if not any(isinstance(over, Parts) and over.what == what for over in spans):
            self.refuse(f"`that {what}` is not said before; begin with `for every {what} of the parcel:`")

    def _size(self, name: str, of: Thing, spans: _Spans) -> None:
        if name in _OF_ONE:
            self._one(of, f"a {name} is")
        if name in ("volume", "height"):
            self._whole_zones(of, spans)

    def _one(self, of: Thing, what: str) -> None:
        if isinstance(of, AllZones) or (isinstance(of, Zones) and len(of.names) > 1):
            self.refuse(f"{what} of one zone or piece, not of `{thing(of)}`; say it of each")

    def _whole_zones(self, of: Thing | None, spans: _Spans) -> None:
        pieces = isinstance(of, ExtremePiece) or (isinstance(of, That) and "piece" in of.what)
        pair = isinstance(of, That) and of.what in ("first", "second")
        over = next((s for s in reversed(spans) if getattr(s, "pairs", False)), None) if pair else None
        if pieces or isinstance(over, Pieces):
            self.refuse(_BY_ZONE)

    def _different(self, of: Thing, other: Thing) -> None:
        same = of == other
        if isinstance(of, Zones) and isinstance(other, Zones):
            same = bool(set(of.names) & set(other.names))
        if same:
            self.refuse(f"`{thing(of)}` and `{thing(other)}` are the same, or in part; name another thing")


def binder(said: That, spans: _Spans) -> Span | None:
    """The innermost span that binds a piece or a zone of this kind."""
    other = said.what.startswith("other")
    kind = Pieces if "piece" in said.what else EveryZone
    for over in reversed(spans):
        bound = isinstance(over, kind) and not over.pairs and over.other == other
        if bound and (not said.zone or said.zone in getattr(over, "zones", ())):
            return over
    return None
