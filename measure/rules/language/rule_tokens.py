"""A rule sentence as tokens: zone names, numbers, units and solids are one token each; empty words are dropped.

Zone names come first, longest first, so that a zone may be called "parcel office" or "new school" although `parcel` is
a word of the rules.  Every token keeps its place in the sentence, for the caret under a mistake.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping

from measure.name_folding import folded
from measure.rules.language.zone_names import ZoneNames, forms
from measure.rules.sentences.amount_words import number_at, unit_at
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_words import Reading, Word

LONGEST_SENTENCE = 300
"""Characters: a longer sentence is several rules, or not a rule."""


def plain(sentence: str) -> str:
    """The sentence with one kind of apostrophe, dash and space, character for character, so that places stay."""
    return unicodedata.normalize("NFC", sentence).translate(_PLAIN_SIGNS)


def split(
    sentence: str, zones: ZoneNames, vocabulary: Mapping[str, str], longest: int = LONGEST_SENTENCE
) -> tuple[Word, ...]:
    """Every token of a plain() sentence; vocabulary maps the grammar's words to its terminals.

    Raises RuleMistake for a decimal comma, a negative number, a division by zero or an endless sentence.
    """
    if len(sentence) > longest:
        raise RuleMistake(sentence[:60] + " ...", 0, 0, f"a rule has at most {longest} letters; this one is longer")
    by_eye = _BY_EYE.match(sentence)
    if by_eye:
        return _by_eye_words(by_eye)
    words = list(_words(sentence, zones, vocabulary))
    return tuple(word for word, after in zip(words, [*words, None][1:], strict=False) if not _idle_comma(word, after))


_PLAIN_SIGNS = {
    **dict.fromkeys(map(ord, "’‘′`"), "'"),
    **dict.fromkeys(map(ord, "“”″"), '"'),
    **dict.fromkeys(map(ord, "‐‑‒–−"), "-"),
    **dict.fromkeys(map(ord, "\t\n\r\v\f\u00a0\u2009\u202f"), " "),
}
_BY_EYE = re.compile(r"\s*(by[\s-]eye)\s*:\s*(.*?)\s*$", re.IGNORECASE | re.DOTALL)
_SOLIDS = {
    "half cylinder": "half cylinder",
    "triangular prism": "triangular prism",
    "square pyramid": "square pyramid",
    "pyramid": "square pyramid",
    "prism on outline": "prism on outline",
    "unit cube": "cubes",
    "box": "box",
    "cube": "cube",
    "cylinder": "cylinder",
    "cone": "cone",
    "hemisphere": "hemisphere",
    "dome": "hemisphere",
}
SOLID_FORMS: dict[str, str] = {form: solid for name, solid in _SOLIDS.items() for form in forms(name)} | {
    "prisms on outline": "prism on outline"
}
_SOLID = re.compile(
    rf"(?:{'|'.join(sorted(SOLID_FORMS, key=len, reverse=True))})(?![\w-])".replace(" ", r"[\s-]"), re.I
)
_EMPTY = re.compile(
    r"(?:the|must|should|shall|will|may|can|does|do|always|please|whole|entire|total|also"
    r"|ha(?:s|ve)\s+to\s+(?=be\b|have\b|cover\b|touch\b|hold\b|house\b|use\b|overlap\b)|needs?\s+to|ought\s+to)\b",
    re.IGNORECASE,
)
_PHRASES: tuple[tuple[re.Pattern[str], tuple[str, ...]], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), terminals)
    for pattern, terminals in (
        (r"per\s+cent\b", ("PERCENT",)),
        (r"percentage(?=\s+points?\b)", ()),
        (r"takes?\s+up\b", ("COVER",)),
        (r"(?:each\s+other|one\s+another)\b", ("EACH_OTHER",)),
        (r"an?\s+lot\b", ()),
        (r"(?:isn|aren)'?t\b", ("IS", "NOT")),
        (r"(?:doesn|don|mustn|can|shouldn|won|mayn|needn)'t\b|cannot\b", ("NOT",)),
        (r"right\s+(?=next\b)|directly\s+(?=next\b)", ()),
    )
)
_WAYS = r"(?:north|south|east|west)(?:ern)?"
_REGION = re.compile(
    rf"(?P<half>{_WAYS}|left|right|top|bottom|upper|lower)(?:ern)?\s+half(?:\s+of\s+(?:the\s+)?(?:parcel|board))?\b"
    rf"|(?P<a>north|south|top|bottom|upper|lower)[\s-]?(?P<b>east|west|left|right)(?:ern)?\s+(?:corner|quarter)"
    rf"(?:\s+of\s+(?:the\s+)?(?:parcel|board))?\b",
    re.IGNORECASE,
)
_THIRD = re.compile(
    rf"(?:(?P<way>{_WAYS}|left|right|top|bottom)\s+third|middle\s+third\s+from\s+(?P<across>west\s+to\s+east|east\s+to\s+west"
    rf"|north\s+to\s+south|south\s+to\s+north))(?:\s+of\s+(?:the\s+)?(?:parcel|board))?\b",
    re.IGNORECASE,
)
_SAME_SIDE = {"upper": "top", "lower": "bottom"}
_EMPTY_LAND = re.compile(r"empty\s+land\b", re.IGNORECASE)


def _region(text: str, at: int) -> tuple[Word, ...]:
    found = _REGION.match(text, at)
    third = _THIRD.match(text, at)
    if third is not None:
        return (Word(third[0], at, third.end(), (Reading("THIRD", _third(third)),)),)
    if found is None:
        empty = _EMPTY_LAND.match(text, at)
        return (Word(empty[0], at, empty.end(), (Reading("EMPTY_LAND", "empty land"),)),) if empty else ()
    names = [re.sub(r"ern$", "", part.lower()) for part in (found["half"], found["a"], found["b"]) if part]
    name = "-".join(_SAME_SIDE.get(part, part) for part in names)
    value = f"{name} {'half' if found['half'] else 'corner'}"
    return (Word(found[0], at, found.end(), (Reading("REGION", value),)),)


def _third(found: re.Match[str]) -> str:
    if found["way"]:
        return f"{re.sub(r'ern$', '', found['way'].lower())} third"
    return f"middle third from {'west to east' if re.search('west', found['across'], re.I) else 'north to south'}"


_PLAIN_WORD = re.compile(r"[^\W\d_](?:[\w]|[-'](?=\w))*")


def _by_eye_words(found: re.Match[str]) -> tuple[Word, ...]:
    text = found[2].strip()
    mark = Word(found[1], *found.span(1), (Reading("BY_EYE", "by eye"),))
    return (mark, Word(text, found.start(2), found.start(2) + len(text), (Reading("TEXT", text),))) if text else (mark,)


def region_at(text: str, at: int) -> Word | None:
    """The half or the corner of the parcel that is named here."""
    found = _region(text, at)
    return found[0] if found and found[0].readings[0].terminal == "REGION" else None


def _words(sentence: str, zones: ZoneNames, vocabulary: Mapping[str, str]) -> Iterator[Word]:
    at = 0
    before_unit = False
    end = len(re.sub(r"[\s.!;]+$", "", sentence))
    while at < end:
        if sentence[at] == " ":
            at += 1
            continue
        found = _token(sentence, at, zones, vocabulary, before_unit)
        yield from found
        at = max(at + 1, found[-1].end)
        before_unit = any(reading.terminal in ("NUMBER", "PER") for reading in found[-1].readings)


def _token(text: str, at: int, zones: ZoneNames, vocabulary: Mapping[str, str], before_unit: bool) -> tuple[Word, ...]:
    zone = zones.match(text, at)
    if zone:
        keyword = vocabulary.get(zone[0].lower())
        readings = [Reading("ZONE", zones.canonical(zone[0]))] + ([Reading(keyword, zone[0])] if keyword else [])
        return (Word(zone[0], at, zone.end(), tuple(readings)),)
    if before_unit:
        unit = unit_at(text, at, vocabulary)
        if unit:
            return (unit,)
    number = number_at(text, at)
    if number:
        return (number,)
    region = _region(text, at)
    if region:
        return region
    return _phrase(text, at) or (_solid(text, at) or _word(text, at, vocabulary),)


def _phrase(text: str, at: int) -> tuple[Word, ...]:
    for pattern, terminals in _PHRASES:
        found = pattern.match(text, at)
        if found:
            made = tuple(Word(found[0], at, found.end(), (Reading(name, found[0]),)) for name in terminals)
            return made or (Word("", at, found.end(), ()),)
    found = _EMPTY.match(text, at)
    return (Word("", at, found.end(), ()),) if found else ()


def _solid(text: str, at: int) -> Word | None:
    found = _SOLID.match(text, at)
    if not found:
        return None
    return Word(found[0], at, found.end(), (Reading("SOLID", SOLID_FORMS[folded(found[0]).replace("-", " ")]),))


def _word(text: str, at: int, vocabulary: Mapping[str, str]) -> Word:
    possessive = re.compile(r"'s\b|'(?=\s)", re.IGNORECASE).match(text, at)
    if possessive:
        return Word(possessive[0], at, possessive.end(), (Reading("POSSESSIVE", "'s"),))
    found = _PLAIN_WORD.match(text, at)
    if found:
        word = re.sub(r"'s?$", "", found[0])
        if word.lower() not in vocabulary:
            word = found[0]
        keyword = vocabulary.get(word.lower())
        return Word(word, at, at + len(word), (Reading(keyword, word),) if keyword else ())
    if re.compile(r"-\s?[\d.]").match(text, at) and not re.search(r"[\d%½¼¾⅓⅔⅛]\s?$", text[:at]):
        raise RuleMistake(text, at, at + 1, "a number in a rule is never below zero; leave the `-` out")
    sign = re.compile(r"\+/-|\+-|.", re.DOTALL).match(text, at)
    symbol = sign[0] if sign else text[at]
    terminal = "COMMA" if symbol == "," else vocabulary.get(symbol)
    return Word(symbol, at, at + len(symbol), (Reading(terminal, symbol),) if terminal else ())


def _idle_comma(word: Word, after: Word | None) -> bool:
    """A word that says nothing: a dropped filler, or a comma that joins no names (`..., within 2%`)."""
    if word.text == ",":
        joined = {reading.terminal for reading in after.readings} if after else set()
        return not joined & {"ZONE", "AND"}
    return word.text == ""
