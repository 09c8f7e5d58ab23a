"""Are the tapes fit for a challenge: what a photo of card and board says before anybody builds, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from measure.challenge import Challenge
from tapeplat.lens.lens_store import read_photo_with_profile, stored
from tapeplat.measuring.survey import photo_setup_of
from vision.picture.photo import PhotoSource
from vision.tape_check import TapeCheck, check_tapes

STATES = {
    "filled": "holds tape", "see-through": "holds tape that lets its dots show", "empty": "is empty",
    "doubtful": "is not clear",
}  # fmt: skip


Boxes = dict[int, tuple[str, ...]]
"""Whose pieces belong into each box."""


@dataclass(frozen=True)
class BoxSaid:
    """One box of the card: its number, the zones or the line whose piece belongs in, what it holds, whether right."""

    number: int
    zones: tuple[str, ...]
    holds: str
    sound: bool


@dataclass(frozen=True)
class TapesSaid:
    """Every box that a zone has or that holds tape, what to change, and what is only worth knowing."""

    boxes: tuple[BoxSaid, ...]
    changes: tuple[str, ...]
    remarks: tuple[str, ...]
    on_parcel: bool

    @property
    def summary(self) -> str:
        """The answer in a sentence."""
        if self.changes:
            return f"{len(self.changes)} thing{'s' if len(self.changes) > 1 else ''} to change before building"
        return f"every tape is seen, and told from the others and from {_ground(self.on_parcel)}"


def tapes_said(challenge: Challenge, photo: PhotoSource) -> TapesSaid:
    """What a photo of the card, on or beside the empty board, says of the challenge's tapes. Raises PhotoRefused."""
    zones = _zones(challenge)
    lines: Boxes = {line.swatch: (line.name,) for line in challenge.lines if line.swatch is not None}
    found = check_tapes(read_photo_with_profile(photo, stored()), photo_setup_of(challenge), sorted(zones))
    boxes = tuple(
        _box_said(number, state, zones, lines)
        for number, state in enumerate(found.states, start=1)
        if number in zones or number in lines or state != "empty"
    )
    changes = (*_changes(found, zones), *_line_changes(found, lines))
    return TapesSaid(boxes, changes, tuple(_remarks(found, zones, lines)), found.on_parcel)


def _box_said(number: int, state: str, zones: Boxes, lines: Boxes) -> BoxSaid:
    said = STATES[state].replace("tape", "its piece") if number in lines else STATES[state]
    return BoxSaid(number, lines.get(number) or zones.get(number, ()), said, state in ("filled", "see-through"))


def _zones(challenge: Challenge) -> Boxes:
    """The zones of every box that has some."""
    numbers = sorted({zone.swatch for zone in challenge.zones})
    return {n: tuple(zone.name for zone in challenge.zones if zone.swatch == n) for n in numbers}


def _changes(found: TapeCheck, zones: Boxes) -> Iterator[str]:
    for number, names in zones.items():
        change = _FILLING.get((found.states[number - 1], found.dotted))
        if change:
            yield change.format(box=_box(number, names))
    for one, other in found.alike:
        pair = f"the tapes of {_box(one, zones[one])} and {_box(other, zones[other])}"
        yield f"{pair} look alike in this light: take another tape for one of them, or a whiter light"
    for number in found.like_ground:
        looks = f"the tape of {_box(number, zones[number])} looks like {_ground(found.on_parcel)}"
        yield f"{looks}: take another tape, or lay paper of another colour on the board"


_FILLING = {
    ("empty", True): "{box} is empty: stick a piece of its tape over its dots",
    ("empty", False): "{box} is empty or holds white tape, which this older card cannot tell: stick in a piece of its "
    "tape, or print the card anew, with dots",
    (
        "doubtful",
        True,
    ): "whether {box} holds tape is not clear: cover its dots with tape, keep shadow and glare off the "
    "card and photograph again",
}
"""What to do about a box in a state, on a card with dots or without."""


def _line_changes(found: TapeCheck, lines: Boxes) -> Iterator[str]:
    """What to do about boxes of lines; an older card cannot tell a white string from an empty box."""
    for number, names in lines.items():
        state = found.states[number - 1]
        if state in ("empty", "doubtful") and found.dotted:
            piece = "cover its dots with a piece of the line, or with a stroke of its marker"
            yield f"{_box(number, names)} {STATES[state]}: {piece}"


def _remarks(found: TapeCheck, zones: Boxes, lines: Boxes) -> Iterator[str]:
    for one, other in found.lighter:
        pair = f"the tapes of {_box(one, zones[one])} and {_box(other, zones[other])}"
        yield f"{pair} differ in lightness only: light the board evenly, without a lamp or window at one side"
    for number, state in enumerate(found.states, start=1):
        if state == "see-through" and number in zones:
            looks = f"the tape of {_box(number, zones[number])} is see-through, and looks different on the board"
            yield f"{looks} than on the card's white; two layers are surer, on the card and on the board"
        if state != "empty" and number not in zones and number not in lines:
            yield f"box {number} holds tape that no zone of this challenge has"
    if not found.on_parcel:
        yield "without corner tiles in the picture the board is not told from the table"


def _ground(on_parcel: bool) -> str:
    return "the board" if on_parcel else "what lies around the card, be it board or table"


def _box(number: int, names: tuple[str, ...]) -> str:
    return f"box {number} ({', '.join(names)})"
