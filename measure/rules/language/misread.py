"""Sentences that the grammars read otherwise than they are meant: refused, and nothing is offered but `by eye`.

Each pattern is held against the sentence with its zones masked and, where a harmless reading is possible, against what
the sentence was read as.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from measure.rules.language.zone_names import ZoneNames
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
_ASKS = "it asks nothing; write `must` or `must not`"
_TRAPS = (
    _trap(
        rf"^\W*{_THE}{_Z}\s+(?:was|were|had|used to|touched|covered|bordered|overlapped|reached)\b"
        rf"|{_Z}\s+(?:must|should|could|might|would|will|may)\s+(?:not\s+)?have\s+been\b"
        r"|^\W*there\s+(?:was|were|had|used to)\b",
        "it tells what was; write what `must` be",
        ".",
    ),
    _trap(
        rf"(?:\b(?:every|each|no|any|all|an?)\s+(?:one\s+)?(?:of\s+)?(?:the\s+)?(?:{_Z}|zone).*{_PRONOUN_IF}"
        rf"|{_PRONOUN_IF}.*\b(?:every|each|no|any|all|an?)\s+(?:one\s+)?(?:of\s+)?(?:the\s+)?(?:{_Z}|zone))",
        "`it` would be all pieces at once; write `for every piece of ...: if that piece of ... , then ...`",
        _PIECEWISE,
    ),
    _trap(
        rf"{_PLURAL}.*\b(?:if|unless)\s+they\b"
        rf"|^\W*(?:if|when|whenever|wherever)\s+(?:an?|any|each|every)\s+{_Z}.*\b(?:it|they)\b",
        "`they` can be each piece, or all at once; write `for every piece of ...: if that piece of ..., then ...`",
        r"^if (?!.*\bfor every\b)",
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
        r"\b(?:(?:total|combined|overall|summed)\s+(?:\w+\s+)?(?:areas?|footprints?|sizes?|space|land|surface|coverage)"
        rf"|(?:sum|total)) of (?:the )?(?:areas?|footprints?|sizes?)?\s*(?:of\s+)?{_THE}(?:{_PLURAL}|zones|everything)",
        "all of them together are meant, and each would be judged; write `all zones together`",
        r"^the area of every (?:zone|piece|other zone)\b(?!.*\b(?:together|area of)\b)",
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
_RULED = r"^(?:(?!\b(?:so|because|since)\b).)*?"
_BESIDES = (
    _trap(
        rf"\b(?:from|off)\s+(?:(?:on|from)\s+)?(?:\w+ing\s+)?{_THE}(?:(?:{_Z}|anything|any zones?)\s+)?(?:\w+\s+)?"
        r"within\b(?!\s*\S+\s*%)",
        "it keeps something out; write `... is more than ... from ...`",
        r"\bat most\b",
    ),
    _trap(
        r"\bwithin\b.*(?:\boff[- ]limits\b|\bout of bounds\b|\bno[- ]go\b|\bto be avoided\b|\ba no-no\b|\btaboo\b)",
        "it keeps something out; write `... is more than ... from ...`",
        r"\bat most\b",
    ),
    _trap(r"^\W*(?:not an?\s+\w+|no rule|nothing|nobody|no one|who)\b\s*(?:says?|said|asks?|requires?|:)", _ASKS, "."),
    _trap(
        rf"{_RULED}\b(?:no|not|never|none|nothing|neither)\b[^,;.]*\s(?:is|are|be)\s+(?:\w+ly\s+)?"
        r"(?:required|expected|needed|obliged|asked|forced|bound|compelled|necessary)\b",
        _ASKS,
        ".",
    ),
    _trap(
        rf"{_RULED}(?:\bnot|n't|\bno longer|\bhardly|\bnever)\s+(?:\w+ly\s+)?"
        r"(?:required|expected|needed|obliged|asked|forced|bound|compelled|necessary)\b",
        _ASKS,
        ".",
    ),
    _trap(
        rf"{_Z}\s+(?:gets?|(?:is|are)\s+(?:\w+\s+)?(?:free|welcome|entitled))\s+to\s",
        "it allows something and asks nothing; write `must` or `must not`",
        ".",
    ),
    _trap(
        r"\b(?:can|may|could|might)\s+\w+\s+(?:as close as|as near as|up to)\b[^;.]*\b(?:from|away|of)\b",
        "it is the nearest or the farthest that is allowed; write `at least ... from` or `at most ... from`",
        r"\bdistance\b.*\bat most\b",
    ),
    _trap(
        rf"\bup to\s+{_THE}{_Z}", "it can be a place or a size; write `touches` or `is at most the area of`", "at most"
    ),
    _trap(
        rf"{_PLURAL}\s+(?:(?:must|should|are|be)\s+)*more than\s+{_THE}{_PLURAL}",
        "it can be more pieces, or more land; write `more pieces of ... than of ...` or `is larger than`",
        r"\barea of\b",
    ),
    _trap(
        rf"\bwhere(?:ver)?\s+{_THE}{_PLURAL}[^;.]*,\s*they\b",
        "`they` can be each piece, or all at once; write `for every piece of ...: if that piece of ..., then ...`",
        r"\bthen the area of (?!that\b|every\b)",
    ),
    _trap(
        rf"\b(?:every|each)\s+{OF_MANY}\s*(?:,|and|or|plus|&|\+)\s*(?:(?:and|or)\s+)?(?:(?:every|each)\s+)?{OF_MANY}",
        "each of them is meant, and all together would be judged; write a rule for `every piece of ...` each",
        r"^(?!.*\bpieces? of\b)(?!.*\bdoes not\b)(?!the distance .*\b(?:at least|more than)\b)",
    ),
    _trap(
        rf"\ban?\s+{OF_MANY}\s+(?:and|or)\s+an?\s+{OF_MANY}",
        "one piece of each is meant, and all together would be judged; write `every piece of ...`",
        r"^the (?:area|length|width|perimeter) of (?!every\b|that\b)",
    ),
    _trap(
        rf"\b(?:one|some|a single|at least one|exactly one)\s+(?:of\s+the\s+)?(?:{OF_MANY}|{_PLURAL})\s.*"
        r"\b(?:largest|biggest|smallest|greatest|longest|widest|shortest)\b",
        "one piece is meant, and all together would be judged",
        r"^(?!.*\bpieces? of\b)",
    ),
    _trap(
        rf"\b(?:than|as)\s+(?:at least\s+)?(?:one|some|any|either|two|three|four|\d+|a few|most|half)\s+of\s+"
        rf"(?:the|our|your|these|those)\s+{_PLURAL}",
        "some pieces are meant, and all together would be compared; write `every piece of ...`",
        r"^(?!.*\bpieces? of\b)",
    ),
    _trap(
        r"\b(?:rest|remainder|remaining|left-?over|built(?:-up)?|developed|used|taped|occupied|zoned|unused|usable|buildable)"
        r"\s+(?:of\s+(?:the|our|your)\s+\w+|land|area|space|ground|board|parcel|part)\b",
        "the share would be of the whole parcel; write how much of the parcel",
        r"^(?:the area of )(?!.*\bempty\b).*\bof the parcel\b",
    ),
    _trap(
        rf"{_Z}\s+(?:{_MODAL}\s+|not\s+|be\s+|only\s+|have\s+a\s+)*(?:costs?|cheaper|pricier|expensive|priced|worth)\b",
        "money is not measured; write `area` where land is meant",
        r"\barea of\b",
    ),
    _trap(
        r"^\W*(?:each|every)\s+(?:(?:single|one)\s+)?(?:of\s+(?:the|our|your)\s+)?(?:\w+\s+)?(?:students?|pupils?|child|"
        r"children|kids?|players?|boys?|girls?|members?|persons?|builders?|partners?|of you)\b[^,;.]*"
        r"\b(?:must|should|shall|has|have|had|needs?|gets?|lays?|builds?|puts?|makes?|places?|adds?|to)\b",
        "how many build is not known; write how many there are in all",
        ".",
    ),
    _trap(
        rf"\b(?:touch\w*|overlap\w*|border\w*)\b[^;.]*,\s*and\s+{_THE}{_Z}\s+(?:too|as well|also)\W*$",
        "it can do the same, or be one more of the others; write a rule for each",
        r"\beach of\b",
    ),
    _trap(
        r"\bfrom\s+(?:ever\s+)?(?:exceeding\b|\w+ing\s+(?:\w+\s+){0,2}?(?:over|above|beyond|past|more|\w+er|less|under|"
        r"below)\b)",
        "it keeps from so much; write `at most` or `at least`",
        r"\b(?:more|fewer|less) than\b",
    ),
    _trap(rf"{_Z}[^,;.]*\breach\w*\b[^,;.]*\binto\b", "how deep it reaches in is not measured", r"\bdistance\b"),
    _trap(
        rf"\b(?:fully|wholly|entirely|completely|totally)\s+within\s+(?!{_THE}{_Z})"
        rf"|\b(?:whole|entire|complete|all of the)\s+[{ONE}{OF_MANY}]\s.*\bwithin\b",
        "the nearest part would be measured, and all of it is meant; write `the centre of ...` or leave the word out",
        r"\b(?:distance|gap)\b",
    ),
    _trap(
        r"^\W*no\s+(?:team|group|class|table|pair|student|pupil|builder|player)s?\s+(?:must|ha(?:s|ve) to|needs? to)\b",
        _ASKS,
        ".",
    ),
    _trap(rf"^\W*no\s+{_Z}\s+each\b", "write `no ... may`", "."),
    _trap(
        r"\b(?:everybody|everyone|anyone|people)\s+in\b", "each dwelling is meant; write `every piece of`", "distance"
    ),
    _trap(r"^\W*let's (?:say|pretend|imagine|suppose)\b", "it supposes something; write `must`", "."),
    _trap(r"^\W*prevent\w*\s+[^:]*:.*\bwithin\b", "it can keep out, or ask for nearness; write which", r"\bat most\b"),
    _trap(r"\boverlook", "a view is not measured; write `is taller than` where the height is meant", r"\bheight\b"),
    _trap(
        rf"{_Z}\s+(?:{_MODAL}\s+|not\s+)*(?:leaves?|spares?|saves?|gives?|loses?)\b",
        "it leaves so much to others; write how much of the parcel stays empty",
        r"^the area of (?!the empty)",
    ),
    _trap(r"\b(?:stops?|ends?|begins?|starts?)\s+within\b", "write `is at most ... from`", r"\bmore than\b"),
    _trap(
        rf"{_Z}\s+(?:{_MODAL}\s+)?(?:separates?|splits?|divides?|parts?)\s+{_THE}{_Z}\s+and\b",
        "it can stand between them, or keep from both; write `is between`, or a rule for each distance",
        r"\bdistance\b",
    ),
)
"""What keeps out, allows, asks nothing, or speaks of one of many, of a part of the land, of money, of people."""
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
    for trap in (*_TRAPS, *_BESIDES):
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
    from measure.rules.offers.offering import by_eye

    offers = by_eye(whole := text.rstrip())
    shown = " or ".join(f"`{offer}`" for offer in offers)
    return RuleMistake(whole, 0, len(whole), f"{why}; or write {shown}", offers, why)
