"""Spellings that people take in two ways, or that ask for nothing: refused before they are read, with what to write.

A wrong guess among them would be a wrong verdict, so that none is made.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from measure.rules.sentences.rule_mistake import RuleMistake


@dataclass(frozen=True)
class _Trap:
    """A pattern, what is wrong with it, and what may stand in place of the pattern's group `said` instead."""

    pattern: re.Pattern[str]
    why: str
    instead: tuple[str, ...] = ()


def _trap(pattern: str, why: str, *instead: str) -> _Trap:
    return _Trap(re.compile(pattern, re.IGNORECASE), why, instead)


_NOT = r"(?:\bnot\b|n't\b|\bnever\b|\bcannot\b)"
_TRAPS = (
    _trap(r"^\s*(?P<said>no),", "`{said},` may deny what follows; leave it out, or begin with `no` without the comma"),
    _trap(
        r"\b(?P<said>(?:total|combined|overall)\s+(?:area|size|land)s?\s+of\s+(?:all|every|each)(?:\s+of)?(?:\s+the)?"
        r"\s+(?:other\s+)?zones?)\b(?!.*\btogether\b)",
        "`{said}` can mean each of them, or all together; write which",
        "area of all zones together",
        "area of every zone",
    ),
    _trap(
        r"\b(?:every|each|no|any|all)\s+(?:the\s+)?(?P<zone>[a-z]{3,}?)(?:s|es)?\b.*\b(?P<said>an?)\s+(?P=zone)\b",
        "`{said} ...` would be held against itself; write `another`",
        "another",
    ),
    _trap(
        r"^\s*no\s+zones?\s+(?P<said>(?:(?:is|are|may|must|can|should|lies?|be|lie|completely|fully|wholly|entirely)\s+)*(?:in|inside|within)"
        r"\s+(?:another|any other|other)(?:\s+zones?|\s+one)?)\s*[.!]*\s*$",
        "`no zone {said}` can mean that no two overlap, or that none lies wholly in another",
        "may overlap another zone",
    ),
    _trap(
        r"^\s*only\b.*?\b(?P<said>must|has to|have to|needs? to|should|shall)\b",
        "`only ... {said}` can mean that no other may, or that no other has to; write `only ... may` for the first",
        "may",
    ),
    _trap(
        rf"{_NOT}.*\b(?:and|but|while|whereas)\b.*\b(?P<said>do|does)\s*[.!]*\s*$",
        "it is not clear what `{said}` stands for here; write a rule for each",
    ),
    _trap(
        r"\b(?P<said>(?:do|does|did|is|are|am)(?: not|n't) (?:have|need|required|obliged) to|need(?:s)?(?: not|n't))\b",
        "`{said}` asks for nothing; leave the rule out, or write `must not` where it is forbidden",
    ),
    _trap(
        r"^\W*(?:no|none|neither|nothing)\b(?! (?:more|less|fewer)\b)[^,;:.!?]*?\b(?P<said>(?:has|have|needs?) to)\b",
        "`no ... {said}` asks for nothing; leave the rule out, or write `may` in its place where it is forbidden",
        "may",
    ),
    _trap(
        r"^\s*(?:no|none|nothing)\b(?!.*\btogether\b)[^:;]*\b"
        r"(?<!\band )(?<!\bat )(?P<said>every other|everything|every|all(?: of)?(?: the)?)\b"
        r"(?! (?:of )?(?:the )?(?:people|land|dwellers))",
        "it can mean none of them, or not all of them at once; write `any` in place of `{said}` where it is none",
        "any",
    ),
    _trap(
        rf"^(?!.*\bnot both\W*$)(?:\s*(?:no|none|nothing)\b|.*?{_NOT})(?!.*\btogether\b).*\b(?P<said>both)\b",
        "it can mean neither, or not both at once; write a rule for each where it is neither",
    ),
    _trap(
        rf"{_NOT}.*\b(?P<said>everything)\b",
        "it can mean nothing at all, or not everything; write `any other zone` where it is nothing at all",
        "any other zone",
    ),
    _trap(
        r"^\s*(?P<said>(?:all|every|each(?! of))\s(?!zone except)[^:;]*?\b(?:do|does)(?: not|n't))\b",
        "it can mean none of them, or not all of them; begin with `no` where it is none",
    ),
    _trap(
        r"^\s*(?:all\s+)?(?:the\s+)?(?P<said>zones)\s+(?:may |must |can |should )?(?:cover|take up|use|occupy)\b",
        "it can mean each zone, or all of them; write `every zone covers` or `all zones together cover`",
    ),
    _trap(
        r"^\s*(?P<said>only)\s+(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten)\b",
        "`only` can mean at most so many, or exactly so many; write which",
        "at most",
        "exactly",
    ),
    _trap(
        rf"^(?!.*(?:\b(?:no|none|nothing|neither|nor|without|if)\b|{_NOT})).*\b(?:touch(?:es)?|overlaps?)\s+(?P<said>any)\b",
        "`any` can mean every one, or at least one; write which",
        "every",
        "at least one",
    ),
)


def check_one_meaning(text: str, is_read: Callable[[str], bool]) -> None:
    """Raise RuleMistake where the sentence could be taken in two ways, or asks for nothing.

    is_read says whether a sentence can be offered instead.
    """
    if text.lstrip().lower().startswith("by eye"):
        return
    for trap in _TRAPS:
        found = trap.pattern.search(text)
        if found is None:
            continue
        start, end = found.span("said")
        offers = (f"{text[:start]}{words}{text[end:]}".strip() for words in trap.instead)
        said = trap.why.format(said=found["said"])
        raise RuleMistake(text.rstrip(), start, end, said, [offer for offer in offers if is_read(offer)])


_NOT_IN = re.compile(r"\b(?P<said>(?:is|are) not (?:in|inside))\b(?! (?:one|the same)\b)", re.IGNORECASE)


def check_denied_place(text: str, is_read: Callable[[str], bool]) -> None:
    """Raise RuleMistake where something `is not in` a place: no part of it, or not all of it."""
    found = _NOT_IN.search(text)
    if found is None:
        return
    ways = ("does not overlap", "is not partly in")
    offers = [f"{text[: found.start()]}{way}{text[found.end() :]}".strip() for way in ways]
    why = f"`{found['said']}` can mean no part of it, or not all of it; write `not: ... is in` for the second"
    raise RuleMistake(text.rstrip(), *found.span("said"), why, [offer for offer in offers if is_read(offer)])


_COUNT = re.compile(r"\s*there (?:is|are) ", re.IGNORECASE)
_LOWER = re.compile(r"\bat least\b|\bmore than\b", re.IGNORECASE)
_BOUND = re.compile(r"\b(?:at least|at most|more than|less than|fewer than|between|exactly)\b", re.IGNORECASE)
_ANY_NUMBER = re.compile(r"\s*there is an? ", re.IGNORECASE)


def check_limits_of_list(text: str, rules: Sequence[str]) -> None:
    """Raise RuleMistake where a list's limit may go on to later things: `at least 2 homes and 3 shops`.

    rules are the sentences that the list is read as, one for each thing.
    """
    if not all(_COUNT.match(rule) for rule in rules):
        return
    for at, first in enumerate(rules):
        limit = _BOUND.search(first)
        if limit is None:
            continue
        for later in rules[at + 1 :]:
            if _BOUND.search(later) or (_LOWER.search(first) and _ANY_NUMBER.match(later)):
                continue
            whole = text.rstrip()
            said = f"`{limit[0]}` can be meant of the first thing alone, or of all; write a rule for each"
            raise RuleMistake(whole, 0, len(whole), said)
