"""What terms are: plain numbers, lengths, areas or volumes; and whether a formula compares and adds like with like."""

from __future__ import annotations

from collections.abc import Callable
from typing import NoReturn

from measure.rules.formula.formula_data import Compare, Multiple
from measure.rules.formula.formula_terms import (
    Aggregate,
    AreaIn,
    Constant,
    Count,
    Difference,
    DifferentSolids,
    Dimension,
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
from measure.rules.formula.formula_words import term_words

Refuse = Callable[[str], NoReturn]
_NOUN: dict[Dimension, str] = {
    "number": "a plain number",
    "length": "a length",
    "area": "an area",
    "volume": "a volume",
}
_EXAMPLE: dict[Dimension, str] = {"length": "4 in", "area": "12 sq in", "volume": "200 cubic cm", "number": "3"}
_POWER: dict[Dimension, int] = {"number": 0, "length": 1, "area": 2, "volume": 3}


def check_measures(formula: Formula, refuse: Refuse) -> None:
    """Refuse, in words, what compares or adds lengths with areas and the like."""
    for part in formula.descendants():
        if isinstance(part, Compare):
            _check_compared(part, refuse)
        elif isinstance(part, Multiple):
            dimension_of(part.of, refuse)
            if not is_counted(part.of):
                refuse(f"`{term_words(part.of)}` is measured, and so never a whole multiple; only counts are")


def dimension_of(term: Term, refuse: Refuse) -> Dimension:
    """What a term is; refuses one that adds unlike parts."""
    match term:
        case Constant(amount):
            if amount.measure not in _POWER:
                refuse(f"`{amount}` needs something to be a part of; write `20% of the area of the parcel`")
            return amount.measure if amount.measure in ("length", "area", "volume") else "number"
        case Size(name, _):
            return "area" if name == "area" else "volume" if name == "volume" else "length"
        case LandSize() | AreaIn() | PairSize("overlap"):
            return "area"
        case Gap() | PairSize() | Extent() | HeightOfStructure():
            return "length"
        case SideCount() | People() | StructuresOn() | DifferentSolids() | Count():
            return "number"
        case Sum(first, second) | Difference(first, second):
            return _alike(term, first, second, refuse)
        case Times(_, of) | Aggregate(_, of):
            return dimension_of(of, refuse)
        case Rounded(of):
            if dimension_of(of, refuse) != "number":
                refuse(f"`rounded` is for numbers; `{term_words(of)}` is {_NOUN[dimension_of(of, refuse)]}")
            return "number"
        case Ratio(of, by):
            return _divided(of, by, refuse)
    raise TypeError(f"no dimension for {type(term).__name__}")


def is_counted(term: Term) -> bool:
    """Whether a term is exact: counts, and what is reckoned of counts alone."""
    match term:
        case Count() | SideCount() | StructuresOn() | DifferentSolids() | Rounded():
            return True
        case Constant(amount):
            return amount.measure == "number"
        case Sum(first, second) | Difference(first, second) | Ratio(first, second):
            return is_counted(first) and is_counted(second)
        case Times(_, of) | Aggregate(_, of):
            return is_counted(of)
    return False


def _alike(term: Term, first: Term, second: Term, refuse: Refuse) -> Dimension:
    mine, other = dimension_of(first, refuse), dimension_of(second, refuse)
    if mine != other:
        refuse(
            f"`{term_words(first)}` is {_NOUN[mine]} and `{term_words(second)}` {_NOUN[other]}; only like measures"
            f" can be {'added or subtracted' if isinstance(term, Sum) else 'compared'}"
        )
    return mine


def _divided(of: Term, by: Term, refuse: Refuse) -> Dimension:
    left = _POWER[dimension_of(of, refuse)] - _POWER[dimension_of(by, refuse)]
    found = next((name for name, power in _POWER.items() if power == left), None)
    if found is None:
        refuse(f"`{term_words(of)}` cannot be divided by `{term_words(by)}`; divide the larger measure by the smaller")
    return found


def _check_compared(said: Compare, refuse: Refuse) -> None:
    left = dimension_of(said.left, refuse)
    for limit in (said.right, said.upper):
        if limit is not None and dimension_of(limit, refuse) != left:
            other = dimension_of(limit, refuse)
            what = f"write one such as `{_EXAMPLE[left]}`" if isinstance(limit, Constant) else "compare like with like"
            refuse(f"`{term_words(said.left)}` is {_NOUN[left]}, and `{term_words(limit)}` is {_NOUN[other]}; {what}")
    exact = is_counted(said.left) and is_counted(said.right)
    if said.within is None:
        if said.relation == "exactly" and not exact:
            refuse("nothing can be measured exactly; write `at least` or `at most`, or end with `, within 5%`")
        return
    if said.relation != "exactly":
        refuse(f"`within` belongs to `exactly`; leave it out after `{said.relation}`")
    if said.within.measure not in ("percent", left) or said.within.number <= 0:
        refuse(f"`within` needs a per cent here, such as `within 5%`, or {_NOUN[left]} more than 0")
