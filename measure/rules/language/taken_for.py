"""Words of a sentence that were taken in one of two ways, each with the reading taken and the other one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.speech.words.pronouns import pronoun_of_first
from measure.rules.zone_groups import Group

_TRYING = re.compile(r"\b(?:try to|aim (?:for|to))\b", re.IGNORECASE)
_FURTHER = re.compile(r"\b(?:further|farther)\s+(?P<way>north|south|east|west)\s+than\b", re.IGNORECASE)
_GIVEN = re.compile(
    r"\b(?:gets?|gives?)\b[^,;.]*\b(?P<part>(?:north|south|east|west)\w*\s+(?:half|third))\b", re.IGNORECASE
)
_ANY = re.compile(r"^\W*any\b", re.IGNORECASE)
_TOGETHER = re.compile(r"\b(?:together|combined|plus|sum|total|altogether)\b|\+", re.IGNORECASE)
_EXACT = re.compile(r"\bnumber of pieces of [^,:]+? is exactly (?P<number>[1-9]\d*)\b")
_SAID_EXACT = re.compile(r"\b(?:exactly|only|just|precisely)\b|=", re.IGNORECASE)
_LISTED = re.compile(r"\barea of (?P<zones>[^,:]+? and [^,:]+?) together\b")
_EACH_PLACE = re.compile(r"^either (?P<zone>[^,:]+?) (?:are|is) in [^,:]+, or (?P=zone) (?:are|is) in ")


def taken(text: str, parts: Sequence[ReadRule], zones: ZoneNames) -> Iterator[str]:
    """What was taken for what."""
    readings = [part.rule.reads_as() for part in parts]
    if text.strip(" .!") in readings or any(part.rule.kind.by_eye for part in parts):
        return
    yield from _of_words(text, parts)
    pronoun = pronoun_of_first(text, zones)
    if pronoun and any(pronoun[1] in reading for reading in readings[1:] or readings):
        yield f"`{pronoun[0]}` was taken as {pronoun[1]}; name the zone where another is meant"
    for part, reading in zip(parts, readings, strict=True):
        if part.rule.kind.name == "formula":
            yield from _of_formula(text, reading, " ".join(part.warnings), zones)


def _of_words(text: str, parts: Sequence[ReadRule]) -> Iterator[str]:
    reading = parts[0].rule.reads_as()
    trying, further, given = _TRYING.search(text), _FURTHER.search(text), _GIVEN.search(text)
    if trying and "empty land" not in reading:
        yield f"`{trying[0]}` was read as a rule that has to be kept; leave the rule out where trying is enough"
    if further:
        way = further["way"].lower()
        yield f"`{further[0]}` was read as lying wholly {way} of it; else write `by eye:`"
    if given and " is in the " in reading:
        yield f"read as lying in the {given['part']}; write `by eye:` where all of that has to be filled"
    if _ANY.search(text) and parts[0].rule.subject.mode == "pieces" and not parts[0].rule.negated:
        (zone, *_) = parts[0].rule.subject.names
        yield f"`any` was read of every piece; write `at least 1 piece of {zone}` where one is enough"


def _of_formula(text: str, reading: str, told_already: str, zones: ZoneNames) -> Iterator[str]:
    exact, listed, place = _EXACT.search(reading), _LISTED.search(reading), _EACH_PLACE.search(reading)
    if exact and "exactly" not in told_already and not _SAID_EXACT.search(text):
        yield f"read as exactly {exact['number']}; write `at least {exact['number']}` where more are welcome"
    if listed and "together" not in told_already and not _TOGETHER.search(text):
        yield f"read as {listed['zones']} together; write a rule for each where each is meant"
    if place and Group((place["zone"],)).plural:
        zone = place["zone"]
        yield f"all of {zone} lie in the one, or all in the other; write `every piece of {zone}` where each is meant"
    nearest = next((name for name in zones.names if Group((name,)).plural and _near(name, reading)), None)
    if nearest and "nearest piece" not in told_already and "nearest" not in text:
        yield f"the nearest piece of {nearest} decides; write `every piece of {nearest}` where each is meant"


def _near(name: str, reading: str) -> bool:
    """Whether the formula asks that something is near to, or touches, a zone of several pieces."""
    zone = rf"(?<!piece of )(?<!pieces of )(?<!\w){re.escape(name)}"
    gap = rf"gap from (?:{zone} to [^,:]+?|[^,:]+? to {zone}) is (?:at most|less than)"
    return re.search(rf"{gap}|{zone} touch(?:es)?\b|\btouch(?:es)? {zone}(?!\w)", reading) is not None
