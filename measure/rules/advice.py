"""Rules that cannot all be met, that say nothing, or that no photo can decide: warnings, not mistakes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from measure.challenge import Challenge


def challenge_warnings(challenge: Challenge) -> tuple[str, ...]:
    """What to think about before the first photo is taken."""
    return ()
