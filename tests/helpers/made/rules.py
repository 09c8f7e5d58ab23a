"""Rules of every kind as hypothesis draws them, all of which can be printed and read again."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from measure.rules.amounts import Amount, Limit
from measure.rules.kinds.pieces.count_ratio import COUNT_MORE, COUNT_RATIO
from measure.rules.kinds.pieces.piece_count import PIECE_COUNT
from measure.rules.kinds.places.centre_distance import CENTRE_DISTANCE
from measure.rules.kinds.places.compass_order import COMPASS_ORDER
from measure.rules.kinds.places.edge_distance import EDGE_DISTANCE
from measure.rules.kinds.places.empty_land import EMPTY_LAND
from measure.rules.kinds.places.gap_distance import DISTANCE
from measure.rules.kinds.places.inside_parcel import INSIDE
from measure.rules.kinds.places.inside_zone import INSIDE_ZONE
from measure.rules.kinds.places.overlapping_zones import OVERLAP
from measure.rules.kinds.places.parcel_region import IN_REGION, MOSTLY_IN_REGION
from measure.rules.kinds.places.touching_zones import TOUCHING
from measure.rules.kinds.sizes.share_of_parcel import SHARE
from measure.rules.kinds.sizes.size_difference import DIFFERENCE
from measure.rules.kinds.sizes.size_ratio import RATIO
from measure.rules.kinds.sizes.zone_size import SIZE
from measure.rules.kinds.structures.people_housed import PEOPLE
from measure.rules.kinds.structures.solids_used import SOLIDS_USED
from measure.rules.kinds.structures.structure_count import STRUCTURE_COUNT
from measure.rules.kinds.structures.structure_height import HEIGHT, TALLEST
from measure.rules.rule import Kind, Rule
from measure.rules.zone_groups import ALL, ANOTHER, EVERY, OTHER, Group, one_by_one

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


ONE = names(1, 1).map(Group)
SIZED = st.one_of(names(1, 4).map(Group), names(2, 4).map(one_by_one), st.sampled_from([EVERY, ALL]))
AGAINST = st.one_of(names(1, 3).map(Group), st.just(OTHER))
SINGLES = st.one_of(names(1, 3).map(one_by_one), st.just(EVERY))


NOTHING, FALSE, NOBODY = st.none(), st.just(False), st.just(Group())


@st.composite
def pairs(draw: st.DrawFn, kind: Kind, limit: st.SearchStrategy = NOTHING, negated: st.SearchStrategy = FALSE):
    """A rule between two groups without a zone in common."""
    chosen = draw(names(2, 5))
    at = draw(st.integers(1, len(chosen) - 1))
    group = draw(st.sampled_from([one_by_one(chosen[:at]), EVERY]))
    other = draw(st.sampled_from([one_by_one(chosen[at:]), OTHER]))
    return Rule(kind, group, draw(limit), (other,), negated=draw(negated))


def rules(kind: Kind, group: st.SearchStrategy = NOBODY, limit: st.SearchStrategy = NOTHING, **more):
    """Rules of a kind; `other` is one group, the rest are fields of the rule."""
    if "other" in more:
        more["others"] = more.pop("other").map(lambda group: (group,))
    return st.builds(Rule, st.just(kind), group, limit, **more)


LENGTHS, AREAS, VOLUMES, TIMES = limits("length"), limits("area"), limits("volume"), limits("number")
SURFACES = st.sampled_from(["surface area", "side surface area"])
SOLIDS = st.sampled_from(["", "box", "cubes", "half cylinder"])
PEOPLE_LIMITS = st.builds(Limit, ONE_SIDED, st.just(Amount(Fraction(600))))
REGIONS = st.sampled_from(["north half", "left half", "south-east corner", "top-left corner"])
COUNTED = st.builds(Group, names(1, 1), st.just("some"), COUNTS)
PIECES = st.one_of(names(1, 1).map(lambda chosen: Group(chosen, "pieces")), COUNTED)
EXCEPT = names(1, 3).map(lambda chosen: Group(chosen, "every"))


@st.composite
def piecewise(draw: st.DrawFn, kind: Kind, limit: st.SearchStrategy = NOTHING, negated: st.SearchStrategy = FALSE):
    """A rule between pieces of a zone and another zone, or as many of the others as may be."""
    first, second = draw(names(2, 2))
    others = draw(st.sampled_from([Group((second,)), Group((second,), "pieces"), Group((first,), "pieces")]))
    return Rule(kind, Group((first,), "pieces"), draw(limit), (others,), negated=draw(negated))


PLACES = names(0, 2).map(Group)
RULES = st.one_of(
    rules(SHARE, st.one_of(PIECES, EXCEPT), limits("percent", most=100)),
    rules(SIZE, PIECES, LENGTHS, size=st.just("perimeter")),
    rules(RATIO, PIECES, TIMES, other=AGAINST, size=st.just("area")),
    piecewise(DISTANCE, LENGTHS),
    rules(EMPTY_LAND, NOBODY, st.one_of(limits("percent", most=100), AREAS)),
    rules(IN_REGION, st.one_of(SINGLES, PIECES), detail=REGIONS),
    rules(MOSTLY_IN_REGION, st.one_of(SINGLES, PIECES), detail=REGIONS),
    pairs(COMPASS_ORDER).map(lambda rule: replace(rule, detail="north")),
    st.builds(lambda both: Rule(INSIDE_ZONE, Group(both[:1]), others=(Group(both[1:]),)), names(2, 2)),
    st.builds(lambda both, n: Rule(COUNT_MORE, Group(both[:1]), n, (Group(both[1:]),)), names(2, 2), COUNTS),
    st.builds(lambda both, n: Rule(COUNT_RATIO, Group(both[:1]), n, (Group(both[1:]),)), names(2, 2), COUNTS),
    rules(SIZE, PIECES, LENGTHS, size=st.sampled_from(["length", "width"])),
    piecewise(TOUCHING, negated=st.booleans()),
    rules(TOUCHING, ONE, other=st.builds(Group, st.just(()), st.just("another"), COUNTS)),
    rules(TOUCHING, EXCEPT, other=st.sampled_from([ANOTHER, OTHER])),
    rules(INSIDE, PIECES),
    rules(EDGE_DISTANCE, PIECES, LENGTHS),
    rules(SHARE, SIZED, limits("percent", most=100)),
    rules(SIZE, SIZED, AREAS, size=st.just("area")),
    rules(SIZE, st.one_of(ONE, st.just(EVERY)), LENGTHS, size=st.just("perimeter")),
    rules(SIZE, SIZED, AREAS, size=SURFACES),
    rules(SIZE, SIZED, VOLUMES, size=st.just("volume")),
    rules(RATIO, SIZED, TIMES, other=AGAINST, size=st.just("area")),
    rules(RATIO, ONE, TIMES, other=st.just(OTHER), size=st.just("perimeter")),
    rules(DIFFERENCE, SIZED, AREAS, other=AGAINST, size=st.just("area")),
    pairs(DISTANCE, LENGTHS),
    rules(EDGE_DISTANCE, SINGLES, LENGTHS),
    rules(CENTRE_DISTANCE, SINGLES, LENGTHS),
    pairs(TOUCHING, negated=st.booleans()),
    pairs(OVERLAP),
    rules(OVERLAP, names(1, 3).map(one_by_one), other=st.just(OTHER), negated=st.just(True)),
    rules(OVERLAP, st.just(EVERY), other=names(1, 3).map(one_by_one), negated=st.just(True)),
    st.just(Rule(OVERLAP, EVERY, negated=True)),
    rules(INSIDE, SINGLES),
    rules(PIECE_COUNT, SINGLES, COUNTS),
    rules(STRUCTURE_COUNT, PLACES, COUNTS, detail=SOLIDS),
    rules(SOLIDS_USED, names(0, 1).map(Group), COUNTS),
    rules(HEIGHT, PLACES, LENGTHS),
    rules(TALLEST, PLACES, LENGTHS),
    rules(PEOPLE, SIZED, PEOPLE_LIMITS, rate=st.builds(Amount, fractions(), st.just("volume"), UNITS)),
)
