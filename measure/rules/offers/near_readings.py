"""A sentence read with some of its words left out: those that are not known, or a clause beside the rule."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from measure.rules.sentences.amount_words import number_at, unit_at
from measure.rules.speech.speech import meanings_of_all, spoken
from measure.rules.speech.words.lexicon import Zones, words_of, zone_at
from measure.rules.speech.words.phrases import phrases

_CUT = re.compile(
    r"\s*[.!?;:,]+(?=\s)\s*|\s[–—-](?=\s)\s*|\s+(?=(?:so|because|since|hence|as|to|that|and|but)\b)|(?<=\bthat)\s+|(?<=\bso)\s+",
    re.IGNORECASE,
)
_MOST_CUTS = 7
_MOST_TRIES = 24


@dataclass(frozen=True)
class NearReading:
    """Canonical sentences, and the words of the sentence that they leave out: around them, and unknown ones in them."""

    sentences: tuple[str, ...]
    before: str
    unknown: tuple[str, ...]
    after: str

    @property
    def left_out(self) -> tuple[str, ...]:
        """All of it."""
        return tuple(part for part in (self.before, *self.unknown, self.after) if part.strip())


def near_readings(sentence: str, zones: Zones) -> Iterator[NearReading]:
    """What the sentence says without words that no rule knows, or without its outer clauses; most kept first."""
    text = spoken(sentence, zones).rstrip(" .!?")
    for before, kept, after in _clauses(text):
        if not any(zone_at(kept, word.start, zones) for word in words_of(kept)):
            continue
        known = _known(kept, zones)
        if known is not None:
            for found in meanings_of_all(known[0], zones):
                yield NearReading(found, before, known[1], after)


_PART_OF = re.compile(
    r"(?:%|\bper\s?cent|\bpercent|\bhalf|\bthirds?|\bquarters?|\bfifths?|\beighths?|\btenths?|\d/\d+)\s+of\s+"
    r"(?:the|your|our)\s+(?P<land>[a-z]+)\b",
    re.IGNORECASE,
)


def with_the_parcel(sentence: str, zones: Zones) -> tuple[str, str] | None:
    """The sentence with `parcel` for a word of which there are parts and that nobody knows, and that word: the zoo."""
    text = spoken(sentence, zones)
    for found in _PART_OF.finditer(text):
        word = found["land"]
        if word.lower() not in _words_known() and not zone_at(text, found.start("land"), zones):
            return text.replace(word, "parcel"), word
    return None


def _clauses(text: str) -> list[tuple[str, str, str]]:
    cuts = sorted({0, len(text), *(found.end() for found in _CUT.finditer(text))})
    if len(cuts) > _MOST_CUTS:
        cuts = [*cuts[: _MOST_CUTS - 1], len(text)]
    spans = [(a, b) for at, a in enumerate(cuts) for b in cuts[at + 1 :]]
    spans.sort(key=lambda span: span[0] - span[1])
    return [(text[:a], text[a:b].rstrip(" ,;:.–—-"), text[b:]) for a, b in spans][:_MOST_TRIES]


def _known(text: str, zones: Zones) -> tuple[str, tuple[str, ...]] | None:
    """The text without unknown words before a zone or a part of the parcel, and those; None where others are unknown.

    `sunny` in `the sunny south side` tells how it is; a word elsewhere may turn what is said.
    """
    kept, unknown, at, open_ended = text, list[str](), 0, False
    known = _words_known()
    for word in words_of(text):
        if word.start < at:
            continue
        zone = zone_at(text, word.start, zones)
        amount = number_at(text, word.start) if word.text[0].isdigit() else None
        unit = unit_at(text, word.start) if word.text not in known else None
        if zone:
            at, open_ended = zone.end(), False
        elif amount or unit:
            at = max(found.end for found in (amount, unit) if found)
        elif word.text.isalpha() and word.text not in known:
            unknown.append(text[word.start : word.end])
            kept = kept[: word.start] + " " * (word.end - word.start) + kept[word.end :]
            open_ended = True
        elif open_ended and word.text not in _PLACES:
            return None
        else:
            open_ended = False
    return None if open_ended else (re.sub(r"\s+", " ", kept).strip(), tuple(unknown))


_PLACES = frozenset(
    ["north", "south", "east", "west", "northern", "southern", "eastern", "western"]
)  # what an unknown word may stand before, besides a zone


def _words_known() -> frozenset[str]:
    return frozenset(word for row in phrases().values() for phrase, _, _ in row for word in phrase)
