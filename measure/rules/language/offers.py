"""Whole sentences to offer in the place of one that is not understood: what it may have meant, and `by eye:`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measure.rules.language.zone_names import ZoneNames
from measure.rules.speech.meanings import Bound
from measure.rules.speech.speech import parts_of, spoken
from measure.units import Unit

_NEAR = re.compile(r"\b(?:near|close|nearby|beside|walking distance)\b")
_FAR = re.compile(r"\b(?:far|away|apart|distant|separate|off)\b")
_SMALL = re.compile(r"\b(?:small|little|tiny|not (?:\w+ )*(?:big|large)|too (?:big|large))\b")
_LARGE = re.compile(r"\b(?:big|large|huge)\b")
_MORE = re.compile(r"\b(?:more|larger|bigger) than\b")
_EXAMPLE: dict[str, tuple[str, str, str]] = {
    "in": ("4 in", "12 sq in", "2 in"),
    "cm": ("10 cm", "80 sq cm", "5 cm"),
    "mm": ("100 mm", "8000 sq mm", "50 mm"),
}
_TURNED = re.compile(
    r"\b(?:not|no|none|never|neither|nobody|nothing|without|unless|save|bar|half of|only|most|if|when|or|but|except|"
    r"largest|smallest|tallest|per|each|every|all)\b|n't\b|[|+÷<>≤≥]|(?<!\w)-\d"
)
"""Words that can turn round or split what is said: what is offered then would often be its opposite."""
_MOST = 2


def offers(text: str, zones: ZoneNames, unit: Unit) -> tuple[str, ...]:
    """The likeliest first, the way out last; each still has to be read by who offers it."""
    found = list(dict.fromkeys(_meant(text, zones, *_EXAMPLE[unit])))[:_MOST]
    seen = re.sub(r"^by[\s-]eye\b\s*:?\s*", "", " ".join(text.split()).rstrip(".! "), flags=re.IGNORECASE)
    return (*found, *([f"by eye: {seen}"] if seen else []))


def _meant(text: str, zones: ZoneNames, length: str, area: str, short: str) -> Iterator[str]:
    names, bounds = parts_of(spoken(text), zones)
    small = text.lower()
    if not names or _TURNED.search(re.sub(r"\b(?:at|the) (?:least|most)\b|\b(?:no|not) (?:more|less)\b", "", small)):
        return
    said: dict[str, Bound] = {}
    for bound in bounds:
        said.setdefault("times" if bound.times else bound.measure, bound)
    if len(names) > 1:
        yield from _of_two(small, names[0], names[1], said, length)
        return
    yield from _of_one(small, names[0], said, area, short)


def _at_least(bound: Bound) -> str:
    return bound.plain.text(bare="at least")


def _exactly(bound: Bound, after: str = "") -> str:
    """As it is; of a number alone the one that a tolerance makes measurable."""
    if bound.relation in ("bare", "exactly") and not bound.tolerance:
        return f"exactly {bound.amount}{after}, within 5%"
    return bound.text(after)


def _of_two(text: str, who: str, other: str, said: dict[str, Bound], length: str) -> Iterator[str]:
    if "length" in said:
        near = "within" in text and said["length"].relation == "bare"
        far = f"{who} is {_at_least(said['length'])} from {other}"
        yield f"{who} is within {said['length'].amount} of {other}" if near else far
    elif _NEAR.search(text):
        yield f"{who} is within {length} of {other}"
    elif _FAR.search(text):
        yield f"{who} is at least {length} from {other}"
    if "times" in said:
        yield f"{who} covers {_at_least(said['times'])} times {other}"
    if "area" in said and _MORE.search(text):
        yield f"{who} covers {_at_least(said['area'])} more than {other}"
    if "touch" in text:
        yield f"{who} touches {other}"


def _of_one(text: str, who: str, said: dict[str, Bound], area: str, short: str) -> Iterator[str]:
    share = said.get("percent") or (said["number"] if "number" in said and said["number"].amount.number < 1 else None)
    if share is not None and re.search(r"\b(?:parcel|board|land|ground|area|map|space)\b", text):
        yield f"{who} covers {_exactly(share, ' of the parcel')}"
    if "area" in said:
        yield f"{who} covers {_exactly(said['area'])}"
    if "length" in said and "tall" in text:
        yield f"{who} is {_at_least(said['length'])} tall"
    elif "length" in said and re.search(r"\b(?:long|length)\b", text):
        yield f"the length of {who} is {_at_least(said['length'])}"
    if _SMALL.search(text):
        yield f"{who} covers at most {area}"
    elif _LARGE.search(text):
        yield f"{who} covers at least {area}"
    if re.search(r"\b(?:wide|width|narrow)\b", text):
        yield f"the width of {who} is at least {short}"
