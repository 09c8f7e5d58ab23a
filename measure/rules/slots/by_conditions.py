"""`If A, then B` where A and B are read by themselves, as a formula; `if A, it is a penalty` as what A must not be."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from measure.rules.rule import Rule
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.idle import without_label
from measure.rules.speech.speech import spoken
from measure.rules.speech.turning import takes_back
from measure.rules.speech.words.lexicon import Zones, zones_in

Literally = Callable[[str], tuple[Rule, tuple[str, ...]]]
"""How a canonical sentence is read: its rule, and warnings; raises RuleMistake."""
Quietly = Callable[[str], tuple[ReadRule, ...] | None]
"""The rules of a sentence, None where it is not read."""
_IF = r"(?:if|when|whenever|in case)\s+(?!you (?:like|want|wish|prefer)\b)"
_FIRST = re.compile(rf"{_IF}(?P<if>[^,;]+)\s*(?:,\s*(?:then\s+)?|\s+then\s+)(?P<then>.+)$", re.IGNORECASE)
_LAST = re.compile(rf"(?P<then>[^,;:]+?),?\s+{_IF}(?P<if>[^,;:]+)$", re.IGNORECASE)
_TEAMS = re.compile(
    r"^(?:(?:all |any )?(?:teams|groups|builders|students)|any(?:one| team| group)|every(?:one| team| group)|whoever)"
    r"\s+"
    r"(?:(?:that|who)\s+)?(?:tapes?|builds?|ha(?:s|ve)|makes?|uses?|draws?|puts?|with)\s+(?P<many>[^,;:]+?)\s+"
    r"(?=(?:must|should|has to|have to|need to|needs to)\b)",
    re.IGNORECASE,
)
"""`Teams that tape more than three homes must ...`"""
_YOU_HAVE = re.compile(r"^(?:you|your (?:team|group)|we)\s+(?:have|build|tape|make|use|draw|include)\s+", re.IGNORECASE)
_OTHERWISE = re.compile(r"\s*[,;.]\s*(?:otherwise|else|if not)\b,?\s*", re.IGNORECASE)
_TAKEN_BACK = re.compile(
    r"\b(?:optional\w*|voluntary|bonus|extra credit|ignore|kidding|joking|not true|false)\b", re.IGNORECASE
)
_WORDS = re.compile(
    r"\b(?:unless|except|only|maybe|perhaps|might|may|could|either|neither|if|when|otherwise)\b", re.IGNORECASE
)
_AMISS = re.compile(
    r"\W*(?:and )?(?:it|that|this|there|you|your (?:team|group|plan|town|model|design)|something|we)\b[^.;:]*\b"
    r"(?:penalty|penalties|"
    r"lose|loses|points? off|minus|wrong|sideways|start over|redo|disqualified|fail|fails|failed|rejected|not allowed|"
    r"against the rules?|broken|broke|illegal|mistake|try again|do it again|not good|no good|"
    r"too (?:close|near|far|big|small|many))\b",
    re.IGNORECASE,
)
_THEN = re.compile(r"\s*(?:,\s*(?:then\s+)?|\s+then\s+)", re.IGNORECASE)
_PRONOUN = re.compile(r"\b(?:it|they)\b", re.IGNORECASE)
_IT = re.compile(r"\b(?:it|they|them)\b", re.IGNORECASE)
_EACH_OF_THEM = re.compile(r"\b(?:every|each) (?:one )?of (?:them|those|these)\b|\beach one\b", re.IGNORECASE)


def if_there_is(
    text: str, condition: re.Match[str], zones: Zones, read: Callable[[str], tuple[ReadRule, ...]], amiss: str
) -> tuple[ReadRule, ...]:
    """`if there is a factory, it must be 10 in from the school`: a rule where there is one.

    Raises RuleMistake, which says amiss where it is no such sentence.
    """
    zone = zones.match(text, condition.end())
    then = _THEN.match(text, zone.end()) if zone else None
    if zone is None or then is None:
        raise RuleMistake(text.rstrip(), *condition.span(), amiss)
    name = zones.canonical(zone[0])
    rest = _PRONOUN.sub(zone[0], text[then.end() :], count=1)
    if _PRONOUN.search(rest):
        raise RuleMistake(text.rstrip(), then.end(), len(text.rstrip()), "name the zones again in place of `it`")
    made = []
    for part in read(rest):
        if part.rule.given or part.rule.kind.by_eye:
            raise RuleMistake(text.rstrip(), *condition.span(), amiss)
        rule = replace(part.rule, given=(name,))
        made.append(ReadRule(text if rest == part.text else f"if there is a {name}, {part.text}", rule, part.warnings))
    return tuple(made)


def by_condition(
    sentence: str, text: str, zones: Zones, read: Quietly, literally: Literally
) -> tuple[ReadRule, ...] | None:
    """The one rule, a formula, of a sentence and its plain() text.

    None where the sentence is none of these, or a part of it is not read.
    """
    if not zones.names:
        return None
    text = without_label(spoken(text, zones)).rstrip(" .!")
    text = _TEAMS.sub(r"if there are \g<many>, ", text)
    found = _FIRST.match(text) or _LAST.match(text)
    if found is None or _WORDS.search(found["if"]) or takes_back(found["if"]) or _TAKEN_BACK.search(text):
        return None
    asked, wanted = _YOU_HAVE.sub("there are ", found["if"]), found["then"]
    named = _zones_named(asked, zones)
    if _is_amiss(wanted, zones):
        made, warnings = _all_of(asked, read)
        said = f"not: ({made})" if ", and " in made or made.startswith(("for ", "either ")) else f"not: {made}"
        return _formula(sentence, said, warnings, literally) if made else None
    wanted = re.sub(r"^(?:must|should|ha(?:s|ve) to|needs? to)\s+", "", wanted, flags=re.IGNORECASE)
    then, *other = _OTHERWISE.split(wanted, maxsplit=1)
    parts = [asked, *(_with_names(part, named) for part in (then, *other))]
    if any(not part or _WORDS.search(part) for part in parts[1:]):
        return None
    if re.match(r"\W*(?:one|1) is (?:enough|fine|ok|okay)\b", other[0] if other else "", re.IGNORECASE):
        last = _zones_named(then, zones)
        parts[2] = f"there is at least 1 piece of {last[0]}" if len(last) == 1 else ""
    made_of = [_all_of(part, read) for part in parts]
    if not all(made for made, _ in made_of):
        return None
    (test, told), (first, more), *rest = made_of
    test, first = (f"({each})" if each.startswith(("for ", "if ")) else each for each in (test, first))
    said = f"if {test}, then {first}" + (f", otherwise {rest[0][0]}" if rest else "")
    return _formula(sentence, said, (*told, *more, *(rest[0][1] if rest else ())), literally)


def _zones_named(text: str, zones: Zones) -> list[str]:
    return list(dict.fromkeys(zones.canonical(found[0]) for found in zones_in(text, zones)))


def _is_amiss(wanted: str, zones: Zones) -> bool:
    return (
        bool(_AMISS.match(wanted))
        and not _zones_named(wanted, zones)
        and not re.search(r"\d.*\b(?:in|cm|inch)", wanted)
    )


def _with_names(part: str, named: list[str]) -> str:
    """With the zone that `it` stands for; empty where that may be one of several."""
    if not (_IT.search(part) or _EACH_OF_THEM.search(part)):
        return part
    if len(named) != 1:
        return ""
    each = _EACH_OF_THEM.sub(f"every piece of {named[0]}", part)
    return _IT.sub(named[0], each)


def _all_of(text: str, read: Quietly) -> tuple[str, tuple[str, ...]]:
    """A formula for what the text says, and what is told of it; empty where it is not read."""
    try:
        found = read(text)
    except RuleMistake:
        return "", ()
    if not found or any(part.rule.given or part.rule.kind.by_eye for part in found):
        return "", ()
    made = ", and ".join(_as_formula(part.rule.reads_as()) for part in found)
    return made, tuple(each for part in found for each in part.warnings)


def _as_formula(text: str) -> str:
    """A plain rule in the words of formulas."""
    for pattern, made in _FORMS:
        if pattern.fullmatch(text):
            return pattern.sub(made, text)
    return text


_FORMS = tuple(
    (re.compile(pattern), made)
    for pattern, made in (
        (r"there is no piece of (.+)", r"there is no \1"),
        (r"there (?:is|are) (.+) pieces? of ([^,:]+)", r"the number of pieces of \2 is \1"),
        (
            r"the distance from every piece of (.+) to every piece of (.+) is (.+)",
            r"for every piece of \1: for every piece of \2: the gap from that piece of \1 to that piece of \2 is \3",
        ),
        (
            r"the distance from every piece of (.+) to (.+) is (.+)",
            r"for every piece of \1: the gap from that piece to \2 is \3",
        ),
        (
            r"the distance from (.+) to every piece of (.+) is (.+)",
            r"for every piece of \2: the gap from that piece to \1 is \3",
        ),
        (r"the distance from (.+) to (.+) is (.+)", r"the gap from \1 to \2 is \3"),
        (r"(?:no|every) piece of (.+) touches (?:no|every) piece of (.+)", r""),
        (r"no piece of (.+) touches (.+)", r"for no piece of \1: that piece touches \2"),
        (r"every piece of (.+) touches (.+)", r"for every piece of \1: that piece touches \2"),
        (r"(.+) touch(?:es)? every piece of (.+)", r"for every piece of \2: that piece touches \1"),
        (r"(.+) do(?:es)? not touch (.+)", r"not: \1 touches \2"),
        (
            r"the area of every piece of (.+) is ([^x]+)% of the parcel",
            r"for every piece of \1: the area of that piece is \2% of the area of the parcel",
        ),
        (r"the area of every piece of (.+) is (.+)", r"for every piece of \1: the area of that piece is \2"),
        (r"the area of (.+) is (.+)% of the parcel", r"the area of \1 is \2% of the area of the parcel"),
        (r"the area of (.+) is (.+) x the area of (.+)", r"the area of \1 is \2 times the area of \3"),
    )
)


def _formula(sentence: str, said: str, warnings: tuple[str, ...], literally: Literally) -> tuple[ReadRule, ...] | None:
    try:
        rule, told = literally(said)
    except RuleMistake:
        return None
    read = f"read as `{rule.reads_as()}`; write that in other words if something else is meant"
    return (replace(ReadRule(sentence, rule), warnings=(read, *dict.fromkeys((*warnings, *told)))),)
