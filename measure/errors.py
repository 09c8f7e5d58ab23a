"""The mistakes of an input file, all of them at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Mistake:
    """One mistake: where it is ("line 12", "feature 3, zone market"), what is wrong, what to do.

    number is the line of the file, or the row of the table, that it is in.
    """

    where: str
    what: str
    do: str = ""
    number: int | None = None

    def __str__(self) -> str:
        said = f"{self.where}: {self.what}" if self.where else self.what
        return f"{said}; {self.do}" if self.do else said


class InputMistakes(ValueError):  # noqa: N818  (named for what it holds)
    """An input file cannot be used; `mistakes` holds everything that is wrong with it, in the file's order."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes: tuple[Mistake, ...] = tuple(mistakes)
        super().__init__("\n".join(map(str, self.mistakes)))
