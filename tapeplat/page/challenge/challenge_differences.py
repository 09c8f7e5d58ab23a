"""What a challenge that is saved says otherwise than a form: for a teacher whose form is older than the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from measure.units import parse_number
from tapeplat.page.challenge.challenge_fields import ChallengeFields, LineFields, ZoneFields

_LABELS = {
    "title": "Name",
    "unit": "Unit",
    "width": "Width",
    "depth": "Depth",
    "thickness": "Thickness of the board",
    "surface": "Where the card lies",
    "line_along": "Check line along",
    "line_up": "Check line upright",
    "tape_edge": "Edge of the tape",
    "numbers": "Form of numbers",
    "touch_gap": "Gap that still touches",
    "allow": "Allowed beside every limit",
}


def saved_otherwise(saved: ChallengeFields, typed: ChallengeFields) -> list[str]:
    """Whatever field, zone, line or rule is saved otherwise than it was typed; empty where all is the same."""
    zones = _rows("Zone", saved.zones, typed.zones)
    lines = _rows("Line", saved.lines, typed.lines)
    return [*_fields(saved, typed), *zones, *lines, *_rules(saved, typed)]


def _fields(saved: ChallengeFields, typed: ChallengeFields) -> Iterator[str]:
    for name, label in _LABELS.items():
        there, here = getattr(saved, name), getattr(typed, name)
        if not same_written(there, here):
            yield f"{label}: saved is {there or 'nothing'}, here stands {here or 'nothing'}."


def same_written(one: str, other: str) -> bool:
    """Whether two texts are the same, or the same number: `30 1/2` and `30.5`."""
    try:
        return one == other or parse_number(one) == parse_number(other)
    except ValueError:
        return False


def _rows(
    what: str, saved: Sequence[ZoneFields | LineFields], typed: Sequence[ZoneFields | LineFields]
) -> Iterator[str]:
    theirs, ours = ({row.name: row for row in rows} for rows in (saved, typed))
    for name, row in theirs.items():
        if name not in ours:
            yield f"{what} {name}: saved, and not here."
        elif vars(row) | {"was": ""} != vars(ours[name]) | {"was": ""}:
            yield f"{what} {name}: saved otherwise than it is here."
    yield from (f"{what} {name}: here, and not saved." for name in ours if name not in theirs)


def _rules(saved: ChallengeFields, typed: ChallengeFields) -> Iterator[str]:
    yield from (f"Saved, and not here: {rule}" for rule in saved.rules if rule not in typed.rules)
    yield from (f"Here, and not saved: {rule}" for rule in typed.rules if rule not in saved.rules)
