"""How many pieces there are: the actions of grammar.txt for numbers."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing_bounds import limit, names_of, relation_of, times_limit, two_limits
from measure.rules.speech.composing.composing_sizes import as_times, whole
from measure.rules.speech.predicates.sizes_said import count
from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.lexicon import Named, Times
from measure.rules.speech.words.meanings import ONE, OPPOSITE, Bound, Bounds, Said, Sentences


def counted(bounds: Bounds, zone: Named) -> Sentences | None:
    if not whole(bounds) or bounds[0].times:
        return None
    return tuple(count(zone.name, replace(bound, flavour="")) for bound in bounds)


def counted_between(first: str, low: Amount, zone: Named, second: str, high: Amount) -> Sentences | None:
    """`at least 3 homes and no more than 5`."""
    bounds = two_limits(first, low, second, high)
    return counted(bounds, zone) if bounds else None


def counted_after(amount: Amount, zone: Named, said: str) -> Sentences | None:
    """`8 homes at most`."""
    return counted(limit(said, amount), zone)


def required_counts(sentences: Sentences) -> Sentences | None:
    """`at least 3 homes are needed`; that none is needed asks for nothing."""
    return None if any(said.plain.startswith("there is no ") for said in sentences) else sentences


def allowed_counts(sentences: Sentences) -> Sentences | None:
    """`up to 3 homes are allowed`, `no homes are allowed`; that some are asks for nothing."""
    asks = ("there is no ", "there are at most ", "there are less than ", "there are between ")
    return sentences if all(said.plain.startswith(asks) for said in sentences) else None


def counted_of(zone: Named, bounds: Bounds) -> Sentences | None:
    return counted(bounds, zone)


def counted_list(bounds: Bounds, zones: tuple[Named, ...]) -> Several | None:
    """`at least 4 homes and shops`: of each, of both together, or so many homes and a shop."""
    together = counted_together(zones, bounds)
    each = [counted(bounds, zone) for zone in zones]
    if together is None or not all(each) or any(zone.indefinite for zone in zones):
        return None
    first = (*(each[0] or ()), *(said for zone in zones[1:] for said in present(zone)))
    return Several((first, tuple(said for part in each if part for said in part), together))


def counted_label(zone: Named, bounds: Bounds) -> Sentences | None:
    """`homes: 4 to 6`; of one zone `lake: 1`, since `lake: 5` may be its size."""
    return counted(bounds, zone) if zone.several or bounds[0].amount.number == 1 else None


def counted_together(zones: tuple[Named, ...], bounds: Bounds) -> Sentences | None:
    """`parks and orchards: four in total`."""
    if not whole(bounds) or len(bounds) > 1:
        return None
    number = " plus ".join(f"the number of pieces of {name}" for name in names_of(zones))
    return (Said("", f"{number} is {bounds[0].text(bare='exactly')}"),)


def not_counted(bounds: Bounds, zone: Named) -> Sentences | None:
    """`don't build more than 6 homes`."""
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return counted((opposite,), zone) if opposite else None


def count_none(zone: Named) -> Sentences:
    return (Said(f"there is no {zone.name}", f"there is no {zone.name}", zone.name),)


def count_some(zone: Named) -> Sentences | None:
    return None if zone.several else present(zone)


def count_one(zone: Named) -> Sentences:
    return (count(zone.name, Bound("exactly", ONE)),)


def count_second(zone: Named) -> Sentences:
    return (count(zone.name, Bound("at least", Amount(ONE.number + 1))),)


def present(zone: Named) -> Sentences:
    return (Said(f"there is a {zone.name}", f"there is a {zone.name}", zone.name),)


def listed_present(zones: tuple[Named, ...]) -> Sentences | None:
    found = [present(zone)[0] for zone in zones]
    return tuple(replace(said, about="") for said in found)


def as_many(bounds: Bounds, first: Named, second: Named) -> Sentences | None:
    bound = bounds[0]
    if first.name == second.name or len(bounds) > 1 or bound.measure not in ("number", "percent"):
        return None
    bound = as_times(bound)
    said = replace(bound, relation="exactly" if bound.relation == "bare" else bound.relation)
    times = f"{said.amount} times" if said.amount.number != 1 else "just"
    warning = f"read as exactly {times} as many; write `at least` where more are welcome"
    number = f"the number of pieces of {second.name}"
    return (
        Said(
            f"there are {said.plain.text()} times as many pieces of {first.name} as of {second.name}",
            f"the number of pieces of {first.name} is {said.times_text(number)}",
            warning=warning if bound.relation == "bare" else "",
        ),
    )


def compared_counts(said: str, first: Named, second: Named) -> Sentences | None:
    more, flavour = relation_of(said)
    relation = "more than" if more == "more" else "less than"
    return as_many((Bound(relation, ONE),), first, second) if flavour in ("", "count") else None


def not_compared_counts(said: str, first: Named, second: Named) -> Sentences | None:
    more, flavour = relation_of(said)
    relation = "at most" if more == "more" else "at least"
    return as_many((Bound(relation, ONE),), first, second) if flavour in ("", "count") else None


def so_many_more(bounds: Bounds, said: str, first: Named, second: Named) -> Sentences | None:
    more, flavour = relation_of(said)
    if not whole(bounds) or len(bounds) > 1 or flavour not in ("", "count") or first.name == second.name:
        return None
    if more == "less":
        first, second = second, first
    return (Said(f"there are {bounds[0].plain.text()} more pieces of {first.name} than of {second.name}"),)


def times_as_many(bounds: Bounds, adjective: str, first: Named, second: Named) -> Sentences | None:
    return as_many(bounds, first, second) if adjective == "count" else None


def at_least_as_many(said: str, adjective: str, first: Named, second: Named) -> Sentences | None:
    relation, _ = relation_of(said)
    return as_many((Bound(relation, ONE),), first, second) if adjective == "count" else None


def just_as_many(adjective: str, first: Named, second: Named) -> Sentences | None:
    return as_many((Bound("exactly", ONE),), first, second) if adjective == "count" else None


def same_number(zones: tuple[Named, ...]) -> Sentences | None:
    return as_many((Bound("exactly", ONE),), *zones) if len(zones) == 2 else None


def outnumber(first: Named, second: Named) -> Sentences | None:
    return as_many((Bound("more than", ONE),), first, second)


def outnumber_by(first: Named, second: Named, bounds: Bounds) -> Sentences | None:
    return so_many_more(bounds, "more", first, second)


def outnumber_not(first: Named, second: Named) -> Sentences | None:
    return as_many((Bound("at most", ONE),), first, second)


def compared_numbers(first: Named, entry: str, second: Named) -> Sentences | None:
    """`the number of homes must be more than the number of shops`."""
    return related_numbers(first, "more than" if entry.startswith("more") else "less than", second)


def related_numbers(first: Named, entry: str, second: Named) -> Sentences | None:
    relation, flavour = relation_of(entry)
    return as_many((Bound(relation, ONE),), first, second) if flavour in ("", "size", "count") else None


def related_numbers_not(first: Named, entry: str, second: Named) -> Sentences | None:
    """`the number of barns must not be more than the number of stalls`."""
    relation, flavour = relation_of(entry)
    turned = OPPOSITE.get(relation)
    return related_numbers(first, f"{turned} {flavour}".strip(), second) if turned else None


def part_numbers(first: Named, bounds: Bounds, second: Named) -> Sentences | None:
    return as_many(bounds, first, second)


def for_every(base: Bounds, first: Named, bounds: Bounds, second: Named) -> Sentences | Several | None:
    """`for every 3 homes there must be at least one shop`; without a relation as many, or at least as many."""
    bound, per = bounds[0], base[0]
    if not (whole(bounds) and whole(base)) or per.relation != "bare" or bound.upper:
        return None
    if bound.relation == "bare":
        ways = [for_every(base, first, (replace(bound, relation=r),), second) for r in ("at least", "exactly")]
        return Several(tuple(way for way in ways if isinstance(way, tuple)))
    return as_many((replace(bound, amount=Amount(bound.amount.number / per.amount.number)),), second, first)


def for_each_one(first: Named, bounds: Bounds, second: Named) -> Sentences | Several | None:
    return for_every((Bound("bare", ONE),), first, bounds, second)


def so_many_per(bounds: Bounds, second: Named, base: Bounds, first: Named) -> Sentences | Several | None:
    return for_every(base, first, bounds, second)


def so_many_per_one(bounds: Bounds, second: Named, first: Named) -> Sentences | Several | None:
    return for_each_one(first, bounds, second)


def multiple(zone: Named, bounds: Bounds) -> Sentences | None:
    number = bounds[0].amount
    if not whole(bounds) or bounds[0].relation != "bare" or number.number < 2:
        return None
    return (Said("", f"the number of pieces of {zone.name} is a multiple of {number}"),)


def even(zone: Named) -> Sentences:
    return (Said("", f"the number of pieces of {zone.name} is a multiple of 2"),)


# ---- notes and other orders


def counted_note(zone: Named, bounds: Bounds) -> Sentences | None:
    """`homes (at least 6)`, `homes >= 6`."""
    return counted_label(zone, bounds) if bounds[0].relation != "bare" and not bounds[0].flavour else None


def outnumber_times(first: Named, second: Named, bounds: Bounds) -> Sentences | None:
    """`the homes outnumber the shops by at least 2 to 1`."""
    number = bounds[0].amount.number
    return as_many(bounds, first, second) if number > 1 and bounds[0].relation != "bare" else None


def times_as_many_after(times: Times, adjective: str, first: Named, second: Named, said: str) -> Sentences | None:
    """`twice as many homes as shops, at the very least`."""
    return as_many(times_limit(said, times), first, second) if adjective == "count" else None


def one_per(zone: Named, *rest: Bounds | Named) -> Sentences | Several | None:
    """`a shop for every four homes`."""
    one = (Bound("bare", ONE),)
    base, first = rest if len(rest) > 1 else (one, rest[0])
    if not isinstance(base, tuple) or not isinstance(first, Named):
        return None
    return for_every(base, first, one, zone)


def one_of_its_own(first: Named, *rest: str | Named) -> Sentences | None:
    """`every home needs its own shop`: at least as many."""
    second = rest[-1]
    own = isinstance(second, Named) and not second.several
    return as_many((Bound("at least", ONE),), second, first) if own and isinstance(second, Named) else None


def same_number_as(first: Named, second: Named) -> Sentences | None:
    return as_many((Bound("exactly", ONE),), first, second)


def counted_of_after(zone: Named, amount: Amount, said: str) -> Sentences | None:
    """`boat sheds: three of them, no fewer`."""
    return counted_of(zone, limit(said, amount))


def counted_near(*parts: Amount | Named) -> Sentences | None:
    """`5 classrooms plus or minus 1`."""
    zone = next(part for part in parts if isinstance(part, Named))
    middle, near = (part for part in parts if isinstance(part, Amount))
    low, high = middle.number - near.number, middle.number + near.number
    if middle.measure != "number" or near.measure != "number" or not 0 < low < high:
        return None
    return counted((Bound("between", Amount(low), Amount(high)),), zone)


def two_present(first: Named, second: Named) -> Sentences:
    """`the library is a must-have, and so is the gym`."""
    return (*present(first), *present(second))
