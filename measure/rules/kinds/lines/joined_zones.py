"""`the power line joins the power station and the homes`: one connected net of a line reaches all of them."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.conformity import chance_all
from measure.rules.kinds.lines.line_words import (
    gap_mark,
    in_unit,
    missing_line,
    net_in,
    not_denied,
    one_line,
    shown_gap,
)
from measure.rules.kinds.lines.open_ends import less_if_open
from measure.rules.kinds.places.zone_gaps import touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLines, Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Unknown, verdict_of
from measure.rules.zone_groups import Group, listed


@dataclass(frozen=True)
class JoinedZones(Kind):
    """One net of a line reaches the subject's zones and the other group's; the value is the widest gap on the way."""

    name: ClassVar[str] = "joined"

    def reads_as(self, rule: Rule) -> str:
        (line,) = rule.lines
        others = f" and {rule.other}" if rule.others and rule.other != rule.subject else ""
        zones = listed(rule.subject.names) if rule.subject.mode == "each" else str(rule.subject)
        return f"{line} {noun(line).verb('join')} {zones}{others}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        line = noun(rule.lines[0])
        zones = listed([str(noun(name)) for name in teller.outcome.over])
        must = f"{line.they} must join {'it to something' if len(teller.outcome.over) == 1 else 'them'}"
        if teller.outcome.verdict == "met":
            return f"{line} {line.verb('join')} {zones}", must
        return f"on the way that would join {zones}, {line} {line.verb('leave')} a gap of {teller.value()}", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        zones = list(rule.subject.singles(context.zones))
        if rule.others:
            zones += rule.other.singles(context.zones)
        claim = self._claim(rule.lines[0], tuple(dict.fromkeys(zones)), context)
        return Findings((claim,), touch_gap(context), context.setting.unit)

    def _claim(self, line: str, zones: tuple[str, ...], context: Context) -> Claim | Unknown:
        missing = missing_line((line,), context) or context.missing(zones)
        if missing:
            return missing
        found = net_in(context).joining(line, zones)
        if found is None:
            return Unknown("it cannot be told whether they are joined", zones)
        claims = []
        for joining in found:
            marks = gap_mark(joining.near, shown_gap(joining.gap, context))
            gap = in_unit(joining.gap, context)
            claims.append(Claim((gap,), None, touch_gap(context), zones, marks, shown=max(0.0, gap.value)))
        # From a hidden end a piece may go on to another one as well as to a zone.
        return less_if_open(one_of_ways(line, claims), (line,), context)

    def question(self, rule: Rule, setting: Setting) -> Asked:
        (line,) = rule.lines
        named = "every zone" if rule.subject.mode == "every" else listed([str(noun(n)) for n in rule.subject.names])
        others = f" and {rule.other}" if rule.others and rule.other != rule.subject else ""
        text = f"Which zones must {noun(line)} join in one net, without a gap?"
        return Asked(text, f"{named}{others}", "read the rule")


JOINED = JoinedZones()


def one_of_ways(line: str, claims: list[Claim]) -> Claim | Unknown:
    """The claim of a line that could go on in several ways, where its verdict is the same in all of them."""
    verdicts = {verdict_of(chance_all([claim.event])) for claim in claims}
    if len(verdicts) > 1:
        return Unknown("{} could go on in more than one way under what hides it", (line,))
    return max(claims, key=lambda claim: claim.value)


@sentence_form
def line_joins(sentence: Sentence, lines: SaidLines, subject: Subject, to: Subject | None = None) -> Rule:
    """`the road joins the school and the market`, `the road connects the school to every home`."""
    not_denied(sentence, lines)
    line = one_line(sentence, lines)
    given = [part for part in (subject, to) if part is not None]
    if any(part.denied or part.mode == "some" for part in given):
        sentence.refuse("say what it must reach with `is reached by`, and what it must not with `is not reached by`")
    groups = [separate(sentence, part, "a net reaches zones one by one") for part in given]
    pieces = [group for group in groups if group.mode == "pieces"]
    named = tuple(dict.fromkeys(name for group in groups if group.mode in ("together", "each") for name in group.names))
    if pieces and named:
        return Rule(JOINED, Group(named, "each"), others=(pieces[0],), lines=(line,))
    if pieces:
        return Rule(JOINED, pieces[0], others=(pieces[0],), lines=(line,))
    if not named:
        return Rule(JOINED, groups[0], lines=(line,))
    return Rule(JOINED, _several(sentence, named, line), lines=(line,))


@sentence_form
def line_joins_and(sentence: Sentence, lines: SaidLines, names: tuple[object, ...], pieces: Subject) -> Rule:
    """`the power line joins the power station and every home`."""
    zones = tuple(dict.fromkeys(str(getattr(name, "value", name)) for name in names))
    return line_joins(sentence, lines, Subject("listed", zones), pieces)


@sentence_form
def line_runs(sentence: Sentence, lines: SaidLines, start: str, end: str) -> Rule:
    """`the road runs from the school to the market`."""
    return line_joins(sentence, lines, Subject("listed", (start, end)))


@sentence_form
def joined_by(sentence: Sentence, subject: Subject, lines: SaidLines) -> Rule:
    """`the school and the market are joined by the road`."""
    return line_joins(sentence, lines, subject)


def _several(sentence: Sentence, zones: tuple[str, ...], line: str) -> Group:
    """The zones that are named, two at least."""
    if len(zones) < 2:
        sentence.refuse("say which zones it joins, two at least", None, (f"{zones[0]} is reached by {line}",))
    for name in zones:
        if Group((name,)).plural:
            sentence.infer(f"one piece of {name} is enough; write `every piece of {name}` where each is meant")
    return Group(zones, "each")
