"""`nothing overlaps crusher`, `no zones overlap`: no tape's middle reaches deeper than touch_gap into another zone."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import ClassVar

from measure.rules.demand import Sharing
from measure.rules.kinds.places.inside_parcel import INSIDE
from measure.rules.kinds.places.standing_places import of_each, on_zone
from measure.rules.kinds.places.zone_gaps import any_of, depth_claim, distinct, negated_verb, touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, each_other, separate, settled
from measure.rules.setting import KEEP_CLEAR, Setting, zones_laid_out
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import ANOTHER, EVERY, OTHER, listed


@dataclass(frozen=True)
class OverlappingZones(Kind):
    """The subject overlaps the other group, zone by zone; negated, it does not. Without another group: any two zones.

    With EVERY as subject, every zone counts that may come up against the other one, keep-clear zones too. The value is
    the depth of the overlap, 0 where there is none.
    """

    name: ClassVar[str] = "place"

    def reads_as(self, rule: Rule) -> str:
        subject = rule.subject
        if not rule.others:
            return "no zones overlap"
        if not rule.negated:
            return f"{subject} overlap{'' if subject.plural else 's'} {rule.other}"
        if subject.mode == "every" and not subject.names:
            return f"nothing overlaps {rule.other}"
        if subject.mode == "pieces":
            return f"no piece of {listed(subject.names)} overlaps {any_of(rule.other)}"
        return f"{subject} {negated_verb(subject, 'overlap')} {any_of(rule.other)}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        over = teller.outcome.over
        many = not rule.others or (rule.subject.mode == "every" and len(rule.other.names) == 1)
        if not teller.number and many and teller.outcome.verdict == "met":
            return (f"nothing overlaps {noun(rule.other.names[0])}" if rule.others else "no zones overlap"), ""
        if any(mark.kind == "gap" for mark in teller.outcome.where[:1]):
            return f"a structure reaches {teller.value()} onto {noun(over[-1])}", f"nothing may{teller.but_for_play}"
        who, other = (noun(name) for name in over[:2])
        must = "they must not overlap" if _unwanted(rule) else "they must overlap"
        if not teller.number:
            return f"{who} and {other} do not overlap", must
        found = f"{who} and {other} overlap by {teller.value()}"
        return found, f"{must}{teller.but_for_play}" if _unwanted(rule) else must

    def findings(self, rule: Rule, context: Context) -> Findings:
        ordinary = set(context.zones)
        # A keep-clear zone that is not there has a rule of its own, which says so.
        there = tuple(zone for zone in context.all_zones if zone in ordinary or context.measures.count(zone))
        claims = [self._claim(rule, context, a, b) for a, b in _pairs(rule, context.zones, there)]
        claims += self._built_on(rule, context)
        return Findings(tuple(claims), touch_gap(context), context.setting.unit)

    def _built_on(self, rule: Rule, context: Context) -> Iterator[Claim]:
        """What photos show to stand on a keep-clear zone that nothing may overlap; they need not show any."""
        clear = [zone.name for zone in context.setting.zones if zone.kind == KEEP_CLEAR and rule.others]
        for zone in clear:
            if rule.negated and rule.subject == EVERY and zone in rule.other.names and context.structures is not None:
                claims = of_each(rule, context, lambda standing, on=zone: on_zone(standing, on, context))  # type: ignore[misc]
                yield from (claim for claim in claims if isinstance(claim, Claim))

    def _claim(self, rule: Rule, context: Context, a: str, b: str) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.overlap(a, b)
        if missing or found is None:
            return missing or Unknown(f"whether {a} and {b} overlap is not known", (a, b))
        limit = touch_gap(context)
        bounds = (-limit, None) if rule.negated else (None, -limit)
        return depth_claim(found, bounds, (a, b), "overlap", context, strict=not rule.negated, label="{} deep")

    def demands(self, rule: Rule, setting: Setting) -> tuple[Sharing, ...]:
        every = tuple(zone.name for zone in setting.zones)
        return tuple(Sharing(a, b, not rule.negated) for a, b in _pairs(rule, zones_laid_out(setting), every))

    def zones_named(self, rule: Rule, setting: Setting) -> frozenset[str]:
        every = tuple(zone.name for zone in setting.zones)
        return frozenset(zone for group in (rule.subject, *rule.others) for zone in group.singles(every))


OVERLAP = OverlappingZones()


def _unwanted(rule: Rule) -> bool:
    """`no zones overlap` has no other group and is not negated a second time."""
    return rule.negated or not rule.others


def _pairs(rule: Rule, zones: Sequence[str], there: Sequence[str]) -> list[tuple[str, str]]:
    """Pairs of zones: those that a team lays out, and all that are there, the keep-clear ones too."""
    if not rule.others:
        return [pair for pair in combinations(there, 2) if set(zones) & set(pair)]
    subjects = rule.subject.singles(there if rule.subject.mode == "every" else zones)
    return distinct((a, b) for a in subjects for b in rule.other.singles(there, (a,)))


@sentence_form
def overlaps(sentence: Sentence, subject: Subject, target: Target | None, *, negated: bool = False) -> Rule:
    """`meadow overlaps landing`, `meadow and landing overlap`."""
    subject, target = each_other(sentence, subject, target, "overlap")
    if subject.denied and negated:
        sentence.refuse("`no` and `not` together mean that every zone overlaps; say so with `every zone`")
    group = separate(sentence, subject)
    negated = negated or subject.denied
    if target.parcel == "edge" and negated:
        return Rule(INSIDE, group)
    if target.parcel:
        sentence.refuse(f"a rule cannot ask that a zone overlaps the {target.parcel}; start with `by eye:`")
    check_different(sentence, group, target.group, "cannot overlap itself")
    if group == EVERY and target.group in (OTHER, ANOTHER) and negated:
        return Rule(OVERLAP, EVERY, negated=True)
    if negated and (target.group.count is not None or subject.mode == "some"):
        sentence.refuse("say how many overlap with `at most`, without `not` or `no`")
    return settled(sentence, Rule(OVERLAP, group, others=(target.group,), negated=negated), subject)


@sentence_form
def overlaps_not(sentence: Sentence, subject: Subject, target: Target | None) -> Rule:
    """`meadow does not overlap landing`, `meadow and landing do not overlap`."""
    return overlaps(sentence, subject, target, negated=True)
