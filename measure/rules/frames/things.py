"""Noun phrases: zones with their quantifiers, one by one or in lists; `every other zone`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from measure.rules.frames.chunks import Chunk
from measure.rules.speech.words.lexicon import is_plural
from measure.rules.speech.words.meanings import Bound

_QUANTIFIERS = {
    "EVERY": "every",
    "ALL": "all",
    "ANY": "any",
    "NO": "no",
    "A": "a",
    "SOME": "some",
    "BOTH": "both",
    "NEAREST": "nearest",
    "OTHER": "other",
    "NEITHER": "neither",
}
UNCLEAR = ("some", "nearest", "other", "neither")
"""Quantifiers that only some frames know what to do with."""
_NOUN_CHUNKS = ("ZONE", "ZONES")


@dataclass(frozen=True)
class Thing:
    """Zones (none of them: `every zone` or `every other zone`), their quantifier, and how many of them were said.

    joint: what joins several, `and` or `or`. plural: said in the plural.
    """

    names: tuple[str, ...]
    quantifier: str = ""
    joint: str = ""
    count: Bound | None = None
    plural: bool = False

    @property
    def text(self) -> str:
        """As the grammars have it: all its land, or every piece; `no` is every one, the rule being turned round."""
        if not self.names:
            return {"every": "every zone", "no": "every zone"}.get(self.quantifier, "every other zone")
        return f"every piece of {self.names[0]}" if self.one_by_one else self.names[0]

    @property
    def one_by_one(self) -> bool:
        """Whether pieces are meant one by one."""
        return self.quantifier in ("every", "all", "no", "any")

    @property
    def made_plural(self) -> bool:
        """`labs` of a zone `lab`: each of them is meant, where one of them could be enough."""
        return self.plural and not any(is_plural(name) for name in self.names)

    def each(self) -> tuple[Thing, ...]:
        """The zones of a list, one by one."""
        return tuple(replace(self, names=(name,), joint="") for name in self.names) or (self,)


@dataclass(frozen=True)
class Item:
    """A chunk, or a noun phrase in its place."""

    kind: str
    chunk: Chunk
    thing: Thing | None = None
    end: int = 0


def items_of(chunks: Sequence[Chunk]) -> tuple[Item, ...]:
    """The chunks without what says nothing, with noun phrases in the place of their parts."""
    items: list[Item] = []
    for chunk in chunks:
        if chunk.kind in _NOUN_CHUNKS:
            items.append(_with_quantifiers(items, chunk))
        else:
            items.append(Item(chunk.kind, chunk, end=chunk.end))
    return tuple(_each_behind(item) for item in items if item.kind != "IDLE")


def _each_behind(item: Item) -> Item:
    """`5 % of the board each`: what no zone follows."""
    return replace(item, kind="EACH_AFTER") if item.kind == "EVERY" else item


def _with_quantifiers(items: list[Item], chunk: Chunk) -> Item:
    """The noun phrase that a zone ends; takes its quantifier and its number off the items."""
    names = (chunk.value,) if chunk.kind == "ZONE" else ()
    made = Thing(names, "" if names else chunk.value, plural=chunk.plural)
    start = chunk.start
    while items:
        last = items[-1]
        bound = last.chunk.bound
        if last.kind in _QUANTIFIERS and made.quantifier in ("", "other"):
            every_other = made.quantifier == "other" and last.kind in ("EVERY", "ANY", "ALL")
            if made.quantifier and not every_other:
                break
            made = replace(made, quantifier=made.quantifier or _QUANTIFIERS[last.kind])
        elif last.kind == "AMOUNT" and bound and _counts(bound) and made.count is None and not made.quantifier:
            made = replace(made, count=bound)
        elif last.kind == "IDLE" or (last.kind == "PIECES" and names):
            pass
        else:
            break
        start = last.chunk.start
        items.pop()
    return Item("THING", replace(chunk, start=start), made, chunk.end)


def _counts(bound: Bound) -> bool:
    whole = bound.amount.number.denominator == 1 and bound.amount.number >= 1
    return bound.measure == "number" and whole and not bound.times and bound.flavour in ("", "count")


def joined(items: Sequence[Item]) -> tuple[Item, ...]:
    """With lists of zones as one noun phrase: `the park, the lake and the school`."""
    made: list[Item] = []
    at = 0
    while at < len(items):
        item = items[at]
        if item.thing is not None:
            at, item = _list_from(items, at)
        else:
            at += 1
        made.append(item)
    return tuple(made)


def _list_from(items: Sequence[Item], at: int) -> tuple[int, Item]:
    things = [items[at].thing]
    end, words = at + 1, list[str]()
    while True:
        index, joint = end, ""
        if index < len(items) and items[index].kind == "COMMA":
            index += 1
        if index < len(items) and items[index].kind in ("AND", "OR"):
            joint = items[index].kind
            index += 1
        if index == end or index >= len(items) or items[index].thing is None:
            break
        things.append(items[index].thing)
        words.append(joint)
        end = index + 1
    several = [thing for thing in things if thing is not None]
    if len(several) < 2 or not _alike(several, words):
        return at + 1, items[at]
    names = tuple(name for thing in several for name in thing.names)
    listed = Thing(names, several[0].quantifier, words[-1].lower(), plural=any(thing.plural for thing in several))
    return end, replace(items[at], thing=listed, end=items[end - 1].end)


def _alike(things: Sequence[Thing], words: Sequence[str]) -> bool:
    """Whether they are one list: with one joint, no numbers, and one quantifier for all, or the first one's."""
    if any(thing.count or not thing.names for thing in things) or set(words) - {"", words[-1]} or not words[-1]:
        return False
    first, *others = (thing.quantifier for thing in things)
    return all(other == first or (other == "" and first in ("", "a", "both", "neither")) for other in others)
