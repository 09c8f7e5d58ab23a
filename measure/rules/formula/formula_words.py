"""A formula in words: what it reads as. Reading the words gives the same formula."""

from __future__ import annotations

from measure.numbers import written
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
    There,
    Touch,
)
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
    LandSize,
    PairSize,
    People,
    Ratio,
    Rounded,
    SideCount,
    Size,
    StructuresOn,
    Sum,
    Times,
)
from measure.rules.formula.formula_things import Formula, Term
from measure.rules.formula.thing_words import counted, place, plural, several, span, thing, with_article
from measure.rules.solid_nouns import noun_of

_TAILS = (Quantified, Condition)
_COMPOUND_TERMS = (Sum, Times, Ratio)


def in_words(formula: Formula) -> str:
    """The whole of it."""
    match formula:
        case Quantified(how, over, body):
            return f"for {counted(how, over)}: {in_words(body)}"
        case Condition(test, then, otherwise):
            return _condition(test, then, otherwise)
        case All(parts):
            return ", and ".join(map(_operand, parts))
        case Either(parts):
            return f"either {', or '.join(map(_operand, parts))}"
    return _single(formula)


def _operand(formula: Formula) -> str:
    """In parentheses where it is put together of several."""
    made = in_words(formula)
    return f"({made})" if isinstance(formula, (All, Either, *_TAILS)) else made


def _condition(test: Formula, then: Formula, otherwise: Formula | None) -> str:
    asked = _operand(test) if isinstance(test, _TAILS) else in_words(test)
    if otherwise is None:
        return f"if {asked}, then {in_words(then)}"
    first = _operand(then) if isinstance(then, _TAILS) else in_words(then)
    return f"if {asked}, then {first}, otherwise {in_words(otherwise)}"


def _single(formula: Formula) -> str:
    match formula:
        case Negation(There(zone)):
            return f"there is no {zone}"
        case Negation(part):
            return f"not: {_operand(part)}"
        case There(zone):
            return f"there is a {zone}"
        case Compare(left, relation, right, upper, near):
            limit = term_words(right) if upper is None else f"{term_words(right)} and {term_words(upper)}"
            within = "" if near is None else f", within {near}"
            return f"{term_words(left)} is {relation} {limit}{within}"
        case Multiple(of, number):
            return f"{term_words(of)} is a multiple of {number}"
    return _of_place(formula)


def _of_place(formula: Formula) -> str:
    match formula:
        case Touch(of, to):
            return f"{thing(of)} touch{'' if plural(of) else 'es'} {place(to)}"
        case Overlap(of, other):
            return f"{thing(of)} overlap{'' if plural(of) else 's'} {thing(other)}"
        case Separates(of, first, second):
            return f"{thing(of)} separate{'' if plural(of) else 's'} {thing(first)} from {thing(second)}"
        case Covers(of, at):
            return f"{thing(of)} cover{'' if plural(of) else 's'} {place(at)}"
        case Inside(of, host):
            said, where = of, f"inside {thing(host)}"
        case InRegion(of, region, how):
            said, where = of, f"{how} {place(region)}"
        case Compass(of, way, other):
            said, where = of, f"{way} of {thing(other)}"
        case Amid(of, first, second):
            said, where = of, f"between {thing(first)} and {thing(second)}"
        case HasShape(of, shape):
            said, where = of, with_article(shape)
        case Connected(of):
            said, where = of, "connected"
        case _:
            raise TypeError(f"no words for {type(formula).__name__}")
    return f"{thing(said)} {'are' if plural(said) else 'is'} {where}"


# ---- terms


def term_words(term: Term) -> str:
    """A number with its measure: `the area of homes plus 2 times the area of shops`."""
    match term:
        case Sum(first, second, minus):
            return f"{term_words(first)} {'minus' if minus else 'plus'} {_second(second)}"
        case Times(factor, of):
            return f"{written(factor)} times {_factor(of)}"
        case Ratio(of, by):
            return f"{_factor(of)} divided by {_factor(by)}"
        case Difference(first, second):
            return f"the difference between {_factor(first)} and {_factor(second)}"
        case Aggregate(how, of, over):
            return f"the {how} of {_factor(of)} over every {span(over)}"
        case Rounded(of, up):
            return f"{_factor(of)} rounded {'up' if up else 'down'}"
        case Count(over, where):
            asked = "" if where is None else f" where ({in_words(where)})"
            return f"the number of {several(over)}{asked}"
    return _measured(term)


def _measured(term: Term) -> str:
    match term:
        case Constant(amount):
            return str(amount)
        case Size(name, of):
            return f"the {name} of {thing(of)}"
        case AreaIn(of, region):
            return f"the area of {thing(of)} in {place(region)}"
        case SideCount(of):
            return f"the number of sides of {thing(of)}"
        case LandSize(land):
            return f"the area of the {land}"
        case Gap(of, to):
            return f"the gap from {thing(of)} to {place(to)}"
        case PairSize("centres", first, second):
            return f"the distance between the centres of {thing(first)} and {place(second)}"
        case PairSize(name, first, second):
            return f"the {name} of {thing(first)} and {place(second)}"
        case Extent(of, way):
            return f"the extent of {thing(of)} from {way}"
        case HeightOfStructure():
            return "the height of that structure"
        case People(of, rate):
            at = "" if rate is None else f" at {written(rate.number)} people per cubic {rate.unit}"
            return f"the people in {thing(of)}{at}"
        case StructuresOn(on, ""):
            return f"the number of structures {'on the parcel' if on is None else f'in {thing(on)}'}"
        case StructuresOn(on, solid):
            return f"the number of {noun_of(solid, one=False)}{'' if on is None else f' in {thing(on)}'}"
        case DifferentSolids(on):
            return f"the number of different solids{'' if on is None else f' in {thing(on)}'}"
    raise TypeError(f"no words for {type(term).__name__}")


def _second(term: Term) -> str:
    return f"({term_words(term)})" if isinstance(term, Sum) else term_words(term)


def _factor(term: Term) -> str:
    return f"({term_words(term)})" if isinstance(term, _COMPOUND_TERMS) else term_words(term)
