"""What every kind of rule offers, and what it is given to judge by."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal, Protocol

from measure.numbers import shown
from measure.plat.measures import Measures
from measure.quantity import Quantity
from measure.rules.parts import listed
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.verdict import Findings, Unknown

Mode = Literal["together", "each", "every", "other", "all"]


class Structures(Protocol):
    """What structure rules ask of a team's structures table; zone None means the whole model, solid None any solid.

    Lengths in mm, surfaces in mm2, volumes in mm3; None where it cannot be told, which makes a rule `not measured`.
    """

    def count(self, zone: str | None, solid: str | None) -> int | None:
        """How many structures there are."""
        ...

    def different_solids(self, zone: str | None) -> int | None:
        """How many different kinds of solids are used."""
        ...

    def heights(self, zone: str | None, solid: str | None) -> tuple[Quantity | None, ...] | None:
        """The height of every structure, None for those of which it cannot be told."""
        ...

    def volume(self, zone: str | None) -> Quantity | None:
        """The volume of all structures together."""
        ...

    def surface(self, zone: str | None, *, sides_only: bool) -> Quantity | None:
        """The total (or lateral) surface area of all structures together."""
        ...


@dataclass(frozen=True)
class Context:
    """All that a rule is judged by."""

    setting: Setting
    measures: Measures
    structures: Structures | None = None

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that a team lays out, in the challenge's order."""
        return zones_laid_out(self.setting)

    @property
    def all_zones(self) -> tuple[str, ...]:
        """Every zone, the keep-clear ones included."""
        return tuple(zone.name for zone in self.setting.zones)

    def said(self, quantity: Quantity, unit: str) -> str:
        """A quantity in the class's own form of numbers."""
        return shown(quantity, unit, self.setting.numbers)

    def missing(self, zones: Iterable[str]) -> Unknown | None:
        """Why nothing, or not everything, of one of the zones is measured; None where all is."""
        named = tuple(dict.fromkeys(zones))
        absent = tuple(zone for zone in named if self.measures.count(zone) == 0)
        if absent:
            return Unknown("no outline of {} was found", absent)
        hidden = tuple(zone for zone in named if self.measures.unmeasured(zone))
        if hidden:
            return Unknown("a piece of {} could not be measured", hidden)
        return None


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

    def things(self, zones: tuple[str, ...], but: Iterable[str] = ()) -> tuple[tuple[str, ...], ...]:
        """The unions that the rule is about, given all zones and the subject that `other` leaves out."""
        if self.mode in ("together", "all"):
            return (self.names if self.names else zones,)
        if self.mode == "each":
            return tuple((name,) for name in self.names)
        left_out = set(but) if self.mode == "other" else set()
        return tuple((zone,) for zone in zones if zone not in left_out)

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


class Rule(ABC):
    """One rule, read. Rules are frozen dataclasses: two sentences that mean the same are equal."""

    kind: ClassVar[str]

    @abstractmethod
    def reads_as(self) -> str:
        """The rule in the words that say most plainly what is measured; reading them gives the same rule."""

    @abstractmethod
    def findings(self, context: Context) -> Findings:
        """What decides the rule on this plat."""


@dataclass(frozen=True)
class RuleLine:
    """A rule as the file states it, in which line, and as it is read; warnings say what was inferred or is odd."""

    text: str
    rule: Rule
    line: int
    warnings: tuple[str, ...] = ()


class SettingWithRules(Setting, Protocol):
    """A setting and the rules that are stated for it."""

    @property
    def rules(self) -> Sequence[RuleLine]: ...  # noqa: D102
