"""What a part of a sentence names: zones, amounts and concepts, whatever else stands in it."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from measure.rules.frames.chunks import UNKNOWN, Chunk, chunks_of, spelled
from measure.rules.frames.concepts import Phrase, concepts
from measure.rules.frames.things import Item, Thing, items_of, joined
from measure.rules.slots.named.clause_guards import breaks_off, denies_manner, goes_on, is_disliked
from measure.rules.slots.named.pieces_said import LENT, is_piece_word, lends, with_lent, with_pieces
from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.meanings import Bound
from measure.rules.speech.words.phrases import phrases_of
from measure.units import Unit

_FILES = tuple(Path(__file__).with_name(name) for name in ("slot_words.txt", "idle_words.txt"))
STRONG = frozenset(
    re.findall(
        r"\w+",
        "TOUCH OVERLAP INSIDE EDGE REGION CENTRE BEYOND CMP SUPER HEIGHT LENGTH WIDTH PERIM PEOPLE EMPTY SHAPE "
        "CORNER TOGETHER NUMBER AROUND BUILDING RATIO DIFFER SAME TALLAS MANYAS AMONG MOSTLY NEAREST NEXT_ONE CROSS "
        "JOIN",
    )
)
"""Concepts that say which rule is meant: an offer that has no use for one of them is none."""


@dataclass(frozen=True)
class Party:
    """Zones as they were named: all their land, or their pieces one by one; without names, zones at large.

    quantifier: the word that says how many.
    rest: every zone but those that are named besides, or that stand in but. denied: `no home`. one: `a home`.
    """

    names: tuple[str, ...] = ()
    each: bool = False
    plural: bool = False
    count: Bound | None = None
    denied: bool = False
    one: bool = False
    joint: str = ""
    rest: bool = False
    but: tuple[str, ...] = ()
    quantifier: str = ""

    @property
    def text(self) -> str:
        """As it was named: all its land, or every piece."""
        return self.of_each if self.each else self.land

    @property
    def land(self) -> str:
        """All its land; of zones at large every one."""
        if self.names:
            return self.names[0]
        but = f" except {' and '.join(self.but)}" if self.but else ""
        return "every other zone" if self.rest else f"every zone{but}"

    @property
    def of_each(self) -> str:
        """Every piece of it."""
        return f"every piece of {self.names[0]}" if self.names else self.land

    @property
    def may_be_several(self) -> bool:
        """Whether pieces may be meant where none was said."""
        return bool(self.names) and (self.plural or self.one) and not self.each

    def singly(self) -> tuple[Party, ...]:
        """The zones of a list one by one."""
        return tuple(replace(self, names=(name,), joint="") for name in self.names) or (self,)


@dataclass(frozen=True)
class Slots:
    """What a part of a sentence names.

    order: the concepts in their order, parties as PARTY, amounts as AMOUNT. values: what a concept's items stand for.
    unknown: words that nobody knows. denied: how often it denies. text: as it was typed. strict: it is to be read, so
    that what was not said has to be clear. lends: it speaks of a zone that was named before; leads: with its first
    word; singular: as `it`. goes_on: its verb stands before all that it names.
    leads_with_zone: it begins with a zone's name, but for an article.
    """

    parties: tuple[Party, ...]
    bounds: tuple[Bound, ...]
    order: tuple[str, ...]
    values: Mapping[str, tuple[str, ...]]
    unknown: tuple[str, ...]
    denied: int
    text: str
    strict: bool = False
    lends: bool = False
    leads: bool = False
    singular: bool = False
    goes_on: bool = False
    leads_with_zone: bool = False

    @property
    def kinds(self) -> Counter[str]:
        """How many there are of each concept."""
        return Counter(self.order)

    @property
    def strong(self) -> frozenset[str]:
        """The concepts that say which rule is meant."""
        return STRONG & set(self.order)

    @property
    def weight(self) -> int:
        """How much it names: what an offer that leaves it out loses."""
        return 3 * len(self.bounds) + 2 * len(self.parties) + len(self.strong)

    def has(self, *kinds: str) -> bool:
        """Whether one of the concepts is there."""
        return any(kind in self.order for kind in kinds)


def slots_of(text: str, zones: Zones, unit: Unit, lent: str = "", *, strict: bool = False) -> Slots:
    """The slots of a part of a spoken() sentence; unit is the challenge's, lent the zone that `it` stands for."""
    chunks = with_pieces([_in_unit(chunk, unit) for chunk in chunks_of(spelled(text), zones, _known())])
    one = any(chunk.kind == "IT" and chunk.text.lower() == "it" for chunk in chunks)
    spoken_of, leads = lends(chunks), bool(chunks) and chunks[0].kind in LENT
    if lent:
        chunks = with_lent(chunks, lent)
    unknown = tuple(_runs(chunks))
    letters = any(len(word) == 1 and word.isalpha() for run in unknown for word in run.split())
    if letters or any(_is_of_something(chunks, at) for at in range(len(chunks))):  # `x % of the land`
        chunks = [*chunks, Chunk("TURN", 0, 0, "")]
    if strict and (denies_manner(chunks) or breaks_off(chunks) or is_disliked(chunks)):
        chunks = [*chunks, Chunk("TURN", 0, 0, "")]
    items = joined(items_of([chunk for chunk in _without_ones(chunks) if chunk.kind != UNKNOWN]))
    items = tuple(_without_exceptions(items))
    every = bool(strict) and len(items) > 1 and items[-1].kind == "EACH_OF_THEM" and items[0].thing is not None
    items = items[:-1] if every else items  # `cabins south of the dunes, all of them`
    items = tuple(_without_no_more(items))
    each_behind = any(item.kind == "EACH_AFTER" for item in items)
    parties: list[Party] = []
    order: list[str] = []
    values: dict[str, list[str]] = defaultdict(list)
    for item in items:
        kind = "PARTY" if item.thing is not None else _concept(item, order)
        if item.thing is not None:
            party = _party(item, each=each_behind or (every and not parties))
            if any(party.names and set(party.names) <= set(other.names) for other in parties) and not party.count:
                order.append("AGAIN")
                continue
            parties.append(party)
            if strict and (party.quantifier in _UNCLEAR or (party.quantifier == "other" and party.names)):
                order.append(_UNCLEAR.get(party.quantifier, "OTHER"))
        order.append(kind)
        value = item.chunk.value or item.chunk.text.lower()
        values[kind].append(f"{value} {_PART[item.kind]}" if item.kind in _PART else value)
    denied = sum(kind in ("NEG", "NO", "NEITHER", "NONE_OF_THEM") for kind in order) + sum(
        party.denied for party in parties
    )
    denied = max(denied, 1) if "FROM_DOING" in order else denied  # `keep them from touching`, `stop them from touching`
    bounds = tuple(item.chunk.bound for item in items if item.chunk.bound is not None and item.thing is None)
    said = {kind: tuple(row) for kind, row in values.items()}
    return Slots(
        tuple(parties),
        bounds,
        tuple(order),
        said,
        unknown,
        denied,
        text,
        strict,
        lends=spoken_of and not every,
        leads=leads,
        singular=one,
        goes_on=goes_on(order),
        leads_with_zone=_leads_with_zone(chunks),
    )


_UNCLEAR = {"nearest": "NEAREST", "some": "SOME", "both": "BOTH", "neither": "NEITHER"}
"""Quantifiers that only some ways know what to do with."""


def _without_no_more(items: Sequence[Item]) -> Iterator[Item]:
    """`4 inches, no higher`: an upper limit; not `no higher than the mill`."""
    at = 0
    while at < len(items):
        pair = [item.kind for item in items[at : at + 3]]
        if (
            pair[:2] in (["NO", "CMP"], ["NEG", "CMP"])
            and pair[2:] != ["THAN"]
            and any(i.chunk.bound for i in items[:at])
        ):
            chunk = items[at + 1].chunk
            yield replace(items[at + 1], kind="MOST" if chunk.value.startswith("more") else "LEAST")
            at += 2
            continue
        yield items[at]
        at += 1


def _concept(item: Item, before: Sequence[str]) -> str:
    """`Max.` that stands by no amount is a limit as well; `longer or wider than` names two things."""
    if item.kind in ("AFTER", "LEAST", "MOST") and item.chunk.text.lower().startswith("or ") and "AMOUNT" not in before:
        return "OR"
    if item.kind in ("AFTER", "REL"):
        return {"at least": "LEAST", "at most": "MOST"}.get(item.chunk.value, item.kind)
    return _AS.get(item.kind, item.kind)


_AS = {"WAY": "REGION", "CORNERWAY": "REGION"}
_PART = {"WAY": "half", "CORNERWAY": "corner"}
"""`the north-east part` is offered as the corner."""


@cache
def _known() -> Mapping[str, list[Phrase]]:
    """The frames' concepts, and those that only offers know, where the frames have none for the same words."""
    made: dict[str, list[Phrase]] = defaultdict(list)
    own = [Phrase(*row) for row in phrases_of("\n".join(file.read_text("utf-8") for file in _FILES))]
    taken = {
        phrase.words
        for phrase in own
        if phrase.concept in ("TURN", "COND", "EXCEPT", "TOL", "SAME", "AMONG", "SUPER", "TOGETHER")
    }
    frames = [each for row in concepts().values() for each in row if each.words not in taken]
    known = {phrase.words for phrase in frames if phrase.concept not in ("REL", "AFTER")}
    for phrase in (*frames, *(each for each in own if each.concept == "REL" or each.words not in known)):
        made[phrase.words[0]].append(phrase)
    for row in made.values():
        row.sort(key=lambda phrase: (-len(phrase.words), phrase.concept != "REL"))
    return made


def _leads_with_zone(chunks: Sequence[Chunk]) -> bool:
    kinds = [chunk.kind for chunk in chunks if not (chunk.kind == "A" or chunk.text.lower() in ("the", "our", "your"))]
    return kinds[:1] == ["ZONE"]


def _in_unit(chunk: Chunk, unit: Unit) -> Chunk:
    """Squares of the grid are areas of the challenge's unit."""
    bound = chunk.bound
    if bound is None or bound.measure not in ("length", "area") or (bound.upper or bound.amount).unit is not None:
        return chunk
    upper = replace(bound.upper, measure="area", unit=unit) if bound.upper else None
    return replace(chunk, bound=replace(bound, amount=replace(bound.amount, measure="area", unit=unit), upper=upper))


def _is_of_something(chunks: Sequence[Chunk], at: int) -> bool:
    """`200 dollars`: so many of what nobody knows."""
    bound = chunks[at].bound
    after = [each for each in chunks[at + 1 : at + 3] if each.kind != "IDLE"]
    if bound is None or bound.measure != "number" or bound.times or not after or after[0].kind != UNKNOWN:
        return False
    if is_piece_word(after[0].text) or after[0].kind == "PIECES":
        return False
    return after[0].text.isalpha() and not (len(after) > 1 and after[1].kind in ("ZONE", "ZONES"))


def _without_ones(chunks: Sequence[Chunk]) -> Iterator[Chunk]:
    """`every one`: no number."""
    for at, chunk in enumerate(chunks):
        counts = chunk.kind == "AMOUNT" and chunk.text.lower() in ("one", "a", "an")
        if not (counts and at and chunks[at - 1].kind in ("EVERY", "ANY", "NO", "A", "OTHER", "ALL", "FOR")):
            yield chunk


def _runs(chunks: Sequence[Chunk]) -> Iterator[str]:
    """The unknown words, those that stand side by side together."""
    run: list[str] = []
    for chunk in chunks:
        if chunk.kind == UNKNOWN and any(letter.isalnum() for letter in chunk.text):
            run.append(chunk.text)
        elif run:
            yield " ".join(run)
            run = []
    if run:
        yield " ".join(run)


def _without_exceptions(items: Sequence[Item]) -> Iterator[Item]:
    """`every zone except the lake` as one noun phrase."""
    at = 0
    while at < len(items):
        item, after = items[at], list(items[at + 1 : at + 3])
        kinds = [each.kind for each in after]
        if item.thing is not None and not item.thing.names and kinds == ["EXCEPT", "THING"] and after[1].thing:
            yield replace(item, chunk=replace(item.chunk, value="but " + "|".join(after[1].thing.names)))
            at += 3
            continue
        yield item
        at += 1


def _party(item: Item, *, each: bool) -> Party:
    thing = item.thing
    assert isinstance(thing, Thing)
    but = tuple(item.chunk.value[4:].split("|")) if item.chunk.value.startswith("but ") and not thing.names else ()
    return Party(
        thing.names,
        thing.quantifier in ("every", "all", "no", "any", "other", "neither") or (each and not thing.count),
        thing.plural,
        thing.count,
        thing.quantifier in ("no", "neither"),
        thing.quantifier in ("a", "some"),
        thing.joint,
        not thing.names and thing.quantifier not in ("every", "no"),
        but,
        thing.quantifier,
    )
