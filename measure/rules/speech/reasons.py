"""Reasons and purposes beside a rule, told by the word that joins them: `To let sun in, ...`, `... so that kids sleep`.

A reason asks for nothing of its own: it names no zone with an amount, no pronoun for a zone, and nobody who builds.
"""

from __future__ import annotations

import re

from measure.rules.sentences.amount_words import number_at
from measure.rules.speech.words.lexicon import Zones, zones_in

_PURPOSE = (
    r"(?:let|keep|make|help|give|stop|prevent|avoid|protect|save|allow|reduce|cut down|cut|encourage|provide|bring|"
    r"attract|feed|serve|catch|enjoy|stay|leave|shelter|shield|preserve|respect|spare|support|supply|water|power|light|"
    r"cool|warm|welcome|please|remain|escape|fight|ease|improve|maintain|guard|control|lower|minimi[sz]e|maximi[sz]e|"
    "be safe|be fair|"
    r"live|breathe|sleep|play|swim|walk|store|move|grow|run|get (?:to|around|enough|fresh|plenty|some))\b"
)
_LEAD_TO = re.compile(
    rf"^\W*(?:(?:in order|so as)\s+(?:not\s+)?)?to\s+(?:not\s+)?{_PURPOSE}[^.!?;:]*,\s*$", re.IGNORECASE
)
_LEAD_WHY = re.compile(
    r"^\W*(?:because|since|given that|seeing (?:that|as)|considering that|so that|so|as(?!\s+(?:long|far|soon|big|"
    "large|"
    r"much|many|if|for|in|to|with|of|per|a|an|well|good|small|close|near)\b))\s[^.!?;:]*,\s*$",
    re.IGNORECASE,
)
_LEAD_SO = re.compile(
    r"^(?:and\s+)?(?:so|therefore|hence|thus|which is why|that's why|that is why)\b(?! that\b)", re.IGNORECASE
)
_AFTER_WHY = re.compile(
    rf"^\W*(?:because|since|as(?=\s+(?:the|there|our|no|nobody|people|kids|children|\w+s)\b)|so that|so|"
    "in order (?:not )?to|"
    rf"so as (?:not )?to|to\s+(?:not\s+)?(?={_PURPOSE})|where(?!\s+(?:it|they|there)\b)|for the sake of|which means)\s",
    re.IGNORECASE,
)
_ITS_THING = re.compile(
    r"\b(?:its|their)\s+(?:own\s+)?(?:smoke|noise|smells?|dust|fumes|water|light|heat|stink|steam|sound|rubbish|"
    "traffic|"
    r"pollution|waste|shade|shadow|odou?rs?|sparks|glow|exhaust)\b",
    re.IGNORECASE,
)
_POINTING = re.compile(
    r"\b(?:it|its|they|them|their|theirs|this(?! (?:size|year|time|way|area|kind|big|small))|these|those|each|both|"
    "one another|everything|nothing|anything|neither|either|"
    r"none|zones?|pieces?|outlines?|tapes?|boards?|parcel|edges?|corners?|sides?|borders?)\b",
    re.IGNORECASE,
)
_ASKING = re.compile(
    r"\b(?:must|should|shall|ought|may|might|has to|have to|needs? to|required|allowed|supposed|rules?|limits?|"
    "at least|"
    r"at most|more than|less than|fewer than|no more|no less|exactly|within|between|twice|half|double|per cent|percent|"
    r"min(?:imum)?|max(?:imum)?)\b|%",
    re.IGNORECASE,
)
_TURNING = re.compile(
    r"\b(?:unless|except|only|if|optional\w*|jok\w+|kidding|bonus|extra|points?|scor\w+|prizes?|badges?|stars?|win|"
    "wins|earns?|"
    r"instead|rather|otherwise|pretend\w*|maybe|perhaps|possibly|wrong|false|opposite|exempt\w*|skip\w*|ignor\w*|"
    r"forget\w*|not true|"
    r"choos\w+|choice|grades?|marks|credits?|cancel\w*|until|whether|but|though|although|however|except|while|whereas|"
    r"teams?|groups?|students?|pupils?|class|you|your|tables?|players?|builders?)\b",
    re.IGNORECASE,
)
COMPASS = re.compile(r"^\W*(?:the\s+)?(?:north|south|east|west|top|bottom|left|right)\b", re.IGNORECASE)
_SUBJECT_TURNS = re.compile(
    r"^\W*(?:no|none|nothing|nobody|every|each|all|any|some|most|few|only|never|there|keep|put|place|make|leave|have|"
    "build|"
    r"use|give|let|set|do|don't|draw|tape|add|include|at|up to|not)\b",
    re.IGNORECASE,
)
_HELD = re.compile(r"\b(?:not|only|just|merely|simply|never|n't|even)\W*$", re.IGNORECASE)
_UNIT = re.compile(
    r"\d|\b(?:inch(?:es)?|cm|mm|feet|foot|ft|cent\w*|met(?:er|re)s?|square|cubic|acres?|storeys?|stories|floors?)\b",
    re.I,
)
_TELLING = re.compile(r"^\W*(?:and\s+)?(?:so|which means)\s+", re.IGNORECASE)


def is_reason_before(before: str, kept: str, zones: Zones) -> bool:
    """`Since a town this size can't afford two, `, `To let sunlight in, `, `The wind blows from the west, so`."""
    if _LEAD_TO.match(before):
        return not (_asks(before, zones) or _has_number(before))
    if _LEAD_WHY.match(before):
        return not (_asks(before, zones) or any(zones_in(before, zones)))
    if not _LEAD_SO.match(kept) or COMPASS.match(before) or _SUBJECT_TURNS.match(before):
        return False
    told = before.count(",") <= 1 and not re.search(r"[.!?;:]\s*\w", before)
    return told and not (_asks(before, zones) or _has_number(before) or any(zones_in(before, zones)))


def is_reason_after(before: str, after: str, zones: Zones) -> bool:
    """`, so that noise stays away from napping kids`, `to keep the children safe`; before: what is kept of the rule."""
    if not _AFTER_WHY.match(after) or _HELD.search(before) or re.search(r"[.!?;:]\s*\w", after):
        return False
    if _TELLING.match(after) and _SUBJECT_TURNS.match(_TELLING.sub("", after)):
        return False
    return not (_asks(after, zones) or _has_number(after) or any(zones_in(after, zones)))


def _asks(text: str, zones: Zones) -> bool:
    text = _ITS_THING.sub("smoke", text)
    if any(zones_in(text, zones)) and re.search(
        r"\b(?:touch\w*|next to|overlap\w*|far\w*|near\w*|close\w*)\b", text, re.I
    ):
        return True
    return any(pattern.search(text) for pattern in (_POINTING, _ASKING, _TURNING, _UNIT))


def _has_number(text: str) -> bool:
    """A number, but for `one` and `a`."""
    words = re.finditer(r"\b(?!a\b|an\b|one\b|second\b)[a-z]+", text, re.IGNORECASE)
    return any(number_at(text, word.start()) for word in words)
