"""How what is said of whom makes canonical sentences: the actions of grammar.txt for clauses and sentences."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

import re
from dataclasses import replace

from measure.rules.speech.composing.composing_bounds import every_zone_but, names_of, no_zone_but, two_limits
from measure.rules.speech.composing.composing_sizes import covers, is_so_adjective
from measure.rules.speech.predicates.gaps_said import Apart
from measure.rules.speech.predicates.places_said import Beyond, Fact, InRegion, Meets, Predicate
from measure.rules.speech.predicates.sizes_said import (
    Bounded,
    Difference,
    Houses,
    LengthByWidth,
    Ratio,
    Share,
    Sides,
    Sized,
)
from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import IT, ONE, OPPOSITE, Bound, Bounds, Or, Said, Sentences, Whom

Found = Sentences | Several | None


def stated(who: Whom | Or, predicate: Predicate) -> Found:
    """What holds of none is denied of every one."""
    if isinstance(who, Or):
        return _of_one_or_other(who, predicate)
    if who.count is not None and who.count.assumed and not isinstance(predicate, _OF_SOME):
        return None  # `four homes must cover 20 sq in` can be of each, or of all four
    if not who.names and who.quantifier in ("every", "no", "all") and isinstance(predicate, Ratio):
        who = replace(who, but=tuple(dict.fromkeys((*who.but, *named_in(predicate)))))
    few = who.count is not None and who.count.relation in ("at most", "less than", "exactly")
    if few and getattr(predicate, "negated", False):
        return None  # `at most 2 zones may not touch the lake`
    if who.quantifier == "some" and _of_each_of(predicate):
        return None  # `at least one shop within 5 in of each home`: one for all, or one for each
    if who.which == "other":
        if not named_in(predicate):
            return None
        who = Whom("every", but=named_in(predicate))
    if who.quantifier == "some" and not who.names:
        who = replace(who, but=named_in(predicate))
    if who.quantifier == "no" and not who.names and isinstance(predicate, Meets) and predicate.verb == "inside":
        predicate = replace(predicate, verb="overlap")  # nothing in the lake: no part of it
    if who.quantifier == "no":
        denied = predicate.denied()
        if denied is None or getattr(predicate, "negated", False):  # `no zone does not touch the lake`
            return None
        return denied.of(replace(who, quantifier="every"))
    if who.quantifier == "any":
        return stated(replace(who, quantifier="every"), predicate) if who.names else None
    if who.quantifier == "a":
        return _of_a(who, predicate)
    if who.single and who.several and _of_any_one(predicate):
        return predicate.of(replace(who, quantifier="every"))  # `sheds must touch a hut`: each of them
    if who.quantifier == "all" and not who.names:
        every = replace(who, quantifier="every")
        if isinstance(predicate, Sized | Share | Ratio | Difference | Houses):
            return _either(predicate.of(every), predicate.of(replace(who, quantifier="together")))
        return predicate.of(every)
    return predicate.of(who)


def _of_any_one(predicate: Predicate) -> bool:
    target = getattr(predicate, "target", None)
    a_piece = isinstance(target, Whom) and target.which == "a" and target.single
    return a_piece and isinstance(predicate, Meets | Apart) and not getattr(predicate, "negated", False)


def _of_each_of(predicate: Predicate) -> bool:
    target = getattr(predicate, "target", None)
    return isinstance(target, Whom) and target.quantifier in ("every", "all") and bool(target.names)


def named_in(predicate: Predicate) -> tuple[str, ...]:
    """The zones that it holds against: none of them is compared with itself."""
    target = getattr(predicate, "target", None) or getattr(predicate, "thing", None)
    parts = target.parts if isinstance(target, Or) else (target,)
    return tuple(name for part in parts if isinstance(part, Whom) for name in part.names)


_OF_SOME = (Meets, Apart, InRegion, Beyond)


def stated_of_some(zone: Named, predicate: Predicate) -> Found:
    """`we want a park that is at least 20 sq in`."""
    return predicate.of(Whom("", (zone.name,)))


def _of_a(who: Whom, predicate: Predicate) -> Found:
    """`a home must be at least 5 sq in` is of each; `a home must touch the lake` of each, or of one.

    Where the zone bears a name in the singular, it is the zone.
    """
    zone, every = replace(who, quantifier=""), replace(who, quantifier="every")
    one = replace(who, quantifier="some", count=Bound("at least", ONE))
    plural = of_several(who)
    if plural and (isinstance(predicate, _OF_EACH) or _keeps_away(predicate)):
        return predicate.of(every)
    if not plural and not isinstance(predicate, Sized):
        return predicate.of(zone)
    return _either(predicate.of(every), predicate.of(one if plural else zone))


def _keeps_away(predicate: Predicate) -> bool:
    """`a home must not touch the lake`, `must be at least 3 in from it`: what is forbidden is forbidden to each."""
    if isinstance(predicate, Apart):
        return all(bound.relation in ("at least", "more than") for bound in predicate.bounds)
    return bool(getattr(predicate, "negated", False))


def of_several(who: Whom) -> bool:
    """Whether the zone bears a name in the plural, so that `a home` is one of its pieces."""
    return re.search(r"[^s]s$", who.names[0]) is not None


def there_is(zone: Named, predicate: Predicate) -> Found:
    """`there must be a park next to the school`, `there must be a home next to it`: at least one."""
    who = Whom("", (zone.name,))
    if of_several(who):
        who = Whom("some", (zone.name,), Bound("at least", ONE))
    within = isinstance(predicate, Apart) and predicate.near  # there_within, by what it is within reach of
    there = isinstance(predicate, Fact) and predicate.plain  # `have a lake in your town`
    return None if within or there or isinstance(predicate, _OF_EACH) else stated(who, predicate)


def there_is_none(zone: Named, predicate: Predicate) -> Found:
    return stated(Whom("no", (zone.name,)), predicate)


_OF_EACH = (Sized, Share, Ratio, Difference, Houses, Sides, LengthByWidth)


def _either(first: Found, second: Found) -> Found:
    if isinstance(first, tuple) and isinstance(second, tuple):
        return Several((first, second))
    return None


def _of_one_or_other(who: Or, predicate: Predicate) -> Sentences | None:
    found = [predicate.of(part) for part in who.parts]
    formulas = [part[0].formula for part in found if isinstance(part, tuple) and len(part) == 1]
    return (Said("", f"either {', or '.join(formulas)}"),) if all(formulas) and len(formulas) == len(found) else None


def stated_not(who: Whom | Or, predicate: Predicate) -> Found:
    """`don't let any home touch the factory`."""
    if isinstance(who, Or):
        return _both(stated_not(who.parts[0], predicate), stated_not(who.parts[1], predicate))
    if who.quantifier in ("any", "pair"):
        if who.quantifier == "pair":
            return predicate.of(replace(who, quantifier="no pair"))
        return stated(replace(who, quantifier="no"), predicate)
    if who.quantifier not in ("", "a", "each") or len(who.names) > 1:
        return None
    denied = predicate.denied()
    return stated(who, denied) if denied is not None else None


def stated_neither(who: Whom | Or, first: Predicate, second: Predicate) -> Found:
    """`must not be longer than 15 cm nor narrower than 4 cm`."""
    one, other = first.denied(), second.denied()
    return stated_twice(who, one, other) if one and other else None


def one_clause_or_other(first: Sentences, second: Sentences) -> Sentences | None:
    """`either put the factory in the north-east corner, or keep it 12 in from the school`."""
    if len(first) != 1 or len(second) != 1:
        return None
    if IT in second[0].text:
        if not first[0].about:
            return None
        second = (second[0].of_it(first[0].about),)
    formulas = first[0].formula, second[0].formula
    return (Said("", f"either {formulas[0]}, or {formulas[1]}"),) if all(formulas) else None


def every_that(zone: Named, predicate: Predicate) -> Sentences | None:
    """`every home that touches the lake`: the formula's beginning, up to what must hold of it."""
    found = predicate.of(Whom("every", (zone.name,)))
    if not isinstance(found, tuple) or len(found) != 1 or not found[0].formula:
        return None
    given = found[0].formula.removeprefix(f"for every piece of {zone.name}: ")
    return (Said("", f"for every piece of {zone.name}: if {given}, then ", zone.name),)


def none_that(zone: Named, predicate: Predicate) -> Sentences | None:
    made = every_that(zone, predicate)
    return tuple(replace(said, plain="no") for said in made) if made else None


def restricted(given: Sentences, predicate: Predicate) -> Sentences | None:
    name = given[0].about
    wanted = predicate if not given[0].plain else predicate.denied()
    found = wanted.of(Whom("every", (name,))) if wanted else None
    every = f"for every piece of {name}: "
    if not isinstance(found, tuple) or not all(said.formula.startswith(every) for said in found):
        return None
    return tuple(Said("", given[0].formula + said.formula.removeprefix(every)) for said in found)


def neither(first: Named, second: Named, predicate: Predicate) -> Found:
    denied = predicate.denied()
    return denied.of(Whom("each", names_of((first, second)))) if denied else None


def nothing_but(predicate: Predicate, but: Named | tuple[Named, ...]) -> Found:
    """`nothing may touch the lake except the park`."""
    target = getattr(predicate, "target", None)
    if isinstance(target, Whom) and not target.names:
        return None  # `nothing may touch anything except the park` may mean the other side
    return stated(no_zone_but(but), predicate)


def everything_but(predicate: Predicate, but: Named | tuple[Named, ...]) -> Found:
    target = getattr(predicate, "target", None)
    if isinstance(target, Whom) and not target.names:
        return None  # `every zone ... every other zone except the factory` may leave it out on the other side
    return stated(every_zone_but(but), predicate)


def no_zone_of(who: Whom | Or, predicate: Predicate) -> Found:
    """`only the harbour may touch the lake`."""
    if isinstance(who, Or) or who.quantifier not in ("", "each") or getattr(predicate, "negated", False):
        return None  # `only the harbour may not touch the lake` asks nothing of the others
    return stated(Whom("no", but=who.names), predicate)


def stated_twice(who: Whom | Or, first: Predicate, second: Predicate) -> Found:
    if isinstance(who, Or) or not (who.one_by_one or who.quantifier == "no"):
        return None
    if len(who.names) > 1 and isinstance(first, Bounded) and type(first) is type(second):
        return None  # `homes and shops must be at least 15% and 10%`: the one and the other
    one, other = stated(who, first), stated(who, _like(first, second))
    if isinstance(first, Bounded) and isinstance(second, Bounded) and _between(first, second):
        return stated(who, replace(first, bounds=_between(first, second)))
    if isinstance(other, tuple) and any(IT in said.text for said in other) and IT not in who.names:
        other = _of_target(other, first)
    return _both(one, other)


def stated_but_not(who: Whom | Or, first: Predicate, second: Predicate) -> Found:
    """`is between 10 and 15 sq in but does not touch the tents`."""
    denied = second.denied()
    return stated_twice(who, first, denied) if denied and isinstance(who, Whom) and who.quantifier != "no" else None


def _of_target(sentences: Sentences, first: Predicate) -> Sentences | None:
    """`next to the farm and no bigger than it`: the one that the subject was said to be next to."""
    target = getattr(first, "target", None) or getattr(first, "thing", None)
    if not isinstance(target, Whom) or not target.single:
        return None
    return tuple(said.of_it(target.names[0]) for said in sentences)


def _between(first: Bounded, second: Bounded) -> Bounds:
    """`at least 10 sq in and at most 20 sq in`, as one; empty where they are no two ends of one size."""
    one, other = first.bounds[0], second.bounds[0]
    if _of_what(first) != _of_what(second) or len(first.bounds) + len(second.bounds) > 2:
        return ()
    if one.relation == "at most":
        one, other = other, one
    if (one.relation, other.relation) != ("at least", "at most"):
        return ()
    return two_limits(one.relation, one.amount, other.relation, other.amount) or ()


def _of_what(predicate: Bounded) -> Bounded:
    """What is within bounds; of an area it makes no difference whether it was said to be covered."""
    return (
        replace(predicate, bounds=(), covered=False) if isinstance(predicate, Sized) else replace(predicate, bounds=())
    )


def _like(first: Predicate, second: Predicate) -> Predicate:
    """`at least 6 inches long and 4 inches wide`: the second is a least, too, where it is measured."""
    if not (isinstance(first, Bounded) and isinstance(second, Bounded)):
        return second
    one, other = first.bounds[0], second.bounds[0]
    measured = other.measure in ("length", "area", "volume", "percent") and not other.tolerance
    if other.relation != "bare" or one.relation not in OPPOSITE or not measured:
        return second
    return replace(second, bounds=(replace(other, relation=one.relation),))


def long_and_wide_of(who: Whom, first: Bounds, one: str, second: Bounds, other: str) -> Found:
    """`10 cm long and 4 cm wide`."""
    parts = is_so_adjective(first, one), is_so_adjective(second, other)
    return stated_twice(who, parts[0], parts[1]) if parts[0] and parts[1] else None


def stated_thrice(who: Whom | Or, first: Predicate, second: Predicate, third: Predicate) -> Found:
    return _both(stated_twice(who, first, second), stated_twice(who, third, third))


def _both(first: Found, second: Found) -> Sentences | None:
    if isinstance(first, tuple) and isinstance(second, tuple):
        return tuple(dict.fromkeys((*first, *second)))
    return None


def whole(sentences: Sentences) -> Sentences | None:
    """A whole rule: what `it` stands for is known by now."""
    return None if not sentences or any(IT in said.text for said in sentences) else sentences


def further(first: Sentences, second: Sentences) -> Sentences | None:
    """Two rules; `it` in the second is what the first was about."""
    about = first[-1].about
    if any(IT in said.text for said in second):
        if not about or (about == IT and not any(IT in said.text for said in first)):
            return None
        if re.search(r"[^s]s$", about) and any(_AREA_OF_IT.match(said.plain) for said in second):
            return None  # of `there are 4 homes; they cover 5 sq in`: of each, or of all
        second = tuple(said.of_it(about) for said in second)
    return tuple(dict.fromkeys((*first, *second)))


_AREA_OF_IT = re.compile(rf"{IT} covers [^%]*\bsq\b[^%]*$")


def each_of_them(first: Sentences, predicate: Predicate) -> Found:
    """`4 to 6 homes, each at most 10 sq in`."""
    name = first[-1].about
    return _both(first, predicate.of(Whom("every", (name,)))) if name and len(first) == 1 else None


def none_of_them(first: Sentences, predicate: Predicate) -> Found:
    name = first[-1].about
    return _both(first, stated(Whom("no", (name,)), predicate)) if name and len(first) == 1 else None


def that_covers(first: Sentences, bounds: Bounds) -> Found:
    """`a park of at least 20 sq in`."""
    name, made = first[-1].about, covers(bounds)
    one = len(first) == 1 and first[0].plain == f"there is a {name}"
    return made.of(Whom("", (name,))) if one and made else None
