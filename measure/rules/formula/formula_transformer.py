"""From the parse tree of a formula sentence to the formula: what holds of its terms and things."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from fractions import Fraction
from typing import Any, get_args

from lark import Token, v_args

from measure.rules.amounts import Amount, Relation
from measure.rules.formula.formula_data import (
    All,
    Amid,
    Compare,
    Compass,
    Condition,
    Connected,
    Covers,
    Either,
    HasShape,
    InRegion,
    Inside,
    Multiple,
    Negation,
    Overlap,
    Quantified,
    Separates,
    ShapeName,
    There,
    Touch,
    Where,
)
from measure.rules.formula.formula_terms import Constant, Gap, SideCount, Size
from measure.rules.formula.formula_things import AllZones, Edge, Formula, Point, Region, Span, Term, Thing, Way, Zones
from measure.rules.formula.term_transformer import TermTransformer
from measure.rules.sentences.sentence_words import number_of, span_of

_SHAPES: dict[str, ShapeName] = {shape.replace("-", "_").upper(): shape for shape in get_args(ShapeName)}


@v_args(inline=True)
class FormulaTransformer(TermTransformer):
    """The nodes of whole formulas."""

    def start(self, formula: Formula) -> Formula:
        return formula

    def quantified(self, counted: tuple[Any, Span], body: Formula) -> Formula:
        how, over = counted
        return Quantified(how, over, body)

    def condition(self, test: Formula, then: Formula, otherwise: Formula | None = None) -> Formula:
        return Condition(test, then, otherwise)

    def conjoined(self, *parts: Formula) -> Formula:
        return All(parts)

    def alternatives(self, *parts: Formula) -> Formula:
        return Either(parts)

    def negated(self, part: Formula) -> Formula:
        return Negation(part)

    # ---- comparisons

    def compared(self, left: Term, relation: Relation, right: Term, within: Amount | None = None) -> Formula:
        return Compare(left, relation, right, within=within)

    def between(self, left: Term, low: Term, high: Term) -> Formula:
        return Compare(left, "between", low, high)

    def covers_so_much(self, of: Thing, relation: Relation, right: Term) -> Formula:
        return Compare(Size("area", of), relation, right)

    def within(self, of: Thing, amount: Amount, to: Thing | Edge | Point) -> Formula:
        return self.apart(of, "at most", amount, to)

    def apart(self, of: Thing, relation: Relation, amount: Amount, to: Thing | Edge | Point) -> Formula:
        if isinstance(of, AllZones) or (isinstance(of, Zones) and len(of.names) > 1):
            self.sentence.refuse("this is checked zone by zone; write `the gap from` where the nearest one decides")
        return Compare(Gap(of, to), relation, self.constant(amount))

    def multiple(self, of: Term, number: Token) -> Formula:
        count = number_of(number)
        if count.denominator != 1 or count < 2:
            self.sentence.refuse("a multiple is of a whole number from 2 on", span_of(number))
        return Multiple(of, int(count))

    def has_sides(self, of: Thing, number: Token, _: Token) -> Formula:
        return Compare(SideCount(of), "exactly", Constant(Amount(Fraction(number_of(number)))))

    # ---- places

    def touches(self, of: Thing, to: Thing | Edge | Point) -> Formula:
        return Touch(of, to)

    def touches_not(self, of: Thing, to: Thing | Edge | Point) -> Formula:
        return Negation(Touch(of, to))

    def overlaps(self, of: Thing, other: Thing) -> Formula:
        return Overlap(of, other)

    def overlaps_not(self, of: Thing, other: Thing) -> Formula:
        return Negation(Overlap(of, other))

    def separates(self, of: Thing, first: Thing, second: Thing) -> Formula:
        return Separates(of, first, second)

    def covers(self, of: Thing, at: Point) -> Formula:
        return Covers(of, at)

    def is_there(self, of: Thing, there: tuple[Any, ...]) -> Formula:
        kind, *more = there
        made: Formula = kind(of, *more)
        return made

    def is_not_there(self, of: Thing, there: tuple[Any, ...]) -> Formula:
        return Negation(self.is_there(of, there))

    def inside(self, host: Thing) -> tuple[Any, ...]:
        return Inside, host

    def in_region(self, region: Region) -> tuple[Any, ...]:
        return _in(region, "in")

    def mostly_in(self, region: Region) -> tuple[Any, ...]:
        return _in(region, "mostly in")

    def partly_in(self, region: Region) -> tuple[Any, ...]:
        return _in(region, "partly in")

    def compass(self, way: Token, other: Thing) -> tuple[Any, ...]:
        named: Way = str(way).lower()  # type: ignore[assignment]
        return Compass, named, other

    def amid(self, first: Thing, second: Thing) -> tuple[Any, ...]:
        return Amid, first, second

    def shape(self, *words: Token) -> ShapeName:
        return _SHAPES[" ".join(word.type for word in words)]

    def has_shape(self, shape: ShapeName) -> tuple[Any, ...]:
        return HasShape, shape

    def connected(self) -> tuple[Any, ...]:
        return (Connected,)

    # ---- presence

    def there(self, zone: Token) -> Formula:
        return There(str(zone.value))

    def there_is_no(self, _: Token, zone: Token) -> Formula:
        return Negation(There(str(zone.value)))


def _in(region: Region, how: Where) -> tuple[Any, ...]:
    return InRegion, region, how
