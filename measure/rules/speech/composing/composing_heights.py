"""The tallest of all: actions of grammar.txt."""

from __future__ import annotations

from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import Said, Sentences, Whom


def none_taller(where: Whom, entry: str, zone: Named) -> Sentences | None:
    """`no building may be taller than the lighthouse`: those in it aside."""
    if where.names or entry != "more height":
        return None
    text = f"for every zone except {zone.name}: the height of that zone is at most the height of {zone.name}"
    return (Said("", text, zone.name),)
