"""Sentences that the grammars read otherwise than they are meant: refused, and nothing is offered but `by eye`.

Each pattern is held against the sentence with its zones masked and, where a harmless reading is possible, against what
the sentence was read as.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from measure.rules.language.zone_names import ZoneNames
from measure.rules.offers.offering import by_eye
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.words.lexicon import is_plural, zone_at, zone_of

ONE, MANY, OF_MANY, MADE_MANY = "\x01", "\x02", "\x03", "\x04"
"""A zone in the singular, in the plural, one piece of a zone that has a plural name (`a home` of `homes`), and the
plural of one that has none (`high schools` of a `high school`)."""
_Z = "[\x01\x02\x03\x04]"
_PLURAL = "[\x02\x04]"
_THE = r"(?:(?:the|an?|every|each|all|any|no|our|your)\s+)*"
_MODAL = r"(?:must|may|should|shall|can|could|might|ha(?:s|ve) to|needs? to|ought to|is|are|do|does|will)"
_PLACED = (
    r"(?:(?:that|which)\s+(?:is|are|touch\w*|overlap\w*|border\w*|lies?)|next to|beside|near|touching|bordering|"
    r"overlapping|along|by|in|inside|within)"
)
_TOGETHER = (
    r"\b(?:together|one|single|connected|combined|plus|sum|total|altogether|added|jointly|between them|all told)\b|\+"
)


@dataclass(frozen=True)
class _Trap:
    """What the masked sentence holds, what one of its readings must hold as well, and what is wrong then."""

    text: re.Pattern[str]
    reading: re.Pattern[str]
    why: str


def _trap(text: str, why: str, reading: str = "") -> _Trap:
    return _Trap(re.compile(text, re.IGNORECASE), re.compile(reading, re.IGNORECASE), why)


_PIECEWISE = r"^if .*\bfor (?:every|no|at least|at most|exactly|some)\b"
_PRONOUN_IF = (
    r"\b(?:if|unless|when|whenever|where|wherever|provided|as long as|in case|while|until)\s+(?:that\s+)?(?:it|they)\b"
)
_TRAPS = (
    _trap(
        rf"(?:\b(?:every|each|no|any|all|an?)\s+(?:one\s+)?(?:of\s+)?(?:the\s+)?(?:{_Z}|zone).*{_PRONOUN_IF}"
        rf"|{_PRONOUN_IF}.*\b(?:every|each|no|any|all|an?)\s+(?:one\s+)?(?:of\s+)?(?:the\s+)?(?:{_Z}|zone))",
        "`it` would be all pieces at once; write `for every piece of ...: if that piece of ... , then ...`",
        _PIECEWISE,
    ),
    _trap(
        rf"{_PLURAL}.*\b(?:if|unless)\s+they\b",
        "`they` can be each piece, or all at once; write `for every piece of ...: if that piece of ..., then ...`",
        r"^if ",
    ),
    _trap(
        rf"^\W*{_THE}(?:{_Z}|zones?)\s+{_PLACED}\b[^,;.:]*?{_Z}\s+and\s+[^,;.:]*?{_Z}[^,;.:]*\s"
        rf"(?:{_MODAL}|covers?|at least|at most)\b",
        "what stands before `and` says which ones are meant; write a rule for each",
    ),
    _trap(
        rf"(?:touch\w*|overlap\w*|\bin|inside|within\b[^,;.]*|next to|near|border\w*|beside)\s+{_THE}{_Z},?\s+"
        rf"(?:or|and)\s+at least\s+{_THE}{_Z}",
        "`at least` before a zone can be a size, or the least that is asked for; write a rule for each",
        r"\bat least (?:[\d.]+ x )?the area of\b",
    ),
    _trap(
        r"\bof (?:common |shared )?(?:border|boundary)\b",
        "the border is not the parcel's edge; write `the common border of ... and ... is at least ...`",
        r"\bto the edge\b",
    ),
    _trap(
        rf"\b(?:size|area|length|width|height)\s+of\s+{_THE}{_Z}\s+(?:\w+\s+)?(?:is|be|lies?)\s+between\b",
        "it can be a size or a place; write a rule for `at least` and one for `at most`",
        r"^(?!.*\b(?:area|length|width|height) of\b).* is between ",
    ),
    _trap(
        r"(?:\bnot|n't|\bcannot)\s+(?:just|always|really|simply|merely|necessarily|actually)\b",
        "`not` with such a word can leave it open, or ask for more; write `must not` or `must` alone",
        r".",
    ),
    _trap(
        r"\bboth\b.*\btogether\b",
        "`both ... together` was not understood as one sum; write `the area of ... and ... together`",
        rf"^(?!.*(?:{_TOGETHER})).*",
    ),
    _trap(
        rf"\b(?:than|as|of|to)\s+an?\s+{OF_MANY}",
        "`a ...` is one piece, and all of them together would be compared; write `every piece of ...`",
        r"(?:than|at least|at most|exactly|x|is) the (?:area|length|width|perimeter) of (?!that\b|every\b|each\b)",
    ),
    _trap(
        rf"\bthere\s+(?:is|are|must be|has to be|should be|needs to be)\s+(?:an?|one|at least one|some)\s+{_Z}\s.*"
        r"\b(?:all|both)\b",
        "it can be one and the same for all, or for each its own; write `at least 1 piece of ...`",
        r"^(?!for at least|at least|for some).*\bevery piece\b",
    ),
    _trap(
        rf"\bthere\s+(?:is|are|must be|have to be|should be|need to be)\s[^,;.]*{_Z},\s*"
        r"(?:which|that|who|cover\w*|at least|at most|more than|less than|no more|no less|touching|tak\w+)\b",
        "after the comma it can be of each of them, of all of them, or of all together; write a rule for each",
        r"^(?:for )?(?:the area of )?(?:at least|at most|exactly|more than|fewer than|\d)",
    ),
    _trap(
        r"%\s+of\s+(?:all|the|all the|all of the)\s+(?:other\s+)?zones?\b(?!.*\btogether\b)",
        "it can be of each of them, or of all together; write `of all zones together` or `every other zone`",
        r"\bevery (?:other )?zone\b",
    ),
    _trap(
        r"\bwithin\b[^,;.]*\bof\s+any\s+(?:other\s+)?zone\b",
        "`any` can mean every one, or at least one; write which",
        r"\b(?:every|each) (?:other )?zone\b.*\bat most\b",
    ),
    _trap(
        rf"\bboth\s+(?:of\s+)?(?:the\s+)?{MANY}(?!\s*(?:,|and\b|&|\+))",
        "`both` says that there are two; write a rule for how many there are, and one for `every piece of ...`",
        r"\bevery piece of\b",
    ),
    _trap(
        rf"\bthan\s+all\s+(?:of\s+)?(?:the\s+)?{_PLURAL}(?!.*(?:{_TOGETHER}))",
        "it can be each of them, or all together; write `every piece of ...` or `all pieces of ... together`",
        r"\bthe area of every piece of\b",
    ),
)
_DANGLING = re.compile(
    rf"(?:\b(?:and|but|while|whereas|or)|[,;])\s+{_THE}(?P<zone>{_Z})\s+(?P<word>{_MODAL})\W*$", re.IGNORECASE
)
_JOINED = re.compile(
    r"\b(?:gap|distance) (?:from|between) [^,]*\w and \w[^,]* together\b|\w and \w[^,]*? together (?:do(?:es)? not )?"
    r"(?:touch|overlap|lie|covers? the cent|(?:is|are) (?:not )?(?:partly )?"
    r"(?:in|inside|within|between|north|south|east|west)\b)"
)
"""Places that a formula takes of several zones at once."""


def check_misread(text: str, rules: Sequence[Rule], zones: ZoneNames) -> None:
    """Raise RuleMistake where the sentence is known to mean something else than the rules it was read as."""
    readings = [rule.reads_as() for rule in rules]
    if any(rule.kind.by_eye for rule in rules) or text.strip(" .!") in readings:
        return
    masked, spans = _masked(text, zones)
    for trap in _TRAPS:
        if trap.text.search(masked) and _is_taken(trap, readings):
            raise _refused(text, trap.why)
    _check_dangling(text, masked, spans, readings)
    _check_joined(text, readings)


def _is_taken(trap: _Trap, readings: Sequence[str]) -> bool:
    if trap.reading.pattern:
        return any(trap.reading.search(reading) for reading in readings)
    return len(readings) > 1


def _masked(text: str, zones: ZoneNames) -> tuple[str, list[str]]:
    """The sentence with a sign for every zone, and the zones in their order."""
    made, named, at = "", [], 0
    while at < len(text):
        starts = text[at].isalnum() and (at == 0 or not text[at - 1].isalnum())
        zone = zone_at(text, at, zones) if starts else None
        if zone is None:
            made, at = made + text[at], at + 1
            continue
        name = zone_of(zone[0], zones)
        sign = {(True, True): MANY, (True, False): MADE_MANY, (False, True): OF_MANY, (False, False): ONE}
        made, at = made + sign[is_plural(zone[0]), is_plural(name)], zone.end()
        named.append(name)
    return made, named


def _check_dangling(text: str, masked: str, named: Sequence[str], readings: Sequence[str]) -> None:
    """`must not touch the lake and the school must`: the school is no second lake."""
    found = _DANGLING.search(masked)
    if found is None:
        return
    last = named[-1]
    leads = any(re.match(rf"(?:the )?(?:area of )?(?:every piece of )?{re.escape(last)}\b", each) for each in readings)
    used = any(re.search(rf"\b{re.escape(last)}\b", each) for each in readings)
    allows = found["word"].lower() in ("may", "can", "could", "might")
    if not leads and (used or not allows):
        raise _refused(text, f"what {last} `{found['word']}` is not said; write a rule for each")


def _check_joined(text: str, readings: Sequence[str]) -> None:
    """`the park and the lake touch the north edge`: each of them, and a formula would take them together."""
    said = re.search(_TOGETHER, text, re.IGNORECASE)
    if not said and any(_JOINED.search(reading) for reading in readings):
        raise _refused(text, "each of them can be meant, or both together; write a rule for each")


def _refused(text: str, why: str) -> RuleMistake:
    whole = text.rstrip()
    offers = by_eye(whole)
    shown = " or ".join(f"`{offer}`" for offer in offers)
    return RuleMistake(whole, 0, len(whole), f"{why}; or write {shown}", offers, why)
