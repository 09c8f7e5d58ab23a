"""Finding what an address names, or saying that it is not there."""

from __future__ import annotations

from measure.challenge import Challenge
from tapeplat.page.base.mistake_places import placed_mistakes
from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge


def stored_challenge(slug: str) -> StoredChallenge:
    """A challenge's file, sound or not. Raises PageError where there is none."""
    stored = services().challenges.get(slug)
    if stored is None:
        raise not_found("There is no challenge of this name any more.")
    return stored


def sound_challenge(slug: str) -> tuple[StoredChallenge, Challenge]:
    """A challenge that can be used. Raises PageError where it has mistakes."""
    stored = stored_challenge(slug)
    if stored.challenge is None:
        what = f"{stored.title} has mistakes that have to be put right first:"
        lines = placed_mistakes(stored.mistakes, services().challenges.text(slug))
        raise PageError(409, "This challenge is not ready", what, "Open it, and choose Edit.", lines)
    return stored, stored.challenge
