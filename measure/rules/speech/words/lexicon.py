"""A sentence as edges over its words: zone names, amounts, and every sense that the lexicon knows of its words."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from typing import Protocol

from measure.rules.amounts import Amount, Measure
from measure.rules.sentences.amount_words import number_at, unit_at
from measure.rules.sentences.number_words import in_digits
from measure.rules.speech.words.chart import Edge
from measure.rules.speech.words.own_land import is_in_a_name, is_own_land
from measure.rules.speech.words.phrases import ARTICLES, phrases, words_that_mean
from measure.rules.speech.words.short_forms import in_full

_SIGN = r">=|<=|\+/-|\+-|'s\b|[^\w\s]"
_WORD = re.compile(rf"[^\W\d_]+(?:-[^\W\d_]+)*|\d+(?:[.,/]\d+)*|{_SIGN}|\S")
_UNITS: dict[str, Measure] = {"LENGTH": "length", "AREA_UNIT": "area", "VOLUME_UNIT": "volume"}
_PERCENT = re.compile(r"\s?(?:%|per\s?cent\b|percent\b)(\s?(?:age)?\s*points?\b)?", re.IGNORECASE)
_POINTS = re.compile(r"\s?(?:percentage )?points?\b", re.IGNORECASE)
_TIMES = re.compile(r"\s?(?:times|x|×|fold)(?![\w])|-fold\b", re.IGNORECASE)
_SQUARES = re.compile(
    r"[\s-]*(?:(?:grid|little|small|unit)\s+)?squares?\b(?!\s*(?:in|inch|cm|mm|feet|foot|ft|m|cent|mill|met)\w*)",
    re.IGNORECASE,
)
_TWICE = re.compile(
    r"(?:twice|double|two times)\b|(?P<three>triple|thrice)\b|(?P<half>half again)\b(?=\s+as\b)", re.IGNORECASE
)


class Zones(Protocol):
    """The names that sentences call zones by; names: the zones' own."""

    @property
    def names(self) -> tuple[str, ...]:
        """The zones' own names."""
        ...

    def match(self, text: str, at: int) -> re.Match[str] | None:
        """The longest name that starts at this place."""
        ...

    def canonical(self, form: str) -> str:
        """The zone's own name for a matched form."""
        ...


def zones_in(text: str, zones: Zones, start: int = 0) -> Iterator[re.Match[str]]:
    """Every name of a zone from a place on, at whichever word it begins; names inside longer ones, too."""
    found = (zones.match(text, word.start()) for word in _BEGINNING.finditer(text, start))
    return (zone for zone in found if zone)


_BEGINNING = re.compile(r"(?<!\w)\w")


def is_plural(name: str) -> bool:
    """Whether a name or word ends as plurals do: `homes`, not `moss`."""
    return re.search(r"[^s]s$", name, re.IGNORECASE) is not None


@dataclass(frozen=True)
class Named:
    """A zone as it was said: with `a` before it, in the plural."""

    name: str
    indefinite: bool = False
    several: bool = False


@dataclass(frozen=True)
class Times:
    """So many times: `twice`, `1.5 x`."""

    amount: Amount


@dataclass(frozen=True)
class SpokenWord:
    """A word or a sign in small letters, and where it stands."""

    text: str
    start: int
    end: int


def words_of(text: str) -> list[SpokenWord]:
    """The words and signs of a spelled_out() text."""
    return [SpokenWord(found[0].lower(), *found.span()) for found in _WORD.finditer(text)]


def edges_of(sentence: str, zones: Zones) -> tuple[list[Edge], int]:
    """The edges of a plain() sentence, and how many words it has."""
    text = spelled_out(sentence)
    words = with_own_land(words_of(text), zones)
    named = frozenset(at for at, word in enumerate(words) if zones.match(text, word.start))
    found = [edge for at in range(len(words)) for edge in _edges_at(text, words, at, zones, named)]
    return list(_stretched(found, words)), len(words)


def with_own_land(words: list[SpokenWord], zones: Zones) -> list[SpokenWord]:
    """`the garden` as `the board`, where it is all the land; `the garden covers` can be said of what is used of it."""
    texts = [word.text for word in words]
    made: list[SpokenWord] = []
    for at, word in enumerate(words):
        if is_own_land(texts, at, zones.names):
            word = replace(word, text="board" if at > 1 else "zoo")
            if texts[at + 1 : at + 2] in (["grounds"], ["map"], ["site"], ["board"], ["land"], ["plan"]):
                texts[at + 1] = ""
        elif not texts[at] and word.text:
            made[-1] = replace(made[-1], end=word.end)
            continue
        elif is_in_a_name(word.text, zones.names):
            word = replace(word, text=f"?{word.text}")  # which land it is stays open
        made.append(word)
    return made


def spelled_out(sentence: str) -> str:
    """The sentence with its short forms in full and its larger numbers in digits."""
    return in_digits(re.sub(r"[\s.,;:]+$", "", in_full(sentence)))


def _edges_at(text: str, words: list[SpokenWord], at: int, zones: Zones, named: frozenset[int]) -> Iterator[Edge]:
    """What can begin at a word; named: the words at which a zone's declared name begins."""
    start = words[at].start
    if at and words[at - 1].end > start:
        return
    zone = zone_at(text, start, zones)
    if zone:
        before = words[at - 1].text if at else ""
        said = Named(zone_of(zone[0], zones), before in ("a", "an", "some"), is_plural(zone[0]))
        yield Edge("ZONE", at, _word_at(words, zone.end()), said)
        if said.indefinite:
            yield Edge("SOME", at, _word_at(words, zone.end()), said)
        return
    yield from _groups_at(text, words, at, zones)
    for end, amount in amounts_at(text, start):
        after = _word_at(words, end)
        yield Edge("TIMES" if isinstance(amount, Times) else "AMOUNT", at, after, amount)
        before = words[at - 1].text if at else ""
        if _is_few(amount) and before not in _KNOWN:
            yield Edge("FEW", at, after, amount)
    # `the middle of the camp` is no place on the board where `camp` is a zone.
    yield from (edge for edge in _senses_at(words, at) if named.isdisjoint(range(at + 1, edge.end)))


_KNOWN = ("the", "these", "those", "your", "our", "all", "both", "first", "last", "other", "than", "least", "most")
"""Before a number of things that are known: `the two homes` are all that there are."""


def _is_few(amount: Amount | Times) -> bool:
    return isinstance(amount, Amount) and amount.measure == "number" and amount.number.denominator == 1


_HOUSES = re.compile(
    r"(?:houses?|dwellings?|housing)(?![\w-])(?!\s+(?:at|up to|no|between|more|less|\d))", re.IGNORECASE
)


def zone_at(text: str, at: int, zones: Zones) -> re.Match[str] | None:
    """The zone that is named at this place."""
    return zones.match(text, at) or _like_homes(text, at, zones) or _last_word(text, at, zones)


_A_WORD = re.compile(r"[^\W\d_]+(?![\w-])")


def _last_word(text: str, at: int, zones: Zones) -> re.Match[str] | None:
    """`the pods` where one zone, `living pods`, ends so."""
    found = _A_WORD.match(text, at)
    return found if found and found[0].lower() in _last_words(zones.names) else None


@cache
def _last_words(names: tuple[str, ...]) -> Mapping[str, str]:
    """The last words that only one zone's name has, and that mean nothing else; with that zone's name."""
    owners: dict[str, set[str]] = defaultdict(set)
    for name in names:
        last = name.lower().split()[-1]
        for form in (last, last.removesuffix("s"), f"{last}s"):
            owners[form].add(name)
    single = {form: next(iter(owned)) for form, owned in owners.items() if len(owned) == 1}
    short = {form: name for form, name in single.items() if len(name.split()) > 1}
    return {form: name for form, name in short.items() if form not in words_that_mean()}


def _groups_at(text: str, words: list[SpokenWord], at: int, zones: Zones) -> Iterator[Edge]:
    """`the two farms` where several zones, `north farm` and `south farm`, end so."""
    names = group_at(text, words[at].start, zones)
    if names:
        yield Edge("GROUP" if words[at].text.endswith("s") else "ANY_OF_GROUP", at, at + 1, tuple(map(Named, names)))


def group_at(text: str, at: int, zones: Zones) -> tuple[str, ...]:
    """The zones whose last word is meant by the word at this place; empty where they are not several."""
    found = _A_WORD.match(text, at)
    owned = _shared_words(zones.names).get(found[0].lower(), ()) if found else ()
    return () if found and zones.match(text, at) else owned


@cache
def _shared_words(names: tuple[str, ...]) -> Mapping[str, tuple[str, ...]]:
    """The last words that several zones' names have, and that mean nothing else; with those zones' names."""
    words = words_that_mean()
    owners: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for name in names:
        last = name.lower().split()[-1].removesuffix("s")
        for form in (last, f"{last}s"):
            owners[form] = (*owners[form], name)
    long = {form: owned for form, owned in owners.items() if len(owned) > 1 and all(" " in name for name in owned)}
    return {form: owned for form, owned in long.items() if form not in words}


def _like_homes(text: str, at: int, zones: Zones) -> re.Match[str] | None:
    """A house is a home, where there is a zone of homes and none of houses."""
    found = _HOUSES.match(text, at)
    return found if found and zones.match("homes", 0) and not zones.match("houses", 0) else None


def zone_of(form: str, zones: Zones) -> str:
    """The zone's own name for what zone_at found."""
    if zones.match(form, 0):
        return zones.canonical(form)
    return zones.canonical("homes") if _HOUSES.fullmatch(form) else _last_words(zones.names)[form.lower()]


def _word_at(words: list[SpokenWord], end: int) -> int:
    """The first word that begins at this place or later."""
    return next((index for index, word in enumerate(words) if word.start >= end), len(words))


def amounts_at(text: str, at: int) -> Iterator[tuple[int, Amount | Times]]:
    """The amounts that begin at this place of a spelled_out() text, and where they end: `in` may be no unit."""
    twice = _TWICE.match(text, at)
    if twice:
        yield twice.end(), Times(Amount(Fraction(3 if twice["three"] else 2) if not twice["half"] else Fraction(3, 2)))
        return
    number = number_at(text, at)
    if number is None:
        return
    value = number.readings[0].value
    assert isinstance(value, Fraction)
    end = number.end
    percent, points, times = _PERCENT.match(text, end), _POINTS.match(text, end), _TIMES.match(text, end)
    if percent:
        yield percent.end(), Amount(value, "points" if percent[1] else "percent")
        return
    if points:
        yield points.end(), Amount(value, "points")
        return
    if times:
        yield times.end(), Times(Amount(value))
        return
    found = re.compile(r"[\s-]*(?:of\s+)?(?:an?\s+)?").match(text, end)
    squares = _SQUARES.match(text, end)
    if squares:  # of the challenge's unit, as any number without one
        yield from ((squares.end(), Amount(value, measure)) for measure in ("area", "length"))
        return
    unit = unit_at(text, found.end() if found else end)
    if unit is not None:
        named = unit.readings[0].value
        yield unit.end, Amount(value, _UNITS[unit.readings[0].terminal], named)  # type: ignore[arg-type]
        if unit.text.lower() != "in":
            return
    yield end, Amount(value)


def _senses_at(words: list[SpokenWord], at: int) -> Iterator[Edge]:
    for phrase, sense, value in phrases().get(words[at].text, ()):
        end = phrase_end(words, at, phrase)
        if end is not None:
            yield Edge(sense, at, end, value or None)


def phrase_end(words: Sequence[SpokenWord], at: int, phrase: Sequence[str]) -> int | None:
    """The word after the phrase that begins at a word, else None; `the` and the like may stand inside it."""
    for index, part in enumerate(phrase):
        while index and at < len(words) and words[at].text != part and words[at].text in ARTICLES:
            at += 1
        if at >= len(words) or words[at].text != part:
            return None
        at += 1
    return at


def _stretched(edges: list[Edge], words: list[SpokenWord]) -> Iterator[Edge]:
    """The edges, each also over the words that follow and say nothing; at the start, over those before."""
    idle: dict[int, set[tuple[int, str]]] = defaultdict(set)
    for edge in edges:
        if edge.sense in ("SKIP", "MUST"):
            idle[edge.start].add((edge.end, edge.sense))
    for at, word in enumerate(words):
        if word.text == ",":
            idle[at].add((at + 1, "SKIP"))
    first = _reached(idle, 0, must=True)
    for edge in edges:
        if edge.sense in ("SKIP", "MUST"):
            continue
        for end in _reached(idle, edge.end, must=edge.sense not in ("NOT", "DONT")):
            yield Edge(edge.sense, edge.start, end, edge.meaning)
            if edge.start and edge.start in first:
                yield Edge(edge.sense, 0, end, edge.meaning)


def _reached(idle: dict[int, set[tuple[int, str]]], at: int, *, must: bool) -> set[int]:
    reached, open_ends = {at}, [at]
    while open_ends:
        for end, sense in idle.get(open_ends.pop(), ()):
            if end not in reached and (must or sense != "MUST"):
                reached.add(end)
                open_ends.append(end)
    return reached
