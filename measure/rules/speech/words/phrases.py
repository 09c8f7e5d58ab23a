"""The phrases of lexicon.txt and families.txt by their first word, and which words a rule can turn on."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from itertools import product
from pathlib import Path

_LEXICON, _FAMILIES = (Path(__file__).with_name(name) for name in ("lexicon.txt", "families.txt"))
ARTICLES = ("the", "a", "an", "your", "our", "their")
"""Words that may stand inside any phrase."""


_Phrases = dict[str, list[tuple[tuple[str, ...], str, str]]]


@cache
def phrases() -> _Phrases:
    """By their first word: the words of every phrase, its sense, and what it stands for."""
    return _phrases_in(_LEXICON.read_text("utf-8") + _FAMILIES.read_text("utf-8"))


@cache
def _of_the_lexicon() -> _Phrases:
    return _phrases_in(_LEXICON.read_text("utf-8"))


def _phrases_in(text: str) -> _Phrases:
    made: _Phrases = defaultdict(list)
    for words, sense, value in phrases_of(text):
        made[words[0]].append((words, sense, value))
    return made


def phrases_of(lines: str) -> Iterator[tuple[tuple[str, ...], str, str]]:
    """The words of every phrase in lines such as `SENSE value: phrase | phrase`, its sense, and what it stands for."""
    for line in re.sub(r"\n[ \t]+", " ", lines).splitlines():
        if not line or line.startswith("#"):
            continue
        head, _, listed = line.partition(": ")
        sense, _, value = head.partition(" ")
        for phrase in listed.split(" | "):
            for spelled in _spellings(phrase.strip()):
                words = tuple(w for w in spelled if w not in ARTICLES) if len(spelled) > 1 else spelled
                if words:
                    yield words, sense, value


@cache
def heavy_words() -> frozenset[str]:
    """Words that a rule can turn on: those of the lexicon, but for the light ones and for those that say nothing."""
    light: set[str] = set()
    heavy: set[str] = set()
    always: set[str] = set()
    for row in _of_the_lexicon().values():
        for phrase, sense, _ in row:
            into = always if sense == "HEAVY" else light if sense in _SAYS_NOTHING else heavy
            into |= set(phrase)
    return frozenset((heavy - light) | always)


_SAYS_NOTHING = ("LIGHT", "SKIP", "MUST", "COMMA", "SEMI", "COLON", "OPEN", "CLOSE", "STUFF", "WHERE_IT", "READ")


def _spellings(phrase: str) -> Iterator[tuple[str, ...]]:
    """`go(es)/get(s) over` as its four spellings."""
    if "/" not in phrase and "(" not in phrase:  # most of three thousand
        yield tuple(phrase.split())
        return
    choices = []
    for word in phrase.split():
        ways = word.split("/") if len(word) > 1 and word != "+/-" else [word]
        choices.append([form for way in ways for form in _forms(way)])
    yield from product(*choices)


def _forms(word: str) -> list[str]:
    found = re.fullmatch(r"(.+)\((\w+)\)", word)
    return [found[1], found[1] + found[2]] if found else [word]


@cache
def words_that_mean() -> frozenset[str]:
    """The words of the lexicon, but for those that are only kinds of solids: `domes` may be short for a zone's name."""
    rows = (row for rows in _of_the_lexicon().values() for row in rows)
    return frozenset(word for phrase, sense, _ in rows if sense not in ("SOLID", "LIGHT") for word in phrase)


@cache
def words_known() -> frozenset[str]:
    """Every word of the lexicon."""
    return frozenset(word for row in _of_the_lexicon().values() for phrase, _, _ in row for word in phrase)


_ALSO = (
    "once with when what which who how why where while i'd i i'm we'd we're you're they're there's that's here's let's "
    "don't doesn't isn't aren't can't won't though although whereas however into onto upon about after before during "
    "students pupils your my his her someone somebody because since unless until whether than then else ever never "
    "some such like just really quite rather even still already yet"
)


@cache
def words_spelled() -> frozenset[str]:
    """Words that are no slip of the pen for another one: those of every phrase, and common ones that mean nothing."""
    known = (word for row in phrases().values() for phrase, _, _ in row for word in phrase)
    return (frozenset(known) | frozenset(_ALSO.split())) - {"form"}
