"""A sentence read with some of its words left out: those that are not known, or a clause beside the rule."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from measure.rules.speech.speech import meanings_of_all, spoken
from measure.rules.speech.words.lexicon import Zones, phrases, words_of, zone_at

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
    text = spoken(sentence).rstrip(" .!?")
    for before, kept, after in _clauses(text):
        if not any(zone_at(kept, word.start, zones) for word in words_of(kept)):
            continue
        known, unknown = _known(kept, zones)
        for found in meanings_of_all(known, zones):
            yield NearReading(found, before, unknown, after)


def _clauses(text: str) -> list[tuple[str, str, str]]:
    cuts = sorted({0, len(text), *(found.end() for found in _CUT.finditer(text))})
    if len(cuts) > _MOST_CUTS:
        cuts = [*cuts[: _MOST_CUTS - 1], len(text)]
    spans = [(a, b) for at, a in enumerate(cuts) for b in cuts[at + 1 :]]
    spans.sort(key=lambda span: span[0] - span[1])
    return [(text[:a], text[a:b].rstrip(" ,;:.–—-"), text[b:]) for a, b in spans][:_MOST_TRIES]


def _known(text: str, zones: Zones) -> tuple[str, tuple[str, ...]]:
    """The text without words that neither the lexicon nor the zones know, and those."""
    kept, unknown, at = text, list[str](), 0
    known = _words_known()
    for word in words_of(text):
        if word.start < at:
            continue
        zone = zone_at(text, word.start, zones)
        if zone:
            at = zone.end()
        elif word.text.isalpha() and word.text not in known:
            unknown.append(text[word.start : word.end])
            kept = kept[: word.start] + " " * (word.end - word.start) + kept[word.end :]
    return re.sub(r"\s+", " ", kept).strip(), tuple(unknown)


def _words_known() -> frozenset[str]:
    return frozenset(word for row in phrases().values() for phrase, _, _ in row for word in phrase)
