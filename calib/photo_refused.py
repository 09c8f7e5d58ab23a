"""The one way in which a photo is refused."""

from __future__ import annotations

from typing import Literal

Reason = Literal[
    "no-card", "card-cut-off", "card-bent", "two-cards", "blurred", "too-small", "too-tilted", "parcel-cut-off",
    "no-tape", "no-swatches", "other-model", "unreadable",
    "damaged", "no-colour", "too-dark", "too-bright", "mirrored", "our-own-picture", "other-challenge",
]  # fmt: skip


class PhotoRefused(Exception):  # noqa: N818  (named for what happened, as the teacher reads it)
    """The photo cannot be measured: `reason` names why, `advice` tells the teacher what to do; `facts` are its numbers.

    file names the file where it is the file that is at fault, not what the photo shows.
    """

    def __init__(self, reason: Reason, advice: str, *, file: str = "", **facts: float) -> None:
        self.reason: Reason = reason
        self.advice = advice
        self.file = file
        self.facts: dict[str, float] = facts
        super().__init__(f"photo refused ({reason}): {self.of_file}")

    @property
    def of_file(self) -> str:
        """The advice, after the file's name where there is one."""
        return f"{self.file}: {self.advice}" if self.file else self.advice
