"""Reading one rule sentence: tokens through the grammar to a rule, or a mistake that says what could stand there.

What reads formulas and everyday English, and what is offered, is imported by the first sentence that needs it: most
challenges have none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from lark import Lark
from lark.exceptions import VisitError

from measure.rules.language.limits_meant import with_limits_as_meant
from measure.rules.language.line_reader import read_line_rule, speaks_of_lines
from measure.rules.language.misread import check_misread
from measure.rules.language.permissions import check_permissions
from measure.rules.language.reading_warnings import told
from measure.rules.language.rule_tokens import LONGEST_SENTENCE, plain, split
from measure.rules.language.rule_transformer import RuleTransformer
from measure.rules.language.suggestions import CONDITION, not_understood
from measure.rules.language.two_meanings import check_denied_place, check_one_meaning
from measure.rules.language.word_reach import check_reach
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.rules.sentences.sentence_grammar import SentenceGrammar
from measure.rules.sentences.sentence_parts import Sentence
from measure.rules.sentences.sentence_words import Word
from measure.rules.sentences.subjects import not_with_itself
from measure.units import Unit

_GRAMMAR = SentenceGrammar(tuple(Path(__file__).with_name(name) for name in ("grammar.lark", "amounts.lark")))


def read_rule(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[Rule, tuple[str, ...]]:
    """The rule that a sentence states, and warnings about what was inferred in reading it.

    unit is the challenge's, for lengths that name none. Raises RuleMistake.
    """
    found = read_rules(sentence, zones, unit)
    if len(found) > 1:
        text = plain(sentence).rstrip()
        offers = tuple(part.text for part in found)
        raise RuleMistake(text, 0, len(text), f"this says {len(found)} things; write a rule for each", offers)
    return found[0].rule, found[0].warnings


def read_rules(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...]:
    """The rule that a sentence states, or the several: each then has a sentence of its own. Raises RuleMistake."""
    if speaks_of_lines(plain(sentence), zones):
        return (read_line_rule(plain(sentence), zones, unit),)
    try:
        found = _read(sentence, zones, unit)
    except RuleMistake as mistake:
        from measure.rules.offers.refused import legal_offers, with_offers_said

        place = mistake.sentence, mistake.start, mistake.end
        legal = legal_offers(mistake, plain(sentence), lambda said: _is_read(said, zones, unit, _read))
        if legal:
            raise RuleMistake(*place, with_offers_said(mistake, legal), legal, mistake.why) from None
        whole = with_offers(mistake, plain(sentence), zones, unit)
        said = whole.message if len(whole.offers) > 1 else mistake.message
        raise RuleMistake(*place, said, whole.offers, whole.why) from None
    check_misread(plain(sentence), [part.rule for part in found], zones)
    return told(plain(sentence), found, zones)


def _read(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...]:
    sentence = with_limits_as_meant(sentence)
    text = plain(sentence)
    condition = _IF.match(text)
    if condition is not None:
        return _conditional(sentence, text, condition, zones, unit)
    formula = _as_formula(sentence, text, zones, unit)
    if isinstance(formula, ReadRule):
        check_denied_place(text, lambda offer: _is_read(offer, zones, unit))
        check_permissions(text, [formula.rule])
        return (formula,)
    check_one_meaning(text, lambda offer: _is_read(offer, zones, unit, _read))
    said = Sentence(text, unit)
    try:
        tree = _parsed(text, zones)
    except RuleMistake as mistake:
        from measure.rules.formula.formula_tokens import looks_like_formula

        return _as_spoken(sentence, zones, unit, formula if formula and looks_like_formula(text) else mistake)
    return _made_or_spoken(sentence, tree, said, zones)


def _as_formula(sentence: str, text: str, zones: ZoneNames, unit: Unit) -> ReadRule | RuleMistake | None:
    """What the formula grammar reads, a plain rule where it says no more; None where the plain one reads it."""
    if _is_read(text, zones, unit, _plainly):
        return None
    from measure.rules.formula.formula_reader import LONGEST_FORMULA, formula_vocabulary, read_formula
    from measure.rules.formula.judging.formula_kind import FormulaRule

    said = Sentence(text, unit)
    try:
        words = split(text, zones, formula_vocabulary(), LONGEST_FORMULA)
        rule = Rule(FormulaRule(read_formula(words, said)))
    except RuleMistake as mistake:
        return mistake
    try:
        return ReadRule(sentence, *_plainly(rule.reads_as(), zones, unit))
    except RuleMistake:
        return ReadRule(sentence, rule, said.warnings)


_IF = re.compile(
    r"\s*(?:if|when|where)\s+(?:there\s+(?:is|are)|there's|you\s+(?:have|add|build|include))\s+(?:an?\s+|any\s+|some\s+)?",
    re.IGNORECASE,
)


def _conditional(
    sentence: str, text: str, condition: re.Match[str], zones: ZoneNames, unit: Unit
) -> tuple[ReadRule, ...]:
    """`if there is a factory, it must be at least 10 in from the school`; else a formula."""
    try:
        from measure.rules.slots.by_conditions import if_there_is

        return if_there_is(text, condition, zones, lambda rest: read_rules(rest, zones, unit), CONDITION)
    except RuleMistake:
        formula = _as_formula(sentence, text, zones, unit)
        if isinstance(formula, ReadRule):
            return (formula,)
        found = _by_meaning(sentence, zones, unit) or _by_condition(sentence, zones, unit)
        if found is None:
            raise
        return found


def _made_or_spoken(sentence: str, tree: Any, said: Sentence, zones: ZoneNames) -> tuple[ReadRule, ...]:
    """What the grammar reads; where that means nothing, what it means as everyday English, if anything."""
    try:
        made = (ReadRule(sentence, _made(tree, said), said.warnings),)
    except RuleMistake as mistake:
        found = None if mistake.offers else _by_meaning(sentence, zones, said.unit)
        if found is None:
            raise
        return found
    _check(plain(sentence), made, zones)
    return made


def _as_spoken(sentence: str, zones: ZoneNames, unit: Unit, mistake: RuleMistake) -> tuple[ReadRule, ...]:
    """An everyday sentence; raises the mistake, with what could be written, where it is not understood."""
    found = _by_meaning(sentence, zones, unit) or _by_frames(sentence, zones, unit) or _by_slots(sentence, zones, unit)
    found = found or _by_condition(sentence, zones, unit)
    if found is None:
        raise with_offers(mistake, plain(sentence), zones, unit)
    return found


def _strictly(text: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    """What the grammars read, by themselves or as everyday English."""
    try:
        return (ReadRule(text, *_literally(text, zones, unit)),)
    except RuleMistake:
        try:
            return _by_meaning(text, zones, unit)
        except RuleMistake:
            return None


def _by_meaning(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    """An everyday sentence, else None. Raises RuleMistake where it has two meanings."""
    from measure.rules.language.everyday import read_everyday

    found = read_everyday(
        sentence,
        zones,
        lambda text: _literally(text, zones, unit),
        lambda text: _by_grammar(text, zones, unit),
        lambda text, found: _check(text, found, zones),
    )
    return found or _by_ways_of_speaking(sentence, zones, unit)


def _by_frames(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    from measure.rules.language.everyday import by_frames

    return by_frames(sentence, zones, lambda text: _strictly(text, zones, unit), partial(_check, zones=zones))


def _by_slots(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    from measure.rules.language.everyday import by_slots

    return by_slots(sentence, zones, unit, lambda text: _literally(text, zones, unit), partial(_check, zones=zones))


def _by_condition(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    from measure.rules.slots.by_conditions import by_condition

    def read(text: str) -> tuple[ReadRule, ...] | None:
        found = _strictly(text, zones, unit) or _by_frames(text, zones, unit) or _by_slots(text, zones, unit)
        check_misread(text, [part.rule for part in found or ()], zones)
        return found

    text = plain(sentence)
    short = len(text) <= LONGEST_SENTENCE
    return by_condition(sentence, text, zones, read, lambda said: _literally(said, zones, unit)) if short else None


def _by_ways_of_speaking(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...] | None:
    from measure.rules.language.everyday import warned
    from measure.rules.offers.said_wholly import said_wholly
    from measure.rules.speech.speech import spoken

    short = len(plain(sentence)) <= LONGEST_SENTENCE
    said = (
        said_wholly(sentence, zones, zones.names, unit, lambda offer: _reads_as(offer, zones, unit)) if short else None
    )
    if said is None:
        return None
    (part, *further), note = _read(said[0].text, zones, unit), said[0].note
    told_of = (*part.warnings, f"read {note}") if note else part.warnings
    made = (replace(part, text=part.text if further else sentence, warnings=told_of), *further)
    check_permissions(plain(said[1]), [each.rule for each in made])
    return warned(made, plain(sentence), spoken(sentence, zones), said[1], zones)


def _check(text: str, found: tuple[ReadRule, ...], zones: ZoneNames) -> None:
    check_permissions(text, [part.rule for part in found])
    check_reach(text, [part.rule for part in found], zones)


def _by_grammar(text: str, zones: ZoneNames, unit: Unit) -> tuple[ReadRule, ...]:
    """What the grammar of rules reads, with all that is checked of a whole sentence."""
    check_one_meaning(text, lambda offer: _is_read(offer, zones, unit))
    return (ReadRule(text, *_plainly(text, zones, unit)),)


def with_offers(mistake: RuleMistake, text: str, zones: ZoneNames, unit: Unit) -> RuleMistake:
    """The mistake with whole sentences that would be read, and all but the way out in its words."""
    if len(text) > LONGEST_SENTENCE or not text.strip(" .!"):
        return mistake
    from measure.rules.offers.refused import refused_with

    found = _offers(text, zones, unit)
    spelled = f"{text[: mistake.start]}{mistake.near}{text[mistake.end :]}".rstrip() if mistake.near else ""
    if spelled and _is_read(spelled, zones, unit):
        same = _reads_as(spelled, zones, unit)
        found = (
            Offer(spelled),
            *(offer for offer in found if same is None or _reads_as(offer.text, zones, unit) != same),
        )
    return refused_with(mistake, found)


def _offers(text: str, zones: ZoneNames, unit: Unit) -> tuple[Offer, ...]:
    from measure.rules.offers.offering import offers

    return offers(
        text,
        zones,
        zones.names,
        unit,
        lambda offer: _reads_as(offer, zones, unit),
        lambda offer: _read_together(offer, zones, unit),
    )


def _read_together(offer: str, zones: ZoneNames, unit: Unit) -> tuple[str, ...]:
    """The rules that a sentence of several is read as; none where it is not read."""
    try:
        found = _strictly(offer, zones, unit) or _by_frames(offer, zones, unit)
        rules = [part.rule for part in found or ()]
        check_misread(offer, rules, zones)
    except RuleMistake:
        return ()
    return tuple(rule.reads_as() for rule in rules)


def _reads_as(offer: str, zones: ZoneNames, unit: Unit) -> str | None:
    """What one of the grammars reads the sentence as."""
    try:
        return _literally(offer, zones, unit)[0].reads_as()
    except RuleMistake:
        return None


def _is_read(
    offer: str, zones: ZoneNames, unit: Unit, read: Callable[[str, ZoneNames, Unit], object] | None = None
) -> bool:
    """Whether the sentence can be read: by the grammar itself, or by `read`."""
    try:
        (read or _literally)(offer, zones, unit)
    except RuleMistake:
        return False
    return True


def _literally(text: str, zones: ZoneNames, unit: Unit) -> tuple[Rule, tuple[str, ...]]:
    """What one of the grammars reads."""
    try:
        return _plainly(text, zones, unit)
    except RuleMistake:
        formula = _as_formula(text, text, zones, unit)
        if isinstance(formula, ReadRule):
            return formula.rule, formula.warnings
        raise


def _plainly(text: str, zones: ZoneNames, unit: Unit) -> tuple[Rule, tuple[str, ...]]:
    """What the plain grammar reads."""
    said = Sentence(text, unit)
    rule = _made(_parsed(text, zones), said)
    return rule, said.warnings


def _parsed(text: str, zones: ZoneNames) -> Any:
    return _tree(text, split(text, zones, vocabulary()), zones)


def _made(tree: Any, said: Sentence) -> Rule:
    try:
        rule: Rule = RuleTransformer(said).transform(tree)
    except VisitError as error:
        raise error.orig_exc from None
    return not_with_itself(rule)


def grammar() -> Lark:
    """The grammar's parser."""
    return _GRAMMAR.parser


def vocabulary() -> Mapping[str, str]:
    """Every word of the grammar with its terminal."""
    return _GRAMMAR.vocabulary


def _tree(text: str, words: tuple[Word, ...], zones: ZoneNames) -> Any:
    return _GRAMMAR.tree(
        words, lambda word, accepted, before: not_understood(text, word, accepted, zones, before, vocabulary())
    )
