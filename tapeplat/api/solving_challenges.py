"""Whether a challenge's rules can all be met, and what a team could change so that they are."""

from __future__ import annotations

from collections.abc import Callable

from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.solvable import SECONDS, Deadline, answer, nearest
from tapeplat.api.given_values import GivenFile, GivenOutlines, challenge_of, name_of, outlines_of
from tapeplat.solving.solution import Solution, Suggestion


def solve(
    challenge: Challenge | GivenFile,
    *,
    seconds: float = SECONDS,
    looser: float | None = None,
    tighter: float | None = None,
    progress: Callable[[str], None] = lambda _: None,
) -> Solution:
    """Find a layout that meets every rule about outlines, or prove that there is none.

    seconds is the time to decide in. looser and tighter ask for limits that leave so much of them as room (0.2: a
    fifth). progress hears what is being tried. Raises InputMistakes where the challenge cannot be used.
    """
    return Solution(answer(challenge_of(challenge), seconds, progress, looser_to=looser, tighter_to=tighter))


def suggest(challenge: Challenge | GivenFile, plat: GivenOutlines, *, seconds: float = SECONDS) -> Suggestion:
    """The least that a team could change on what it built so that every rule about outlines is met.

    plat is what `check` takes. Raises InputMistakes where challenge or plat cannot be used.
    """
    known = challenge_of(challenge)
    given = outlines_of(plat, known)
    try:
        return Suggestion(known, nearest(known, given.plat, Deadline(seconds)))
    except ValueError as error:
        do = "measure the model again from a better photo"
        raise InputMistakes([Mistake(name_of(plat), str(error), do)]) from None
