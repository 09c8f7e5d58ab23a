"""Clauses that allow: `the park may touch the lake`; what denies, limits or is a reason is none."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_MAY = re.compile(r"\b(?:may|can|could|is allowed to|are allowed to)\b(?!\s*(?:not|never)\b|'t)", re.IGNORECASE)
"""What allows, unless a denial follows."""
_DENIED = re.compile(r"\b(?:no|none|not|nothing|neither|nor|never|only|nobody)\b", re.IGNORECASE)
_OF_ALL = re.compile(r"^\W*(?:no|none|nothing|neither|nobody|only)\b", re.IGNORECASE)
_LIMITED = re.compile(
    r"\b(?:at (?:the )?(?:very )?most|max\w*|up to|less than|fewer|smaller|shorter|lower|under|below|within|between|"
    r"tops|or (?:less|closer|nearer)|exceed|limit\w*|closer than|nearer than|from .* to)\b|[<≤]|\d\s?[-–]\s?\d",
    re.IGNORECASE,
)
"""What sets an upper limit, so that what is allowed is a rule."""
_BEFORE = re.compile(r"[,;:.(]\s|\b(?:and|but|or|while)\b|(?P<reason>\b(?:so|because|since|where)\b)", re.IGNORECASE)
_AFTER = re.compile(r"[,;:.)]\s|\b(?:and|but|or|while|so|because|since)\b", re.IGNORECASE)

_THE_LEAST = re.compile(r"\b(?:is|are) the (?:very )?(?:least|smallest|fewest|minimum)\b[^,;:.]*$", re.IGNORECASE)


@dataclass(frozen=True)
class Allowing:
    """A word that allows; limited: its clause sets an upper limit; whole: there is no other clause."""

    word: str
    start: int
    end: int
    limited: bool
    whole: bool


def allowing(text: str) -> Iterator[Allowing]:
    """Every word that allows what its clause says, without a denial in it."""
    if _OF_ALL.search(text):
        return
    for found in _MAY.finditer(text):
        breaks = list(_BEFORE.finditer(text, 0, found.start()))
        if breaks and breaks[-1]["reason"]:
            continue  # `... so kids can swim`
        if _THE_LEAST.search(text, 0, found.start()):
            continue  # `20 sq in is the least the park may cover`
        after = _AFTER.search(text, found.end())
        clause = text[breaks[-1].end() if breaks else 0 : after.start() if after else len(text)]
        if not _DENIED.search(clause):
            limited = bool(_LIMITED.search(clause))
            yield Allowing(found[0], *found.span(), limited, not breaks and after is None)
