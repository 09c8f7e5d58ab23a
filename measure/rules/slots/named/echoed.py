"""Whether a sentence made of slots says again all that its clause is about.

The words are held against the sentence by their subject alone, whatever the slots took them for: what is built, length
or width, a denial, each one, a comparison. A word too many refuses what may be right; a word too few would be misread.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_SUBJECTS: tuple[tuple[re.Pattern[str], re.Pattern[str]], ...] = tuple(
    (re.compile(rf"\b(?:{said})\b", re.IGNORECASE), re.compile(rf"\b(?:{stated})\b"))
    for said, stated in (
        (
            r"buildings?|structures?|towers?|roofs?|houses|skyscrapers?|stor(?:ey|eys|y|ies)|floors?|volumes?|"
            r"cubic|tall\w*|high(?:er|est)?|heights?|low(?:er|est)?|built",
            r"structures?|tall|height|volume|people",
        ),
        (r"long(?:er|est)?|lengths?|short(?:er|est)?|diameters?", r"length|side|border|tall|line"),
        (r"wide(?:r|st)?|widths?|narrow(?:er|est)?|broad(?:er|est)?|thin(?:ner|nest)?", r"width|distance|gap|edge"),
        (r"perimeters?|circumference|outline", r"perimeter|border"),
        (
            r"no|not|never|none|neither|nor|nothing|nobody|cannot|\w+n['’]t|without",
            r"no|not|nothing|at most|less than|empty land|at least|more than|between",
        ),
        (r"each|every", r"each|every|no piece|nothing|any"),
        (
            r"average|mean|median|difference|sum|ratio|per(?! ?cent)",
            r"mean|minus|more than the area|together|times|at least|at most",
        ),
        (
            r"(?:bigg|small|larg|few|low|high|tall|long|wid|short|farth|furth|narrow)est",
            r"every other|every zone except|number of zones|largest|smallest",
        ),
        (r"corners?|middle|cent(?:er|re)s?", r"corner|quarter|centres?|touches"),
        (r"(?:north|south|east|west)\w*", r"(?:north|south|east|west)\S*"),
    )
)
_ONE_OF_THEM = re.compile(
    r"\b(?:the|this|that|which|other|another|each|every|no|any) ones?\b"
    r"(?! (?:[a-z-]+ ){0,2}(?:piece|zone|plot|area)s?\b)",
    re.IGNORECASE,
)
_OF_A_ZONE = re.compile(
    r"(?:%|\bper ?cent|\bpercent|\bhalf|\b(?:third|quarter|fourth|fifth|sixth|eighth|tenth|twelfth)s?|\d/\d+) of "
    r"(?:(?!Z\b)[\w'’-]+ ){0,4}?"
    r"(?:Z|zones?|district|lot|plot|piece|area it|ground it|you|we|taped?|used|built|them|these|those)\b",
    re.IGNORECASE,
)
"""A share of what is not the parcel."""
_COMPARED = re.compile(r"\b(?:\w{2,}er|more|less|fewer|as \w+ as)\b(?=.*\b(?:than|as)\b)", re.IGNORECASE)
_STATED_LIMIT = re.compile(
    r"\b(?:more than|less than|at least|at most|fewer than|times|nearer|between|exactly|no piece)\b"
)


def echoes(text: str, sentence: str, names: Iterable[str]) -> bool:
    """Whether the sentence is about all that the clause's words are about, zones' names apart.

    names: of the zones, in which such words are no more than names.
    """
    plain, stated = _without(text, names), _without(sentence, names)
    if _ONE_OF_THEM.search(plain):
        return False
    if _OF_A_ZONE.search(plain) and "of the parcel" in sentence:
        return False
    if any(words.search(plain) and not answer.search(stated) for words, answer in _SUBJECTS):
        return False
    return not (_COMPARED.search(plain) and not _STATED_LIMIT.search(stated))


def _without(text: str, names: Iterable[str]) -> str:
    """The text without the zones' names, singular or plural, in whole or by their single words."""
    for word in sorted({word for name in names for word in (name, *name.split())}, key=len, reverse=True):
        text = re.sub(rf"\b{re.escape(word.removesuffix('s'))}(?:s|es)?\b", "Z", text, flags=re.IGNORECASE)
    return text
