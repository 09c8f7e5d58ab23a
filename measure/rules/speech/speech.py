"""An everyday sentence as canonical sentences: all its words, with every meaning that they can have together."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from pathlib import Path
from typing import cast

from measure.rules.speech.addressed import addressed
from measure.rules.speech.composing_actions import ACTIONS
from measure.rules.speech.idle import shorter
from measure.rules.speech.restated import restated
from measure.rules.speech.words.chart import Grammar
from measure.rules.speech.words.lexicon import Zones, edges_of, spelled_out, words_of
from measure.rules.speech.words.meanings import Bound, Bounds, Sentences

_FILE = Path(__file__).with_name("grammar.txt")


def meanings(sentence: str, zones: Zones) -> tuple[tuple[str, ...], ...]:
    """Every meaning of a plain() sentence, as sentences that say it; none where a word is not understood."""
    for text in shorter(sentence, zones):
        found = meanings_of_all(text, zones)
        if found:
            return found
    return ()


def meanings_of_all(text: str, zones: Zones) -> tuple[tuple[str, ...], ...]:
    """The same, where no word may be idle."""
    return tuple(tuple(said.text for said in meaning) for meaning in heard(text, zones))


def heard(text: str, zones: Zones) -> tuple[Sentences, ...]:
    """Every meaning of all the words; none where a word is not understood."""
    edges, end = edges_of(text, zones)
    found = cast(tuple[Sentences, ...], _grammar().meanings(edges, end))
    return tuple({tuple(said.text for said in meaning): meaning for meaning in reversed(found)}.values())


def amounts_said(sentence: str, zones: Zones) -> tuple[tuple[int, int, Bound], ...]:
    """The amounts that a sentence names, understood as a whole or not, and where in its spelled_out() text."""
    edges, _ = edges_of(sentence, zones)
    words = words_of(spelled_out(sentence))
    widest: dict[int, tuple[int, Bounds]] = {}
    for edge in _grammar().edges(edges, ("much", "times", "shared")):
        if edge.end > widest.get(edge.start, (0, ()))[0]:
            widest[edge.start] = edge.end, cast(Bounds, edge.meaning)
    found: list[tuple[int, int, Bound]] = []
    at = 0
    for start, (stop, bounds) in sorted(widest.items()):
        if start >= at:
            if len(bounds) == 1:  # of `more than 4 but less than 10` one alone would be another amount
                found.append((words[start].start, words[stop - 1].end, bounds[0]))
            at = stop
    return tuple(found)


def spoken(sentence: str, zones: Zones) -> str:
    """With one kind of apostrophe and space, a question as what it asks for; dashes stay, since they join and part."""
    text = unicodedata.normalize("NFC", sentence).translate(_SIGNS)
    return restated(addressed(_POLITE.sub(r"\g<who> must \g<what>", text), zones), zones)


_POLITE = re.compile(
    r"^\s*(?:could|can|would|will)\s+(?P<who>(?:(?!\bplease\b).)+?)\s+please\s+(?P<what>[^?]+)\?\s*$", re.IGNORECASE
)
"""`Could the school please be the northernmost zone?`"""
_SIGNS = {
    **dict.fromkeys(map(ord, "’‘′`"), "'"),
    **dict.fromkeys(map(ord, "“”″"), '"'),
    **dict.fromkeys(map(ord, "−‐‑"), "-"),
    **dict.fromkeys(map(ord, "\t\n\r\v\f\u00a0\u2009\u202f"), " "),
}


@cache
def _grammar() -> Grammar:
    return Grammar(_FILE.read_text("utf-8"), ACTIONS)
