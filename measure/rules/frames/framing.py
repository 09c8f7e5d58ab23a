"""The frames that a clause fits, each with the sentences that it then says."""

from __future__ import annotations

from collections.abc import Callable

from measure.rules.frames.clause import Clause, clause_of
from measure.rules.frames.count_frames import counts, number
from measure.rules.frames.gap_frames import gap, touch
from measure.rules.frames.place_frames import (
    beyond,
    empty,
    inside,
    nearer,
    nearer_than_it_is,
    off_the_edge,
    overlap,
    place,
    run,
)
from measure.rules.frames.size_frames import compared, dimension, extreme, proportion, share
from measure.rules.speech.words.lexicon import Zones

Sentences = tuple[str, ...]
Frame = Callable[[Clause], Sentences | None]
_FRAMES: tuple[Frame, ...] = (
    gap,
    touch,
    share,
    compared,
    proportion,
    extreme,
    dimension,
    place,
    beyond,
    inside,
    overlap,
    nearer,
    off_the_edge,
    run,
    nearer_than_it_is,
    empty,
    counts,
    number,
)


def framed(text: str, zones: Zones) -> Sentences | None:
    """The sentences that a clause says in the one frame that it fits; None where none fits, or several."""
    clause = clause_of(text, zones)
    return _in_one_frame(clause) if clause is not None else None


def _in_one_frame(clause: Clause) -> Sentences | None:
    found = {said for said in (frame(clause) for frame in _FRAMES) if said}
    return found.pop() if len(found) == 1 else None
