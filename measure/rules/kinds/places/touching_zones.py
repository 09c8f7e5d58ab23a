"""`meadow does not touch landing`: the outer edges of the tapes come within touch_gap of each other, or not."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.demand import Gap
from measure.rules.kinds.places.zone_gaps import any_of, depth_claim, negated_verb, pairs, touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, each_other, separate, settled
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group, listed


@dataclass(frozen=True)
class TouchingZones(Kind):
    """The subject touches the other group, zone by zone; negated, it does not."""

    name: ClassVar[str] = "touching"
    gap_between = "tapes"

    def reads_as(self, rule: Rule) -> str:
        subject, other = rule.subject, rule.other
        if not rule.negated:
            return f"{subject} touch{'' if subject.plural else 'es'} {other}"
        if subject.mode == "every" and not subject.names:
            return "no zones touch" if other.mode == "other" else f"nothing touches {other}"
        if subject.mode == "pieces":
            return f"no piece of {listed(subject.names)} touches {any_of(other)}"
        return f"{subject} {negated_verb(subject, 'touch')} {any_of(other)}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, other = both_of(rule.subject, rule.other, teller.outcome.over)
        must = f"they must {'not ' if rule.negated else ''}touch"
        if teller.outcome.verdict == ("not met" if rule.negated else "met") or not teller.number:
            return f"{who} {who.verb('touch', 'es')} {other}", must
        return f"{who} {who.are} {teller.value()} from {other}, tape to tape", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, a, b) for a, b in pairs(rule, context.zones))
        return Findings(claims, touch_gap(context), context.setting.unit)

    def _claim(self, rule: Rule, context: Context, a: str, b: str) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.separation(a, b, edge="outer")
        if missing or found is None:
            return missing or Unknown(f"the gap between {a} and {b} is not known", (a, b))
        limit = touch_gap(context)
        bounds = (limit, None) if rule.negated else (None, limit)
        return depth_claim(found, bounds, (a, b), "gap", context, strict=rule.negated, inward=False)

    def demands(self, rule: Rule, setting: Setting) -> tuple[Gap, ...]:
        gap, zones = setting.touch_gap, zones_laid_out(setting)
        low, high = (gap, None) if rule.negated else (None, gap)
        return tuple(Gap(a, b, low, high, strict=rule.negated, touching=True) for a, b in pairs(rule, zones))


TOUCHING = TouchingZones()


@sentence_form
def touches(sentence: Sentence, subject: Subject, target: Target | None, *, negated: bool = False) -> Rule:
    """`meadow touches landing`, `meadow and landing touch`."""
    if target is None and subject.mode == "every" and not negated:
        said = "`touch` without a second zone"
        sentence.refuse_both(said, "every zone touches another zone", "every zone touches every other zone")
    subject, target = each_other(sentence, subject, target, "touch")
    group = separate(sentence, subject)
    if target.parcel:
        sentence.refuse(f"write how near to the {target.parcel}, such as `is within 1/4 in of the {target.parcel}`")
    if subject.denied and negated:
        sentence.refuse("`no` and `not` together mean that every zone touches; say so with `every zone`")
    check_different(sentence, group, target.group, "cannot touch itself")
    denied = negated or subject.denied
    if denied and (target.group.count is not None or subject.mode == "some"):
        sentence.refuse("say how many touch with `at most`, without `not` or `no`")
    if subject.denied and subject.names and target.group.mode == "each" and not target.each_said:
        rules = [
            Rule(TOUCHING, group, others=(Group((name,)),), negated=True).reads_as() for name in target.group.names
        ]
        said = "it can mean any of them, or all of them at once; write a rule for each"
        sentence.refuse(said, None, tuple(rules))
    return settled(sentence, Rule(TOUCHING, group, others=(target.group,), negated=denied), subject)


@sentence_form
def touches_not(sentence: Sentence, subject: Subject, target: Target | None) -> Rule:
    """`meadow does not touch landing`, `meadow and landing do not touch`."""
    return touches(sentence, subject, target, negated=True)
