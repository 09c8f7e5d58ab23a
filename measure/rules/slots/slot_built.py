"""What stands on the zones: heights, volumes, people, numbers of structures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from measure.rules.slots.named.slots_said import Party, Slots
from measure.rules.slots.slot_counts import alone, few, is_whole
from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.way import Way, words

_ELSEWHERE = re.compile(r"\b(?:outside|beyond|other than|not (?:in|on))\b", re.IGNORECASE)
"""`no structure outside the lab`: not those in it."""


def heights(slots: Slots) -> Iterator[str]:
    """So tall: every structure, or the tallest one."""
    bound = amount_and_tolerance(slots)
    if bound is None or bound.measure != "length" or len(slots.parties) > 1 or slots.strong - _TALL:
        return
    if not (slots.has("HEIGHT", "BUILDING", "RISE") or bound.flavour == "height") or bound.flavour not in (
        "",
        "height",
    ):
        return
    if slots.has("BUILDING") and not slots.has("HEIGHT", "RISE") and bound.flavour != "height":
        return  # how far a building is
    party = slots.parties[0] if slots.parties else Party()
    if party.count or len(party.names) > 1 or _ELSEWHERE.search(slots.text):
        return
    where = f" in {party.names[0]}" if party.names else ""
    for limit in limits(slots, bound, first=("at most", "at least", "exactly")):
        yield (
            f"every structure{where} is {limit.text(' tall')}"
            if not limit.tolerance
            else (f"every structure{where} is {replace(limit, tolerance=None).text(' tall')}{limit.within}")
        )
        if limit.relation in ("at least", "more than") and party.names and not party.each:
            yield f"{party.names[0]} is {limit.text()} tall"


_TALL = frozenset(["HEIGHT", "BUILDING", "CMP", "SUPER"])


def volumes(slots: Slots) -> Iterator[str]:
    """So much volume."""
    bound = amount_and_tolerance(slots)
    if bound is None or slots.strong - {"TOGETHER", "BUILDING"} or bound.measure != "volume" or len(slots.parties) > 1:
        return
    if slots.parties and (slots.parties[0].each or slots.parties[0].denied):
        return  # `no cottage`: of each building by itself
    whose = slots.parties[0].land if slots.parties and slots.parties[0].names else "all structures"
    for limit in limits(slots, bound):
        yield f"the volume of {whose} is {limit.text()}"


def people(slots: Slots) -> Iterator[str]:
    """So many people."""
    if slots.strong - {"PEOPLE", "BUILDING", "TOGETHER", "RATIO"} or not slots.has("PEOPLE") or len(slots.parties) > 1:
        return
    bounds = [bound for bound in slots.bounds if is_whole(bound)]
    if len(bounds) != len(slots.bounds) or not 1 <= len(bounds) <= 2:
        return
    whole, *rest = sorted(bounds, key=lambda bound: -bound.amount.number)
    party = slots.parties[0] if slots.parties else Party()
    if party.count or party.each or len(party.names) > 1:
        return
    for limit in limits(slots, whole):
        for unit in ("in", "cm") if rest else ("",):
            at = f" at {rest[0].amount} people per cubic {unit}" if rest else ""
            if rest and not re.search(r"\bcu(?:bic|\b)|³", slots.text):
                continue
            if party.names and unit in slots.text:
                yield (
                    f"{party.names[0]} house {limit.text()} people{at}"
                    if rest
                    else (f"the people in {party.names[0]} is {limit.text()}")
                )


def structures(slots: Slots) -> Iterator[str]:
    """So many structures."""
    bound = amount_and_tolerance(slots)
    if bound is None or not is_whole(bound) or slots.strong - {"BUILDING", "NUMBER"} or not slots.has("BUILDING"):
        return
    if len(slots.parties) > 1 or any(party.count or len(party.names) > 1 for party in slots.parties):
        return
    where = f" in {slots.parties[0].names[0]}" if slots.parties and slots.parties[0].names else ""
    for limit in limits(slots, bound, first=alone(slots)):
        yield f"there are {few(limit)} structures{where}"


BUILT = (
    Way(heights, words("ABOUT HEIGHT BUILDING RISE LEAST MOST LIMITED FALL EACH_AFTER")),
    Way(volumes, words("TOGETHER BUILDING VOLUME LEAST MOST LIMITED FALL SIZE")),
    Way(people, words("PEOPLE BUILDING TOGETHER RATIO LIVE ROOM_FOR LEAST MOST")),
    Way(structures, words("BUILDING NUMBER LEAST MOST LIMITED FALL")),
)
