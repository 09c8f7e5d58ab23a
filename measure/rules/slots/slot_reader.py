"""What a sentence may state by what it names: whole sentences, those that explain most of it first.

The sentence is cut where clauses may end. Whatever lies between two cuts is held against every way in which zones,
amounts and concepts make a rule; a way has to have a use for all that it names, but for unknown words. Parts beside
each other that make rules are offered together, parts that make none are left out, which the offer tells.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from measure.rules.slots.named.names_in_part import named_in_part
from measure.rules.slots.named.slots_said import Slots, slots_of
from measure.rules.slots.slot_built import BUILT
from measure.rules.slots.slot_counts import COUNTS
from measure.rules.slots.slot_gaps import GAPS
from measure.rules.slots.slot_places import PLACES
from measure.rules.slots.slot_sizes import SIZES
from measure.rules.slots.way import NOTE, Way
from measure.rules.speech.idle import without_label
from measure.rules.speech.speech import spoken
from measure.rules.speech.turning import takes_back
from measure.rules.speech.words.lexicon import Zones
from measure.units import Unit

WAYS: tuple[Way, ...] = (*GAPS, *SIZES, *BUILT, *PLACES, *COUNTS)
_CUT = re.compile(
    r"\s*[.!?;:,]+(?=\s)\s*|\s*[()]\s*|\s[–—-](?=\s)\s*|"
    r"\s+(?=(?:so|because|since|and|but|while|whereas|yet|where|as long as|otherwise|therefore)\b)",
    re.IGNORECASE,
)
_OF_THE_RULE = ("WIDTH", "LENGTH", "HEIGHT", "PERIM", "NUMBER", "TOGETHER", "LEAST", "MOST", "LIMITED")
"""What a part that is left out may not speak of: it can be what the amount beside it is of."""
_HARD = re.compile(r"[.!?;:()–—]")
_SO = re.compile(r"(?:and\s+)?(?:so|therefore|hence|thus)\b(?! that\b)", re.IGNORECASE)
_REASON = re.compile(r"\W*(?:because|since|so that|so|as)\b", re.IGNORECASE)
_MOST_CUTS = 7
_MOST_KEPT = 12
_A_SENTENCE = 2
"""What another sentence has to explain besides what one explains alone."""


@dataclass(frozen=True)
class _Plan:
    """Sentences for some parts of the text, how much they explain, and what they leave out.

    rank: which of several ways its parts take, where they have several: a lower limit for all, or an upper one.
    """

    score: float = 0.0
    rank: int | None = None
    sentences: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


Stated = tuple[tuple[str, ...], tuple[str, ...]]
"""Sentences, each a rule, and what they leave out."""


def slot_offers(sentence: str, zones: Zones, unit: Unit) -> Iterator[Stated]:
    """What it may state, the best first; the same rule may be stated in two wordings."""
    text = without_label(spoken(sentence, zones).rstrip(" .!?"))
    if FORMAL.search(text):
        return
    zones = named_in_part(zones)
    condition = _CONDITION.match(text) or _CONDITION_LAST.match(text)
    if condition is not None:
        yield from _conditional(condition["if"], condition["then"], zones, unit)
        return
    for plan in _plans(text, zones, unit):
        if not any(_DENIAL.search(part) for part in plan.left_out):
            yield _merged(plan.sentences), plan.left_out


_DENIAL = re.compile(r"\b(?:not|never|nothing|none|neither|nor|only)\b|n['’]t\b", re.IGNORECASE)
"""What is denied, or of one alone, is the rule itself: without it another is left."""
_LIMITS = re.compile(r"\bat (?:least|most) (?=\d)")


def _merged(sentences: tuple[str, ...]) -> tuple[str, ...]:
    """`at least 4` and `at most 7` of the same as `between 4 and 7`."""
    if len(sentences) != 2:
        return sentences
    found = [_LIMITS.search(each) for each in sentences]
    if not all(found):
        return sentences
    (low, a), (high, b) = sorted(zip(found, sentences, strict=True), key=lambda each: each[0][0] if each[0] else "")
    if low is None or high is None or low[0] == high[0] or a[: low.start()] != b[: high.start()]:
        return sentences
    one, two = (re.match(r"([\d./ ]*\d)(.*)", text[found.end() :]) for text, found in ((a, low), (b, high)))
    if one is None or two is None or one[2] != two[2]:
        return sentences
    return (f"{a[: low.start()]}between {one[1]}{_unit_of(one[2])} and {two[1]}{two[2]}",)


def _unit_of(rest: str) -> str:
    found = re.match(r"%| (?:sq |cubic )?(?:in|cm|mm|ft|m)\b", rest)
    return found[0] if found else ""


FORMAL = re.compile(r"^\s*(?:for\s[^:]*:|not\s*:)|(?<![\w.])-\d", re.IGNORECASE)
"""Formulas, and numbers below nothing."""
_CONDITION = re.compile(
    r"^(?:if|when|whenever)\s+(?!you (?:like|want|wish|prefer))(?P<if>.+?)(?:,\s*(?:then\s+)?|\s+then\s+)(?P<then>.+)$",
    re.IGNORECASE,
)
_CONDITION_LAST = re.compile(
    r"^(?P<then>.+?),?\s+(?:if|when|whenever)\s+(?!you (?:like|want|wish|prefer))(?P<if>.+)$", re.IGNORECASE
)
_IT = re.compile(r"\b(?:it|they|them|its|their)\b", re.IGNORECASE)


def _conditional(condition: str, consequence: str, zones: Zones, unit: Unit) -> Iterator[Stated]:
    """`if A ..., then B ...`, where both are rules by themselves."""
    if _IT.search(condition) or _IT.search(consequence):
        return
    for asked in _plans(condition, zones, unit)[:2]:
        for wanted in _plans(consequence, zones, unit)[:2]:
            if not (asked.left_out or len(asked.sentences) > 1):
                then = ", and ".join(wanted.sentences)
                yield (f"if {asked.sentences[0]}, then {then}",), wanted.left_out


def _plans(text: str, zones: Zones, unit: Unit) -> list[_Plan]:
    """The best ways to cut the text into parts that state rules, and parts that are left out."""
    cuts = [found.span() for found in _CUT.finditer(text)][:_MOST_CUTS]
    starts, ends = [0, *(end for _, end in cuts)], [*(start for start, _ in cuts), len(text)]
    best: list[list[_Plan]] = [[] for _ in range(len(starts) + 1)]
    best[0] = [_Plan()]
    whole = [slots_of(text[starts[at] : ends[at]], zones, unit) for at in range(len(starts))]
    for first in range(len(starts)):
        if not best[first]:
            continue
        best[first].sort(key=lambda plan: -plan.score)
        del best[first][_MOST_KEPT:]
        for last in range(first, len(starts)):
            part = text[starts[first] : ends[last]]
            slots = whole[first] if first == last else slots_of(part, zones, unit)
            before = next((each for each in reversed(whole[:first]) if each.parties), None)
            led = last + 1 < len(starts) and _SO.match(text, starts[last + 1]) is not None
            if led and not slots.has("MODAL"):
                continue  # why the next part holds
            stated = tuple(dict.fromkeys(each.partition(NOTE)[0] for each in _stated(slots, before)))
            for at, sentence in enumerate(stated):
                rank = at if len(stated) > 1 else None
                made = _Plan(slots.weight - _A_SENTENCE - at / 8, rank, (sentence,), slots.unknown)
                best[last + 1] += [_with(plan, made) for plan in best[first] if _agree(plan, made)]
        goes_on = first + 1 < len(starts) and _SO.match(text, starts[first + 1]) is not None
        soft = not _HARD.search(text, *_around(first, starts, ends))
        if not _turns(whole[first], text[starts[first] : ends[first]], goes_on=goes_on, soft=soft):
            told = text[starts[first] : ends[first]].strip(" ,;:.!?–—-")
            best[first + 1] += [_without(plan, told) for plan in best[first]]
    return sorted((plan for plan in best[-1] if plan.sentences), key=lambda plan: -plan.score)


def _agree(plan: _Plan, more: _Plan) -> bool:
    return plan.rank is None or more.rank is None or plan.rank == more.rank


def _with(plan: _Plan, more: _Plan) -> _Plan:
    rank = plan.rank if more.rank is None else more.rank
    return _Plan(plan.score + more.score, rank, plan.sentences + more.sentences, plan.left_out + more.left_out)


def _without(plan: _Plan, told: str) -> _Plan:
    return replace(plan, left_out=(*plan.left_out, told) if told else plan.left_out)


def _around(at: int, starts: Sequence[int], ends: Sequence[int]) -> tuple[int, int]:
    """Where the cut lies by which a part is joined to the rest: before it, or behind the first one."""
    return (ends[at - 1], starts[at]) if at else (ends[0], starts[1] if len(starts) > 1 else ends[0])


def _turns(slots: Slots, text: str, *, goes_on: bool, soft: bool) -> bool:
    """Whether a part that is left out may turn the rest round, or belong to it.

    goes_on: it is why the next part holds. soft: no sign ends it, so that zones in it may be further ones of the rule.
    """
    counted = slots.bounds or any(party.count for party in slots.parties)
    if takes_back(text) or (counted and not goes_on):
        return True
    allows = slots.has("MAY") and not slots.denied
    beside = (soft and slots.parties) or slots.has(*_OF_THE_RULE) or (slots.has("CMP") and not slots.parties)
    if beside and not (goes_on or allows or _REASON.match(text)):
        return True
    if goes_on and not slots.has("TURN", "EXCEPT", "EXCUSED"):
        return False
    return slots.has("TURN", "COND", "EXCEPT", "EXCUSED") and not _REASON.match(text)


def _stated(slots: Slots, before: Slots | None) -> Iterator[str]:
    """What the slots state; of a part that names too little, with the zone that was named before."""
    if slots.has("TURN", "COND", "EXCEPT", "EXCUSED") or takes_back(slots.text):
        return
    refers = slots.has("IT")
    if refers and slots.parties and before is not None and len(before.parties) > 1 and not slots.leads:
        return  # which of them `it` is
    pairs = (refers and slots.has("BETWEEN", "APART", "AMONG")) or (slots.bounds and not refers)
    if before is not None and not slots.parties and pairs and len(before.parties) == 2:
        slots, refers = replace(slots, parties=before.parties), False
    found = False
    if not refers or len(slots.parties) > 1 or before is None:
        for way in WAYS:
            for sentence in way(slots):
                found = True
                yield sentence
    lengths = slots.bounds and all(bound.measure == "length" for bound in slots.bounds)
    carries = refers or (lengths and not slots.has("SAME", "TALLAS", "CMP", "RATIO"))
    carries = carries or slots.strong in ({"TOUCH"}, {"REGION"})
    if before is not None and not found and carries:
        carried = replace(before.parties[0], count=None, denied=False)
        carried = replace(carried, each=carried.each or "ANY" in slots.order or "EACH_AFTER" in slots.order)
        parties = (carried, *slots.parties)
        more = replace(slots, parties=parties, order=("PARTY", *slots.order))
        for way in WAYS:
            yield from way(more)
