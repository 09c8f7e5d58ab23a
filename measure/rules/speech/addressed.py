"""Rules addressed to those who build, as what is asked of them: `Students must place the park ...`: `place it ...`.

Only who is addressed and the words of asking are left out. Some of those who build (`big teams must ...`), and what
they may or might do, stay as they are.
"""

from __future__ import annotations

import re

from measure.rules.speech.words.agents import AGENT, ALL_OF, EACH_OF, EVERYONE, MANY, ONE, OWN
from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.own_land import LANDS, is_in_a_name

_ANY_AGENT = rf"(?:{AGENT}|you|we)"
_ADVERB = r"(?:\s+(?:also|always|all|each|please|still|then|first|therefore|simply|together|just|really))*"
_MUST = (
    r"(?:must|should|shall|ought\s+to|needs?\s+to|ha(?:s|ve)\s+(?:got\s+)?to|(?:is|are)\s+(?:to|required\s+to|"
    r"asked\s+to|"
    r"expected\s+to|supposed\s+to|meant\s+to|obliged\s+to|told\s+to|going\s+to\s+have\s+to)|had\s+better|"
    r"will\s+need\s+to|"
    r"will\s+have\s+to|will|'ll\s+need\s+to|'ll\s+have\s+to|'ve\s+got\s+to)"
)
_BASE = (
    "put|place|locate|position|set|site|situate|fit|squeeze|tuck|reserve|allot|allocate|assign|devote|dedicate|give|"
    "spend|use|use up|fill|include|feature|provide|add|build|make|draw|tape|show|check|make sure|ensure|see to it|see|"
    "remember|confirm|keep|leave|have|limit|restrict|cap|separate|cover|plan|create|design|construct|lay out|prove|"
    "verify|demonstrate|supply|set aside|put aside|hold|arrange|split|divide|save|prevent|stop|avoid|be sure|get|find|"
    "double-check|guarantee|mark out|put in|earmark|erect|establish|incorporate|take care|let|allow|confine|line up|"
    "contain|cut|pick|choose|surround|stick|move|plant|connect|join|shape|form|offer|take up|sort out|set up"
)
_VERB = "(?:" + _BASE.replace("|", r"\b|") + ")"


def _third(verb: str) -> str:
    """As everyone does it: `places`."""
    if verb == "have":
        return "has"
    if re.search(r"(?:sh|ch|x|ss|o)$", verb):
        return f"{verb}es"
    return f"{verb[:-1]}ies" if verb.endswith("fy") else f"{verb}s"


_THIRD = {
    verb: re.sub(r"^(\w+)", lambda found: _third(found[1]), verb)
    for verb in _BASE.split("|")
    if not verb.startswith("be ")
}


def _gerund(verb: str) -> str:
    """As somebody is doing it: `placing`."""
    if verb.endswith("e") and not verb.endswith(("ee", "se to")):
        return f"{verb[:-1]}ing"
    short = re.search(r"^(?:put|set|get|let|cut|plan|split|fit|stop|pick|cap)$", verb) and verb != "pick"
    return f"{verb}{verb[-1]}ing" if short else f"{verb}ing"


_GERUND = {
    verb: re.sub(r"^(\w+)", lambda found: _gerund(found[1]), verb)
    for verb in _BASE.split("|")
    if not verb.startswith("be ")
}
_START = r"(?P<start>(?:^|[.;:!?–—)]\s+|,\s+(?:so|and|but|and so|therefore)\s+|,\s+|\s+(?:so|and|but)\s+)\W*)"
_ASKED = re.compile(
    rf"{_START}{AGENT}{_ADVERB}\s*\s{_MUST}{_ADVERB}\s+(?P<not>not\s+|never\s+)?(?:also\s+|each\s+|all\s+|always\s+)*"
    rf"(?={_VERB}\b)",
    re.IGNORECASE,
)
_DOES = re.compile(
    rf"{_START}(?:{EACH_OF}|{OWN}|everyone|everybody)(?:\s+(?:also|always))*\s+"
    rf"(?P<verb>{'|'.join(sorted(set(_THIRD.values()), key=len, reverse=True))})\b(?!\s+(?:that|if|whether|to)\b)",
    re.IGNORECASE,
)
_TASK = re.compile(
    rf"{_START}(?:(?:your|the|our|this|a|one)\s+(?:\w+\s+)?(?:job|task|goal|mission|challenge|aim|duty|assignment|"
    "objective|"
    rf"brief|homework|target)|(?:it|this)\s+is\s+(?:up\s+to\s+{_ANY_AGENT}|(?:your|everyone's|every\s+team's)\s+"
    r"(?:job|task|duty))|what\s+(?:you|we)\s+(?:must|need\s+to|have\s+to|should)\s+do(?:\s+here|\s+now)?)"
    r"(?:\s+is|\s+here\s+is)?(?:\s+simple)?\s*(?:to|:|,)\s+(?:please\s+)?"
    rf"(?P<not>not\s+(?:to\s+)?)?(?={_VERB}\b)",
    re.IGNORECASE,
)
_I_WANT = re.compile(
    rf"{_START}(?:(?:i|we|the\s+(?:mayor|council|king|queen|principal|boss|rules?|client|customer|judges?|villagers|"
    rf"townspeople|people))(?:'d|'m|\s+am|\s+are|\s+also|\s+would|\s+do|\s+really|\s+all)*\s+(?:want|wants|ask|asks|"
    "asking|"
    r"expect|expects|expecting|need|needs|like|require|requires|tell|tells|love|urge|urges|command|commands|order|"
    "orders|"
    rf"trust|challenge|challenges|would\s+like)\s+(?:for\s+)?{_ANY_AGENT}(?:\s+all)?\s+to\s+(?:please\s+)?)"
    rf"(?P<not>not\s+(?:to\s+)?)?(?={_VERB}\b)",
    re.IGNORECASE,
)
_MAY_NOT = re.compile(
    rf"{_START}{AGENT}(?:\s+\w+)?\s+(?:may|can|could|might)(?:\s+not|not)\s+(?={_VERB}\b)",
    re.IGNORECASE,
)
_MAY = re.compile(
    rf"{_START}(?:{EACH_OF}|{ALL_OF}|{OWN}|everyone|everybody|all of you)\s+(?P<may>may|can|could)\s+"
    rf"(?={_VERB}\b)",
    re.IGNORECASE,
)
_THAT = re.compile(
    rf"{_START}(?:please\s+)?(?:(?:make|be|making)\s+(?:(?:quite|very|absolutely|100%)\s+)?(?:sure|certain)|ensure|"
    "ensuring|"
    r"see\s+to\s+it|see|check|double-check|verify|confirm|prove|show|demonstrate|guarantee|remember|note|take\s+care|"
    r"mind|arrange\s+it\s+so|plan\s+it\s+so|set\s+it\s+up\s+so|design\s+it\s+so|build\s+it\s+so|do\s+not\s+forget|"
    r"don't\s+forget|keep\s+in\s+mind|bear\s+in\s+mind|it\s+is\s+(?:important|essential|vital|crucial|necessary|"
    "required|"
    r"a\s+rule)|it's\s+(?:important|essential|vital|crucial|necessary|required|a\s+rule))\s+"
    r"(?:with\s+(?:a|your)\s+ruler\s+)?that\s+",
    re.IGNORECASE,
)
_NO_TEAM = re.compile(
    rf"{_START}(?:no\s+(?:{ONE})|no\s+(?:{MANY})|none\s+of\s+(?:you|your\s+(?:{MANY})|the\s+(?:{MANY})))\s+"
    rf"(?:may|can|should|is\s+allowed\s+to|are\s+allowed\s+to|will)\s+(?={_VERB}\b)",
    re.IGNORECASE,
)
_ALLOWED = re.compile(
    rf"{_START}(?:(?:{AGENT}\s+(?:is|are))|(?:you|we)(?:'re|\s+are))\s+(?P<not>not\s+|never\s+)?(?:allowed|permitted)\s+to\s+"
    rf"(?={_VERB}\b)",
    re.IGNORECASE,
)
_CALLED = re.compile(
    rf"^(?P<start>\W*)(?:(?:ok|okay|right|listen|now|hey|hello|hi|dear)[,!]?\s+)?(?:{ALL_OF}|{EVERYONE})\s*[,:!–—]\s+"
    rf"(?=(?:please\s+)?(?:{_BASE}|do\s+not|don't|never|the|every|each|no|there|at\s+least|at\s+most)\b)",
    re.IGNORECASE,
)


_GOING = re.compile(
    rf"{_START}(?:(?:we|you|i|{AGENT})(?:'re|'m|\s+are|\s+am|\s+is))(?:\s+all|\s+also)?\s+(?P<not>not\s+)?"
    rf"(?P<going>{'|'.join(sorted(_GERUND.values(), key=len, reverse=True))})\b",
    re.IGNORECASE,
)
_WILL = re.compile(
    rf"{_START}(?:we|you)(?:'ll|\s+will|'re\s+going\s+to|\s+are\s+going\s+to|\s+shall)(?:\s+all|\s+also)?\s+"
    rf"(?P<not>not\s+)?(?={_VERB}\b)",
    re.IGNORECASE,
)
_LAND_MUST = re.compile(
    rf"{_START}(?:your|our|the|this|every|each)\s+(?:own\s+)?(?:{LANDS})\s+{_MUST}\s+(?P<not>not\s+)?"
    r"(?=(?:leave|keep|set aside|reserve|give|devote|dedicate|spend|put|place|limit|separate|use)\b)",
    re.IGNORECASE,
)


def addressed(sentence: str, zones: Zones) -> str:
    """The sentence as what it asks for, where it is addressed to all who build."""
    for pattern, made in _FORMS:
        sentence = pattern.sub(lambda found, made=made: _put(found, made, zones), sentence)  # type: ignore[misc]
    return sentence


def _put(found: re.Match[str], made: str, zones: Zones) -> str:
    whole = found[0]
    if any(zones.match(whole, word.start()) for word in re.finditer(r"(?<!\w)\w", whole)):
        return whole  # a zone may be called so
    if any(is_in_a_name(word.lower(), zones.names) for word in re.findall(r"[^\W\d_]+", whole)):
        return whole  # `the garden` may be the herb garden
    after = found.string[found.end() :]
    if _CHILDREN.search(whole) and _OF_CHILDREN.match(after):
        return whole  # `children need to have ...` is of those who live there
    groups = found.groupdict()
    said = "do not " if groups.get("not") else made
    if groups.get("going"):
        said += next(base for base, going in _GERUND.items() if going == groups["going"].lower())
    if groups.get("verb"):
        nobody = "do not " if made else ""
        said = nobody + next(base for base, third in _THIRD.items() if third == groups["verb"].lower())
    return f"{found['start']}{said}"


_CHILDREN = re.compile(r"\b(?:kids?|child(?:ren)?|boys and girls)\b", re.IGNORECASE)
_OF_CHILDREN = re.compile(
    r"(?:have|get|find|use|hold|move|stick|let|allow|see|keep|leave|fit|give|be)\b", re.IGNORECASE
)


_PUTTING = "puts|places|builds|locates|positions|sets|makes|uses|spends|draws"
_NOBODY = re.compile(
    rf"{_START}(?:nobody|no one|no team|no group|none of you)\s+(?P<verb>{_PUTTING})\b"
    r"(?!\s+(?:that|if|whether|to|up)\b)",
    re.IGNORECASE,
)
_SAYS = re.compile(
    rf"{_START}(?:our|the|your|my|town|village|city|class|school|club|island|colony)\s+(?:(?:town|village|city|class|"
    "school|"
    r"building|zoning|island|colony)(?:'s)?\s+)?(?:rules?|laws?|by-?laws?|code|charter|plan|constitution|contract|"
    "regulations?|"
    r"ordinance|rule ?book|handbook|policy|planning office|planning department|council|charter)\s+(?:says?|states?|"
    "requires?|"
    r"demands?|decrees?|insists?|orders?|is|are)\s+that\s+",
    re.IGNORECASE,
)
_FORMS = (
    (_SAYS, ""),
    (_CALLED, ""),
    (_TASK, ""),
    (_I_WANT, ""),
    (_ASKED, ""),
    (_MAY_NOT, "do not "),
    (_NO_TEAM, "do not "),
    (_ALLOWED, "you may "),
    (_DOES, ""),
    (_NOBODY, "do not "),
    (_GOING, ""),
    (_WILL, ""),
    (_LAND_MUST, ""),
    (_MAY, "you may "),
    (_THAT, ""),
)
