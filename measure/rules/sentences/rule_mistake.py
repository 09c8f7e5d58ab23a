"""A rule sentence that is not understood, or that means nothing."""

from __future__ import annotations


class RuleMistake(ValueError):  # noqa: N818  (named for what it is to the teacher)
    """What is wrong with a sentence, where in it (start and end, in letters), and what would be right.

    offers are whole sentences, each of which would be read.
    """

    def __init__(self, sentence: str, start: int, end: int, message: str, offers: tuple[str, ...] = ()) -> None:
        self.sentence = sentence
        self.start = start
        self.end = max(end, start + 1)
        self.message = message
        self.offers = offers
        super().__init__(self.shown())

    def shown(self, indent: str = "    ") -> str:
        """The message, then the sentence with a caret line under the place."""
        line = "".join(letter if letter.isprintable() else " " for letter in self.sentence)
        return f"{self.message}\n{indent}{line}\n{indent}{' ' * self.start}{'^' * (self.end - self.start)}"
