"""From the parse tree of a formula sentence to its things, spans and terms."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from lark import Discard, Token, Transformer, v_args

from measure.rules.amounts import Amount, Limit, Measure, Relation
from measure.rules.formula import formula_things as things
from measure.rules.formula.formula_terms import (
    Aggregate,
    AreaIn,
    Constant,
    Count,
    Difference,
    DifferentSolids,
    Extent,
    Gap,
    HeightOfStructure,
    How,
    LandSize,
    PairSize,
    People,
    Ratio,
    Rounded,
    SideCount,
    Size,
    StructuresOn,
    Sum,
    ThingSize,
    Times,
)
from measure.rules.formula.formula_things import Formula, Span, Term, Thing
from measure.rules.formula.formula_tokens import LIST_JOINT
from measure.rules.sentences.sentence_parts import Sentence
from measure.rules.sentences.sentence_words import number_of, span_of, unit_of

_SAY_SOMETHING = {
    *("ZONE", "LIST", "SOLID", "NUMBER", "LENGTH", "AREA_UNIT", "VOLUME_UNIT", "REGION", "THIRD", "COMPASS"),
    *("SMALLEST", "LARGEST", "MEAN", "MEDIAN", "SUM", "RANGE", "PERIMETER", "LONG_SIDE", "WIDTH", "SIDE", "VOLUME"),
    *("RECTANGLE", "SQUARE", "TRIANGLE", "RIGHT", "PARALLELOGRAM", "TRAPEZOID", "RHOMBUS", "CIRCLE", "L_SHAPE", "NO"),
    *("OVAL", "RIGHT_ANGLED", "STRAIGHT_SIDED", "REGULAR", "SHAPE", "POLYGON"),
}
_HOW: dict[str, How] = {
    "SMALLEST": "smallest",
    "LARGEST": "largest",
    "MEAN": "mean",
    "MEDIAN": "median",
    "SUM": "sum",
    "RANGE": "range",
}
_SIZES: dict[str, ThingSize] = {
    "PERIMETER": "perimeter",
    "LONG_SIDE": "length",
    "WIDTH": "width",
    "VOLUME": "volume",
    "SMALLEST": "shortest side",
    "LARGEST": "longest side",
}


def _always(value: Any) -> Callable[..., Any]:
    return lambda self, *_: value


def _amount(measure: Measure) -> Callable[..., Amount]:
    def made(self: object, number: Token, *words: Token) -> Amount:
        unit = unit_of(words[-1]) if measure in ("length", "area", "volume") else None
        return Amount(number_of(number), measure, unit)

    return made


@v_args(inline=True)
class TermTransformer(Transformer[Token, Any]):
    """A node goes to the method of its name, with what its children became; words that say nothing are left out."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__()
        self.sentence = sentence

    def __default_token__(self, token: Token) -> Any:
        return token if token.type in _SAY_SOMETHING else Discard

    def grouped(self, part: Any) -> Any:
        return part

    def _nothing(self, *_: Any) -> Any:
        return Discard

    where = also = _nothing

    # ---- things and spans

    def zones(self, said: Token) -> tuple[str, ...]:
        return tuple(str(said.value).split(LIST_JOINT))

    def one_zone(self, zone: Token) -> Thing:
        return things.Zones((str(zone.value),))

    def several_zones(self, zones: Token) -> Thing:
        return things.Zones(self.zones(zones))

    def all_zones(self, but: tuple[str, ...] = ()) -> Thing:
        return things.AllZones(but)

    def that_piece(self, zone: Token | None = None) -> Thing:
        return things.That("piece", _name(zone))

    def other_piece(self, zone: Token | None = None) -> Thing:
        return things.That("other piece", _name(zone))

    that_zone, other_zone = _always(things.That("zone")), _always(things.That("other zone"))
    first, second = _always(things.That("first")), _always(things.That("second"))

    def largest_piece(self, _: Token, zone: Token) -> Thing:
        return things.ExtremePiece(True, _name(zone))

    def smallest_piece(self, _: Token, zone: Token) -> Thing:
        return things.ExtremePiece(False, _name(zone))

    def pieces(self, zones: tuple[str, ...]) -> Span:
        return things.Pieces(zones)

    def other_pieces(self, zones: tuple[str, ...]) -> Span:
        return things.Pieces(zones, other=True)

    def two_pieces(self, zones: tuple[str, ...]) -> Span:
        return things.Pieces(zones, pairs=True)

    def zones_but(self, but: tuple[str, ...] = ()) -> Span:
        return things.EveryZone(but)

    def other_zones(self, but: tuple[str, ...] = ()) -> Span:
        return things.EveryZone(but, other=True)

    def two_zones(self, but: tuple[str, ...] = ()) -> Span:
        return things.EveryZone(but, pairs=True)

    halves, quarters = _always(things.Parts("half")), _always(things.Parts("quarter"))
    edges, corners = _always(things.Parts("edge")), _always(things.Parts("corner"))

    def structures(self, on: Thing | None = None) -> Span:
        return things.Structures(on)

    # ---- how many of a span

    def each(self, over: Span) -> tuple[str, Span]:
        return "every", over

    def none(self, _: Token, over: Span) -> tuple[str, Span]:
        return "no", over

    def some(self, over: Span) -> tuple[str, Span]:
        return "some", over

    def so_many(self, limit: Limit, over: Span) -> tuple[Limit, Span]:
        return limit, over

    def number_of_them(self, relation: Relation, number: Token) -> Limit:
        return Limit(relation, Amount(self._whole(number)))

    def share_of_them(self, relation: Relation, number: Token) -> Limit:
        return Limit(relation, Amount(number_of(number), "percent"))

    def from_to_of_them(self, low: Token, high: Token) -> Limit:
        least, most = self._whole(low), self._whole(high)
        if least >= most:
            self.sentence.refuse("the smaller number comes first", span_of(low).to(span_of(high)))
        return Limit("between", Amount(least), Amount(most))

    def _whole(self, number: Token) -> Fraction:
        if number_of(number).denominator != 1:
            self.sentence.refuse("things are counted in whole numbers, such as `2`", span_of(number))
        return number_of(number)

    at_least, at_most, exactly = _always("at least"), _always("at most"), _always("exactly")
    more_than, less_than = _always("more than"), _always("less than")

    # ---- places

    any_edge, that_edge = _always(things.Edge()), _always(things.Edge("that"))
    centre, centre_point = _always(things.Centre()), _always(things.Point())
    that_corner = _always(things.Point("that"))
    that_half, that_quarter = _always(things.Region("that half")), _always(things.Region("that quarter"))

    def one_edge(self, way: Token) -> things.Edge:
        return things.Edge(_way(way))

    def region(self, said: Token) -> things.Region:
        return things.Region(str(said.value))

    def corner_point(self, said: Token) -> things.Point:
        corner, what = str(said.value).rsplit(" ", 1)
        if what != "corner":
            self.sentence.refuse(
                "a point is the centre or a corner, such as `the north-west corner point`", span_of(said)
            )
        return things.Point(corner)

    # ---- terms

    plain, percent, points = _amount("number"), _amount("percent"), _amount("points")
    length, area, volume = _amount("length"), _amount("area"), _amount("volume")

    def constant(self, amount: Amount) -> Term:
        if amount.measure == "percent":
            amount = Amount(amount.number / 100)
        return Constant(amount)

    def plus(self, first: Term, second: Term) -> Term:
        return Sum(first, second)

    def minus(self, first: Term, second: Term) -> Term:
        return Sum(first, second, minus=True)

    def ratio(self, of: Term, by: Term) -> Term:
        return Ratio(of, by)

    def times(self, number: Token, of: Term) -> Term:
        return Times(number_of(number), of)

    def twice(self, of: Term) -> Term:
        return Times(Fraction(2), of)

    def percent_of(self, number: Token, of: Term) -> Term:
        return Times(number_of(number) / 100, of)

    def rounded_up(self, of: Term) -> Term:
        return Rounded(of, up=True)

    def rounded_down(self, of: Term) -> Term:
        return Rounded(of, up=False)

    def difference(self, first: Term, second: Term) -> Term:
        return Difference(first, second)

    def how(self, word: Token) -> How:
        return _HOW[word.type]

    def aggregate(self, how: How, of: Term, over: Span) -> Term:
        return Aggregate(how, of, over)

    def size(self, *words: Token) -> ThingSize:
        return _SIZES[words[0].type]

    def size_of(self, name: ThingSize, of: Thing) -> Term:
        return Size(name, of)

    def area_of(self, of: Thing) -> Term:
        return Size("area", of)

    def height_of(self, of: Thing) -> Term:
        return Size("height", of)

    def area_in(self, of: Thing, region: things.Region) -> Term:
        return AreaIn(of, region)

    def count_solids(self, solid: Token, on: Thing | None = None) -> Term:
        return StructuresOn(on, str(solid.value))

    def count_different(self, on: Thing | None = None) -> Term:
        return DifferentSolids(on)

    def side_count(self, *words: Any) -> Term:
        return SideCount(words[-1])

    def count(self, over: Span, where: Formula | None = None) -> Term:
        if isinstance(over, things.Structures) and where is None:
            return StructuresOn(over.on)
        return Count(over, where)

    area_of_parcel, area_of_empty = _always(LandSize("parcel")), _always(LandSize("empty land"))
    area_of_used, structure_height = _always(LandSize("used land")), _always(HeightOfStructure())

    def gap(self, of: Thing, to: Thing | things.Edge | things.Point) -> Term:
        return Gap(of, to)

    def gap_to_centre(self, of: Thing, to: things.Centre) -> Term:
        return Gap(of, to)

    def centres(self, first: Thing, second: Thing) -> Term:
        return PairSize("centres", first, second)

    def common_border(self, first: Thing, second: Thing | things.Edge) -> Term:
        return PairSize("common border", first, second)

    def shared_land(self, first: Thing, second: Thing) -> Term:
        return PairSize("overlap", first, second)

    def extent(self, of: Thing, first: Token, last: Token) -> Term:
        ways = {_way(first), _way(last)}
        if ways == {"west", "east"}:
            return Extent(of, "west to east")
        if ways == {"north", "south"}:
            return Extent(of, "north to south")
        self.sentence.refuse(
            "an extent is `from west to east` or `from north to south`", span_of(first).to(span_of(last))
        )

    def people(self, of: Thing, number: Token | None = None, unit: Token | None = None) -> Term:
        if number is None or unit is None:
            self.sentence.infer(
                "how many people live in how much is not said: this is `not measured` without"
                " `at 8 people per cubic cm`, or another number"
            )
            return People(of)
        if number_of(number) == 0:
            self.sentence.refuse("people per volume cannot be 0", span_of(number))
        return People(of, Amount(number_of(number), "volume", unit_of(unit)))


def _name(zone: Token | None) -> str:
    return "" if zone is None else str(zone.value)


def _way(token: Token) -> things.Way:
    found: things.Way = str(token).lower()  # type: ignore[assignment]
    return found
