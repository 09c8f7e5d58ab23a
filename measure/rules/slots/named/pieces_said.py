"""Words for a zone's pieces, and for a zone that was named before: `habitat module`, `plots of homes`, `none`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from measure.rules.frames.chunks import UNKNOWN, Chunk

_PIECES = frozenset(
    [
        "piece",
        "plot",
        "patch",
        "parcel",
        "place",
        "module",
        "array",
        "unit",
        "cluster",
        "group",
        "neighborhood",
        "neighbourhood",
        "lot",
        "pen",
        "enclosure",
        "section",
        "chunk",
        "segment",
        "polygon",
        "outline",
        "region",
        "zone",
        "area",
        "field",
        "bed",
        "district",
        "quarter",
        "block",
        "part",
        "compartment",
        "bit",
        "spot",
        "site",
        "stand",
        "paddock",
        "colony",
        "pod",
        "habitat",
        "grove",
        "strip",
        "shape",
    ]
)
"""What one piece of a zone is called beside the zone's name."""
_AS_ZONE = frozenset(
    re.findall(r"\w+", "development complex premise zone area district space site land section region quarter")
)
"""What a zone may be called besides: `the residential zone`."""
_OF_SIZE = frozenset(["place", "area", "space", "land", "site", "region", "section", "part", "bit", "spot", "strip"])
"""Words of a size, of all the land, or of a bit of a piece, where no number or quantifier stands before them."""
_QUANTIFIED = ("EVERY", "NO", "ANY", "AMOUNT", "ALL", "OTHER")
LENT = ("IT", "EACH_OF_THEM", "NONE_OF_THEM")


def is_piece_word(text: str) -> bool:
    """`module`, `patches`."""
    return _stem(text) in _PIECES


def _stem(text: str) -> str:
    word = text.lower()
    for ending, full in (("ches", "ch"), ("xes", "x"), ("ies", "y"), ("s", "")):
        if word.endswith(ending) and not word.endswith("ss"):
            return word[: -len(ending)] + full
    return word


def _is_many(text: str) -> bool:
    return _stem(text) != text.lower()


def with_pieces(chunks: Sequence[Chunk]) -> list[Chunk]:
    """Zones with the words for their pieces in one chunk, as if the zone's name had said it."""
    chunks = list(_parted(chunks))
    made: list[Chunk] = []
    at = 0
    while at < len(chunks):
        at, chunk = _named(chunks, at, made)
        made.append(chunk)
    return made


def _parted(chunks: Sequence[Chunk]) -> Iterator[Chunk]:
    """`every group of houses`: no group of builders."""
    for at, chunk in enumerate(chunks):
        found = _GROUP.fullmatch(chunk.text) if chunk.kind == "IDLE" else None
        if found and at + 1 < len(chunks) and chunks[at + 1].kind == "OF":
            middle = chunk.start + found.start("group")
            yield Chunk("ALL" if found["all"].lower() == "all" else "EVERY", chunk.start, middle, found["all"])
            yield Chunk(UNKNOWN, middle, chunk.end, found["group"])
        else:
            yield chunk


_GROUP = re.compile(r"(?P<all>each|every|all)\s+(?P<group>groups?|teams?|pairs?)", re.IGNORECASE)


def _named(chunks: Sequence[Chunk], at: int, made: Sequence[Chunk]) -> tuple[int, Chunk]:
    chunk = chunks[at]
    if _points(chunks, at):
        return at + 1, replace(chunk, kind="IDLE")
    if chunk.kind == "ZONE" and at + 1 < len(chunks):
        after = chunks[at + 1]
        quantified = _is_quantified(made)
        if _may_follow(after, quantified=quantified):
            plural = _is_many(after.text) if _stem(after.text) not in _AS_ZONE or quantified else chunk.plural
            return at + 2, replace(chunk, end=after.end, text=f"{chunk.text} {after.text}", plural=plural)
    if chunk.kind == UNKNOWN and (is_piece_word(chunk.text) or _is_made_of(chunk, made)):
        chunk = replace(chunk, kind="PIECES")
    if chunk.kind == "SIZE" and chunk.text.lower() in ("areas", "spaces") and _is_counted(made):
        chunk = replace(chunk, kind="PIECES")
    if _may_lead(chunk, made):
        end = at + 1
        while end < len(chunks) and chunks[end].kind in ("OF", "IDLE", "FOR", "A"):
            end += 1
        joined = any(each.kind in _JOINS for each in chunks[at + 1 : end]) or chunk.text.lower().endswith(" of")
        if joined and end < len(chunks) and chunks[end].kind == "ZONE":
            return end + 1, replace(chunks[end], start=chunk.start, plural=_is_many(chunk.text.removesuffix(" of")))
    return at + 1, chunk


def _points(chunks: Sequence[Chunk], at: int) -> bool:
    """`that barnyard`, where no `that` belongs to what stands before it."""
    if chunks[at].text.lower() not in ("that", "those", "this", "these") or at + 1 >= len(chunks):
        return False
    return chunks[at + 1].kind == "ZONE" and (
        not at or chunks[at - 1].kind not in ("ZONE", "ZONES", "KIND", "BUILDING")
    )


def _is_counted(made: Sequence[Chunk]) -> bool:
    before = [chunk for chunk in made if chunk.kind not in ("IDLE", "SEPARATE")]
    return bool(before) and _counts(before[-1])


def _counts(chunk: Chunk) -> bool:
    return chunk.bound is not None and chunk.bound.measure == "number" and not chunk.bound.times


_DIVIDED = re.compile(
    r"(?:divid|split|cut|brok|break|distribut|spread|compris|consist|made up|come|comes)", re.IGNORECASE
)


def _is_made_of(chunk: Chunk, made: Sequence[Chunk]) -> bool:
    """`divided into at least two tanks`: whatever the pieces are called."""
    return (
        _is_quantified(made)
        and _is_many(chunk.text)
        and chunk.text.isalpha()
        and any(_DIVIDED.match(each.text) for each in made)
    )


_JOINS = ("OF", "FOR")


def _is_quantified(made: Sequence[Chunk]) -> bool:
    before = [each for each in made if each.kind not in ("IDLE", "SEPARATE")]
    return bool(before) and (before[-1].kind in _QUANTIFIED)


def _may_follow(after: Chunk, *, quantified: bool) -> bool:
    """Whether a word behind a zone's name calls a piece of it, or the zone."""
    stem = _stem(after.text)
    calls = stem in _PIECES and stem not in _OF_SIZE and after.kind not in ("BUILDING", "AMOUNT")
    if stem in ("zone", "development", "complex", "premise") or calls:
        return True
    return stem in _PIECES and quantified and after.kind not in ("BUILDING", "AMOUNT", "OF")


def _may_lead(chunk: Chunk, made: Sequence[Chunk]) -> bool:
    """Whether a word before `of` and a zone's name calls pieces of it; `part of the park` is less than the park."""
    stem = _stem(chunk.text.lower().removesuffix(" of"))
    if stem not in _PIECES or chunk.kind in ("BUILDING", "AMOUNT"):
        return False
    return _is_quantified(made) and (stem not in ("part", "bit", "spot", "strip") or _is_many(chunk.text))


def with_lent(chunks: Sequence[Chunk], name: str) -> list[Chunk]:
    """With the zone that was named before in the place of a pronoun, or of `no cluster`, `four plots`."""
    made: list[Chunk] = []
    for at, chunk in enumerate(chunks):
        named = Chunk("ZONE", chunk.start, chunk.end, chunk.text, name, plural=chunk.text.lower() in _THEM)
        if chunk.kind == "IT":
            if made and made[-1].kind == "OF":
                made.pop()
            made.append(named)
        elif chunk.kind in ("EACH_OF_THEM", "NONE_OF_THEM"):
            made += [
                replace(chunk, kind="EVERY" if chunk.kind == "EACH_OF_THEM" else "NO"),
                replace(named, plural=True),
            ]
        elif (
            (is_piece_word(chunk.text) or chunk.kind == "PIECES")
            and _is_quantified(made)
            and not _goes_with(chunks, at)
        ):
            made.append(replace(named, plural=_is_many(chunk.text)))
        else:
            made.append(chunk)
    return made


_THEM = ("they", "them")


def _goes_with(chunks: Sequence[Chunk], at: int) -> bool:
    """Whether a zone stands beside it."""
    return any(each.kind == "ZONE" for each in chunks[max(at - 1, 0) : at + 3])


def lends(chunks: Sequence[Chunk]) -> bool:
    """Whether a zone that was named before is spoken of."""
    return any(chunk.kind in LENT for chunk in chunks) or any(_lacking(chunks))


def _lacking(chunks: Sequence[Chunk]) -> Iterator[bool]:
    for at, chunk in enumerate(chunks):
        before = [each for each in chunks[:at] if each.kind != "IDLE"]
        yield _is_piece(chunk) and bool(before) and before[-1].kind in _QUANTIFIED and not _goes_with(chunks, at)


def _is_piece(chunk: Chunk) -> bool:
    return chunk.kind == "PIECES" or is_piece_word(chunk.text)
