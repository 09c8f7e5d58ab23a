"""Words that mean the same in a rule, on a mould: modal verbs, `is located`, `takes up`, `shares a border with`."""

from __future__ import annotations

import re

_WORDS: tuple[tuple[str, str], ...] = (
    (r"[.!;:,\s]+$", ""),
    (r"\b(?:please|kindly)\b", ""),
    (r"[,!.]+ *$", ""),
    (r"\bcan ?not\b|\bcan't\b|\bmustn't\b|\bshouldn't\b|\bmay not\b|\bwon't\b|\bshan't\b|\bcannot\b", "not"),
    (r"\b(?:must|should|shall|will|can|may) (?:never|not(?: ever)?)\b", "not"),
    (r"\b(?:is|are|be) (?:not|never) (?:allowed|permitted|supposed) to\b", "not"),
    (r"\b(?:is|are) (?:not|never) to\b", "not"),
    (r"\b(?:does|do|did) ?(?:not|n't)\b|\bdon't\b|\bdoesn't\b|\bnever\b", "not"),
    (r"\b(?:isn't|aren't)\b", "be not"),
    (r"\b(?:has|have|had|needs?|ought|is|are|is required|are required|wants?) to\b", ""),
    (r"\bneeds?(?= (?:at|no|between|G|N|not))\b", "have"),
    (r"\b(?:must|should|shall|will)\b", ""),
    (r"\b(?:may|can|could|is allowed to|are allowed to)\b", ""),
    (r"\b(?:the|your|our|their|its|whole|entire|total|also|always|just as|overall|completely|entirely|wholly)\b", ""),
    (r"\b(?:a|an) (?=(?:area|distance|gap|perimeter)\b)", ""),
    (r"\bas (?:big|large|much(?: (?:area|land|space|room))?) as\b", "as large as"),
    (r"\b(?:bigger|larger|greater)(?: in (?:area|size))?\b", "larger"),
    (r"\bsmaller(?: in (?:area|size))?\b", "smaller"),
    (r"\bbiggest\b", "largest"),
    (r"\b(?:further)\b", "farther"),
    (r"\b(?:nearer|closer)\b", "closer"),
    (r"\bcenter\b|\bmiddle\b", "centre"),
    (r"\b(?:board|site|lot|plot)\b", "parcel"),
    (r"\bof (?:land|ground|space|area|room|map)\b", "of parcel"),
    (r"\bparcel's (?=edge|centre)", "parcel "),
    (r"\b(?:border|boundary|edges|rim)(?= of parcel)", "edge"),
    (r"\bedge of parcel\b|\bparcel edge\b", "edge"),
    (r"\bcentre of parcel\b|\bparcel centre\b", "centre"),
    (
        r"\b(?:is|are|be|being)?\s*\b(?:located|placed|situated|positioned|built|kept|put|found|set)\b(?! (?:W|Z)\d)",
        "be",
    ),
    (r"\b(?:is|are|lies?|sits?|stands?|stays?|remains?|goes|go|keeps?(?= G?L))\b", "be"),
    (
        r"\b(?:covers?|occup(?:y|ies)|fills?|takes? up|uses? up|makes? up|accounts? for|comes? to"
        r"|have area of|measures?|gets?(?= G?[PFS]))\b",
        "cover",
    ),
    (r"\b(?:touches|touching|borders?(?= (?:on )?[ZW])|borders on|adjoins?|abuts?|meets?)\b", "touch"),
    (r"\bbe (?:right |directly )?(?:next to|beside|adjacent to|against|alongside|touch)\b", "touch"),
    (r"\bbe not (?:right |directly )?(?:next to|beside|adjacent to|against|touch)\b", "not touch"),
    (r"\bshares? (?:a|an|any) (?:border|side|edge|boundary) with\b", "touch"),
    (r"\b(?:overlaps|overlapping)\b", "overlap"),
    (r"\b(house|exist|hold|contain)s\b", r"\1"),
    (r"\b(be|touch|cover|overlap)(?: be)+\b", r"\1"),
    (r"\bnot be\b", "be not"),
    (r"\bnot cover (?=more|less|over|under|larger|smaller|between)", "cover not "),
    (r"\bnot have (?=more|less|fewer|over)", "have not "),
    (r"\b(?:have|has)\b", "have"),
    (r"\bnot come\b", "be not"),
    (r"\bcomes?(?= (?:within|closer|no closer))", "be"),
    (r"\b(?:anything|any) (?:else|other zones?)\b|\bany other\b", "every other zone"),
    (r"\bin (?:area|size)\b", ""),
    (r"\s+", " "),
)  # fmt: skip
_COMPILED = tuple((re.compile(pattern), made) for pattern, made in _WORDS)


def plainly(text: str) -> str:
    """The mould in fewer words."""
    for pattern, made in _COMPILED:
        text = pattern.sub(made, text)
    return text.strip(" ,.!:;")
