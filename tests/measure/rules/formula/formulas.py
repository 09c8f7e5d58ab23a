"""Random formulas that mean something: every thing is bound, like is compared with like."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from measure.rules.amounts import Amount, Limit
from measure.rules.formula import formula_data as says
from measure.rules.formula import formula_terms as terms
from measure.rules.formula import formula_things as things
from measure.rules.formula.formula_things import Formula, Span, Term, Thing

ZONES = ("homes", "shops", "park", "lake")
UNITS = ("in", "cm", "mm")
SHAPES: tuple[says.ShapeName, ...] = (
    "rectangle", "square", "triangle", "right triangle", "parallelogram", "L-shape", "right-angled shape",
    "straight-sided shape", "regular polygon", "oval",
)  # fmt: skip


class Maker:
    """Makes formulas; bound holds what the quantifiers around bind."""

    def __init__(self, seed: int, *, structures: bool = True) -> None:
        self.random = Random(seed)
        self.structures = structures

    def formula(self, depth: int = 3, bound: tuple[Span, ...] = ()) -> Formula:
        if depth == 0 or self.random.random() < 0.3:
            return self.single(bound)
        below = depth - 1
        kind = self.random.choice(["all", "either", "not", "if", "each", "each", "each"])
        if kind == "not":
            return says.Negation(self.formula(below, bound))
        if kind == "if":
            other = self.formula(below, bound) if self.random.random() < 0.5 else None
            return says.Condition(self.formula(below, bound), self.formula(below, bound), other)
        if kind == "each":
            span = self.span(bound)
            return says.Quantified(self.how(span), span, self.formula(below, (*bound, span)))
        parts = tuple(self.formula(below, bound) for _ in range(self.random.randint(2, 3)))
        return says.All(parts) if kind == "all" else says.Either(parts)

    def how(self, span: Span) -> str | Limit:
        if getattr(span, "pairs", False) or self.random.random() < 0.6:
            return self.random.choice(["every", "no", "some"])
        if isinstance(span, things.Pieces) and not span.other and self.random.random() < 0.3:
            return Limit("at least", Amount(Fraction(self.random.choice([25, 50, 75])), "percent"))
        if self.random.random() < 0.2:
            return Limit("between", Amount(Fraction(1)), Amount(Fraction(self.random.randint(2, 4))))
        relation = self.random.choice(["at least", "at most", "exactly", "more than", "less than"])
        return Limit(relation, Amount(Fraction(self.random.randint(1, 4))))  # type: ignore[arg-type]

    def span(self, bound: tuple[Span, ...]) -> Span:
        zones = tuple(self.random.sample(ZONES, self.random.choice([1, 1, 1, 2])))
        but = tuple(self.random.sample(ZONES, self.random.choice([0, 0, 1])))
        made: list[Span] = [things.Pieces(zones), things.Pieces(zones), things.EveryZone(but)]
        made += [things.Pieces(zones, pairs=True), things.EveryZone(but, pairs=True)]
        made += [things.Parts(self.random.choice(["half", "quarter", "edge", "corner"]))]  # type: ignore[arg-type]
        if any(isinstance(span, things.Pieces) and not span.pairs for span in bound):
            made.append(things.Pieces(zones, other=True))
        if any(isinstance(span, things.EveryZone) and not span.pairs for span in bound):
            made.append(things.EveryZone(but, other=True))
        return self.random.choice(made)

    def thing(self, bound: tuple[Span, ...], *, one: bool = False) -> Thing:
        made: list[Thing] = [things.Zones((self.random.choice(ZONES),)), *self._bound(bound), *self._bound(bound)]
        made.append(things.ExtremePiece(self.random.random() < 0.5, self.random.choice(ZONES)))
        if not one:
            made.append(things.Zones(tuple(self.random.sample(ZONES, 2))))
            made.append(things.AllZones(tuple(self.random.sample(ZONES, self.random.choice([0, 1])))))
        return self.random.choice(made)

    def _bound(self, bound: tuple[Span, ...]) -> list[Thing]:
        made: list[Thing] = []
        for span in bound:
            if isinstance(span, things.Pieces) and not span.pairs:
                zone = self.random.choice(["", self.random.choice(span.zones)])
                made.append(things.That("other piece" if span.other else "piece", zone))
            elif isinstance(span, things.EveryZone) and not span.pairs:
                made.append(things.That("other zone" if span.other else "zone"))
            elif isinstance(span, things.Pieces | things.EveryZone):
                made += [things.That("first"), things.That("second")]
        return made

    def two(self, bound: tuple[Span, ...]) -> tuple[Thing, Thing]:
        while True:
            first, second = self.thing(bound, one=True), self.thing(bound, one=True)
            if first != second:
                return first, second

    def amount(self, dimension: str) -> Amount:
        top = {"number": 6, "length": 5, "area": 9, "volume": 30}[dimension]
        number = Fraction(self.random.randint(1, 4 * top), 4)
        if dimension == "number":
            return Amount(number)
        return Amount(number, dimension, self.random.choice(UNITS))  # type: ignore[arg-type]

    def term(self, dimension: str, bound: tuple[Span, ...], depth: int = 2) -> Term:
        if depth and self.random.random() < 0.35:
            return self._reckoned(dimension, bound, depth - 1)
        match dimension:
            case "number":
                return self._number(bound, depth)
            case "area":
                return self._area(bound)
            case "volume":
                return terms.Size("volume", things.Zones((self.random.choice(ZONES),)))
        return self._length(bound)

    def _reckoned(self, dimension: str, bound: tuple[Span, ...], depth: int) -> Term:
        first, second = self.term(dimension, bound, depth), self.term(dimension, bound, depth)
        kind = self.random.choice(["plus", "minus", "times", "difference", "each", "constant"])
        match kind:
            case "plus" | "minus":
                return terms.Sum(first, second, kind == "minus")
            case "times":
                return terms.Times(Fraction(self.random.randint(1, 12), self.random.choice([1, 2, 3, 4])), first)
            case "difference":
                return terms.Difference(first, second)
            case "constant":
                return terms.Sum(first, terms.Constant(self.amount(dimension)))
        span = self.span(bound)
        how = self.random.choice(["smallest", "largest", "mean", "median", "sum", "range"])
        return terms.Aggregate(how, self.term(dimension, (*bound, span), depth), span)  # type: ignore[arg-type]

    def _area(self, bound: tuple[Span, ...]) -> Term:
        land = self.random.choice(["parcel", "empty land", "used land"])
        made = [terms.Size("area", self.thing(bound)), terms.Size("area", self.thing(bound)), terms.LandSize(land)]  # type: ignore[arg-type]
        made.append(terms.PairSize("overlap", *self.two(bound)))
        made.append(terms.AreaIn(self.thing(bound), things.Region(self.random.choice(["north half", "west third"]))))
        return self.random.choice(made)

    def _length(self, bound: tuple[Span, ...]) -> Term:
        one = self.thing(bound, one=True)
        size = self.random.choice(["perimeter", "length", "width", "shortest side", "longest side"])
        way = self.random.choice(["west to east", "north to south"])
        edge = things.Edge(self.random.choice(["", "north", "west", "right", "top"]))  # type: ignore[arg-type]
        made: list[Term] = [
            terms.Size(size, one),  # type: ignore[arg-type]
            terms.Extent(self.thing(bound), way),  # type: ignore[arg-type]
            terms.Gap(self.thing(bound), edge),
            terms.Gap(self.thing(bound), things.Centre()),
            terms.Gap(self.thing(bound), things.Point(self.random.choice(["", "south-west"]))),
            terms.PairSize("centres", *self.two(bound)),
            terms.PairSize("common border", *self.two(bound)),
        ]
        made += [terms.Gap(*self.two(bound)) for _ in range(4)]
        return self.random.choice(made)

    def _number(self, bound: tuple[Span, ...], depth: int) -> Term:
        span = self.span(bound)
        if depth and self.random.random() < 0.4:
            dimension = self.random.choice(["area", "length"])
            return terms.Ratio(self.term(dimension, bound, depth - 1), self.term(dimension, bound, depth - 1))
        if self.structures and self.random.random() < 0.2:
            return self.random.choice(
                [
                    terms.StructuresOn(things.Zones(("homes",)), self.random.choice(["", "cube", "half cylinder"])),
                    terms.StructuresOn(),
                    terms.DifferentSolids(things.Zones(("shops",))),
                ]
            )
        if isinstance(span, things.Pieces) and not span.other:
            where = self.single((*bound, span), depth=0) if self.random.random() < 0.5 else None
            return terms.Count(span, where)
        return terms.SideCount(self.thing(bound, one=True))

    def single(self, bound: tuple[Span, ...], depth: int = 2) -> Formula:
        if self.random.random() < 0.6:
            return self.compare(bound, depth)
        one, (first, second) = self.thing(bound), self.two(bound)
        third = self.random.choice([zone for zone in ZONES if things.Zones((zone,)) not in (first, second)])
        region = things.Region(self.random.choice(["north half", "south-east corner", "west third"]))
        where = self.random.choice(["in", "mostly in", "partly in"])
        made: list[Formula] = [
            says.Touch(first, second),
            says.Touch(one, things.Edge(self.random.choice(["", "east", "south"]))),  # type: ignore[arg-type]
            says.Touch(one, self._corner(bound)),
            says.Covers(one, self._corner(bound)),
            says.Overlap(first, second),
            says.Inside(first, second),
            says.InRegion(one, region, where),  # type: ignore[arg-type]
            says.InRegion(one, things.Region("middle third from west to east"), where),  # type: ignore[arg-type]
            says.Covers(one, things.Point(self.random.choice(["", "north-west"]))),
            says.Compass(first, self.random.choice(["north", "west", "right", "bottom"]), second),  # type: ignore[arg-type]
            says.Amid(first, second, things.Zones((third,))),
            says.Separates(first, second, things.Zones((third,))),
            says.HasShape(self.thing(bound, one=True), self.random.choice(SHAPES)),
            says.Connected(one),
            says.There(self.random.choice(ZONES)),
        ]
        return self.random.choice(made)

    def _corner(self, bound: tuple[Span, ...]) -> things.Point:
        bound_one = any(isinstance(span, things.Parts) and span.what == "corner" for span in bound)
        return things.Point("that" if bound_one else "north-east")

    def compare(self, bound: tuple[Span, ...], depth: int) -> Formula:
        dimension = self.random.choice(["area", "area", "length", "length", "number"])
        left = self.term(dimension, bound, depth)
        right: Term = terms.Constant(self.amount(dimension))
        if self.random.random() < 0.4:
            right = self.term(dimension, bound, depth)
        kind = self.random.choice(["at least", "at most", "more than", "less than", "exactly", "between"])
        if kind == "between":
            return says.Compare(left, "between", right, terms.Sum(right, terms.Constant(self.amount(dimension))))
        if kind == "exactly":
            return says.Compare(left, "exactly", right, within=Amount(Fraction(self.random.randint(1, 20)), "percent"))
        return says.Compare(left, kind, right)  # type: ignore[arg-type]
