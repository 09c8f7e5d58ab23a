"""Words that a class calls its whole parcel by: `a third of the garden`, where no zone is called so."""

from __future__ import annotations

import re
from collections.abc import Sequence

_OWN = frozenset(
    re.findall(
        r"\w+",
        """
        base surface zoo farm island colony camp campus kingdom planet station city yard tray community neighborhood
        neighbourhood estate grid garden gardens mat ranch resort fairground fairgrounds campsite campground realm
        empire region territory country county world layout page canvas tabletop outpost oasis reef hospital airport
        harbour harbor port spaceport seaport moonbase spaceship museum complex compound reserve preserve sanctuary
        terrain landscape mall festival grounds schoolyard courtyard park homestead district borough floor ice
        plan drawing
        """,
    )
)
_BEFORE = frozenset(["the", "our", "your", "my", "their", "this", "whole", "entire", "total", "of"])
_MORE = (
    "valley|forest|world|fort|plantation|dome|crater|seabed|lagoon|desert|jungle|playground|savannah|savanna|safari|"
    "wilderness|hamlet|suburb|castle|monastery"
)
LANDS = f"town|settlement|village|{_MORE}|{'|'.join(sorted(_OWN))}"
LAND = re.compile(rf"\b(?:{LANDS})\b", re.IGNORECASE)
"""Any word for all the land."""
_ORDERS = ("reserve", "preserve", "plan", "floor", "base", "page")
_WORD_BEFORE = re.compile(r"(\w+)\W+$")


def may_be_land(found: re.Match[str]) -> bool:
    """Whether what LAND found is no verb: `reserve 30% of the board`."""
    before = _WORD_BEFORE.search(found.string, 0, found.start())
    return found[0].lower() not in _ORDERS or (before is not None and before[1].lower() in _BEFORE)


def is_own_land(words: Sequence[str], at: int, names: Sequence[str]) -> bool:
    """Whether the word stands for the whole parcel: after `the`, `our` and the like, and in no zone's name.

    words: those of the sentence in small letters; names: the zones' own.
    """
    return words[at] in _OWN and at > 0 and words[at - 1] in _BEFORE and not is_in_a_name(words[at], names)


def is_in_a_name(word: str, names: Sequence[str]) -> bool:
    """Whether a word for land stands in a zone's name: `the garden` may then be the `herb garden`."""
    known = word in _OWN or word in _MORE.split("|")
    return known and any(word.rstrip("s") in (part.rstrip("s") for part in name.lower().split()) for name in names)
