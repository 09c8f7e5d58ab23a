"""An everyday sentence as rules: every word with a meaning, or what has none left out and named in a warning."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from difflib import SequenceMatcher

from measure.rules.frames.frame_reader import said_in_frames
from measure.rules.language.permissions import check_permissions
from measure.rules.language.rule_tokens import LONGEST_SENTENCE, plain
from measure.rules.language.two_meanings import check_limits_of_list
from measure.rules.language.word_reach import check_antecedent
from measure.rules.language.zone_names import ZoneNames
from measure.rules.offers.clauses_said import clause_said
from measure.rules.rule import Rule
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.slots.slot_reading import single, slot_readings
from measure.rules.speech.idle import shorter
from measure.rules.speech.restated import town_meant
from measure.rules.speech.speech import heard, spoken
from measure.rules.speech.words.lexicon import group_at, words_of, zone_at, zone_of
from measure.rules.speech.words.meanings import Said, Sentences
from measure.rules.speech.words.own_land import LAND, may_be_land
from measure.rules.zone_groups import listed
from measure.units import Unit

Literally = Callable[[str], tuple[Rule, tuple[str, ...]]]
"""How a canonical sentence is read: its rule, and warnings."""
Plainly = Callable[[str], tuple[ReadRule, ...]]
"""How the grammar of rules reads a whole sentence."""
Wholly = Callable[[str], tuple[ReadRule, ...] | None]
"""What the grammars read a sentence as, by themselves or as everyday English; None where they do not."""
Check = Callable[[str, tuple[ReadRule, ...]], None]
"""What is held against what a sentence was read as. All of them raise RuleMistake."""


def read_everyday(
    sentence: str, zones: ZoneNames, literally: Literally, plainly: Plainly, check: Check
) -> tuple[ReadRule, ...] | None:
    """The rules of a sentence whose every word is understood, else None. Raises RuleMistake where it has two meanings.

    What stands beside a rule and says nothing of it, such as a reason, is left out with a warning.
    """
    text = plain(sentence)
    if len(text) > LONGEST_SENTENCE:
        return None
    whole = spoken(sentence, zones)
    for kept in shorter(whole, zones):
        found = heard(kept, zones)
        if found:
            check_antecedent(plain(kept), zones)
            made = _one_meaning(sentence, text, found, literally)
        elif kept != whole:
            made = _by_the_grammar(sentence, kept, plainly)
        else:
            continue
        if made is not None:
            check(plain(kept), made)
            return warned(made, text, whole, kept, zones)
        if found:
            return None
    return None


def by_frames(sentence: str, zones: ZoneNames, strictly: Wholly, check: Check) -> tuple[ReadRule, ...] | None:
    """The rules that the sentence's concepts make in the one way in which they go together; None where there is none.

    check: what is held against it; where that raises, the sentence is not read here.
    """
    if len(plain(sentence)) > LONGEST_SENTENCE:
        return None
    whole = spoken(sentence, zones)
    found = said_in_frames(whole, zones, strictly)
    if found is None:
        return None
    kept, said = found
    parts = [strictly(text) for text in said]
    if not all(parts):
        return None
    made = tuple(part for read in parts for part in read or ())
    try:
        check_limits_of_list(plain(kept), said)
        check(plain(kept), made)
    except RuleMistake:
        return None
    made = (replace(made[0], text=sentence),) if len(made) == 1 else made
    return warned(made, plain(sentence), whole, kept, zones)


def by_slots(
    sentence: str, zones: ZoneNames, unit: Unit, literally: Literally, check: Check
) -> tuple[ReadRule, ...] | None:
    """The rules that all of the sentence makes in the one way in which it can; None where there is none, or several.

    check: what is held against it; where that raises, the sentence is not read here.
    """
    if len(plain(sentence)) > LONGEST_SENTENCE or not zones.names:
        return None

    def reads_as(text: str) -> str | None:
        try:
            return literally(text)[0].reads_as()
        except RuleMistake:
            return None

    def said(text: str, lent: str) -> tuple[str, ...]:
        return clause_said(text, lent, zones, zones.names, unit)

    found = slot_readings(sentence, zones, unit, reads_as, said)
    if len(found) != 1:
        return None
    (reading,) = found
    texts = dict.fromkeys(each for text in reading.sentences for each in ((text,) if reads_as(text) else single(text)))
    try:
        made = tuple(ReadRule(text, *literally(text)) for text in texts)
        check(plain(reading.kept), made)
    except RuleMistake:
        return None
    read = ", and ".join(f"`{part.rule.reads_as()}`" for part in made)
    told = (f"read by what it names, as {read}; write that in other words if something else is meant", *reading.told)
    left = tuple(f"`{text}` was left out: it says nothing that is measured" for text in reading.left_out)
    made = (replace(made[0], warnings=(*told, *left, *made[0].warnings)), *made[1:])
    made = (replace(made[0], text=sentence),) if len(made) == 1 else made
    return warned(made, plain(sentence), spoken(sentence, zones), reading.kept, zones)


def _by_the_grammar(sentence: str, kept: str, plainly: Plainly) -> tuple[ReadRule, ...] | None:
    """What the grammar of rules reads once the reason is gone."""
    try:
        found = plainly(plain(kept))
    except RuleMistake:
        return None
    return (replace(found[0], text=sentence),) if len(found) == 1 else found


def _one_meaning(
    sentence: str, text: str, found: tuple[Sentences, ...], literally: Literally
) -> tuple[ReadRule, ...] | None:
    read: dict[tuple[Rule, ...], tuple[ReadRule, ...]] = {}
    refused: list[RuleMistake] = []
    repaired: list[str] = []
    for meaning in found:
        check_limits_of_list(text, [said.text for said in meaning])
        try:
            made = _each_read(sentence, meaning, literally)
        except RuleMistake as mistake:
            refused.append(mistake)
            repaired += _repaired(meaning, mistake, literally)
        else:
            read.setdefault(tuple(part.rule for part in made), made)
    asked = {rules: made for rules, made in read.items() if _asks_for_something(text, rules)}
    read = asked or read
    if len(read) == 1 and not refused:
        return next(iter(read.values()))
    offers = (*(_all_of(part.rule.reads_as() for part in parts) for parts in read.values()), *repaired)
    offers = tuple(offer for offer in dict.fromkeys(offers) if _is_read(offer, literally))
    if not offers:
        return None
    shown = " or ".join(f"`{offer}`" for offer in offers)
    two = "this can be meant in more than one way"
    said, why = (refused[0].message, refused[0].why) if len(found) == 1 else (f"{two}; write {shown}", two)
    raise RuleMistake(text.rstrip(), 0, len(text.rstrip()), said, dict.fromkeys(offers), why)


def _asks_for_something(text: str, rules: tuple[Rule, ...]) -> bool:
    """Not what a `may` only allows: of `may touch the lake but not the park` one half is a rule."""
    try:
        check_permissions(text, rules)
    except RuleMistake:
        return False
    return True


def _repaired(meaning: Sentences, mistake: RuleMistake, literally: Literally) -> list[str]:
    """What is offered in the place of one of its rules, with the others beside it."""
    if len(meaning) == 1:
        return [offer.text for offer in mistake.offers]
    ways: list[list[str]] = []
    for said in meaning:
        try:
            ways.append([_either_grammar(said, literally)[0].reads_as()])
        except RuleMistake as wrong:
            ways.append([offer.text for offer in wrong.offers])
    if not all(ways):
        return []
    return [_all_of(way[min(at, len(way) - 1)] for way in ways) for at in range(max(map(len, ways)))]


def _all_of(rules: Iterable[str]) -> str:
    return ", and ".join(rules)


def _is_read(offer: str, literally: Literally) -> bool:
    try:
        literally(offer)
    except RuleMistake:
        return False
    return True


def _each_read(sentence: str, meaning: Sentences, literally: Literally) -> tuple[ReadRule, ...]:
    """The rules of canonical sentences; of one alone the words are the teacher's own."""
    made = []
    for said in meaning:
        rule, warnings = _either_grammar(said, literally)
        warned = (*warnings, said.warning) if said.warning else warnings
        made.append(ReadRule(sentence if len(meaning) == 1 else said.text, rule, warned))
    return tuple(made)


def _either_grammar(said: Said, literally: Literally) -> tuple[Rule, tuple[str, ...]]:
    try:
        return literally(said.text)
    except RuleMistake as mistake:
        if mistake.offers or not said.formula or not said.plain.startswith("if "):
            raise
        return literally(said.formula)


def warned(parts: tuple[ReadRule, ...], text: str, whole: str, kept: str, zones: ZoneNames) -> tuple[ReadRule, ...]:
    """With what was left out, and what `town` was taken for: a quarter of the town is of all its land."""
    left = _left_out(whole, kept)
    first = (f"`{left}` was left out: it says nothing that is measured",) if left else ()
    first = (*first, *_names_meant(kept, zones))
    settlement = town_meant(text, zones)
    first = (*first, f"`{settlement}` was taken as the whole settlement") if settlement else first
    made = []
    for part in parts:
        found = _land_meant(text, zones) if "the parcel" in part.rule.reads_as() else None
        town = (f"`{found[0]}` was taken as the whole parcel, empty land too",) if found else ()
        made.append(replace(part, warnings=(*part.warnings, *town, *first)))
        first = ()
    return tuple(made)


def _land_meant(text: str, zones: ZoneNames) -> re.Match[str] | None:
    """The first word for all the land that is no zone's name."""
    named = zones.spans(text)
    lands = (found for found in LAND.finditer(text) if may_be_land(found))
    return next((found for found in lands if not _within(found.start(), named)), None)


def _names_meant(kept: str, zones: ZoneNames) -> tuple[str, ...]:
    """What was taken for a zone that bears another name: `the pods` for `living pods`, `houses` for `homes`."""
    named = zones.spans(kept)
    free = [word.start for word in words_of(kept) if not _within(word.start, named)]
    others = [match[0] for match in (zone_at(kept, at, zones) for at in free) if match]
    told = [f"`{name}` was taken as {zone_of(name, zones)}" for name in others]
    groups = {word.text: group_at(word.text, 0, zones) for word in words_of(kept) if not _within(word.start, named)}
    told += [f"`{word}` was taken as {listed(names)}" for word, names in groups.items() if names]
    return tuple(dict.fromkeys(told))


def _within(at: int, spans: Iterable[tuple[int, int]]) -> bool:
    return any(start <= at < end for start, end in spans)


_LABELS = re.compile(r"^(?:[\W\d]|rule|number|task|no|point)*$", re.IGNORECASE)


def _left_out(whole: str, kept: str) -> str:
    """The words of the whole that are not in what was kept; empty where they are a label such as `Rule 3:`."""
    words = whole.split()
    bare, those = ([word.strip(" .,;:!?-–—()") for word in text.split()] for text in (whole, kept))
    parts = [
        " ".join(words[start:end])
        for tag, start, end, *_ in SequenceMatcher(None, bare, those, autojunk=False).get_opcodes()
        if tag in ("delete", "replace")
    ]
    left = " ... ".join(part.strip(" .,;:!?-–—()") for part in parts if not _LABELS.match(part))
    same = re.sub(r"\W", "", whole) == re.sub(r"\W", "", kept)
    return "" if same else left
