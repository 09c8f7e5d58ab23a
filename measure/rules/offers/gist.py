"""What a sentence names, each as a sign in the place of its words: zones, amounts, parts and edges of the parcel."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from measure.numbers import written
from measure.rules.amounts import Amount
from measure.rules.speech.speech import amounts_said
from measure.rules.speech.words.lexicon import Zones, spelled_out, zone_at, zone_of
from measure.rules.speech.words.meanings import Bound
from measure.units import Unit

_QUANTIFIED = re.compile(
    r"(?:\b(?P<q>each and every|every single|every|each of|each|any of|any|all of|all|both|none of|not a single|"
    r"not one|no|some|one of|at least one|a|an|one)\s+)?"
    r"(?:single\s+)?(?:one\s+(?=of))?(?:of\s+)?(?:(?:the|your|our|my|their|its)\s+)?"
    r"(?P<sign>Z\d+)",
)
_EVERY = ("every", "each", "any", "all", "both")
_WAYS = "north|south|east|west|left|right|top|bottom|upper|lower"
_SIDES = {"upper": "top", "lower": "bottom"}
_PARCEL = r"(?:\s+of\s+(?:the\s+)?(?:parcel|board|map|plot|site|land|town|area|settlement|village))?"
_CORNER = re.compile(
    rf"\b(?P<a>north|south|top|bottom|upper|lower)[\s-]?(?P<b>east|west|left|right)(?:ern)?\s+(?:corner|quarter)\b{_PARCEL}"
)
_SHORT_CORNER = re.compile(r"\b(?P<short>nw|ne|sw|se)\s+(?:corner|quarter)\b")
_PART = re.compile(
    rf"(?<![-–])(?<!north )(?<!south )\b(?P<way>{_WAYS})(?:ern)?\s+(?P<what>half|third|side|part)\b{_PARCEL}"
)
_EDGE = re.compile(rf"\b(?:(?P<way>{_WAYS})(?:ern)?\s+)?(?P<what>edge|border|boundary)\b{_PARCEL}")
_ONE_IN = re.compile(r"\bone in$")
_SHORT = {"n": "north", "s": "south", "e": "east", "w": "west"}


@dataclass(frozen=True)
class Who:
    """A zone with the quantifier before it: all its land, or its pieces one by one."""

    name: str
    quantifier: str = ""

    def __str__(self) -> str:
        return self.name

    @property
    def begin(self) -> str:
        """What a formula about each of them begins with."""
        many = {"every": "every piece", "no": "no piece", "some": "some piece"}.get(self.quantifier)
        return f"for {many} of {self.name}: " if many else ""

    @property
    def it(self) -> str:
        """What the formula then calls it."""
        return "that piece" if self.begin else self.name


@dataclass(frozen=True)
class Much:
    """An amount with its relation, to be put into a sentence; unit is the challenge's."""

    bound: Bound
    unit: Unit

    def __str__(self) -> str:
        return self._with("exactly")

    def _with(self, bare: str) -> str:
        return self.bound.text(bare=bare) if self.bound.relation == "exactly" else self.bound.plain.text(bare=bare)

    def _as_length(self, bound: Bound) -> str:
        made = replace(bound.plain, amount=replace(bound.amount, measure="length", unit=self.unit))
        if bound.upper is not None:
            made = replace(made, upper=replace(bound.upper, measure="length", unit=self.unit))
        return made.text(bare="exactly")

    @property
    def least(self) -> str:
        """A lower limit where no relation was said."""
        return self._with("at least")

    @property
    def most(self) -> str:
        """An upper limit where no relation was said."""
        return self._with("at most")

    @property
    def turned(self) -> str:
        """What holds where this does not."""
        return (self.bound.opposite or self.bound).plain.text(bare="exactly")

    @property
    def as_length(self) -> str:
        """A number of cubes as the length that it is where a cube is one unit high."""
        return self._as_length(self.bound)

    @property
    def turned_length(self) -> str:
        """The same of what holds where this does not."""
        return self._as_length(self.bound.opposite or self.bound)

    @property
    def n(self) -> str:
        """The amount alone."""
        return str(self.bound.amount)

    @property
    def number(self) -> str:
        """Its number alone."""
        return written(self.bound.amount.number)

    @property
    def low(self) -> str:
        """The first of a range."""
        return self.number

    @property
    def high(self) -> str:
        """The second of a range."""
        return written((self.bound.upper or self.bound.amount).number)

    @property
    def part(self) -> str:
        """A half or a quarter of the parcel."""
        return "quarter" if self.bound.amount.number * 4 == 1 else "half"

    @property
    def share(self) -> str:
        """A fraction in per cent, a lower limit where no relation was said."""
        amount = Amount(self.bound.amount.number * 100, "percent")
        return replace(self.bound, amount=amount).plain.text(bare="at least")

    @property
    def inverse(self) -> str:
        """One divided by it: x/2."""
        return written(1 / self.bound.amount.number) if self.bound.amount.number else self.number

    @property
    def rel(self) -> str:
        """Its relation alone."""
        return "exactly" if self.bound.relation == "bare" else self.bound.relation

    @property
    def rel_least(self) -> str:
        """Its relation, `at least` where none was said."""
        return "at least" if self.bound.relation == "bare" else self.bound.relation

    def of(self, term: str, bare: str = "bare") -> str:
        """So much of a term."""
        bound = replace(self.bound, relation=bare) if self.bound.relation == "bare" else self.bound
        return bound.times_text(term)


@dataclass(frozen=True)
class Gist:
    """A sentence in small letters with signs such as `Z0` and `L1`, and what the signs stand for."""

    text: str
    meant: tuple[object, ...]
    said: tuple[str, ...]

    def words(self, text: str) -> str:
        """A part of the text in the words that were typed."""
        return re.sub(r"[A-Z](\d+)", lambda found: self.said[int(found[1])], text).strip(" ,;:.")

    def holds(self, text: str) -> bool:
        """Whether a part of the text names a zone, an amount or a place; `one` of `a tricky one` is none."""
        return any(self.said[int(at)] not in ("one", "One") for at in re.findall(r"[A-Z](\d+)", text))

    def of(self, sign: str) -> object:
        """What a sign stands for, with the quantifier before it."""
        found = re.search(r"([A-Z])(\d+)$", sign)
        assert found is not None
        meant = self.meant[int(found[2])]
        if not isinstance(meant, Who):
            return meant
        quantified = _QUANTIFIED.fullmatch(sign)
        first = ((quantified and quantified["q"]) or "").split(" ")[0]
        if first in _EVERY:
            return replace(meant, quantifier="every")
        if first in ("some", "one", "at"):
            return replace(meant, quantifier="some")
        return replace(meant, quantifier="no") if first in ("no", "none", "not") else meant


WHO = rf"(?:{_QUANTIFIED.pattern.replace('?P<q>', '?:').replace('?P<sign>', '?:')})"


def gist_of(sentence: str, zones: Zones, unit: Unit) -> Gist:
    """The sentence with a sign for everything that it names."""
    text = spelled_out(sentence)
    found = [*_zones(text, zones)]
    small = text.lower()
    for start, end, sign, meant in (*_places(small), *_amounts(sentence, zones, unit)):
        if all(end <= a or start >= b for a, b, *_ in found):
            found.append((start, end, sign, meant))
    found.sort(key=lambda each: each[0])
    made, at = "", 0
    for index, (start, end, sign, _) in enumerate(found):
        made += f"{small[at:start]} {sign}{index} "
        at = end
    made = re.sub(r"([:;,.()|\[\]?=<>+/]|'s\b)", r" \1 ", made + small[at:])
    made = re.sub(r"\s+", " ", made).strip()
    return Gist(made, tuple(meant for *_, meant in found), tuple(text[start:end] for start, end, *_ in found))


def _zones(text: str, zones: Zones) -> Iterator[tuple[int, int, str, object]]:
    at = 0
    while at < len(text):
        found = zone_at(text, at, zones) if at == 0 or not (text[at - 1].isalnum() or text[at - 1] in "-_") else None
        if found:
            yield at, found.end(), "Z", Who(zone_of(found[0], zones))
        at = found.end() if found else at + 1


def _amounts(sentence: str, zones: Zones, unit: Unit) -> Iterator[tuple[int, int, str, object]]:
    text = spelled_out(sentence).lower()
    for start, end, bound in amounts_said(sentence, zones):
        if _ONE_IN.search(text, 0, end) and text[end - 3 : end] == " in" and bound.measure == "length":
            continue  # `two, one in the north half`
        yield start, end, _sign(bound), Much(_in_unit(bound, unit), unit)


def _in_unit(bound: Bound, unit: Unit) -> Bound:
    """Lengths and areas in squares are in the challenge's unit."""
    if bound.measure not in ("length", "area") or bound.amount.unit is not None:
        return bound
    upper = None if bound.upper is None else replace(bound.upper, unit=unit)
    return replace(bound, amount=replace(bound.amount, unit=unit), upper=upper)


def _sign(bound: Bound) -> str:
    if bound.times:
        return "T"
    if bound.measure == "number":
        if (bound.upper or bound.amount).number < 1:
            return "F"
        return "N" if bound.upper is None else "D"
    return {"length": "L", "area": "A", "volume": "V"}.get(bound.measure, "P")


def _places(text: str) -> Iterator[tuple[int, int, str, object]]:
    for found in _CORNER.finditer(text):
        ways = "-".join(_SIDES.get(found[name], found[name]) for name in ("a", "b"))
        yield *found.span(), "R", f"{ways} corner"
    for found in _SHORT_CORNER.finditer(text):
        yield *found.span(), "R", f"{_SHORT[found['short'][0]]}-{_SHORT[found['short'][1]]} corner"
    for found in _PART.finditer(text):
        what = "third" if found["what"] == "third" else "half"
        yield *found.span(), "R", f"{_SIDES.get(found['way'], found['way'])} {what}"
    for found in _EDGE.finditer(text):
        way = _SIDES.get(found["way"] or "", found["way"])
        yield *found.span(), "E", f"the {way} edge" if way else "the edge"
