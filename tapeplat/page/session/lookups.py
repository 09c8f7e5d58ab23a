"""Finding what an address names, or saying that it is not there."""

from __future__ import annotations

from measure.challenge import Challenge
from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.session.services import room
from tapeplat.page.store.challenges import KeptChallenge


def kept_challenge(slug: str) -> KeptChallenge:
    """A challenge's file, sound or not. Raises PageError where there is none."""
    kept = room().challenges.get(slug)
    if kept is None:
        raise not_found("There is no challenge of this name any more.")
    return kept


def sound_challenge(slug: str) -> tuple[KeptChallenge, Challenge]:
    """A challenge that can be used. Raises PageError where it has mistakes."""
    kept = kept_challenge(slug)
    if kept.challenge is None:
        what = f"{kept.title} has mistakes that have to be put right first:"
        lines = tuple(map(str, kept.mistakes))
        raise PageError(409, "This challenge is not ready", what, "Open it, and choose Edit.", lines)
    return kept, kept.challenge
