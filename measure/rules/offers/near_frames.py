"""A sentence as its frame reads it without words that nobody knows; never without one that a rule can turn on."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from itertools import islice

from measure.rules.frames.framing import framed_without
from measure.rules.offers.near_readings import NearReading
from measure.rules.speech.idle import shorter
from measure.rules.speech.speech import spoken
from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.phrases import heavy_words, words_known

_MOST_TRIES = 12


def near_frames(sentence: str, zones: Zones) -> Iterator[NearReading]:
    """What it would say, with the words left out."""
    text = spoken(sentence, zones).rstrip(" .!?")
    for kept in islice(shorter(text, zones), _MOST_TRIES):
        found = framed_without(kept, zones)
        if found is not None and not any(word.lower() in heavy_words() or _is_slip(word) for word in found[1]):
            yield NearReading(found[0], "", found[1], "")
            return


def _is_slip(word: str) -> bool:
    """`covres`: the word that was meant is put in its place, and nothing left out."""
    return bool(get_close_matches(word.lower(), words_known(), n=1, cutoff=0.8))
