"""The tokens of a sentence as the formula grammar takes them: lists of zones are one token, `, and` is another.

A list is told from two things that are compared by what stands around it: it follows `pieces of` or `except`, or
`together` follows it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from measure.rules.sentences.sentence_words import Reading, Word

LIST_JOINT = " | "
"""Between the names in the value of a LIST; no zone's name has it."""
_MARKS = re.compile(
    r"^\s*\(?(?:for|if|either|not)\b.*(?::|\bthen\b|\bor\b)|\bthat (?:piece|zone|half|quarter|edge|structure)\b"
    r"|\b(?:plus|minus|divided by|rounded (?:up|down)|over every|multiple of)\b|\bthe difference between\b"
    r"|, and\b.*\b(?:is|are|touch(?:es)?|overlaps?|covers?)\b|\bthe (?:common border|overlap|extent) of\b"
    r"|\bthe number of\b|\bthe people in\b|\bconnected\b|\bthe (?:area|gap) (?:of|from)\b",
    re.IGNORECASE,
)
_PART_OF_PARCEL = {"half": "HALF", "quarter": "QUARTER"}
_BEFORE_A_PART = ("EVERY", "NO", "SOME", "THAT", "NUMBER")


def looks_like_formula(text: str) -> bool:
    """A cheap test: whether a sentence has words that formulas are made of."""
    return _MARKS.search(text) is not None


def formula_tokens(words: Sequence[Word]) -> tuple[Word, ...]:
    """The tokens with lists of zones, and the words for a part of the parcel, made out."""
    return tuple(_joined(_parts_made_out([word for word in words if word.text])))


def _parts_made_out(words: Sequence[Word]) -> list[Word]:
    made: list[Word] = []
    for at, word in enumerate(words):
        before = made[-1] if made else None
        after = words[at + 1] if at + 1 < len(words) else None
        if before is not None and before.is_a(*_BEFORE_A_PART) and word.is_a("NUMBER"):
            word = _as_part(word, after)
        made.append(word)
    return made


def _as_part(word: Word, after: Word | None) -> Word:
    part = _PART_OF_PARCEL.get(word.text.lower())
    if part:
        return replace(word, readings=(Reading(part, word.text),))
    two = word.readings[0].value == Fraction(2) and after is not None and after.is_a("PIECES", "ZONES")
    return replace(word, readings=(Reading("TWO", word.text),)) if two else word


def _joined(words: Sequence[Word]) -> Iterator[Word]:
    at = 0
    while at < len(words):
        word = words[at]
        if word.is_a("ZONE"):
            end = _end_of_list(words, at)
            if end > at + 1 and (_ends_in_together(words, end) or _begins_list(words, at)):
                yield _as_list(words[at:end])
                at = end
                continue
        elif word.is_a("COMMA"):
            if at + 1 < len(words) and words[at + 1].is_a("AND"):
                joint = words[at + 1]
                yield Word(joint.text, word.start, joint.end, (Reading("ALSO", joint.text),))
                at += 2
                continue
            if at + 1 < len(words) and words[at + 1].is_a("ZONE"):
                at += 1  # `if ..., homes ...`: a comma that joins no names says nothing
                continue
        yield word
        at += 1


def _end_of_list(words: Sequence[Word], at: int) -> int:
    """Where `a, b and c` ends that begins here; a comma before `and` ends it."""
    end = at + 1
    while end + 1 < len(words) and words[end].is_a("COMMA") and words[end + 1].is_a("ZONE"):
        end += 2
    if end + 1 < len(words) and words[end].is_a("AND") and words[end + 1].is_a("ZONE"):
        end += 2
    return end


def _begins_list(words: Sequence[Word], at: int) -> bool:
    """After `except`, and after `pieces of`, unless it is one piece: `that piece of`, `the other piece of`."""
    if at and words[at - 1].is_a("EXCEPT"):
        return True
    if at < 2 or not (words[at - 1].is_a("OF") and words[at - 2].is_a("PIECES")):
        return False
    before = words[at - 3] if at > 2 else None
    if before is None or not before.is_a("OTHER"):
        return before is None or not before.is_a("THAT", "LARGEST", "SMALLEST")
    return at > 3 and words[at - 4].is_a("EVERY", "NO", "SOME", "NUMBER")


def _ends_in_together(words: Sequence[Word], end: int) -> bool:
    return end < len(words) and words[end].is_a("TOGETHER")


def _as_list(words: Sequence[Word]) -> Word:
    zones = [str(word.readings[0].value) for word in words if word.is_a("ZONE")]
    text = " ".join(word.text for word in words)
    return Word(text, words[0].start, words[-1].end, (Reading("LIST", LIST_JOINT.join(dict.fromkeys(zones))),))
