"""What a clause says that one pattern in clause_ways takes from its first word to its last.

A line is `pattern ==> sentence // note`. Beside the signs and places of said_otherwise.txt a sentence has {0.limit} and
{0.lower} (a limit that was said, a lower one), and {0.tall}, {0.tall_turned}, {0.tall_most} of a height. A limit that
was not said is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from measure.rules.offers.clause_form import in_one_form
from measure.rules.offers.gist import Much, Who, gist_of
from measure.rules.offers.reckoned_said import reckoned_said
from measure.rules.offers.said_otherwise import SIGNS, filled
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.turning import takes_back
from measure.rules.speech.words.lexicon import Zones, is_plural
from measure.rules.zone_groups import listed
from measure.units import Unit

_FILES = Path(__file__).with_name("clause_ways")
NOTE = " // "
_SIGN = re.compile(r"(?<![A-Za-z<\\\[-])[A-Z](?![A-Za-z\d\\])")
_NAMED = re.compile(r"<([A-Z]+)>")


@dataclass(frozen=True)
class _Way:
    regex: re.Pattern[str]
    sentence: str
    of_zones: bool


def clause_said(text: str, lent: str, zones: Zones, names: Sequence[str], unit: Unit) -> tuple[str, ...]:
    """What a clause says, with ` // ` before what is told of it; more than one only where it has several meanings.

    lent: the zone that the clause before is about, which `it`, or a clause without a subject, speaks of; or empty.
    """
    found: dict[str, None] = {}
    if takes_back(text):
        return ()
    for said in _with_subject(text.strip(), lent):
        try:
            gist = gist_of(said, zones, unit)
        except RuleMistake:  # a number that cannot be read
            return ()
        form = in_one_form(gist.text)
        labelled = re.sub(r"^(Z\d+) : (?!keep|no |N\d+$|L\d+$)", r"\1 is ", form)  # `Plaza: a regular hexagon`
        for way in _ways():
            whole = way.regex.fullmatch(form) or way.regex.fullmatch(labelled)
            if whole is None:
                continue
            if lent and not way.of_zones:
                continue  # `max height 4 in` behind a zone may be of that zone
            signs = [sign for name, sign in sorted(whole.groupdict().items(), key=_order) if sign]
            meant = [_whom(gist.of(sign), sign, gist.said) for sign in signs]
            made = _filled(way.sentence, meant, {"u": unit, "zones": listed(tuple(names))}, form)
            if made:
                found[made] = None
        reckoned = "" if found or lent else reckoned_said(form, gist)
        if reckoned:
            found[reckoned] = None
        if found:
            break
    return tuple(found)


def _order(item: tuple[str, str | None]) -> int:
    return int(item[0][1:])


def _with_subject(text: str, lent: str) -> Iterator[str]:
    """The clause itself, else with the zone that it leaves unsaid."""
    yield text
    if not lent:
        return
    if _ITS.search(text):
        yield _ITS.sub(f"the {lent}'s", text)
    if _TO_IT.search(text):
        yield _TO_IT.sub(rf"\\1 the {lent}", text)
    for pattern, made in _UNSAID:
        found = pattern.match(text)
        if found:
            yield f"{made.format(lent)}{text[found.end() :]}"
    if _BARE.match(text):
        yield f"the {lent} {text}"
    yield f"the {lent}: {text}"


_ITS = re.compile(r"\bits\b", re.IGNORECASE)
_TO_IT = re.compile(r"\b(on|to|with|touch|touches|of|from|against|beside|border|borders) (?:it|them)\b", re.IGNORECASE)
_UNSAID = tuple(
    (re.compile(pattern, re.IGNORECASE), made)
    for pattern, made in (
        (r"(?:and )?(?:it|they|this|these|that|which)\b(?!')", "the {0}"),
        (r"(?:and )?(?:it|they)'(?:s|re)\b", "the {0} is"),
        (r"(?:and )?(?:each|every one|each one|all)(?: of (?:them|these))?\b", "every {0}"),
        (r"(?:and )?(?:none|no one|not one)(?: of (?:them|these))?\b", "no {0}"),
        (r"(?:and )?its\b", "the {0}'s"),
    )
)
_BARE = re.compile(
    r"(?:is|are|be|must|should|shall|has|have|needs?|may|can|cannot|touch\w*|covers?|with|not|never|runs?|lies|stays)\b",
    re.IGNORECASE,
)


def _whom(meant: object, sign: str, said: Sequence[str]) -> object:
    """`a home` of homes is each of them; where one could be meant, no pattern fits."""
    if isinstance(meant, Who) and re.match(r"(?:an?|one)\b", sign) and is_plural(meant.name):
        return replace(meant, quantifier="every a")
    return meant


def _filled(sentence: str, meant: list[object], words: dict[str, str], form: str) -> str:
    plain, _, note = sentence.partition(NOTE)
    told = [note] if note else []
    for at, way in re.findall(r"\{(\d)(?:\.(\w+))?[}.]", plain):
        thing = meant[int(at)] if int(at) < len(meant) else None
        if isinstance(thing, Much):
            said = _much(thing, way, form)
            last = meant[int(at) - 1]
            if way == "as_first" and isinstance(last, Much) and thing.bound.relation == "bare":
                said = _much(replace(thing, bound=replace(thing.bound, relation=last.bound.relation)), "length", form)
            if said is None:
                return ""
            if said[1]:
                told.append(said[1])
            plain = plain.replace(f"{{{at}.{way}}}", said[0]) if way in _OWN else plain
        elif isinstance(thing, Who) and thing.quantifier == "every a":
            if way in ("begin", "it"):
                return ""
            meant[int(at)] = replace(thing, quantifier="every")
    try:
        made = filled(plain, meant, words)
    except (AttributeError, IndexError, KeyError, AssertionError):
        return ""
    return NOTE.join([made, "; ".join(dict.fromkeys(told))]) if told and made else made


_OWN = frozenset(
    re.findall(
        r"\w+", "limit lower length as_first rel_said zones_least high tall tall_turned tall_most tall_least tall_upper"
    )
)
_RISING = re.compile(
    r"\b(?:tall|high|height|heights|rise|rises|go up|goes up|reach|reaches|exceed|climb|overtop|top|little|"
    r"roofs?|rooftops?)\b"
)


def _much(much: Much, way: str, form: str) -> tuple[str, str] | None:
    """How an amount is put where the sentence has it so, and what is told; None where it cannot be meant so."""
    bound = much.bound
    bare = bound.relation == "bare"
    if way == "rel_said":
        return None if bare else (bound.relation, "")
    if way == "high":
        return (much.least, "") if bound.flavour == "height" and bound.measure == "length" and not bare else None
    if way in ("length", "as_first"):
        return _length(much)
    if way.startswith("tall") or way == "turned_length":
        rising = bound.flavour == "height" or (bound.flavour in ("", "size") and _RISING.search(form))
        if bound.measure != "length" or not rising:
            return None
    elif bound.flavour in ("height", "gap", "width") and way in ("limit", "of", "turned", "", "rel", "lower"):
        return None
    if way in ("turned", "tall_turned"):
        return (much.turned, "") if bound.opposite is not None else None
    if way == "lower":
        return (much.least, "") if bound.relation in ("at least", "more than") else None
    if way == "tall_upper":
        return (much.least, "") if bound.relation in ("at most", "less than") else None
    if way == "tall_least":
        return (much.least, "") if bound.relation in ("at least", "more than") else None
    if way == "zones_least":
        return None if bound.relation not in ("bare", "at least", "exactly") else (f"at least {much.number}", "")
    if way in ("limit", "tall"):
        return None if bare or bound.relation == "exactly" else (much.least, "")
    if way in ("n", "number", "low"):
        return "", ""
    if way in ("least", "rel_least", "most", "tall_most"):
        word = "most" if "most" in way else "least"
        return (much.most if word == "most" else much.least), (f"with {much.n} as the {word}" if bare else "")
    return "", (f"as exactly {much.n}" if bare and bound.measure == "number" and not bound.times else "")


def _length(much: Much) -> tuple[str, str] | None:
    """A length with the relation that was said."""
    bound = much.bound
    if bound.measure != "length" or bound.flavour not in ("", "length", "width"):
        return None
    return (much.least, "") if bound.relation not in ("bare", "exactly") or bound.tolerance else None


@cache
def _ways() -> tuple[_Way, ...]:
    named: dict[str, str] = {}
    made: list[_Way] = []
    for line in _lines():
        name, defined, meaning = line.partition(" := ")
        if defined:
            named[name] = _NAMED.sub(lambda found: named[found[1]], meaning)
            continue
        pattern, _, sentence = line.partition(" ==> ")
        whole = _NAMED.sub(lambda found: named[found[1]], pattern)
        named_zone = any(found[0] == "Z" for found in _SIGN.finditer(whole))
        made.append(_Way(_compiled(whole), sentence.strip(), named_zone))
    return tuple(made)


def _lines() -> Iterator[str]:
    """The lines of all files in the order of their names; those of `names.txt` come first, others may use them."""
    for file in sorted(_FILES.glob("*.txt"), key=lambda file: (file.name != "names.txt", file.name)):
        yield from (line for line in file.read_text("utf-8").splitlines() if line and not line.startswith("#"))


def _compiled(pattern: str) -> re.Pattern[str]:
    count = iter(range(99))
    text = _SIGN.sub(lambda found: f"(?P<x{next(count)}>{SIGNS[found[0]]})", pattern)
    return re.compile(text)
