"""How hard a text is to read: the Flesch-Kincaid grade (Kincaid et al. 1975, Research Branch Report 8-75)."""

from __future__ import annotations

import re
from collections.abc import Iterable

SENTENCE_END = re.compile(r"[.?!:](?:\s|$)|\n")
WORD = re.compile(r"[A-Za-z]+(?:'[A-Za-z]+)?")


def sentences(texts: Iterable[str]) -> list[list[str]]:
    """The words of each sentence, cell or line; numbers, units and blanks are no words."""
    parts = (part for text in texts for part in SENTENCE_END.split(text))
    return [words for part in parts if (words := WORD.findall(part))]


def grade(texts: Iterable[str], without: Iterable[str] = ()) -> float:
    """0.39 words a sentence + 11.8 syllables a word - 15.59; words in `without` are left out."""
    left_out = {word.casefold() for text in without for word in WORD.findall(text)}
    found = [[w for w in words if w.casefold() not in left_out] for words in sentences(texts)]
    found = [words for words in found if words]
    words = [word for sentence in found for word in sentence]
    if not words:
        return 0.0
    return 0.39 * len(words) / len(found) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def syllables(word: str) -> int:
    """Groups of vowels, a silent e at the end not counted; at least one."""
    plain = word.casefold()
    groups = len(re.findall(r"[aeiouy]+", plain))
    silent = plain.endswith("e") and not plain.endswith(("le", "ee", "ye")) and groups > 1
    past = plain.endswith("ed") and not plain.endswith(("ted", "ded")) and groups > 1
    return max(1, groups - silent - past)
