"""The concept of every phrase that frames know: those of words.txt before those of the lexicon's senses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from measure.rules.speech.words.phrases import phrases, phrases_of

_FILE = Path(__file__).with_name("words.txt")
_OF_SENSES = {
    "SKIP": "IDLE",
    "MUST": "MODAL",
    "BE": "BE",
    "COVER": "COVER",
    "BELONG": "COVER",
    "TOUCH": "TOUCH",
    "NEXT_TO": "TOUCH",
    "SHARE_SIDE": "TOUCH",
    "SIDE_BY_SIDE": "TOUCH",
    "OVERLAP": "OVERLAP",
    "KEEP": "PUT",
    "CAUSE": "PUT",
    "GIVE": "PUT",
    "GAP": "GAP",
    "APART": "APART",
    "BEYOND": "BEYOND",
    "SUPER": "SUPER",
    "CMP": "CMP",
    "REL": "REL",
    "LIMIT": "REL",
    "AFTER": "AFTER",
    "EMPTY": "EMPTY",
    "EMPTY_LAND": "EMPTY",
    "BUILDING": "BUILDING",
    "PEOPLE": "PEOPLE",
    "LIVE": "LIVE",
    "CORNERWAY": "CORNERWAY",
    "WAY": "WAY",
    "MOSTLY": "MOSTLY",
    "TOGETHER": "TOGETHER",
    "EACH_OTHER": "EACH_OTHER",
    "SHAPE": "SHAPE",
}
"""The concepts of the lexicon's senses; what a sense is not named for is unknown to frames."""


@dataclass(frozen=True)
class Phrase:
    """The words of a phrase, its concept, and what it stands for."""

    words: tuple[str, ...]
    concept: str
    value: str = ""


@cache
def concepts() -> dict[str, list[Phrase]]:
    """By their first word: the phrases, longest first, those of words.txt before those of the lexicon."""
    made: dict[str, list[Phrase]] = defaultdict(list)
    for phrase in _phrases():
        made[phrase.words[0]].append(phrase)
    for row in made.values():
        row.sort(key=lambda phrase: -len(phrase.words))
    return made


def _phrases() -> Iterator[Phrase]:
    own = [Phrase(*row) for row in phrases_of(_FILE.read_text("utf-8"))]
    yield from own
    known = {phrase.words for phrase in own}
    for row in phrases().values():
        for words, sense, value in row:
            concept = _OF_SENSES.get(sense)
            if concept is not None and (words not in known or concept in ("REL", "AFTER")):
                yield Phrase(words, concept, value)
