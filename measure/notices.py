"""What the program remarks while it works, as values: what was inferred, left out, or is odd.

Nobody looks for words in a notice; words are made of it once, where it is shown (tapeplat.wording.notice_words).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

Fact = bool | int | float | str | tuple[int, ...] | tuple[str, ...]
PLAIN = "plain"
"""The code of a notice whose fact `text` is all that is known of it."""


@dataclass(frozen=True)
class Subject:
    """What a notice is about; what does not apply is left empty.

    piece counts from 1 in its zone and is None where the zone is all that matters; rule counts from 1 in its challenge,
    row from 1 in a table's file, whose header is row 1.
    """

    zone: str = ""
    piece: int | None = None
    rule: int | None = None
    photo: str = ""
    file: str = ""
    row: int | None = None


@dataclass(frozen=True)
class Notice:
    """One remark: what kind it is, what it is about, and its numbers and names (lengths in mm)."""

    code: str
    subject: Subject = Subject()
    facts: dict[str, Fact] = field(default_factory=dict)


def plain(text: str, subject: Subject = Subject()) -> Notice:
    """A notice of which only the words are known, such as one from a file of an earlier version."""
    return Notice(PLAIN, subject, {"text": text})


def distinct(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Every notice once, in the order in which they came first."""
    found: list[Notice] = []
    for notice in notices:
        if notice not in found:
            found.append(notice)
    return tuple(found)
