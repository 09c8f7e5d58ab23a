"""An everyday sentence as canonical sentences: all its words, with every meaning that they can have together."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path
from typing import cast

from measure.rules.speech import (
    composing,
    composing_bounds,
    composing_counts,
    composing_orders,
    composing_said,
    composing_short,
    composing_sizes,
)
from measure.rules.speech.chart import Grammar
from measure.rules.speech.idle import shorter
from measure.rules.speech.lexicon import Named, Zones, edges_of
from measure.rules.speech.meanings import Bound, Bounds, Sentences

_FILE = Path(__file__).with_name("grammar.txt")


def meanings(sentence: str, zones: Zones) -> tuple[tuple[str, ...], ...]:
    """Every meaning of a plain() sentence, as sentences that say it; none where a word is not understood."""
    for text in shorter(sentence, zones):
        edges, end = edges_of(text, zones)
        found = cast(tuple[Sentences, ...], _grammar().meanings(edges, end))
        if found:
            return tuple(dict.fromkeys(tuple(said.text for said in meaning) for meaning in found))
    return ()


def parts_of(sentence: str, zones: Zones) -> tuple[tuple[str, ...], Bounds]:
    """The zones and the amounts that a sentence names, though it may not be understood as a whole."""
    edges, _ = edges_of(sentence, zones)
    names = tuple(dict.fromkeys(edge.meaning.name for edge in edges if isinstance(edge.meaning, Named)))
    widest: dict[int, tuple[int, Bounds]] = {}
    for edge in _grammar().edges(edges, ("much", "times")):
        if edge.end > widest.get(edge.start, (0, ()))[0]:
            widest[edge.start] = edge.end, cast(Bounds, edge.meaning)
    found: list[Bound] = []
    at = 0
    for start, (stop, bounds) in sorted(widest.items()):
        if start >= at:
            found, at = [*found, *bounds], stop
    return names, tuple(found)


def spoken(sentence: str) -> str:
    """The sentence with one kind of apostrophe and space; dashes stay, since they join and part in speech."""
    text = unicodedata.normalize("NFC", sentence)
    return text.translate(_SIGNS)


_SIGNS = {
    **dict.fromkeys(map(ord, "’‘′`"), "'"),
    **dict.fromkeys(map(ord, "“”″"), '"'),
    **dict.fromkeys(map(ord, "−‐‑"), "-"),
    **dict.fromkeys(map(ord, "\t\n\r\v\f\u00a0\u2009\u202f"), " "),
}


@cache
def _grammar() -> Grammar:
    modules = (
        composing_short,
        composing_orders,
        composing_counts,
        composing_sizes,
        composing_said,
        composing_short,
        composing_bounds,
        composing,
    )
    actions = {name: value for module in modules for name, value in vars(module).items() if callable(value)}
    return Grammar(_FILE.read_text("utf-8"), actions)
