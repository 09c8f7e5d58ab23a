"""Rules of every kind as hypothesis draws them, all of which can be printed and read again."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from measure.rules.kind import Group
from measure.rules.parts import Amount, Limit
from measure.rules.places import CentreRule, DistanceRule, EdgeRule, InsideRule, OverlapRule, TouchRule
from measure.rules.presence import CountRule
from measure.rules.sizes import ComparisonRule, DifferenceRule, ShareRule, SizeRule
from measure.rules.solids import DifferentSolidsRule, HeightRule, PeopleRule, StructureCountRule

NAMES = (
    "library", "stables", "school", "market", "meadow", "landing", "greenhouse", "orchard", "cottages", "workshops",
    "parcel office", "crusher",
)  # fmt: skip


def fractions(least: int = 1, most: int = 400) -> st.SearchStrategy[Fraction]:
    return st.fractions(min_value=Fraction(least, 8), max_value=most, max_denominator=16)


UNITS = st.sampled_from(["in", "cm", "mm", "ft", "m"])


ONE_SIDED = st.sampled_from(["at least", "at most", "more than", "less than"])
COUNTS = st.one_of(
    st.builds(Limit, st.one_of(ONE_SIDED, st.just("exactly")), st.builds(Amount, st.integers(1, 9).map(Fraction))),
    st.builds(
        lambda low, more: Limit("between", Amount(Fraction(low)), Amount(Fraction(low + more))),
        st.integers(1, 9),
        st.integers(1, 5),
    ),
)


@st.composite
def limits(draw: st.DrawFn, measure: str, *, most: int = 400) -> Limit:
    unit = draw(UNITS) if measure in ("length", "area", "volume") else None

    def amount(number: Fraction) -> Amount:
        return Amount(number, measure, unit)  # type: ignore[arg-type]

    first = draw(fractions(most=most))
    relation = draw(st.one_of(ONE_SIDED, st.sampled_from(["between", "exactly"])))
    if relation == "between":
        return Limit("between", amount(first), amount(first + draw(fractions(most=20))))
    if relation == "exactly":
        kind = draw(st.sampled_from(["percent", "points" if measure == "percent" else measure if unit else "percent"]))
        number = draw(fractions(most=20))
        return Limit(
            "exactly", amount(first), tolerance=amount(number) if kind == measure and unit else Amount(number, kind)
        )
    return Limit(relation, amount(first))


def names(least: int, most: int) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(NAMES), min_size=least, max_size=most, unique=True).map(tuple)


def one_by_one(chosen: tuple[str, ...]) -> Group:
    return Group(chosen, "each" if len(chosen) > 1 else "together")


ONE = names(1, 1).map(Group)
EVERY, OTHER, ALL = Group(mode="every"), Group(mode="other"), Group(mode="all")
SIZED = st.one_of(names(1, 4).map(Group), names(2, 4).map(one_by_one), st.sampled_from([EVERY, ALL]))
AGAINST = st.one_of(names(1, 3).map(Group), st.just(OTHER))
SINGLES = st.one_of(names(1, 3).map(one_by_one), st.just(EVERY))


@st.composite
def pairs(draw: st.DrawFn, kind, *more: st.SearchStrategy):
    """A rule between two groups without a zone in common."""
    chosen = draw(names(2, 5))
    at = draw(st.integers(1, len(chosen) - 1))
    group = draw(st.sampled_from([one_by_one(chosen[:at]), EVERY]))
    other = draw(st.sampled_from([one_by_one(chosen[at:]), OTHER]))
    return kind(group, other, *(draw(strategy) for strategy in more))


LENGTHS, AREAS, VOLUMES, TIMES = limits("length"), limits("area"), limits("volume"), limits("number")
SURFACES = st.sampled_from(["surface area", "side surface area"])
RULES = st.one_of(
    st.builds(ShareRule, SIZED, limits("percent", most=100)),
    st.builds(SizeRule, st.just("area"), SIZED, AREAS),
    st.builds(SizeRule, st.just("perimeter"), st.one_of(ONE, st.just(EVERY)), LENGTHS),
    st.builds(SizeRule, SURFACES, SIZED, AREAS),
    st.builds(SizeRule, st.just("volume"), SIZED, VOLUMES),
    st.builds(ComparisonRule, st.just("area"), SIZED, AGAINST, TIMES),
    st.builds(ComparisonRule, st.just("perimeter"), ONE, st.just(OTHER), TIMES),
    st.builds(DifferenceRule, st.just("area"), SIZED, AGAINST, AREAS),
    pairs(DistanceRule, LENGTHS),
    st.builds(EdgeRule, SINGLES, LENGTHS),
    st.builds(CentreRule, SINGLES, LENGTHS),
    pairs(TouchRule, st.booleans()),
    pairs(OverlapRule, st.just(True)),
    st.builds(OverlapRule, names(1, 3).map(one_by_one), st.just(OTHER)),
    st.builds(OverlapRule, st.just(EVERY), st.one_of(st.none(), names(1, 3).map(one_by_one))),
    st.builds(InsideRule, SINGLES),
    st.builds(CountRule, SINGLES, COUNTS),
    st.builds(StructureCountRule, st.sampled_from([None, "box", "cubes", "half cylinder"]), names(0, 2), COUNTS),
    st.builds(DifferentSolidsRule, st.one_of(st.none(), st.sampled_from(NAMES)), COUNTS),
    st.builds(HeightRule, names(0, 2), LENGTHS, st.booleans()),
    st.builds(PeopleRule, SIZED, st.builds(Limit, ONE_SIDED, st.just(Amount(Fraction(600)))), fractions(), UNITS),
)
