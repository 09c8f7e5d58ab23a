"""One clause's noun phrases, amounts and concepts, for frames to be held against."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from measure.rules.frames.chunks import UNKNOWN, Chunk, chunks_of, spelled
from measure.rules.frames.things import Item, Thing, items_of, joined
from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.meanings import Bound

_CARRIERS = ("BE", "MODAL", "A", "COMMA", "PUT", "HAVE")
"""Words that carry any statement and say nothing of their own."""
_VERBS = ("BE", "MODAL", "MAY", "PUT", "HAVE", "AND", "OR", "TO", "OF", "FROM", "COLON")


@dataclass(frozen=True)
class Clause:
    """A clause's items in their order; lists of zones are one item."""

    items: tuple[Item, ...]

    @property
    def kinds(self) -> Counter[str]:
        """How many there are of each kind."""
        return Counter(item.kind for item in self.items)

    @property
    def order(self) -> str:
        """The kinds in their order, without those that carry any statement."""
        return " ".join(item.kind for item in self.items if item.kind not in (*_CARRIERS, "MAY", "NEG", "OWN_SIZE"))

    @property
    def things(self) -> tuple[Thing, ...]:
        """The noun phrases."""
        return tuple(item.thing for item in self.items if item.thing is not None)

    @property
    def bounds(self) -> tuple[Bound, ...]:
        """The amounts."""
        return tuple(item.chunk.bound for item in self.items if item.chunk.bound is not None)

    @property
    def denials(self) -> int:
        """How often it denies."""
        return self.kinds["NEG"] + sum(thing.quantifier in ("no", "neither") for thing in self.things)

    def has(self, *kinds: str) -> bool:
        """Whether there is an item of one of the kinds."""
        return any(item.kind in kinds for item in self.items)

    def values(self, kind: str) -> tuple[str, ...]:
        """What the items of a kind stand for."""
        return tuple(item.chunk.value for item in self.items if item.kind == kind)

    def texts(self, kind: str) -> tuple[str, ...]:
        """The words of the items of a kind, in small letters."""
        return tuple(item.chunk.text.lower() for item in self.items if item.kind == kind)

    def index(self, kind: str) -> int:
        """Where the first item of a kind stands; -1 without any."""
        return next((at for at, item in enumerate(self.items) if item.kind == kind), -1)

    def holds_only(self, idle: Sequence[str], most: Mapping[str, int]) -> bool:
        """Whether all items are carriers, idle ones, or of kinds of which there are not more than so many."""
        kinds = self.kinds
        return all(kind in _CARRIERS or kind in idle or count <= most.get(kind, 0) for kind, count in kinds.items())


def clause_of(text: str, zones: Zones) -> Clause | None:
    """The clause that a text is; None where a word is unknown or it breaks off."""
    return clause_of_chunks(chunks_of(spelled(text), zones))


def clause_of_chunks(chunks: Sequence[Chunk]) -> Clause | None:
    """The same of its chunks."""
    items = items_of(chunks)
    clause = Clause(joined(_without_label_sign(items)))
    if clause.has(UNKNOWN, "IT", "BUT", "STOP") or not (clause.things or clause.has("EMPTY")):
        return None
    kinds = clause.kinds
    if kinds["MODAL"] + kinds["MAY"] > 1 or clause.denials > 1:
        return None
    broken = clause.items[-1].kind in _VERBS and clause.order != NEARER_THAN_IS
    return None if broken or _needless(clause) else clause


NEARER_THAN_IS = "THING CMP TO THING THAN THING"
_NEED = re.compile(r"(?:has|have|had|need|needs|got|is|are)\b", re.IGNORECASE)


def _needless(clause: Clause) -> bool:
    """`no clinic has to be`, `never needs to`: asks for nothing."""
    denied = False
    for item in clause.items:
        denied = denied or item.kind == "NEG" or (item.thing is not None and item.thing.quantifier in ("no", "neither"))
        if item.kind == "MODAL" and denied and _NEED.match(item.chunk.text):
            return True
    return False


def _without_label_sign(items: Sequence[Item]) -> list[Item]:
    """`Playground - 5 % of the board`: the sign after the zone that a line is about."""
    made = list(items)
    for at in (3, 1):
        if len(made) > at and made[at].kind == "COLON" and made[at - 1].thing is not None:
            between = at == 1 and len(made) > 2 and made[2].thing is not None
            replaced = replace(made[at], kind="AND") if between else None
            made[at : at + 1] = [replaced] if replaced else []
    return made
