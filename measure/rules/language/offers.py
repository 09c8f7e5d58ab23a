"""Whole sentences to offer in the place of one that is not understood: what it may have meant, and `by eye:`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measure.rules.language.masked import Masked
from measure.rules.language.reword import mould_of
from measure.rules.language.zone_names import ZoneNames
from measure.units import Unit

_NEAR = re.compile(r"\b(?:near|close|nearby|beside|walking distance)\b")
_FAR = re.compile(r"\b(?:far|away|apart|distant|separate|off)\b")
_SMALL = re.compile(r"\b(?:small|little|tiny|not (?:\w+ )*(?:big|large)|too (?:big|large))\b")
_LARGE = re.compile(r"\b(?:big|large|huge)\b")
_ABOUT = re.compile(r"\b(?:about|roughly|around|approximately|nearly|almost|some)\b")
_EXAMPLE: dict[str, tuple[str, str, str]] = {
    "in": ("4 in", "12 sq in", "2 in"),
    "cm": ("10 cm", "80 sq cm", "5 cm"),
    "mm": ("100 mm", "8000 sq mm", "50 mm"),
}
_TURNED = re.compile(
    r"\b(?:not|no|none|never|neither|nobody|nothing|without|unless|save|bar|half of|only|most|if|when|or|but|except|"
    r"largest|smallest|tallest|per|each|every)\b|[|+÷<>≤≥]"
)
"""Words that can turn round or split what is said: what is offered then would often be its opposite."""
_MOST = 2


def offers(text: str, zones: ZoneNames, unit: Unit) -> tuple[str, ...]:
    """The likeliest first, the way out last; each still has to be read by who offers it."""
    made = mould_of(text, zones)
    found = list(dict.fromkeys(_meant(made, *_EXAMPLE[unit])))[:_MOST]
    seen = re.sub(r"^by[\s-]eye\b\s*:?\s*", "", " ".join(text.split()).rstrip(".! "), flags=re.IGNORECASE)
    return (*found, *([f"by eye: {seen}"] if seen else []))


def _meant(made: Masked, length: str, area: str, short: str) -> Iterator[str]:
    named = list(dict.fromkeys(made.said(sign) for sign in re.findall(r"[ZW]\d+", made.text)))
    names = [name for name in named if not re.search(r"[~¤^@]|^(?:no|every|at|nothing|all|each) ", name)]
    first = made.text.lower()
    if not names:
        return
    who = names[0]
    said = {sign.lstrip("G")[0]: made.said(sign) for sign in re.findall(r"G?[LSPFNX]\d+", made.text)}
    bound = {letter: value if value[0].isalpha() else f"at least {value}" for letter, value in said.items()}
    if _TURNED.search(first):
        return
    if len(names) > 1:
        yield from _of_two(first, who, names[1], said, bound, length)
        return
    yield from _of_one(first, who, said, bound, area, short)


def _of_two(text: str, who: str, other: str, said: dict[str, str], bound: dict[str, str], length: str) -> Iterator[str]:
    if "L" in said:
        within = "within" in text and said["L"][0].isdigit()
        yield f"{who} is within {said['L']} of {other}" if within else f"{who} is {bound['L']} from {other}"
    elif _NEAR.search(text):
        yield f"{who} is within {length} of {other}"
    elif _FAR.search(text):
        yield f"{who} is at least {length} from {other}"
    if re.search(r"\btwice\b", text):
        yield f"{who} covers at least 2 times {other}"
    if "X" in said:
        yield f"{who} covers {bound['X']} {other}"
    if "S" in said and re.search(r"\b(?:more|larger|bigger) than\b", text):
        yield f"{who} covers {bound['S']} more than {other}"
    if "touch" in text:
        yield f"{who} touches {other}"


def _of_one(text: str, who: str, said: dict[str, str], bound: dict[str, str], area: str, short: str) -> Iterator[str]:
    exact = {letter: value for letter, value in said.items() if value[0].isdigit() or value.startswith("exactly")}
    share = "P" if "P" in said else "F"
    if share in said and "parcel" not in text:
        pass
    elif share in exact:
        yield f"{who} covers exactly {exact[share].removeprefix('exactly ')} of the parcel, within 5%"
    elif share in said:
        yield f"{who} covers {bound[share]} of the parcel"
    if "S" in exact:
        yield f"{who} covers exactly {exact['S'].removeprefix('exactly ')}, within 5%"
    elif "S" in said:
        yield f"{who} covers {bound['S']}"
    if "L" in said and "tall" in text:
        yield f"{who} is {bound['L']} tall"
    elif "L" in said and re.search(r"\b(?:long|length)\b", text):
        yield f"the length of {who} is {bound['L']}"
    if _SMALL.search(text):
        yield f"{who} covers at most {area}"
    elif _LARGE.search(text):
        yield f"{who} covers at least {area}"
    if re.search(r"\b(?:wide|width|narrow)\b", text):
        yield f"the width of {who} is at least {short}"
