"""A rule sentence that is not understood, or that means nothing, and what could be written instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Offer:
    """A whole sentence that would be read; leaves_out: words of the refused one that it has nothing for."""

    text: str
    leaves_out: tuple[str, ...] = ()
    where: str = ""

    def __str__(self) -> str:
        return self.text

    @property
    def note(self) -> str:
        """What to know before it is taken: `this leaves out ...`."""
        left = ", ".join(f"`{part}`" for part in self.leaves_out)
        return "; ".join(part for part in (f"this leaves out {left}" if left else "", self.where) if part)


class RuleMistake(ValueError):  # noqa: N818  (named for what it is to the teacher)
    """What is wrong with a sentence, where in it (start and end, in letters), and what would be right.

    message says it all; why is the same without the offers, for who shows those beside it.  near: the word or zone
    that the message asks after in place of what stands there; empty where it asks after none.
    """

    def __init__(
        self,
        sentence: str,
        start: int,
        end: int,
        message: str,
        offers: Iterable[Offer | str] = (),
        why: str = "",
        near: str = "",
    ) -> None:
        self.sentence = sentence
        self.start = start
        self.end = max(end, start + 1)
        self.message = message
        self.why = why or message
        self.near = near
        self.offers = tuple(Offer(offer) if isinstance(offer, str) else offer for offer in offers)
        super().__init__(self.shown())

    def shown(self, indent: str = "    ") -> str:
        """The message, then the sentence with a caret line under the place."""
        line = "".join(letter if letter.isprintable() else " " for letter in self.sentence)
        return f"{self.message}\n{indent}{line}\n{indent}{' ' * self.start}{'^' * (self.end - self.start)}"
