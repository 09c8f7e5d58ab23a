"""What a poster says: three things that are right, and one to try next. What fails is said kindly, and only once."""

from __future__ import annotations

from dataclasses import dataclass

from measure.result.result import Result, RuleResult
from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.told import noun, the
from measure.rules.zone_groups import listed
from tapeplat.reports.report_content import TeamContent, verdict_of
from tapeplat.wording.sentences import sentence

MOST_RIGHT = 3
_SIZES = ("share", "size")
_LINE_SIZES = {"line length": ("longer", "shorter"), "line width": ("wider", "narrower")}
"""Words for more and for less of a line."""
_TELLING = ("distance", "share", "comparison", "size", "touching", "place", "structures", "people", "nearer", "count")
"""Kinds of rules, those first that were most work to keep."""


@dataclass(frozen=True)
class PosterWords:
    """The sentences; rule says how it is now and what must be, of what is next; empty where there is none."""

    right: tuple[str, ...]
    next: str
    rule: str = ""


def poster_words(content: TeamContent) -> PosterWords:
    """Chosen from the verdicts that hold; of a model of which no rule is met, from what the photo shows of it."""
    right = _kept(content.result) + _laid_out(content.result)
    step, rule = _next(content.result)
    return PosterWords(tuple(right[:MOST_RIGHT]), step, rule)


def _kept(result: Result) -> list[str]:
    """The rules that are met, one of each kind first."""
    met = [rule for rule in result.rules if verdict_of(rule) == "met"]
    ranked = sorted(met, key=lambda rule: _TELLING.index(rule.kind) if rule.kind in _TELLING else len(_TELLING))
    firsts = {rule.kind: rule for rule in reversed(ranked)}
    chosen = [*firsts.values()][::-1] + [rule for rule in ranked if rule is not firsts[rule.kind]]
    return [rule.sentence or _stated(rule, result) for rule in chosen]


def _laid_out(result: Result) -> list[str]:
    """What is true of the outlines, whatever the rules say."""
    found = [zone.name for zone in result.zones if zone.area is not None and zone.kind == "zone"]
    if not found:
        return ["We built a model of a settlement."]
    found_lines = [line.name for line in result.lines if line.pieces]
    laid = [f"We laid {listed(noun(name).text for name in found_lines)}."] if found_lines else []
    several = f"We marked {len(found)} zones with tape." if len(found) > 1 else ""
    return [*filter(None, [several]), *laid, *(f"The tape goes all around {the(name)}." for name in found)]


def _next(result: Result) -> tuple[str, str]:
    """The rule that is nearest to being met, as something to do; a question where nothing is left to do."""
    for verdict in ("not met", "too close to call", "not measured"):
        rules = [rule for rule in result.rules if verdict_of(rule) == verdict]
        if rules:
            first = min(rules, key=_shortfall)
            words = {"too close to call": _MEASURE, "not measured": _SHOW}.get(verdict) or _change(first, result)
            return words, first.sentence or f"Our rule: {first.text}."
    if any(verdict_of(rule) == "by eye" for rule in result.rules):
        return "We ask others what they see in our model.", ""
    return "All our rules are met. What can we make even better?", ""


_MEASURE, _SHOW = "It is very close. We measure this once more:", "We check this rule next:"
_WORK = "We work on this rule:"
_ALONG: dict[str | None, tuple[str, str]] = {"length": ("longer", "shorter"), "width": ("wider", "narrower")}
"""Sizes of a zone with words of their own, for more and for less."""


def _change(rule: RuleResult, result: Result) -> str:
    """What to move or change."""
    ends = _ends(rule)
    in_one = {f"{zone.name}, piece 1": zone.name for zone in result.zones if len(zone.pieces) == 1}
    over = [noun(in_one.get(name, name)).text for name in rule.over]
    if rule.value is None or not ends or not over:
        return _WORK
    small = rule.value < min(ends)
    if rule.kind in _SIZES:
        more, less = _ALONG.get(_size(rule, result), ("larger", "smaller"))
        return f"We make {listed(over)} a bit {more if small else less}."
    if rule.kind in _LINE_SIZES:
        more, less = _LINE_SIZES[rule.kind]
        return f"We make {listed(over)} a bit {more if small else less}."
    if rule.kind == "distance" and len(over) == 2:
        return f"We move {listed(over)} {'farther apart' if small else 'closer together'}."
    if rule.kind == "distance" and len(over) == 1:
        return f"We move {over[0]} a bit {'farther away' if small else 'closer'}."
    return _WORK


def _size(rule: RuleResult, result: Result) -> str | None:
    """Which size of a zone a rule is about."""
    try:
        return read_rule(rule.reads_as, ZoneNames({zone.name: () for zone in result.zones}), result.unit)[0].size
    except RuleMistake:
        return None


def _shortfall(rule: RuleResult) -> float:
    """How far a value is from its limit, as a part of the limit; what is not known comes last."""
    ends = _ends(rule)
    if rule.value is None or not ends:
        return float("inf")
    return min(abs(rule.value - end) / max(abs(end), abs(rule.value), 1e-9) for end in ends)


def _ends(rule: RuleResult) -> list[float]:
    return [end for end in (rule.limit if isinstance(rule.limit, tuple) else (rule.limit,)) if end is not None]


def _stated(rule: RuleResult, result: Result) -> str:
    """A rule as a sentence: `The library covers ...`, and without the `by eye:` before it."""
    head, colon, rest = rule.text.strip().partition(":")
    text = rest.strip() if colon and head.strip().casefold() == "by eye" else rule.text.strip()
    first = next((zone.name for zone in result.zones if _begins(text, zone.name)), "")
    return sentence(f"the {text}" if first and not _begins(first, "the") else text)


def _begins(text: str, words: str) -> bool:
    return f"{text.casefold()} ".startswith(f"{words.casefold()} ")
