"""What in a sentence carries no condition: labels, addresses, reasons. `Habitat rule: ...`, `..., so kids can swim`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measure.rules.sentences.amount_words import number_at
from measure.rules.speech.describing import ASIDE, without_description
from measure.rules.speech.reasons import COMPASS, is_reason_after, is_reason_before
from measure.rules.speech.talk import is_talk
from measure.rules.speech.turning import takes_back, turns_round
from measure.rules.speech.words.lexicon import Zones, zones_in
from measure.rules.speech.words.phrases import heavy_words

_LABEL = re.compile(
    r"^\s*(?:(?-i:[A-Z]{1,6}(?:-\d+(?:\.\d+)*|\d+(?:\.\d+)*\s*[:.)–-]))\s*[:.)–-]?\s+(?=\w)|"
    r"\(?(?:rule|criterion|requirement|constraint|task|condition|spec|goal|law)\s*(?:#|no\.?|number)?\s*\d+\)?\s+"
    r"(?=(?-i:[A-Z]))|"
    r"(?:[a-z]+\s+)?(?:rule|spec|criterion|condition|task|number|no|point|requirement|goal|article|section|"
    r"clause|item|paragraph|law|"
    r"challenge|constraint|specification|guideline|standard|demand|wish|order)\.?\s*#?\d+\s*"
    r"(?:\([^()]*\))?\s*[:.)–-]|\d+\s*\([a-z]\)\s*|\(?(?:\d+|[a-hj-z]|i{1,3}|iv|vi{0,3}|ix)\s*\)|\d+\s*\.(?!\d)|[-*•☐□✓]|\[\s*\]|"
    r"(?:art(?:icle)?|sec(?:tion)?|clause|par|§)\.?\s*\d+\s*[:.)–-]|\d+\s*(?:pts?|points?)\.?\s*[:–-]|"
    r"(?:constraint|criterion|requirement|specification|spec|guideline)s?\s*[:–])\s*",
    re.IGNORECASE,
)
_SAYS = re.compile(
    r"^\s*(?:(?:the|our|your|my)\s+)?(?P<who>[a-z]+(?:\s[a-z]+)?)\s+"
    r"(?:says?|insists?|demands?|asks?|requires?|decided|agreed|wants?|would like)\s+(?:that\s+)?(?=\w)",
    re.IGNORECASE,
)
_OPENING = re.compile(
    r"^\s*(?:(?:here(?:'s| is| comes)|now for|next|this is)\s+(?:a|an|the|another|your)\s+"
    r"(?:(?:tricky|hard|easy|new|first|second|third|last|next|final|special|fun|big|little)\s+)?"
    r"(?:one|rule|challenge|task|problem|clue|puzzle|riddle)\s*[:.!–—-]"
    r"|(?:please\s+)?(?:check|show|measure|prove)\s+(?:with|using)\s+(?:a|the|your)\s+ruler\s+that\b"
    r"|(?:remember|yes|ok|okay|listen|attention|please note|note|reminder|don't forget)\s*(?:[:,!–—]|\bthat\b)"
    r"|(?:[a-z]+\s+)?(?P<who>[a-z]+)\s+(?:rule|law|requirement|condition|code|regulation)\s*:)\s*",
    re.IGNORECASE,
)
_WHY = re.compile(
    r"^\s*(?:(?:because|since)\b|(?:so|so that)\b(?=[^,.;]*\b(?:can|could|will|would)\b))"
    r"(?!.*\b(?:must|should|shall|has to|have to|needs? to|may|only|not|cannot|touch\w*|overlap\w*|cover\w*)\b)"
    r"(?!.*n't\b)",
    re.IGNORECASE,
)
_REASONS = re.compile(r"^\s*for\s+(?P<who>[a-z]+)\s+reasons,?\s+", re.IGNORECASE)
_CUT = re.compile(
    r"\s*(?:[.!?;:,]+(?=\s)|\s[–—-](?=\s))\s*|\s+(?=(?:so|because|since|in order to)\b|"
    r"to (?:let|help|protect|prevent|avoid|allow|encourage|save|reduce|keep (?:the )?(?:kids|children|people|animals))"
    r"\b)",
    re.IGNORECASE,
)
_JOINT = re.compile(
    r"^(?:so that|so|because|since|hence|therefore|thus|and so|then|consequently|as a result|(?:and )?(?:that|this|"
    r"which)"
    r"(?:'s| is) why|for (?:this|that) reason|(?:that|this|which) means(?: that)?)\b[,:]?\s*",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\s*\(([^()]*)\)")
_EXAMPLE = re.compile(r"\s*(?:e\.\s?g\b|for example\b)", re.IGNORECASE)
_MOST_CUTS = 10


def without_label(sentence: str) -> str:
    """The sentence without `Rule 3:` before it."""
    return _LABEL.sub("", sentence)


def shorter(sentence: str, zones: Zones) -> Iterator[str]:
    """The sentence itself, then without what says nothing of zones, numbers, comparisons or negations: most kept first.

    What is left out is at its beginning, at its end, or in brackets.
    """
    text = bare = _LABEL.sub("", sentence)
    for lead in (_OPENING, _SAYS, _REASONS):
        found = lead.match(text)
        if found and is_idle(found["who"] or "", zones):
            yield text
            text = text[found.end() :]
    text = ASIDE.sub(" ", text)
    text = _BRACKETS.sub(lambda found: "" if _is_aside(found[1], text, zones) else found[0], text)
    yield from _cut(text, zones)
    if "(" in text:
        yield from _cut(re.sub(r"[()]", "", text), zones)
    for rest in (*without_description(bare, zones), *_of_talked_zone(bare, zones)):
        yield from _cut(rest, zones)
    if text != bare:  # `The king wants to see his village: ...`
        yield from _cut(bare, zones)


def _is_aside(inside: str, text: str, zones: Zones) -> bool:
    if takes_back(inside) or _OF_WHOM.search(inside):
        return False
    return bool(_EXAMPLE.match(inside)) or is_idle(inside, zones) or is_talk(inside, text.replace(inside, ""), zones)


_OF_WHOM = re.compile(
    r"^\W*(?:(?:for|that means|i mean|meaning|of)\s+)?(?:all|each|every|any|both|only|either|none|some|most|combined|"
    r"together|total|in total|altogether|per)\b",
    re.IGNORECASE,
)
"""`(all units)`, `(combined)`: which of them, or how they are counted."""


def _cut(text: str, zones: Zones) -> Iterator[str]:
    """The text itself, then without idle words at its beginning and its end."""
    yield text
    cuts = [0, *sorted({end for found in _CUT.finditer(text) for end in (found.end(),)}), len(text)][: _MOST_CUTS + 2]
    cuts[-1] = len(text)
    spans = [(a, b) for a in range(len(cuts)) for b in range(a + 1, len(cuts)) if (a, b) != (0, len(cuts) - 1)]
    for first, last in sorted(spans, key=lambda span: cuts[span[0]] - cuts[span[1]]):
        before, kept, after = text[: cuts[first]], text[cuts[first] : cuts[last]], text[cuts[last] :]
        if turns_round(before, kept, after):
            continue
        told = (is_idle(after, zones) or _is_why(after, zones)) and _may_follow(after)
        leads = is_idle(_without_label(before), zones) or (_SO.match(kept) and _is_ground(before, zones))
        leads = (leads and _may_lead(before)) or _talked_before(before, kept, zones)
        leads = leads or is_reason_before(before, kept, zones)
        if leads and (told or _talked_after(after, kept, zones) or is_reason_after(kept, after, zones)):
            yield _JOINT.sub("", kept).rstrip(" ,;:–—-")


def _of_talked_zone(text: str, zones: Zones) -> Iterator[str]:
    """`Toddlers go on the carousel. It should not ...`: the one zone that was talked of."""
    found = re.match(r"(?P<talk>[^.!?,]+)(?:[.!?]\s+|,\s*so\s+)it\b(?!')", text, re.IGNORECASE)
    if found is None:
        return
    talk = found["talk"]
    named = {zone[0] for zone in zones_in(talk, zones)}
    if len(named) == 1 and is_talk(talk, talk, zones):
        yield f"the {named.pop()}{text[found.end() :]}"


_ENDED = re.compile(r"(?:[.!?;:]+|\s[–—-])\s*$")


def _talked_before(before: str, kept: str, zones: Zones) -> bool:
    """`Nobody likes smoke. `, `Little kids can't walk far, ` before `so ...`."""
    because = bool(_REASON.match(before)) and before.rstrip().endswith(",")
    if _WHEN.match(before) and before.rstrip()[-1:] not in set(".!?"):
        return False  # a condition
    ends = because or bool(_ENDED.search(before)) or bool(_JOINT.match(kept))
    spoken = re.compile(r"\b(?:this|that|these|those|it|so)\s*:\s*$", re.IGNORECASE)
    return ends and not spoken.search(before) and is_talk(before, kept, zones)


def _talked_after(after: str, kept: str, zones: Zones) -> bool:
    """`because kids should not cross the road`, `. Nobody likes smoke.`"""
    reason = _REASON.match(after)
    new = kept.rstrip()[-1:] in set(".!?;—–-")
    return (bool(reason) or new) and not _SO_THEY.match(after) and is_talk(after, kept, zones, reason=bool(reason))


_REASON = re.compile(
    r"\s*(?:because|since|so that|so|as|or(?= [^,.;]*\b(?:will|would|might)\b)|"
    r"where(?! (?:it|they|there)\b))\b",
    re.IGNORECASE,
)
_WHEN = re.compile(r"\s*when(?:ever)?\b", re.IGNORECASE)


def _is_why(text: str, zones: Zones) -> bool:
    """`because the factory is loud`, `so that children can walk from the homes to school`: zones, and no rule."""
    found = _WHY.match(text)
    if not found:
        return False
    bare, at = "", 0
    while at < len(text):
        zone = zones.match(text, at) if at == 0 or not text[at - 1].isalnum() else None
        bare, at = (bare + "it", zone.end()) if zone else (bare + text[at], at + 1)
    return is_idle(bare, zones)


_FOLLOWS = re.compile(
    r"\s*(?:so|because|since|to|for|as|please|ok|okay|thanks|thank you|we|that way|this way|or else)\b", re.IGNORECASE
)
_ADVERB = re.compile(r"\b\w+ly\b|\bseldom\b", re.IGNORECASE)
_FEW = 3
_AT_THE_MOST = re.compile(r"\s*at (?:the |its |their )?(?:very )?(?:\w+est|most|least|best|worst)\b", re.IGNORECASE)


def _may_lead(text: str) -> bool:
    """`Boys and girls, remember:`, but not `Rarely,`."""
    asked = re.search(r"\b(?:this|that|these|those|it|following|next)\b[^.!?]*\?", text, re.IGNORECASE)
    return not asked and not _AT_THE_MOST.match(text) and not (_ADVERB.search(text) and len(text.split()) <= _FEW)


def _may_follow(text: str) -> bool:
    """A reason, or a sentence of its own; not a word that may belong to the rule."""
    if _GOES_ON.match(text) or _SO_THEY.match(text):
        return False
    return not text.strip(" .,;:!?") or bool(_FOLLOWS.match(text)) or len(text.split()) > _FEW


_LABELLING = re.compile(
    r"\b(?:buffer|setback|limit|height|edge|zone|gap|space|distance|tower|border|size|area)s?\b"
    r"(?=(?:\s+[a-z]+)?\s*[:–—-]\s*$)",
    re.IGNORECASE,
)


def _without_label(before: str) -> str:
    """`Setback rule:` names what the rule is about."""
    return _LABELLING.sub("", before) if len(before.split()) <= _FEW else before


_SO = re.compile(
    r"(?:(?:and )?so|hence|therefore|thus|consequently|(?:that|this|which)(?:'s| is) why|as a result)\b(?! that\b)",
    re.IGNORECASE,
)
_RULING = re.compile(
    r"\b(?:must|should|shall|has to|have to|needs? to|may|only|if|unless|when|except|but|until|not|no|never|\d+|"
    r"wrong\w*|false|untrue|forbidden|banned|prohibited|avoid\w*|optional\w*|jok\w+|kidding|pretend\w*|skip\w*|"
    r"ignor\w+|rules?|nice|rarely|seldom|hardly|"
    r"(?:likes?|wants?) (?:this|that|it))\b"
    r"|n't\b",
    re.IGNORECASE,
)


def _is_ground(before: str, zones: Zones) -> bool:
    """`Nobody likes living next to noisy machines, so`."""
    named = any(zones.match(before, found.start()) for found in re.finditer(r"\w+", before))
    return bool(before.strip()) and not named and not _RULING.search(before) and not COMPASS.match(before)


_PLACE = re.compile(
    r"\b(?:edges?|sides?|corners?|cent(?:re|er)s?|middle|inside|outside|next to|beside|between|half|quarter|borders?|"
    r"north\w*|south\w*|east\w*|west\w*|top|bottom|left|right)\b",
    re.IGNORECASE,
)
_GOES_ON = re.compile(
    r"^\W*(?:(?:and|but|or|yet|also|plus)\b|(?:it|they|each|both|all|none)(?:'s|'re)?\s)", re.IGNORECASE
)
"""`..., and it's on the edge`: says more of the zone."""
_SO_THEY = re.compile(
    r"\W*so(?: that)?\s+(?:it|they|both|all|each|none|neither)\s+"
    r"(?!(?:can|could|will|would|might|may|won|do|does|don|doesn|are able|is able|never have)\b)",
    re.IGNORECASE,
)
"""`so that they share a wall`: what is asked of the zones, where `so that they can play` is a reason."""
_LIKING = re.compile(
    r"\b(?:do|does)(?:n't| not) (?=(?:like|love|want)\s+(?!this\b|that\b|it\b|these\b|to\b)\w)(?!.*[:–—-]\s*$)",
    re.IGNORECASE,
)
"""`We don't want wet feet!`; not `What we don't want:`"""


def is_idle(text: str, zones: Zones) -> bool:
    """Whether the words hold no zone, no number, and no word that a rule could turn on."""
    if _PLACE.search(text):
        return False
    text = _LIKING.sub("", text)
    for found in re.finditer(r"\S+", text):
        if zones.match(text, found.start()) or re.search(r"\d", found[0]):
            return False
    heavy = heavy_words()
    words = re.findall(r"[^\W\d_]+(?:['-][^\W\d_]+)*|[^\w\s]", text.lower())
    if any(word in heavy or word.endswith("n't") for word in words):
        return False
    return not any(
        number_at(text, found.start()) for found in re.finditer(r"\b(?!a\b|an\b|one\b)[a-z]+", text, re.IGNORECASE)
    )
