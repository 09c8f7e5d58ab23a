"""What a formula is about: the kind of rule that it is nearest to, what has to be measured for it, its limit."""

from __future__ import annotations

from collections.abc import Iterator

from measure.rules.amounts import Limit
from measure.rules.formula.formula_data import (
    Compare,
    Condition,
    Connected,
    HasShape,
    Negation,
    Quantified,
    There,
    Touch,
)
from measure.rules.formula.formula_terms import (
    AreaIn,
    Constant,
    Count,
    DifferentSolids,
    Extent,
    Gap,
    HeightOfStructure,
    LandSize,
    PairSize,
    People,
    SideCount,
    Size,
    StructuresOn,
)
from measure.rules.formula.formula_things import Edge, Formula, Node, Term
from measure.rules.formula.formula_words import in_words, term_words

_OF_PLACE = "place"
FORMULA = "formula"
"""The name of what is of several kinds."""


def topic_of(formula: Formula) -> str:
    """The one kind that all its parts are of, by its name in results; `formula` where they are of several."""
    found = set(_topics(formula))
    if found == {"share", "size"}:
        return "share"
    return found.pop() if len(found) == 1 else FORMULA


def _topics(part: Node) -> Iterator[str]:
    match part:
        case Condition(_, then, otherwise):
            for asked in (then, otherwise):
                if asked is not None:
                    yield from _topics(asked)
            return
        case Compare(left, _, right, upper):
            yield from _of_comparison(left, [term for term in (right, upper) if term is not None])
            return
        case Quantified(Limit(), _, body) if next(_topics(body), ""):
            yield from _topics(body)
            return
        case Touch(_, Edge()):
            yield _OF_PLACE
        case Touch() | Connected():
            yield "touching"
        case There():
            yield "presence"
        case HasShape():
            yield "shape"
        case Formula() if not list(_below(part)):
            yield _OF_PLACE
    for below in _below(part):
        yield from _topics(below)


def _below(part: Node) -> Iterator[Formula]:
    return (below for below in part.parts() if isinstance(below, Formula))


def _of_comparison(left: Term, limits: list[Term]) -> Iterator[str]:
    terms = [term for side in (left, *limits) for term in side.descendants()]
    if any(isinstance(term, LandSize) and term.land != "parcel" for term in terms):
        yield "empty land"
        return
    named = {name for term in terms if (name := _of_term(term))}
    if any(isinstance(term, LandSize) for limit in limits for term in limit.descendants()) and named == {"size"}:
        yield "share"
    elif named == {"size"} and not all(isinstance(limit, Constant) for limit in limits):
        yield "comparison"
    else:
        yield from named


def _of_term(term: Node) -> str:
    match term:
        case Size("volume", _):
            return "volume"
        case Size("height", _) | HeightOfStructure() | StructuresOn() | DifferentSolids():
            return "structures"
        case People():
            return "people"
        case Gap() | PairSize("centres", _, _):
            return "distance"
        case PairSize("common border", _, _):
            return "touching"
        case PairSize():
            return _OF_PLACE
        case Size() | AreaIn() | Extent():
            return "size"
        case SideCount():
            return "shape"
        case Count():
            return "count"
    return ""


def measured_of(formula: Formula) -> tuple[str, ...]:
    """What has to be measured or looked at to judge it, in words, each once."""
    return tuple(dict.fromkeys(_measured(formula)))


def _measured(part: Node) -> Iterator[str]:
    land = isinstance(part, LandSize) and part.land != "parcel"
    if isinstance(part, Term) and (land or _of_term(part)) and not isinstance(part, Count):
        yield term_words(part)
        return
    inner = list(part.parts())
    if isinstance(part, Formula) and not any(isinstance(below, Formula | Term) for below in inner):
        yield f"whether {in_words(part)}"
        return
    for below in inner:
        if isinstance(below, Formula | Term):
            yield from _measured(below)


def limit_of_formula(formula: Formula) -> Limit | None:
    """The only number that it is held against, where there is one alone and no `not` or `if` turns it round."""
    found = list(_limits(formula, turned=False))
    return found[0] if len(found) == 1 else None


def _limits(part: Node, *, turned: bool) -> Iterator[Limit | None]:
    match part:
        case Negation() | Condition():
            turned = True
        case Quantified(how, _, _):
            if isinstance(how, Limit):
                yield None if turned or how.amount.measure == "percent" else how
            turned = turned or how == "no"
        case Compare(_, relation, Constant(amount), None, within):
            yield None if turned else Limit(relation, amount, tolerance=within)
        case Compare(_, relation, Constant(amount), Constant(upper), within):
            yield None if turned else Limit(relation, amount, upper, within)
        case Compare():
            yield None
    for below in part.parts():
        yield from _limits(below, turned=turned)
