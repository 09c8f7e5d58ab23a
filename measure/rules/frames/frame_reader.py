"""What a text says in frames: its sentences one by one, and those that two frames share at a joint."""

from __future__ import annotations

import re
from collections.abc import Callable

from measure.rules.frames.clause import clause_of
from measure.rules.frames.framing import framed
from measure.rules.speech.idle import shorter
from measure.rules.speech.words.lexicon import Zones, is_plural, zone_at, zones_in

Sentences = tuple[str, ...]
Strictly = Callable[[str], object]
"""What the grammars read a text as, None where they do not."""

_ENDS = re.compile(r"[.!?]+(?=\s+[A-Z]|\s*$)|[!?]+(?=\s)|\s*;\s*")
_ASKS = re.compile(
    r"^(?!.*\b(?:can|could|would|will) (?:you|we|your|everyone|everybody|all of you)\b).*\?", re.IGNORECASE | re.DOTALL
)
_JOINT = re.compile(r",?\s+(?P<word>and|but|yet|while|whereas|although|though)\s+|,\s+(?=(?:but|yet)\b)", re.IGNORECASE)
_MOST_JOINTS = 4
_PRONOUN = re.compile(r"^(?:it|they)\b", re.IGNORECASE)


def said_in_frames(text: str, zones: Zones, strictly: Strictly) -> tuple[str, Sentences] | None:
    """What is kept of a spoken() text, and the sentences that it says; None where no frame fits."""
    for kept in () if _ASKS.search(text) else shorter(text, zones):
        said = _said(kept, zones, strictly)
        if said:
            return kept, said
    return None


def _said(text: str, zones: Zones, strictly: Strictly) -> Sentences | None:
    parts = [part.strip(" ,") for part in _ENDS.split(text) if part.strip(" ,")]
    said: list[str] = []
    for at, part in enumerate(parts):
        if at:
            part = _named(part, " ".join(parts[:at]), zones)
        found = framed(part, zones) or _joined(part, zones, strictly)
        if found is None and len(parts) > 1 and strictly(part):
            found = (part,)
        if found is None:
            return None
        said += found
    return tuple(said) or None


_THAT = re.compile(r"\b(?:it|them|they)\b", re.IGNORECASE)


def _named(text: str, before: str, zones: Zones) -> str:
    """With the one zone that was named before in the place of a pronoun that agrees with it."""
    forms = {zone[0].lower() for zone in zones_in(before, zones)}
    found = _THAT.findall(text)
    if len(found) != 1 or len(forms) != 1 or (found[0].lower() != "it") != is_plural(next(iter(forms))):
        return text
    return _THAT.sub(f"the {forms.pop()}", text)


def _joined(text: str, zones: Zones, strictly: Strictly) -> Sentences | None:
    """Both sides of a joint, where there is one way to part them; the second may go on with the first one's subject."""
    found: set[Sentences] = set()
    if _CONDITION.search(text):
        return None  # it can reach both halves
    for joint in list(_JOINT.finditer(text))[:_MOST_JOINTS]:
        first, second = text[: joint.start()].strip(" ,"), text[joint.end() :].strip(" ,")
        if not first or not second or _PRONOUN.match(second):
            continue
        one = _half(first, zones, strictly)
        two = _half(second, zones, strictly) if one and _stands_alone(second, zones) else None
        if one and two is None:
            two = _going_on(first, second, zones, strictly, but=_is_but(joint))
        if one and two:
            found.add((*one, *two))
    return found.pop() if len(found) == 1 else None


_CONDITION = re.compile(
    r"\b(?:if|unless|when|whenever|wherever|provided|as long as|in case|except|only|either|neither)\b", re.IGNORECASE
)
_OWN_VERB = re.compile(
    r"\b(?:is|are|be|must|shall|should|has|have|needs?|may|can|cannot|touch(?:es)?|covers?|takes?|gets?|goes|go|will|"
    r"stands?|lies?|sits?|belongs?)\b",
    re.IGNORECASE,
)
_ORDERED = re.compile(r"(?:keep|put|place|leave|make|build|give|draw|do|don't|never|avoid|let|there)\b", re.IGNORECASE)


def _stands_alone(text: str, zones: Zones) -> bool:
    """Whether a half has a subject and a verb of its own, so that nothing of the first is meant with it."""
    if _ORDERED.match(text):
        return True
    clause = clause_of(text, zones)
    leads = clause.items[0].thing is not None if clause else _leads(text, zones)
    return leads and bool(_OWN_VERB.search(text))


def _leads(text: str, zones: Zones) -> bool:
    article = re.match(r"(?:the|your|our|an?|every|each|no|all)\s+", text, re.IGNORECASE)
    return zone_at(text, article.end() if article else 0, zones) is not None


def _is_but(joint: re.Match[str]) -> bool:
    return (joint["word"] or "but").lower() != "and"


def _half(text: str, zones: Zones, strictly: Strictly) -> Sentences | None:
    said = framed(text, zones)
    return said or ((text,) if strictly(text) else None)


_DENIES = re.compile(
    r"\b(?:no|not|none|nothing|never|cannot|may|can|could|avoid|prevent|stop|if|unless)\b|n't\b", re.IGNORECASE
)


def _going_on(first: str, second: str, zones: Zones, strictly: Strictly, *, but: bool) -> Sentences | None:
    """The second half with the subject that stands at the beginning of the first."""
    if _DENIES.search(first) and not but:
        return None
    clause = clause_of(first, zones)
    begins = clause.items[0] if clause is not None else None
    if (
        begins is None
        or begins.thing is None
        or begins.thing.quantifier not in ("", "every", "a")
        or begins.thing.count
    ):
        return None
    subject = first[: _end_of_subject(first, begins.thing.names, zones)]
    return _half(f"{subject} {second}", zones, strictly) if subject.strip() else None


def _end_of_subject(text: str, names: tuple[str, ...], zones: Zones) -> int:
    found = next(zones_in(text, zones), None)
    return found.end() if found and len(names) == 1 else 0
