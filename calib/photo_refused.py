"""The one way in which a photo is refused."""

from __future__ import annotations

from typing import Literal

Reason = Literal[
    "no-card", "card-cut-off", "card-bent", "two-cards", "blurred", "too-small", "too-tilted", "parcel-cut-off",
    "no-tape", "no-swatches", "other-model", "unreadable",
]  # fmt: skip


class PhotoRefused(Exception):  # noqa: N818  (named for what happened, as the teacher reads it)
    """The photo cannot be measured: `reason` names why, `advice` tells the teacher what to do."""

    def __init__(self, reason: Reason, advice: str) -> None:
        self.reason: Reason = reason
        self.advice = advice
        super().__init__(f"photo refused ({reason}): {advice}")
