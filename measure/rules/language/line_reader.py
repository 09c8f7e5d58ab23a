"""Sentences about lines: which these are, and the rule that each states."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from lark import Discard, Lark, Token, v_args
from lark.exceptions import VisitError

from measure.name_folding import folded
from measure.rules.language.permissions import check_permissions
from measure.rules.language.rule_tokens import split
from measure.rules.language.rule_transformer import RuleTransformer
from measure.rules.language.suggestions import not_understood
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.rules.sentences.sentence_grammar import SentenceGrammar
from measure.rules.sentences.sentence_parts import SaidLines, Sentence, Subject
from measure.rules.sentences.sentence_words import Reading, Word, span_of
from measure.units import Unit

_GRAMMAR = SentenceGrammar(tuple(Path(__file__).with_name(name) for name in ("lines.lark", "amounts.lark")))
_WAYS = re.compile(r"\b(?:ways|routes)\s+(?:from|between)\b|\bways\b.*\b(?:from|between)\b", re.IGNORECASE)
_ALL = re.compile(r"\b(?:all|every|no|the)\s+(?:of\s+the\s+)?lines?\b", re.IGNORECASE)
_OF_LINES = re.compile(r"\b(?:joins?|cross(?:es)?|reached by)\b", re.IGNORECASE)
"""What only lines do: such a sentence may have a line's name misspelt."""
_CROSSES = re.compile(r"\b(?:cross|intersect)", re.IGNORECASE)
_REACHES = re.compile(r"\b(?:connect|join|link|reach|serve|supplied|supplies|supply|lead)", re.IGNORECASE)
_DENIED = re.compile(
    r"\b(?:no|not|never|neither|nor|without|but|except|only|avoid\w*|away|cannot)\b|n['’]t\b", re.IGNORECASE
)
_LISTED = re.compile(r",\s*the\s", re.IGNORECASE)
_OTHERWISE = re.compile(r"^\s*(?:by[\s-]eye\s*:|(?:if|when|where)\s)", re.IGNORECASE)
_ROADS = ("road", "street", "path", "way", "trail", "track", "lane", "bridge", "route")
"""Words in the names of lines on which one gets from here to there."""


def line_grammar() -> Lark:
    """The parser of sentences about lines."""
    return _GRAMMAR.parser


def speaks_of_lines(text: str, zones: ZoneNames) -> bool:
    """Whether a plain() sentence is about lines: it names one, or what only lines have."""
    if zones.lines is None or _OTHERWISE.match(text):
        return False
    named = {text[start:end] for start, end in zones.with_lines.spans(text)}
    lines = any(zones.with_lines.named(form) in zones.lines.names for form in named)
    return lines or any(words.search(text) for words in (_WAYS, _ALL, _OF_LINES))


def read_line_rule(text: str, zones: ZoneNames, unit: Unit) -> ReadRule:
    """The rule that a plain() sentence about lines states. Raises RuleMistake."""
    said = Sentence(text, unit)
    listed = _LISTED.sub(lambda found: "," + " " * (len(found[0]) - 1), text)  # places stay as they are
    words = tuple(_as_line(word, zones) for word in split(listed, zones.with_lines, _GRAMMAR.vocabulary))
    tree = _GRAMMAR.tree(words, lambda word, may, before: _not_understood(text, word, may, zones, before))
    try:
        rule: Rule = _LineTransformer(said).transform(tree)
    except VisitError as error:
        raise error.orig_exc from None
    rule = _with_a_road(rule, said, zones)
    check_permissions(text, [rule])
    return ReadRule(text, rule, () if text.strip(" .!") == rule.reads_as() else said.warnings)


def _as_line(word: Word, zones: ZoneNames) -> Word:
    """The word with the terminal of lines where it names one."""
    assert zones.lines is not None
    lines = zones.lines.names
    readings = [Reading("LINE", r.value) if r.terminal == "ZONE" and r.value in lines else r for r in word.readings]
    return replace(word, readings=tuple(readings))


def _not_understood(text: str, word: Word, accepted: Any, zones: ZoneNames, before: Any) -> RuleMistake:
    """The mistake, with sentences about the line that would be read."""
    found = not_understood(text, word, accepted, zones.with_lines, before, _GRAMMAR.vocabulary)
    by_eye = Offer(f"by eye: {text.strip()}")
    if found.near:
        spelled = f"{text[: found.start]}{found.near}{text[found.end :]}".strip()
        said = f"`{text[found.start : found.end]}` is not known here; did you mean `{found.near}`?"
        return RuleMistake(found.sentence, found.start, found.end, said, (Offer(spelled), by_eye), said)
    offers = tuple(Offer(offer) for offer in _offers(text, zones))
    shown = " or ".join(f"`{offer}`" for offer in offers[:2])
    said = f"{found.message}; write {shown}" if shown else found.message
    return RuleMistake(found.sentence, found.start, found.end, said, (*offers, by_eye), found.message)


def _offers(text: str, zones: ZoneNames) -> list[str]:
    """Sentences about the line and the zones that were named, of what the words say: never the opposite."""
    assert zones.lines is not None
    named = [zones.with_lines.named(text[start:end]) for start, end in zones.with_lines.spans(text)]
    lines = [name for name in dict.fromkeys(named) if name in zones.lines.names]
    places = [name for name in dict.fromkeys(named) if name is not None and name not in zones.lines.names]
    if not lines:
        return []
    line, denied = lines[0], bool(_DENIED.search(text))
    if len(lines) > 1:
        if not _CROSSES.search(text):
            return []
        return [f"{line} does not cross {lines[1]}" if denied else f"{line} crosses {lines[1]}"]
    if denied or not places or not _REACHES.search(text):
        return []
    if len(places) > 1:
        return [f"{line} joins {' and '.join(places)}"] if len(places) == 2 else []
    return [f"{places[0]} is reached by {line}"]


def _with_a_road(rule: Rule, said: Sentence, zones: ZoneNames) -> Rule:
    """Of `two separate ways` that name no line: on the only one, or on the one that is called a road."""
    if rule.lines or rule.limit is None or not rule.others:
        return rule
    assert zones.lines is not None
    names = zones.lines.names
    roads = [name for name in names if any(word.startswith(_ROADS) for word in folded(name).split())] or list(names)
    if len(roads) > 1:
        offers = tuple(replace(rule, lines=(name,)).reads_as() for name in roads)
        said.refuse("say on which line the ways are", None, offers)
    if len(names) > 1:
        said.infer(f"the ways are those on {roads[0]}; write `by` and another line where that is meant")
    return replace(rule, lines=(roads[0],))


@v_args(inline=True)
class _LineTransformer(RuleTransformer):
    """A node goes to the method of its name, else to the sentence form of its name in a file of measure/rules/kinds."""

    def lines(self, *parts: Any) -> tuple[Token, ...]:
        return tuple(token for part in parts for token in ((part,) if isinstance(part, Token) else part))

    def lines_named(self, *parts: Any) -> SaidLines:
        names: tuple[Token, ...] = parts[-1]
        span = span_of(names[0]).to(span_of(names[-1]))
        each = any(isinstance(part, Token) and part.type == "EVERY" and part != "all" for part in parts)
        return SaidLines(tuple(dict.fromkeys(str(name.value) for name in names)), span, each=each)

    def no_line(self, names: tuple[Token, ...]) -> SaidLines:
        return replace(self.lines_named(names), denied=True)

    def subject_one_by_one(self, *parts: Any) -> Subject:
        name = parts[-1]
        return Subject("pieces", (str(name.value),), "every piece", span_of(name))

    def none_of_zone(self, name: Token) -> Subject:
        return Subject("no piece", (str(name.value),), "no piece", span_of(name))

    def _nothing(self, *_: object) -> Any:
        return Discard

    reach = reached = each_other = any_other = separate = denial = _nothing
