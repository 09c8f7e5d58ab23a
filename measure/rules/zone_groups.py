"""The zones that a rule speaks of, and how it counts them: together, or each by itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from measure.rules.amounts import Limit

Mode = Literal["together", "each", "every", "other", "all", "pieces", "some", "another"]
_WORDS: dict[str, str] = {"every": "every zone", "other": "every other zone", "all": "all zones together"}
_QUANTIFIED = ("pieces", "some", "another")


@dataclass(frozen=True)
class Group:
    """The zones that a rule speaks of.

    "together" is one thing, the union (of one zone: the zone); "each" repeats the rule for every named zone; "every"
    for every zone that the team lays out; "other" for every such zone but the rule's own subject; "all" is the union of
    every such zone. "every" with names leaves these out.

    Of pieces: "pieces" repeats the rule for every piece of the named zones; "some" asks it of so many of them as count
    says. "another" is at least one other zone (with a name: one other piece of that zone), or as many as count says.
    Rules with these are taken apart before they are judged: measure.rules.evaluation.quantifiers.
    """

    names: tuple[str, ...] = ()
    mode: Mode = "together"
    count: Limit | None = None

    def things(self, zones: Sequence[str], but: Iterable[str] = ()) -> tuple[tuple[str, ...], ...]:
        """The unions that the rule is about, given all zones and the subject that `other` leaves out."""
        if self.mode in ("together", "all"):
            return (self.names if self.names else tuple(zones),)
        if self.mode == "each" or (self.mode in _QUANTIFIED and self.names):
            return tuple((name,) for name in self.names)
        left_out = set(but) if self.mode in ("other", "another") else set(self.names)
        return tuple((zone,) for zone in zones if zone not in left_out)

    def singles(self, zones: Sequence[str], but: Iterable[str] = ()) -> tuple[str, ...]:
        """The same, zone by zone."""
        return tuple(zone for thing in self.things(zones, but) for zone in thing)

    @property
    def quantified(self) -> bool:
        """Whether it is about pieces one by one, or about some of several zones."""
        return self.mode in _QUANTIFIED

    @property
    def plural(self) -> bool:
        """Whether the verb after it is `are` or `touch` rather than `is` or `touches`."""
        if self.count is not None:
            return not _one(self.count)
        if self.mode != "together":
            return self.mode == "all"
        return len(self.names) > 1 or (self.names[0].endswith("s") and not self.names[0].endswith("ss"))

    def __str__(self) -> str:
        if self.mode == "every" and self.names:
            return f"every zone except {listed(self.names)}"
        if self.mode in _WORDS:
            return _WORDS[self.mode]
        if self.mode == "pieces":
            return f"every piece of {listed(self.names)}"
        if self.mode == "some":
            return f"{self.count} {'piece' if self.count and _one(self.count) else 'pieces'} of {listed(self.names)}"
        if self.mode == "another":
            return self._other_text()
        names = listed(self.names)
        if len(self.names) == 1:
            return names
        return f"{names} together" if self.mode == "together" else f"each of {names}"

    def _other_text(self) -> str:
        of = f" of {listed(self.names)}" if self.names else ""
        noun = "piece" if self.names else "zone"
        if self.count is None:
            return f"another {noun}{of}"
        return f"{self.count} other {noun}{'' if _one(self.count) else 's'}{of}"


EVERY, OTHER, ALL = Group(mode="every"), Group(mode="other"), Group(mode="all")
ANOTHER = Group(mode="another")
WHOLE_MODEL = Group(("structures",))
"""What `the volume of all structures` is about; `structures` is a word of the rules and no zone's name."""


def one_by_one(names: tuple[str, ...]) -> Group:
    """The zones, the rule repeated for each."""
    return Group(names, "each" if len(names) > 1 else "together")


def listed(names: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _one(limit: Limit) -> bool:
    return (limit.upper or limit.amount).number == 1
