"""The frames that a clause fits, each with the sentences that it then says."""

from __future__ import annotations

from collections.abc import Callable

from measure.rules.frames.clause import Clause, clause_of
from measure.rules.frames.count_frames import counts, number
from measure.rules.frames.gap_frames import gap, touch
from measure.rules.frames.place_frames import beyond, empty, inside, nearer, overlap, place
from measure.rules.frames.size_frames import compared, dimension, extreme, proportion, share
from measure.rules.speech.words.lexicon import Zones

Frame = Callable[[Clause], tuple[str, ...] | None]
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
    empty,
    counts,
    number,
)


def framed(text: str, zones: Zones) -> tuple[str, ...] | None:
    """The sentences that a clause says in the one frame that it fits; None where none fits, or several."""
    clause = clause_of(text, zones)
    if clause is None:
        return None
    found = {said for said in (frame(clause) for frame in _FRAMES) if said}
    return found.pop() if len(found) == 1 else None
