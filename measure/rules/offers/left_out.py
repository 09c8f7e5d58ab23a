"""What an offer leaves out of a sentence: nothing that could turn its meaning round, and the rest is told."""

from __future__ import annotations

import re

_TURNING = re.compile(
    r"\b\w+ly\b|\b(?:seldom|not|no|none|never|neither|nor|nobody|nothing|cannot|without|unless|except|only|if|when|whenever|until|but|"
    r"half of|most of|instead|rather|otherwise|else|wrong|false|broken|turned down|rejected|refused|forbidden|banned|"
    r"prohibited|avoid\w*|illegal|fails?|penal\w*|disqualif\w*|optional\w*|ideally|prefer\w*|nice|wish|maybe|perhaps|"
    r"sometimes|usually|almost|nearly|about|around|approximately|roughly|compulsory|each|every|any|all|both|either|"
    r"than|or|more|less|fewer|larger|smaller|bigger|taller|longer|nearer|closer|same|equal|average|mean|median|sum|difference|largest|smallest|tallest|biggest|shortest|longest|"
    r"least|most|besides|apart|other|others|again|respectively|halfway|opposite|everywhere|may|can|could|allowed|"
    r"second|narrowest|widest|next|closest|furthest|farthest|bonus|extra|hop(?:e|es|ed|ing)|examples?|doubt\w*|pretend\w*|imagine\w*|was|were|old|kidding|jok\w+|max|maximum|min|minimum|order)\b|"
    r"n't\b|[|≈~]",
    re.IGNORECASE,
)
_REASON = re.compile(
    r"^\W*(?:so|because|since|as|we|you|i|kids|children|people|nobody|everybody|everyone|that way|or else|"
    r"to(?! (?:the|an?|any|all|each|every)\b))\b",
    re.IGNORECASE,
)
_LEAD = re.compile(
    r"\b(?:so|because|hence|therefore|thus|remember|listen|note|please|let us|says?|asks?|that|rule|limit|target)\W*$",
    re.IGNORECASE,
)
_LIGHT = frozenset(
    re.findall(
        r"\w+",
        "a an the your our my their this these those of in on at to for with by and then also too please ok okay must "
        "should shall will would has have had be is are may can could do does it that there let us we you i make sure "
        "need needs want wants where which so put keep use place zone zones build give leave board parcel going from "
        "team built land area rule s",
    )
)
"""Words that nobody misses."""
_DENYING = re.compile(
    r"\b(?:not|no|none|never|neither|nor|cannot|without|unless|except|only|halfway|"
    r"prohibited|forbidden|banned)\b",
    re.IGNORECASE,
)
_OF_THE_RULE = re.compile(r"^\W*(?:that|which|who|whose|where|with|of|for)\b", re.IGNORECASE)


def denies(text: str) -> bool:
    """Whether words between those that were understood turn round what is said."""
    return bool(_DENYING.search(text))


def restricts(text: str) -> bool:
    """Whether it tells which ones are meant: `that touch the factory`."""
    return bool(_OF_THE_RULE.search(text))


def turns(text: str) -> bool:
    """Whether words left out could turn round or split what is said."""
    return bool(_TURNING.search(text))


def is_reason(after: str) -> bool:
    """Whether what follows the rule is its reason: `so that ...`, `we do not want wet feet`."""
    return bool(_REASON.search(after)) and not re.search(r"[A-Z]\d", after)


def is_lead(before: str) -> bool:
    """Whether what stands before the rule leads to it: `Nobody likes noise, so`."""
    return bool(_LEAD.search(before)) and not re.search(r"[A-Z]\d", before)


def worth_telling(text: str) -> bool:
    """Whether anything is lost with these words."""
    return any(word not in _LIGHT for word in re.findall(r"[A-Z]\d+|\w+", text))
