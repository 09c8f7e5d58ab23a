"""Pronouns that may stand for another zone than the one that was spoken of."""

from __future__ import annotations

import re

from measure.rules.speech.words.lexicon import Zones, is_plural, zones_in

_SUBJECT = re.compile(
    r"(?:[,.;:!?–—-]|\band|\bbut|\bthen|\bso)\s*(?:\b(?:make|keep|leave|let|give|put|build)\s+)?\b(?P<it>it|they)\b(?=\s)",
    re.IGNORECASE,
)
_AND = re.compile(r"\s*(?:,|,?\s*and|&|\+|plus)\s+(?:the |an? )?", re.IGNORECASE)
_EACH = re.compile(r"\b(?:each|every|no|any)(?: (?:piece )?of)?(?: the)?\s+$", re.IGNORECASE)


def unclear_pronoun(text: str, zones: Zones) -> re.Match[str] | None:
    """The first `it` or `they` that need not be the first zone of the clause before it; None where there is none.

    `homes touch the park, and it ...` does not agree with the homes; `the park and the lake touch; they ...` are two.
    """
    for found in _SUBJECT.finditer(text):
        before = re.split(r"[.;!?](?=\s)", text[: found.start()])[-1]
        spans = _spans(before, zones)
        if len({zones.canonical(before[a:b]) for a, b in spans}) > 1 and not _agrees(
            before, spans, found["it"].lower()
        ):
            return re.compile(r"\w+").search(text, found.start("it"))
    return None


def pronoun_of_first(text: str, zones: Zones) -> tuple[str, str] | None:
    """A pronoun taken as the first of several zones in the clause before it, and that zone; else None."""
    for found in _SUBJECT.finditer(text):
        before = re.split(r"[.;!?](?=\s)", text[: found.start()])[-1]
        names = [zones.canonical(before[a:b]) for a, b in _spans(before, zones)]
        if len(set(names)) > 1:
            return found["it"], names[0]
    return None


def _agrees(before: str, spans: list[tuple[int, int]], pronoun: str) -> bool:
    """Whether the first zone is what is meant: in the pronoun's number, and no pair of zones."""
    several = [is_plural(before[a:b]) for a, b in spans]
    paired = _AND.fullmatch(before[spans[0][1] : spans[1][0]]) is not None
    if paired:
        return False
    if pronoun == "they":
        return several[0]
    each = _EACH.search(before[: spans[0][0]]) is not None
    return (not several[0] and not each) or all(several[1:])


def _spans(text: str, zones: Zones) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for zone in zones_in(text, zones):
        if not found or zone.start() >= found[-1][1]:
            found.append(zone.span())
    return found
