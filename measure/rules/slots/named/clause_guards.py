"""What in a clause's words makes it none that can be read: it breaks off, denies a manner, or says what is liked."""

from __future__ import annotations

import re
from collections.abc import Sequence

from measure.rules.frames.chunks import Chunk


def breaks_off(chunks: Sequence[Chunk]) -> bool:
    """`Team A: ...`, `at most 1/5 of the`: what an article leads to is missing."""
    signs = ("COLON", "COMMA", "STOP")
    ends = [chunk for at, chunk in enumerate(chunks) if at + 1 == len(chunks) or chunks[at + 1].kind in signs]
    return any(chunk.kind == "A" or chunk.text.lower() == "the" for chunk in ends)


def is_disliked(chunks: Sequence[Chunk]) -> bool:
    """`Nobody wants ...`: what somebody thinks of it."""
    return any(chunk.kind == "NEG" and _DISLIKED.match(chunk.text) for chunk in chunks)


_DISLIKED = re.compile(r"(?:nobody|no one) (?:wants|likes|needs)|hates?\b|do(?:es)? not like", re.IGNORECASE)


def goes_on(order: Sequence[str]) -> bool:
    """`shall not touch the lake`: what is said of the zone before it."""
    return "PARTY" in order and order[0] in _VERBS


_VERBS = ("MODAL", "BE", "NEG", "TOUCH", "JOIN", "CMP", "COVER", "HAVE", "MAY", "OVERLAP")


_HARMLESS = frozenset(["directly", "physically"])


def denies_manner(chunks: Sequence[Chunk]) -> bool:
    """`must not be obviously bigger`, `not always`: the manner is denied, which leaves it open."""
    denied = False
    for chunk in chunks:
        text = chunk.text.lower()
        if denied and chunk.kind == "IDLE" and (text in _MANNER or (text.endswith("ly") and text not in _HARMLESS)):
            return True
        if chunk.kind in ("NEG", "NO"):
            denied = True
        elif chunk.kind not in ("IDLE", "BE", "MODAL", "PUT", "HAVE", "A"):
            denied = False
    return False


_MANNER = frozenset(re.findall(r"\w+", "always just really so too also well quite very anywhere everywhere simply"))
