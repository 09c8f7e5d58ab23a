"""Rules about pieces one by one, and about so many of several, taken apart into rules that kinds can judge.

`every piece of homes ...` holds where it holds for every piece; `at least 3 pieces of homes ...` where it holds for so
many; `... touches another zone` where one of the other zones would do.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from measure.conformity import chance_all, chance_count
from measure.plat.measures import piece_name, piece_of
from measure.rules.amounts import Limit
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Findings, Mark, Outcome, Unknown, reasons_of, verdict_of
from measure.rules.zone_groups import Group

Cases = tuple[tuple[Claim | Unknown, ...], ...]


@dataclass(frozen=True)
class Tally:
    """So many of the cases must hold, each of which holds where all of its claims do."""

    cases: Cases
    limit: Limit


def taken_apart(rule: Rule, context: Context) -> Findings | Tally:
    """What decides a rule, whatever it counts; pieces bear the numbers that they have in the plat."""
    if rule.subject.mode == "some":
        assert rule.subject.count is not None
        pieces = _pieces(rule.subject.names, context)
        if not pieces:
            return Findings((_absent(rule.subject),), rule.subject.count.stated)
        cases = tuple(_case(replace(rule, subject=Group((piece,))), context) for piece in pieces)
        return Tally(cases, rule.subject.count)
    counted = next((group for group in rule.others if group.mode == "another" and group.count is not None), None)
    if counted is not None and counted.count is not None:
        others = _others(counted, rule.subject.names, context)
        cases = tuple(_case(_against(rule, Group((other,))), context) for other in others)
        return Tally(cases, counted.count)
    sample = rule.kind.findings(_whole(rule), context)
    return Findings(_case(rule, context), sample.limit, sample.unit)


def judged_tally(text: str, reads_as: str, kind: str, tally: Tally) -> Outcome:
    """The outcome of a rule that counts cases: the value is how many hold as measured."""
    blank = Outcome(text, reads_as, kind, "not measured", limit=tally.limit.stated)
    unknown = [part for case in tally.cases for part in case if isinstance(part, Unknown)]
    known = [tuple(part for part in case if isinstance(part, Claim)) for case in tally.cases]
    sure = [case for case, whole in zip(known, tally.cases, strict=True) if len(case) == len(whole)]
    low, high = tally.limit.whole_bounds
    events = [[claim.event for claim in case] for case in sure]
    further = range(len(tally.cases) - len(sure) + 1)
    chance = max(chance_count(events, low - n, None if high is None else high - n) for n in further)
    if unknown and verdict_of(chance) != "not met":
        return replace(blank, note=reasons_of(unknown))
    holds = [chance_all([claim.event for claim in case]) >= 0.5 for case in sure]
    amiss = [case for case, kept in zip(sure, holds, strict=True) if kept == (low == 0)]
    claims = [claim for case in amiss for claim in case]
    return replace(
        blank,
        verdict=verdict_of(chance),
        value=float(sum(holds)),
        u95=0.0,
        chance=chance,
        over=tuple(dict.fromkeys(name for claim in claims for name in claim.over)),
        where=tuple(dict.fromkeys(mark for claim in claims for mark in claim.marks)),
    )


def _case(rule: Rule, context: Context) -> tuple[Claim | Unknown, ...]:
    return tuple(_numbered(claim) for single in _singles(rule, context) for claim in _claims(single, context))


def _singles(rule: Rule, context: Context) -> Iterator[Rule | Unknown]:
    """The rule piece by piece where it is about every piece, or about every zone against another one."""
    subjects = [rule.subject]
    if rule.subject.mode == "pieces":
        subjects = [Group((piece,)) for piece in _pieces(rule.subject.names, context)]
        if not subjects:
            yield _absent(rule.subject)
    elif any(group.quantified for group in rule.others):
        subjects = [Group((zone,)) for zone in rule.subject.singles(context.zones)]
    for subject in subjects:
        yield from _with_others(replace(rule, subject=subject), rule, context)


def _with_others(single: Rule, rule: Rule, context: Context) -> Iterator[Rule | Unknown]:
    at = next((at for at, group in enumerate(rule.others) if group.mode == "pieces"), None)
    if at is None:
        yield single
        return
    group = rule.others[at]
    pieces = _pieces(group.names, context)
    own = single.subject.names[0]
    same = piece_of(own)[0] in group.names
    others = [piece for piece in pieces if not same or pieces.index(piece) > _place(own, pieces)]
    if not pieces or (same and len(pieces) < 2):
        yield _absent(group) if not pieces else Unknown("{} has only one piece", group.names)
    for other in others:
        yield replace(single, others=(*rule.others[:at], Group((other,)), *rule.others[at + 1 :]))


def _claims(single: Rule | Unknown, context: Context) -> tuple[Claim | Unknown, ...]:
    """The claims of one rule; against `another`, one claim that the nearest of the others decides."""
    if isinstance(single, Unknown):
        return (single,)
    if not any(group.mode == "another" for group in single.others):
        return single.kind.findings(single, context).claims
    own = single.subject.names
    others = _others(next(group for group in single.others if group.mode == "another"), own, context)
    found = [c for o in others for c in single.kind.findings(_against(single, Group((o,))), context).claims]
    claims = [claim for claim in found if isinstance(claim, Claim)]
    unknown = [part for part in found if isinstance(part, Unknown)]
    if not claims:
        return tuple(unknown[:1]) or (Unknown("there is nothing else that {} could be compared with", own),)
    nearest = min(claims, key=lambda claim: claim.value)
    candidates = tuple(quantity for claim in claims for quantity in claim.candidates)
    made = replace(nearest, candidates=candidates, over=nearest.over)
    return (made,) if not unknown or chance_all([made.event]) >= 0.95 else tuple(unknown)


def _others(group: Group, own: tuple[str, ...], context: Context) -> tuple[str, ...]:
    """The other zones that are there, or the other pieces of a zone."""
    if group.names:
        return tuple(piece for piece in _pieces(group.names, context) if piece not in own)
    left_out = {piece_of(name)[0] for name in own}
    return tuple(zone for zone in context.zones if zone not in left_out and context.measures.count(zone))


def _against(rule: Rule, other: Group) -> Rule:
    return replace(rule, others=tuple(other if group.mode == "another" else group for group in rule.others))


def _whole(rule: Rule) -> Rule:
    """The rule about whole zones, for the unit and the limit of its findings."""
    return replace(rule, subject=_plain(rule.subject), others=tuple(map(_plain, rule.others)))


def _plain(group: Group) -> Group:
    if not group.quantified:
        return group
    return Group(group.names) if len(group.names) == 1 else Group(group.names, "each" if group.names else "other")


def _pieces(zones: tuple[str, ...], context: Context) -> list[str]:
    return [piece_name(zone, at + 1) for zone in zones for at in range(context.measures.count(zone))]


def _place(own: str, pieces: list[str]) -> int:
    return pieces.index(own) if own in pieces else -1


def _absent(group: Group) -> Unknown:
    return Unknown("no outline of {} was found", group.names)


def _numbered(claim: Claim | Unknown) -> Claim | Unknown:
    """Marks name the zone and the number of its piece."""
    if isinstance(claim, Unknown):
        return claim
    return replace(claim, marks=tuple(map(_marked, claim.marks)))


def _marked(mark: Mark) -> Mark:
    named = [(*piece_of(zone), index) for zone, index in mark.pieces]
    pieces = tuple((zone, index if piece is None else piece) for zone, piece, index in named)
    one = mark.kind == "zone" and any(piece is not None for _, piece, _ in named)
    return replace(mark, pieces=pieces, kind="piece" if one else mark.kind)
