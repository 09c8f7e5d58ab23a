"""A way in which what a clause names makes rules: the sentences, and which concepts it has a use for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from measure.rules.slots.named.slots_said import Slots
from measure.rules.speech.words.meanings import Bound


def words(text: str) -> frozenset[str]:
    """Concepts by their names."""
    return frozenset(text.split())


CARRIERS = words(
    "PARTY AMOUNT BE MODAL MAY PUT HAVE A COMMA COLON OF FOR TO ON WITH BY IN AT KIND NEG NO NEITHER AGAIN STOP"
)
"""Concepts that carry any statement, and denials, which every way turns its statement by."""
MANY = words("BE PUT HAVE OF FOR TO ON WITH BY IN AT A COMMA GAP SIZE COVER PIECES FROM KIND PARTY AMOUNT AGAIN")
"""What may stand in a clause more than once."""
NOTE = " // "
"""Between a sentence and what is told of it: what was taken for said."""


@dataclass(frozen=True)
class Way:
    """The sentences that slots state in one way, and the concepts that it has a use for besides what carries any.

    twice: those of them that may stand there twice.
    """

    state: Callable[[Slots], Iterator[str]]
    uses: frozenset[str]
    twice: frozenset[str] = frozenset()

    def __call__(self, slots: Slots) -> Iterator[str]:
        """The sentences, the likeliest first; behind NOTE what is told."""
        return self.state(slots)

    def has_a_use_for_all(self, slots: Slots) -> bool:
        """Whether every concept of the clause is used or says nothing, and none is said twice but what may be."""
        kinds = slots.kinds
        if slots.denied > 1 or kinds["MODAL"] + kinds["MAY"] > 1 or not _is_clear(slots):
            return False
        if not _agrees(slots) or _is_wished(slots):
            return False
        if any(party.joint == "or" for party in slots.parties) and "OR" not in self.uses:
            return False
        if any(party.but for party in slots.parties) and "EXCEPT" not in self.uses:
            return False
        known = CARRIERS | (self.uses - {"OR", "EXCEPT"})
        if slots.bounds and not any(party.plural or party.each for party in slots.parties):
            known = known | {"VAGUE"}
        return all(kind in known and (count == 1 or kind in MANY | self.twice) for kind, count in kinds.items())


def _is_clear(slots: Slots) -> bool:
    """Whether what denies reaches one thing: not `not all homes`, `may or may not`, `we don't want: ...`."""
    if "NEG" in slots.order:
        at = slots.order.index("NEG")
        if any(party.quantifier in ("every", "all", "both") for party in slots.parties):
            return False
        if "COLON" in slots.order[at:] or (slots.has("MAY") and abs(slots.order.index("MAY") - at) > 1):
            return False
        return not set(slots.order[:at]) & {"AMOUNT", "CMP", "TOUCH", "OVERLAP", "INSIDE", "REGION", "SUPER", "SHAPE"}
    return not (slots.parties and slots.order[-1] in _BROKEN_OFF)


_BROKEN_OFF = ("AND", "TO", "OF", "FROM", "MODAL", "MAY", "THAN", "AS", "A", "FOR", "BY", "WITH")


def _agrees(slots: Slots) -> bool:
    """Whether no limit that is named stands against the one of the amount."""
    against = {
        "MOST": ("at least", "more than"),
        "LIMITED": ("at least", "more than"),
        "LEAST": ("at most", "less than"),
    }
    for kind, relations in against.items():
        if slots.has(kind) and any(bound.relation in relations for bound in slots.bounds):
            return False
    if slots.has("LEAST", "MOST") and any(bound.relation not in ("bare", "between") for bound in slots.bounds):
        return False
    if any(party.denied and party.count for party in slots.parties):
        return False  # `no at most two shops`
    lower = any(bound.relation in ("at least", "more than") for bound in (*slots.bounds, *_counts(slots)))
    return not (slots.has("MAY") and lower and not slots.denied)


def _is_wished(slots: Slots) -> bool:
    """`the mayor wants the lake to touch the park`, of which the first words are gone: nobody has to do it."""
    led = any(pair in (("TO", "TOUCH"), ("TO", "OVERLAP")) for pair in pairwise(slots.order))
    return led and not slots.has("MODAL", "MAY", "PUT", "HAVE", "NEG")


def _counts(slots: Slots) -> list[Bound]:
    return [party.count for party in slots.parties if party.count]
