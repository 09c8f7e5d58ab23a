"""How a zone is, before what is asked of it: `The fish market smells, so keep it ...`. Left out, and `it` named."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measure.rules.speech.words.lexicon import Zones, zones_in
from measure.rules.speech.words.phrases import heavy_words, words_known

_VERY = r"(?:(?:very|really|so|too|quite|super|pretty|kind of|a bit|rather|terribly|awfully|always|extremely|also)\s+)*"
_HOW = (
    "loud|noisy|smelly|stinky|dirty|filthy|dangerous|busy|hot|cold|wet|muddy|deep|ugly|scary|beautiful|pretty|lovely|"
    "quiet|peaceful|important|special|sacred|toxic|poisonous|explosive|flammable|fragile|shy|hungry|gross|fun|boring|"
    "famous|historic|crowded|slippery|dusty|smoky|unsafe|unhealthy|nasty|annoying|messy|popular|precious|holy|bright|"
    "dark|steep|windy|rocky|sandy|grumpy|sleepy|wild|friendly|strong|weak|heavy|old|new|full of [a-z]+"
)
_WISHED = (
    "reachable|handy|accessible|safe|convenient|visible|easy to (?:get to|reach|find|see)|protected|quiet|peaceful"
)
_THINGS = (
    "noise|smoke|smell|smells|dust|fumes|pollution|traffic|mess|sparks|light|heat|steam|sunlight|sun|water|shade|"
    "fresh air|peace|quiet|peace and quiet|visitors|trucks|rats|flies|bees|children|kids|animals"
)
_TOLD = re.compile(
    rf"\s+(?:(?:is|are|can be|could be|will be|gets?|looks?|smells?|sounds?|feels?)\s+{_VERY}(?:{_HOW})"
    rf"(?:(?:,| and|, and)\s+{_VERY}(?:{_HOW}))*"
    rf"|(?:has to|have to|must|needs? to|should|ought to)\s+be\s+{_VERY}(?:{_WISHED})"
    r"|(?:is|are)\s+(?:home to|the (?:heart|pride|soul|jewel) of|full of|made of)\s+(?:(?:the|our|your|many|"
    r"lots of)\s+)?[a-z]+"
    r"|(?:is|are)\s+(?:where|what)\s+[a-z]+(?:\s+[a-z]+)?|(?:wants?|likes?|loves?) to be (?:left )?alone"
    r"|(?:stinks?|smells?|pongs?|reeks?|burns?|glows?|leaks?|rumbles?)(?:\s+(?:bad|badly|awful|terrible|horrible|"
    r"a lot|a bit))?"
    rf"|(?:makes?|gives? off|throws?|attracts?|brings?|has|have|needs?|likes?|loves?)\s+"
    rf"(?:(?:a lot of|lots of|plenty of|so much|too much|much|loud|bad|hot|some|many)\s+)?(?:{_THINGS}))\b",
    re.IGNORECASE,
)
_START = re.compile(r"\s*(?:(?:because|since|as)\s+)?(?:(?:the|our|your|a|an|all|these)\s+)*", re.IGNORECASE)
_BREAK = re.compile(
    r"\s*(?:[.!?;:]+\s+|,?\s*[–—-]\s+|,?\s*(?=(?:and\s+)?(?:so|therefore|which is why|that's why|that is why|hence|"
    r"thus)\b)|"
    r"(?P<comma>,\s*))",
    re.IGNORECASE,
)
_SO = re.compile(
    r"^(?:and\s+)?(?:so|therefore|hence|thus|which is why|that's why|that is why|for (?:this|that) reason)\b[,:]?\s*",
    re.IGNORECASE,
)
ASIDE = re.compile(
    rf",\s*(?:which|who)\s+(?:is|are|can be|gets?|looks?|smells?)\s+{_VERY}(?:{_HOW}|tall|big|huge|tiny)"
    rf"(?:(?:,| and|, and)\s+{_VERY}(?:{_HOW}))*,\s*|,\s*(?:which|who)\s+(?:stinks?|smells?),\s*",
    re.IGNORECASE,
)
"""`The silo, which is very tall, must ...`"""
_IT = re.compile(r"\b(?P<it>it|they|them|its|their)\b(?P<is>'s|'re)?", re.IGNORECASE)


def without_description(text: str, zones: Zones) -> Iterator[str]:
    """What is left of a sentence that begins with how a zone is; the zone's name in place of the first `it`."""
    start = _START.match(text)
    at = start.end() if start else 0
    zone = zones.match(text, at)
    told = (_TOLD.match(text, zone.end()) or _does(text, zone.end(), zones)) if zone else None
    end = _BREAK.match(text, _tail(text, told.end(), zones)) if told else None
    if zone is None or end is None:
        return
    reason = bool(re.match(r"\s*(?:because|since|as)\b", text, re.IGNORECASE))
    if bool(end["comma"]) != reason:
        return
    rest = _SO.sub("", text[end.end() :])
    if not rest.strip():
        return
    found = _IT.search(rest)
    if found is None:
        yield rest
    elif _may_stand(rest, found.start(), zones):
        owner = "'s" if found["it"].lower() in ("its", "their") else ""
        be = {"'s": " is", "'re": " are"}.get(found["is"] or "", "")
        named = f"the {zone[0]}{owner}{be}"
        yield f"{rest[: found.start()]}{named}{rest[found.end() :]}"


_TAIL = re.compile(r"(?:\s+[a-z'-]+){1,7}?(?=\s*[.!?;:]|,|\s+[–—-]\s|\s+so\b|\s+and so\b)", re.IGNORECASE)


def _tail(text: str, at: int, zones: Zones) -> int:
    """Where a description ends that goes on with words no rule could turn on: `needs water to turn its wheel`."""
    found = _TAIL.match(text, at)
    words = found[0].lower().split() if found else []
    if found is None or words[0] not in _TAIL_BEGINS:
        return at
    if _UNLESS & set(words) or any(word in heavy_words() - _DAYS or word.endswith("n't") for word in words):
        return at
    return at if any(zones_in(found[0], zones)) else found.end()


_TAIL_BEGINS = {"to", "for", "at", "in", "of", "with", "when", "every", "because", "all", "day"}
_UNLESS = {"unless", "except", "only", "not", "no", "never", "if", "until", "but", "or"}
_DAYS = {"turn", "every", "when", "day", "night", "at", "live", "its", "their"}
_DOES = re.compile(
    r"\s+(?:also |always |often |sometimes )?(?P<verb>[a-z]+)(?P<rest>(?:\s+[a-z'-]+)*?)(?=\s*[.!?;:]|,|\s+[–—-]\s|"
    r"\s+so\b|\s+and so\b)",
    re.IGNORECASE,
)
_BETWEEN_ANIMALS = re.compile(
    r"(?:eats?|chases?|hunts?|scares?|frightens?|bothers?|annoys?|hates?|fears?)\b", re.IGNORECASE
)

_LIVING = re.compile(r"(?:eat|chase|hunt|scare|like|love|hate|sleep|play|swim|fly|jump|open|close|need)s?")


def _does(text: str, at: int, zones: Zones) -> re.Match[str] | None:
    """`Monkeys steal food`, `Lions eat monkeys`: a verb that no rule has, and no word that a rule could turn on."""
    found = _DOES.match(text, at)
    if found is None:
        return None
    words = [word.lower() for word in re.findall(r"[a-z'-]+", found["rest"], re.IGNORECASE)]
    verb, heavy = found["verb"].lower(), heavy_words()
    known = {verb, verb.removesuffix("s"), verb.removesuffix("es")} & words_known()
    if known and not _LIVING.fullmatch(verb):
        return None
    if any(word in heavy or (word.endswith(("n't", "ly")) and word != "early") for word in words):
        return None
    named = any(zones_in(found["rest"], zones))
    return None if named and not _BETWEEN_ANIMALS.fullmatch(verb) else found


_BESIDE = re.compile(r"\b(?:from|of|to|near|next to|beside|touch(?:es)?|than|overlaps?)\s+$", re.IGNORECASE)


def _may_stand(rest: str, at: int, zones: Zones) -> bool:
    """`it` before any zone, or beside the only one: `The school must be 3 in from it`."""
    before = [zone for zone in zones_in(rest, zones) if zone.start() < at]
    after = any(zones_in(rest, zones, at))
    return not before or (len(before) == 1 and not after and bool(_BESIDE.search(rest[:at])))
