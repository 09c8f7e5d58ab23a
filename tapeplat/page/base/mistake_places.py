"""Where the mistakes of a challenge are, as the teacher knows it: rule 3, zone market, not a line of a file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence

from measure.challenge.toml_lines import TomlLines
from measure.errors import Mistake

_PLACES = {"title": "The title", "unit": "The unit", "parcel": "The parcel", "card": "The card", "rules": "The rules"}

_ROWS = {"zone": "Zone", "line": "The line"}
"""As "Line 3" is the third line of the text."""


def placed_mistakes(mistakes: Sequence[Mistake], text: str, *, lines: bool = False) -> tuple[str, ...]:
    """Each mistake with its place in a challenge's text; with lines, the text's line before it."""
    places = _places(text)
    return tuple(_said(mistake, places, lines=lines) for mistake in mistakes)


def _said(mistake: Mistake, places: Sequence[tuple[int, str]], *, lines: bool) -> str:
    if mistake.number is None:
        return str(mistake)
    place = next((name for line, name in reversed(places) if line <= mistake.number), "")
    line = f"Line {mistake.number}"
    where = f"{line} ({place[:1].lower() + place[1:]})" if lines and place else place if place else line
    return str(Mistake(where, mistake.what, mistake.do))


def _places(text: str) -> list[tuple[int, str]]:
    """The line at which each part begins, in the text's order; nothing for a text that cannot be read at all."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return []
    return sorted(_named(data, TomlLines(text)), key=lambda place: place[0])


def _named(data: dict[str, object], lines: TomlLines) -> Iterator[tuple[int, str]]:
    for key, value in data.items():
        yield lines.of((key,)), _PLACES.get(key, f"“{key}”")
        if key == "rules" and isinstance(value, list):
            at = [lines.of((key, number)) for number in range(len(value))]
            yield from ((line, f"Rule {number}") for number, line in enumerate(at, 1) if at.count(line) == 1)
        if key in _ROWS and isinstance(value, list):
            for number, row in enumerate(value):
                name = row.get("name") if isinstance(row, dict) else None
                yield lines.of((key, number)), f"{_ROWS[key]} {name if isinstance(name, str) and name else number + 1}"
