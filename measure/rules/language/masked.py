"""A sentence with its zones, amounts, limits and subjects each as one sign, so that its mould shows.

`Keep the factory at least 8 inches away from the homes` becomes `keep W0 GL1 away from W2`. A sign is a capital (or
two) and a number: Z a zone; W whoever a rule is about; R a half or corner of the parcel; N P L S V X Q a number, per
cent, length, area, volume, so many times, percentage points, F a number below 1; G before these a limit on one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from measure.numbers import written
from measure.rules.language.rule_tokens import region_at
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.amount_words import number_at, unit_at
from measure.rules.sentences.number_words import in_digits

AMOUNT = r"[NFPLSVXQ]\d+"
_LETTER = {"LENGTH": "L", "AREA_UNIT": "S", "VOLUME_UNIT": "V"}
_AFTER = (
    (re.compile(r"\s?(?:%|per\s?cent)(?:age)?\s+points?\b", re.I), "Q", " points"),
    (re.compile(r"\s?(?:%|per\s?cent\b)", re.I), "P", "%"),
    (re.compile(r"\s+points?\b", re.I), "Q", " points"),
    (re.compile(r"\s?(?:times|x|×)(?=\s)", re.I), "X", " times"),
)


@dataclass
class Masked:
    """The mould, and what every sign in it stands for: words that the grammar reads. plural: zones said of several."""

    text: str = ""
    meant: list[str] = field(default_factory=list)
    plural: set[str] = field(default_factory=set)
    values: dict[str, Fraction] = field(default_factory=dict)

    def sign(self, letters: str, meant: str) -> str:
        """A new sign for these words."""
        self.meant.append(meant)
        return f"{letters}{len(self.meant) - 1}"

    def said(self, sign: str) -> str:
        """What a sign, or a list of signs, stands for."""
        return re.sub(r"[A-Z]{1,2}(\d+)", lambda found: self.meant[int(found[1])], sign)

    def sub(self, pattern: str, made: str) -> None:
        """Rewrite the mould: groups as \\1, and `G{...}` not touched here."""
        self.text = re.sub(pattern, made, self.text)


def masked(sentence: str, zones: ZoneNames) -> Masked:
    """The mould of a plain() sentence, in small letters but for the signs."""
    made = Masked()
    text = in_digits(re.sub(r"[\s.!;,]+$", "", sentence))
    at, out = 0, []
    while at < len(text):
        step, sign = _sign_at(text, at, zones, made)
        out.append(sign or text[at].lower())
        at += step
    made.text = re.sub(r" (?=[,:;])", "", " ".join("".join(out).split()))
    return made


def _sign_at(text: str, at: int, zones: ZoneNames, made: Masked) -> tuple[int, str]:
    if at and (text[at - 1].isalnum() or text[at - 1] in "_'"):
        return 1, ""
    zone = zones.match(text, at)
    if zone:
        sign = made.sign("Z", zone[0].lower())
        if re.search(r"[^s]s$", zone[0], re.I):
            made.plural.add(sign)
        return len(zone[0]), f" {sign} "
    region = region_at(text, at)
    if region:
        return region.end - at, f" {made.sign('R', str(region.readings[0].value))} "
    number = number_at(text, at)
    if number is None:
        return 1, ""
    value = number.readings[0].value
    assert isinstance(value, Fraction)
    end, letter, said = _with_unit(text, number.end, value)
    sign = made.sign(letter, said)
    made.values[sign] = value
    return end - at, f" {sign} "


def _with_unit(text: str, end: int, value: Fraction) -> tuple[int, str, str]:
    """Where the amount ends, its letter, and the amount in words."""
    for pattern, letter, word in _AFTER:
        found = pattern.match(text, end)
        if found:
            return found.end(), letter, f"{written(value)}{word}"
    gap = re.compile(r"[\s-]*(?:of\s+)?(?:an?\s+)?").match(text, end)
    start = gap.end() if gap else end
    unit = unit_at(text, start)
    if unit is not None and unit.readings[0].terminal in _LETTER and _is_unit(text, unit.text, unit.end):
        return unit.end, _LETTER[unit.readings[0].terminal], f"{written(value)} {unit.text}"
    return end, "F" if value < 1 else "N", written(value)


def _is_unit(text: str, said: str, end: int) -> bool:
    """`in` after a number is a unit, unless it begins `in total` or `in the`."""
    return said.lower() != "in" or not re.match(r"\s+(?:the|total|all|a|one|every|each)\b", text[end:], re.I)
