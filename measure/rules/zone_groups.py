"""The zones that a rule speaks of, and how it counts them: together, or each by itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

Mode = Literal["together", "each", "every", "other", "all"]
_WORDS: dict[str, str] = {"every": "every zone", "other": "every other zone", "all": "all zones together"}


@dataclass(frozen=True)
class Group:
    """The zones that a rule speaks of.

    "together" is one thing, the union (of one zone: the zone); "each" repeats the rule for every named zone; "every"
    for every zone that the team lays out; "other" for every such zone but the rule's own subject; "all" is the union of
    every such zone.
    """

    names: tuple[str, ...] = ()
    mode: Mode = "together"

    def things(self, zones: Sequence[str], but: Iterable[str] = ()) -> tuple[tuple[str, ...], ...]:
        """The unions that the rule is about, given all zones and the subject that `other` leaves out."""
        if self.mode in ("together", "all"):
            return (self.names if self.names else tuple(zones),)
        if self.mode == "each":
            return tuple((name,) for name in self.names)
        left_out = set(but) if self.mode == "other" else set()
        return tuple((zone,) for zone in zones if zone not in left_out)

    def singles(self, zones: Sequence[str], but: Iterable[str] = ()) -> tuple[str, ...]:
        """The same, zone by zone."""
        return tuple(zone for thing in self.things(zones, but) for zone in thing)

    @property
    def plural(self) -> bool:
        """Whether the verb after it is `are` or `touch` rather than `is` or `touches`."""
        if self.mode != "together":
            return self.mode == "all"
        return len(self.names) > 1 or (self.names[0].endswith("s") and not self.names[0].endswith("ss"))

    def __str__(self) -> str:
        if self.mode in _WORDS:
            return _WORDS[self.mode]
        names = listed(self.names)
        if len(self.names) == 1:
            return names
        return f"{names} together" if self.mode == "together" else f"each of {names}"


EVERY, OTHER, ALL = Group(mode="every"), Group(mode="other"), Group(mode="all")
WHOLE_MODEL = Group(("structures",))
"""What `the volume of all structures` is about; `structures` is a word of the rules and no zone's name."""


def one_by_one(names: tuple[str, ...]) -> Group:
    """The zones, the rule repeated for each."""
    return Group(names, "each" if len(names) > 1 else "together")


def listed(names: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
