"""Every rule of a challenge judged on one plat."""

from __future__ import annotations

from dataclasses import replace

from measure.plat.measures import Measures, piece_name
from measure.rules.allowance import Allowance
from measure.rules.evaluation.allowed import widened
from measure.rules.evaluation.quantifiers import Tally, judged_tally, taken_apart
from measure.rules.evaluation.verdict_sentence import sentence_of
from measure.rules.kinds.places.keep_clear import implied_rules
from measure.rules.rule import Rule, SettingWithRules
from measure.rules.rule_context import Context, Structures
from measure.rules.verdict import Findings, Outcome, judged
from measure.rules.zone_groups import listed


def evaluate_all(
    challenge: SettingWithRules, measures: Measures, structures: Structures | None = None
) -> tuple[Outcome, ...]:
    """The outcome of every rule, in the challenge's order; then those that its keep-clear zones imply.

    Without structures, of a table or of photos, the rules about them are `not measured`.
    """
    context = Context(challenge, measures, structures)
    rules = [(line.rule, line.text, line.allowance) for line in challenge.rules]
    rules += [(rule, rule.reads_as(), None) for rule in implied_rules(challenge)]
    outcomes = ((rule, evaluate(rule, text, context, allowance)) for rule, text, allowance in rules)
    return tuple(_told(rule, found, context) for rule, found in outcomes)


def _told(rule: Rule, outcome: Outcome, context: Context) -> Outcome:
    """With its sentence; the only piece of a zone goes by the zone's name."""
    only = {piece_name(zone, 1): zone for zone in context.all_zones if context.measures.count(zone) == 1}
    named = replace(outcome, over=tuple(only.get(name, name) for name in outcome.over))
    told = replace(outcome, sentence=sentence_of(rule, named, context.setting.numbers))
    return _with_origins(rule, told, context)


def _with_origins(rule: Rule, outcome: Outcome, context: Context) -> Outcome:
    """With where its numbers of structures come from, and what is told differently of them."""
    built = context.structures
    if built is None or not rule.kind.about_structures(rule):
        return outcome
    zones = [zone for zone in context.all_zones if zone in rule.kind.zones_named(rule, context.setting)]
    by = () if outcome.value is None else built.origins(zones)
    return replace(outcome, measured_by=by, doubts=built.doubts(zones))


def evaluate(rule: Rule, text: str, context: Context, allowance: Allowance | None = None) -> Outcome:
    """The outcome of one rule, under the sentence that stated it; allowance widens its limits."""
    context = replace(context, text=text)
    if rule.kind.by_eye:
        return Outcome(text, rule.reads_as(), rule.kind_name, "by eye")
    if any(context.measures.count(zone) == 0 for zone in rule.given):
        return _not_asked(rule, text, context)
    if not rule.quantified and allowance is None:
        return rule.kind.outcome(rule, text, context)
    if allowance is not None and rule.kind.widened_inside(rule, allowance):
        wider = rule.kind.outcome(rule, text, replace(context, allowance=allowance))
        return _with_allowance(rule.kind.outcome(rule, text, context), wider, allowance)
    found = taken_apart(rule, context) if rule.quantified else rule.kind.findings(rule, context)
    stated = _judged(rule, text, found)
    if allowance is None:
        return stated
    return _with_allowance(stated, _judged(rule, text, widened(rule, found, allowance, context)), allowance)


def _with_allowance(stated: Outcome, wider: Outcome, allowance: Allowance) -> Outcome:
    """The outcome against the widened limit, which says what it would be without."""
    if stated.verdict == "not measured":
        return stated
    without = stated.verdict == "met" if wider.verdict == "met" else None
    return replace(wider, limit=stated.limit, allowed=allowance.text, met_without=without)


def _judged(rule: Rule, text: str, found: Findings | Tally) -> Outcome:
    if isinstance(found, Tally):
        return judged_tally(text, rule.reads_as(), rule.kind_name, found)
    return judged(text, rule.reads_as(), rule.kind_name, found)


def _not_asked(rule: Rule, text: str, context: Context) -> Outcome:
    """`if there is a factory, ...` where there is none: nothing is asked for."""
    absent = listed([zone for zone in rule.given if context.measures.count(zone) == 0])
    return Outcome(text, rule.reads_as(), rule.kind_name, "met", chance=1.0, note=f"there is no {absent}")
