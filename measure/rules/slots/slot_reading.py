"""What a sentence says where every word of it is known: the rule, or the several, that all it names makes together.

The sentence is cut where clauses may end. Every part has to state a rule in a way that has a use for all its concepts,
or to be talk, which holds no zone, amount, comparison, denial or demand. Where that can be done in two ways that mean
different rules, nothing is read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.slots.clause_parts import Part, parts_of, told_beside
from measure.rules.slots.named.echoed import echoes
from measure.rules.slots.named.names_in_part import named_in_part
from measure.rules.slots.named.reworded import reworded
from measure.rules.slots.named.slots_said import Party, Slots, slots_of
from measure.rules.slots.slot_reader import FORMAL, WAYS
from measure.rules.slots.way import NOTE
from measure.rules.speech.idle import shorter
from measure.rules.speech.speech import spoken
from measure.rules.speech.turning import takes_back
from measure.rules.speech.words.lexicon import Zones
from measure.units import Unit

_TURNING = ("TURN", "COND", "EXCEPT", "EXCUSED")
_MOST_READINGS = 12


@dataclass(frozen=True)
class SlotReading:
    """Sentences, each a rule; what is told of them; and the part of the text that they were read of."""

    sentences: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    kept: str = ""


def slot_readings(
    sentence: str,
    zones: Zones,
    unit: Unit,
    reads_as: Callable[[str], str | None],
    said: Callable[[str, str], Iterable[str]] = lambda _text, _lent: (),
) -> tuple[SlotReading, ...]:
    """What it can say, one for each meaning; none where a word is not understood.

    reads_as: a sentence's meaning; said: what a whole clause says, with the zone that was named before it, where its
    words are known to say just that: the slots are not asked then.
    """
    if FORMAL.search(sentence) or _EACH_OF_US.search(sentence) or _asks_otherwise(sentence):
        return ()
    clauses = _Clauses(named_in_part(zones), unit, reads_as, said)
    whole = reworded(spoken(sentence, zones), unit)
    for kept in shorter(whole, zones):
        try:
            found = clauses.readings(kept)
        except RuleMistake:  # a number that cannot be read
            return ()
        if found:
            return tuple(replace(each, kept=kept) for each in found)
    return ()


_EACH_OF_US = re.compile(
    r"\b(?:everyone|everybody|each of (?:you|us)|"
    r"each (?:team )?(?:member|student|pupil|person|child|kid|builder|partner))\b"
    r"(?=.*\b(?:\d+|one|two|three|four|five|an?)\b)",
    re.IGNORECASE,
)
"""How many build is not known."""


def _asks_otherwise(sentence: str) -> bool:
    """`Isn't the park bigger?`, `Do any homes touch the lake?`: what is wished is not said."""
    return "?" in sentence and bool(_OTHERWISE.search(sentence))


_OTHERWISE = re.compile(r"n['’]t\b|\b(?:not|no|never|any|nothing)\b", re.IGNORECASE)


_IN_ORDER_THAT = re.compile(r"so that\b", re.IGNORECASE)


def _is_bare(slots: Slots) -> bool:
    return bool(slots.parties) and not (slots.parties[0].each and slots.bounds)


_VERBS = ("BE", "MODAL", "MAY", "PUT", "HAVE", "COVER", "TOUCH", "NEG", "LIVE", "RISE", "JOIN", "OVERLAP", "EACH_AFTER")
_PAIRING = ("GAP", "AWAY", "FAR", "BETWEEN", "APART", "EACH_OTHER")


def _only_names(slots: Slots) -> bool:
    """`The forest: ...`, `We insist on keeping the forest: ...`"""
    plain = len(slots.parties) == 1 and not (slots.parties[0].each or slots.parties[0].count or slots.parties[0].denied)
    return plain and set(slots.order) <= {"PARTY", "PUT", "A", "KIND"} and not (slots.unknown or slots.denied)


def _is_many(party: Party) -> bool:
    return party.plural or party.each or (party.count is not None and party.count.amount.number != 1)


class _Clauses:
    """The readings of a text, those of its clauses kept for the next text that has them as well."""

    def __init__(
        self,
        zones: Zones,
        unit: Unit,
        reads_as: Callable[[str], str | None],
        said: Callable[[str, str], Iterable[str]],
    ) -> None:
        self._zones, self._unit, self._reads_as, self._wholly = zones, unit, reads_as, said
        self._said: dict[tuple[str, str], Slots] = {}
        self._canonical: dict[str, str | None] = {}

    def readings(self, text: str) -> tuple[SlotReading, ...]:
        """One for each meaning, of those that leave out least."""
        parts = parts_of(text)
        found = [made for made in self._from(parts, 0, ()) if made.sentences]
        least = min(((len(made.left_out), len(made.sentences)) for made in found), default=(0, 0))
        kept: dict[tuple[str, ...], SlotReading] = {}
        for made in found:
            meaning = tuple(self._meaning(each) or each for each in made.sentences)
            if (len(made.left_out), len(made.sentences)) == least:
                kept.setdefault(meaning, made)
        return tuple(kept.values())

    def _meaning(self, sentence: str) -> str | None:
        if sentence not in self._canonical:
            self._canonical[sentence] = self._reads_as(sentence)
        return self._canonical[sentence]

    def _from(self, parts: tuple[Part, ...], first: int, before: tuple[Party, ...]) -> Iterator[SlotReading]:
        """The readings of all parts from one on; before: the zones of the part before it."""
        if first == len(parts):
            yield SlotReading()
            return
        for last in range(len(parts), first, -1):
            if any(part.stop for part in parts[first + 1 : last]):
                continue
            part = Part.joined(parts[first:last])
            if any(part.brackets) or _IN_ORDER_THAT.match(part.text):
                continue  # what stands in brackets belongs to what it stands among
            raw = self._raw(part.text)
            lent = before[0].names[0] if before and len(before[0].names) == 1 else ""
            stated = self._distinct(self._wholly(part.text, lent))
            slots = None if stated else self._slots(part.text, before)
            if slots is not None and not part.hard[0] and _is_bare(raw) and not slots.has(*_VERBS):
                slots = None  # `A touches B and C in the north half`: of C alone, or of all
            stated = stated or (self._stated(slots) if slots is not None else [])
            named = slots.parties if slots and slots.parties else raw.parties or before
            for sentence in stated[:_MOST_READINGS]:
                for rest in self._from(parts, last, named):
                    text, _, note = sentence.partition(NOTE)
                    told = (*((note,) if note else ()), *rest.told)
                    yield replace(rest, sentences=(text, *rest.sentences), told=told)
        part = parts[first]
        if part.label and _only_names(self._raw(part.text)):
            yield from self._from(parts, first + 1, self._raw(part.text).parties)
        beside = " ".join(each.text for at, each in enumerate(parts) if at != first)
        if told_beside(part, self._raw(part.text), beside, self._zones):
            for rest in self._from(parts, first + 1, self._raw(part.text).parties or before):
                told = (
                    (part.text.strip(" ,;:.!?–—-"),)
                    if self._raw(part.text).order or self._raw(part.text).unknown
                    else ()
                )
                yield replace(rest, left_out=(*told, *rest.left_out))

    def _raw(self, text: str) -> Slots:
        return self._with(text, "")

    def _with(self, text: str, lent: str) -> Slots:
        if (text, lent) not in self._said:
            self._said[text, lent] = slots_of(text, self._zones, self._unit, lent, strict=True)
        return self._said[text, lent]

    def _slots(self, text: str, before: tuple[Party, ...]) -> Slots | None:
        """The part's slots, with the zone of the part before where it speaks of that; None where not understood."""
        slots = self._raw(text)
        if slots.unknown or takes_back(text) or slots.has(*_TURNING) or ("?" in text and slots.denied):
            return None
        lent = before[0].names[0] if before and len(before[0].names) == 1 else ""
        if slots.lends:
            if before and slots.singular and _is_many(before[0]):
                return None
            agrees = len({name for party in before for name in party.names}) == 1 or slots.leads
            return self._with(text, lent) if lent and agrees else None
        if (slots.parties and not slots.goes_on) or not before:
            return slots
        pair = (
            not slots.parties and slots.has("GAP", "AWAY", "FAR", "BETWEEN", "APART", "EACH_OTHER") and len(before) > 1
        )
        carried = before if pair else before[:1]
        if not (pair or lent):
            return None
        carried = tuple(replace(party, count=None, denied=False) for party in carried)
        each = "EACH_AFTER" in slots.order
        carried = tuple(replace(party, each=party.each or each) for party in carried)
        order = (*("PARTY" for _ in carried), *slots.order)
        return replace(slots, parties=(*carried, *slots.parties), order=order)

    def _stated(self, slots: Slots) -> list[str]:
        """The sentences of every way that has a use for all that is named, one for each meaning."""
        names = {name for party in slots.parties for name in party.names}
        made = (each for way in WAYS if way.has_a_use_for_all(slots) for each in way(slots))
        return self._distinct(each for each in made if echoes(slots.text, each.partition(NOTE)[0], names))

    def _distinct(self, sentences: Iterable[str]) -> list[str]:
        """Those that are read, one for each meaning."""
        kept: dict[str, str] = {}
        for sentence in sentences:
            meaning = self._all_read(sentence.partition(NOTE)[0])
            if meaning:
                kept.setdefault(meaning, sentence)
        return list(kept.values())

    def _all_read(self, sentence: str) -> str:
        """What the sentence means, or the several that `, and` joins; empty where it is not read."""
        whole = self._meaning(sentence)
        if whole is not None:
            return whole
        read = [self._meaning(each) for each in _JOINED.split(sentence)]
        return " & ".join(map(str, read)) if all(read) else ""


_JOINED = re.compile(r", and (?=the |every |there |no |nothing |\w+ (?:is|are|touch|do))")


def single(sentence: str) -> tuple[str, ...]:
    """The sentences that `, and` joins."""
    return tuple(_JOINED.split(sentence))
