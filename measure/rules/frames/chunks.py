"""A clause as chunks: zones, amounts with their relation, places, and the concepts of all other words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from measure.rules.frames.concepts import Phrase, concepts
from measure.rules.speech.words.lexicon import (
    SpokenWord,
    Times,
    Zones,
    amounts_at,
    is_plural,
    phrase_end,
    spelled_out,
    with_own_land,
    words_of,
    zone_at,
    zone_of,
)
from measure.rules.speech.words.meanings import Bound, Flavour

UNKNOWN = "?"
Known = Mapping[str, Sequence[Phrase]]
"""Phrases by their first word, longest first."""


@dataclass(frozen=True)
class Chunk:
    """Words that belong together: their concept, what they stand for, and where they are in the spelled_out() text."""

    kind: str
    start: int
    end: int
    text: str
    value: str = ""
    bound: Bound | None = None
    plural: bool = False


def chunks_of(text: str, zones: Zones, known: Known | None = None) -> tuple[Chunk, ...]:
    """The chunks of a spelled_out() text, every word in one of them; known: the phrases, the frames' own if None."""
    words = with_own_land(words_of(text), zones)
    found = list(_plain_chunks(text, words, zones, known or concepts()))
    return tuple(_two_sided(_with_relations(_with_regions(_with_ranges(_owned(found))))))


def spelled(text: str) -> str:
    """The text that chunks stand in."""
    return spelled_out(re.sub(r"\s*\|\s*", " : ", text))


def _plain_chunks(text: str, words: Sequence[SpokenWord], zones: Zones, known: Known) -> Iterator[Chunk]:
    at = 0
    while at < len(words):
        chunk = (
            _zone(text, words[at].start, zones) or _amount(text, words, at) or _phrase(text, words, at, zones, known)
        )
        yield chunk
        at = next((index for index in range(at + 1, len(words)) if words[index].start >= chunk.end), len(words))


def _zone(text: str, start: int, zones: Zones) -> Chunk | None:
    found = zone_at(text, start, zones)
    if found is None:
        return None
    return Chunk("ZONE", start, found.end(), found[0], zone_of(found[0], zones), plural=is_plural(found[0]))


_NO_UNIT = re.compile(r"\s*(?:the|each|every|a|an|any|all|your|our|north\w*|south\w*|east\w*|west\w*)\b", re.IGNORECASE)


def _amount(text: str, words: Sequence[SpokenWord], at: int) -> Chunk | None:
    start = words[at].start
    found = sorted(amounts_at(text, start), key=lambda each: each[0])
    if not found:
        return None
    end, amount = found[-1]
    if len(found) > 1 and text[start:end].lower().endswith(" in") and _NO_UNIT.match(text, end):
        end, amount = found[0]  # `four in the north half`
    times = isinstance(amount, Times)
    bound = Bound("bare", amount.amount if isinstance(amount, Times) else amount, times=times)
    return Chunk("AMOUNT", start, end, text[start:end], bound=bound)


def _phrase(text: str, words: Sequence[SpokenWord], at: int, zones: Zones, known: Known) -> Chunk:
    """The longest phrase at a word; a relation only before an amount, else what the word is besides."""
    word = words[at]
    for phrase in known.get(word.text, ()):
        end = phrase_end(words, at, phrase.words)
        if end is None or any(zones.match(text, words[index].start) for index in range(at + 1, end)):
            continue
        follows = _amount_follows(text, words, end)
        if (phrase.concept == "REL" and not follows) or (phrase.concept == "AFTER" and _goes_on(words, end, follows)):
            continue
        start, stop = word.start, words[end - 1].end
        return Chunk(phrase.concept, start, stop, text[start:stop], phrase.value)
    return Chunk(UNKNOWN, word.start, word.end, text[word.start : word.end])


def _goes_on(words: Sequence[SpokenWord], at: int, follows: bool) -> bool:
    return follows or (at < len(words) and words[at].text in ("than", "as", "of"))


def _amount_follows(text: str, words: Sequence[SpokenWord], at: int) -> bool:
    while at < len(words):
        if next(amounts_at(text, words[at].start), None) is not None:
            return True
        if words[at].text not in ("a", "an", "the", "total", "of"):
            return False
        at += 1
    return False


_PLACED = ("WAY", "CORNERWAY", "EDGE", "CENTRE")
_OWNED = ("SIZE", "HEIGHT", "LENGTH", "WIDTH", "PERIM")


def _owned(found: Sequence[Chunk]) -> list[Chunk]:
    """`the pond's area`: what it has stands for the pond, in a sentence about sizes."""
    made: list[Chunk] = []
    for at, chunk in enumerate(found):
        after = found[at + 1] if at + 1 < len(found) else None
        if chunk.kind == "POSS" and made and made[-1].kind == "ZONE" and after and after.kind in _OWNED:
            continue
        if chunk.kind == "POSS" and made and made[-1].kind == "PARCEL" and after and after.kind in _PLACED:
            made.pop()
            continue
        if made and made[-1].kind == "SUPER" and chunk.text.lower() == "one":
            chunk = replace(chunk, kind="KIND", bound=None)
        if made and at and found[at - 1].kind == "POSS" and chunk.kind == "SIZE":
            chunk = replace(chunk, kind="OWN_SIZE")
        made.append(chunk)
    return made


def _with_ranges(found: Sequence[Chunk]) -> Iterator[Chunk]:
    """`4 to 6 in`, `between 1/4 and 1/2` as one amount."""
    at = 0
    while at < len(found):
        chunk, joint, last = (*found[at : at + 3], *[Chunk("", 0, 0, "")] * 2)[:3]
        before = found[at - 1] if at else None
        between = before is not None and before.kind in _BETWEEN
        joined = joint.kind == "TO" or (joint.kind == "AND" and between)
        if chunk.kind == "AMOUNT" and joined and last.kind == "AMOUNT":
            made = _range(chunk, last)
            if made is not None:
                yield made
                at += 3
                continue
        if chunk.kind in (*_BETWEEN, "FROM") and _is_range(found[at + 1 : at + 4], chunk.kind in _BETWEEN):
            at += 1
            continue
        yield chunk
        at += 1


_BETWEEN = ("BETWEEN", "AMONG")


def _is_range(three: Sequence[Chunk], between: bool) -> bool:
    joints = ("TO", "AND") if between else ("TO",)
    if len(three) < 3 or (three[0].kind, three[2].kind) != ("AMOUNT", "AMOUNT") or three[1].kind not in joints:
        return False
    return _range(three[0], three[2]) is not None


def _range(first: Chunk, last: Chunk) -> Chunk | None:
    low, high = first.bound, last.bound
    if low is None or high is None or (low.times and not high.times) or low.amount.number >= high.amount.number:
        return None
    if low.amount.measure not in (high.amount.measure, "number"):
        return None
    if low.amount.measure == "number" and low.amount.number < 1 and high.amount.measure not in ("number", "length"):
        return None
    bound = replace(high, relation="between", amount=low.amount, upper=high.amount)
    return Chunk("AMOUNT", first.start, last.end, f"{first.text} to {last.text}", bound=bound)


def _with_regions(found: Iterator[Chunk]) -> Iterator[Chunk]:
    """`the western half (of the board)`, `the north-east corner`, `the north edge`."""
    chunks = list(found)
    at = 0
    while at < len(chunks):
        chunk = chunks[at]
        after = chunks[at + 1] if at + 1 < len(chunks) else None
        made = _region(chunk, after) if after else None
        if made is None:
            yield chunk
            at += 1
            continue
        assert after is not None
        at += 2
        rest = [each for each in chunks[at:] if each.kind not in ("IDLE", "A")][:2]
        if [each.kind for each in rest] == ["OF", "PARCEL"]:
            made = replace(made, end=rest[1].end)
            at = chunks.index(rest[1]) + 1
        yield made


def _region(chunk: Chunk, after: Chunk) -> Chunk | None:
    if chunk.kind not in ("WAY", "CORNERWAY"):
        return None
    what = after.text.lower().split(" of ")[0].split()[-1]
    made = Chunk("REGION", chunk.start, after.end, f"{chunk.text} {after.text}")
    if chunk.kind == "CORNERWAY":
        return replace(made, value=f"{chunk.value} corner") if what in ("corner", "quarter", "quadrant") else None
    if what == "half" or (after.bound and after.text.lower() == "half"):
        return replace(made, value=f"{chunk.value} half")
    if what == "third":
        return replace(made, value=f"{chunk.value} third")
    if after.kind == "EDGE":
        return replace(made, kind="EDGE", value=chunk.value)
    return None


def _with_relations(found: Iterator[Chunk]) -> Iterator[Chunk]:
    """Amounts with the relation that stands before or somewhere behind them."""
    chunks = list(found)
    taken: set[int] = set()
    for at, chunk in enumerate(chunks):
        if chunk.kind != "AMOUNT" or chunk.bound is None or chunk.bound.relation != "bare":
            continue
        rel = _relation_before(chunks, at)
        after = None if rel is not None else _relation_after(chunks, at)
        where = rel if rel is not None else after
        if where is None:
            continue
        relation, flavour = _split_value(chunks[where].value)
        bound = replace(chunk.bound, relation=relation, flavour=flavour)
        start = chunks[where].start if rel is not None else chunk.start
        chunks[at] = replace(chunk, start=start, bound=bound)
        taken.add(where)
        if rel is not None:
            taken |= set(range(where, at))
    kept = [chunk for at, chunk in enumerate(chunks) if at not in taken]
    yield from _with_limit_named(_with_comparatives(kept))


def _with_comparatives(found: Sequence[Chunk]) -> list[Chunk]:
    """`nearer the castle than 10 cm`: the comparative before, and `than` with the amount further behind."""
    made = list(found)
    for at, chunk in enumerate(made):
        named = [index for index, each in enumerate(made[:at]) if each.kind == "CMP"]
        if chunk.bound is None or chunk.bound.relation != "bare" or not at or made[at - 1].kind != "THAN":
            continue
        way, _, flavour = made[named[0]].value.partition(" ") if len(named) == 1 else ("", "", "")
        if flavour in ("gap", "size", "height", "length", "width"):
            bound = replace(chunk.bound, relation=f"{way} than", flavour=cast(Flavour, flavour))
            made[at] = replace(chunk, start=made[at - 1].start, bound=bound)
            return [each for index, each in enumerate(made) if index not in (at - 1, named[0])]
    return made


def _with_limit_named(chunks: list[Chunk]) -> Iterator[Chunk]:
    """`minimum separation, A to B: 12 cm`, `6 inches is the minimum`: of one amount alone."""
    named = [chunk for chunk in chunks if chunk.kind in ("LEAST", "MOST")]
    amounts = [chunk for chunk in chunks if chunk.bound is not None]
    if len(named) != 1 or len(amounts) != 1 or amounts[0].bound is None or amounts[0].bound.relation != "bare":
        yield from chunks
        return
    relation = "at least" if named[0].kind == "LEAST" else "at most"
    for chunk in chunks:
        if chunk is amounts[0]:
            yield replace(chunk, bound=replace(amounts[0].bound, relation=relation))
        elif chunk is not named[0]:
            yield chunk


def _split_value(value: str) -> tuple[str, Flavour]:
    """`more than gap`: the relation, and what its word speaks of."""
    relation = next(each for each in _RELATIONS if value.startswith(each))
    return relation, cast(Flavour, value[len(relation) :].strip())


_RELATIONS = ("at least", "at most", "more than", "less than", "exactly")


def _relation_before(chunks: Sequence[Chunk], at: int) -> int | None:
    index = at - 1
    while index >= 0 and chunks[index].kind in ("IDLE", "A"):
        index -= 1
    return index if index >= 0 and chunks[index].kind == "REL" else None


def _relation_after(chunks: Sequence[Chunk], at: int) -> int | None:
    """Of an amount alone the relation may stand further behind: `8 in apart or more`."""
    others = [index for index, chunk in enumerate(chunks) if chunk.kind == "AMOUNT" and index != at]
    for index in range(at + 1, len(chunks)):
        if chunks[index].kind == "AFTER":
            return index if index == at + 1 or not others else None
        if index in others:
            return None
    return None


def _two_sided(found: Iterator[Chunk]) -> Iterator[Chunk]:
    """`at least 1/4 and at most 1/2` as one amount."""
    chunks = list(found)
    at = 0
    while at < len(chunks):
        chunk = chunks[at]
        end = at + 1
        end += end < len(chunks) and chunks[end].kind == "COMMA"
        end += end < len(chunks) and chunks[end].kind in ("AND", "BUT")
        while end < len(chunks) and chunks[end].kind == "IDLE":
            end += 1
        both = _both(chunk, chunks[end]) if end in range(at + 2, len(chunks)) else None
        yield both or chunk
        at = end + 1 if both else at + 1


def _both(first: Chunk, second: Chunk) -> Chunk | None:
    a, b = first.bound, second.bound
    if a is None or b is None or {a.relation, b.relation} != {"at least", "at most"} or a.flavour or b.flavour:
        return None
    low, high = (a, b) if a.relation == "at least" else (b, a)
    if low.amount.measure != high.amount.measure or low.times != high.times or low.amount.number >= high.amount.number:
        return None
    bound = replace(high, relation="between", amount=low.amount, upper=high.amount)
    return replace(first, end=second.end, text=f"{first.text} and {second.text}", bound=bound)
