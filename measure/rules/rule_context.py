"""All that a rule is judged by: the setting, the plat's measures, the structures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from measure.plat.measures import Measures
from measure.quantity import Quantity
from measure.rules.allowance import Allowance
from measure.rules.amounts import Limit
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.told import ends_said, share_form
from measure.rules.verdict import Origin, Unknown
from measure.voice import share_said, value_said


@dataclass(frozen=True, eq=False)
class Built:
    """A number of what stands on the land, in mm, mm2 or mm3: what is known of it, None where nothing is.

    more says why what is not known may add to it; empty where that is all.  What stands on the land adds, and never
    takes away.
    """

    value: Quantity | None
    more: str = ""


@dataclass(frozen=True, eq=False)
class Heights:
    """The height in mm of every structure that is known, and why there may be others; empty where those are all."""

    known: tuple[Quantity, ...]
    more: str = ""


@dataclass(frozen=True)
class Footprints:
    """The structures whose footprint is known, by their numbers, each with its zone; and why there may be others."""

    known: tuple[tuple[int, str | None], ...]
    more: str = ""


class Structures(Protocol):
    """What rules ask of what stands on the land; zone None means the whole model, solid None any solid.

    `{}` in a reason stands for the zones.
    """

    def count(self, zone: str | None, solid: str | None) -> Built:
        """How many structures there are."""
        ...

    def different_solids(self, zone: str | None) -> Built:
        """How many different kinds of solids are used."""
        ...

    def heights(self, zone: str | None, solid: str | None) -> Heights:
        """The height of every structure."""
        ...

    def volume(self, zone: str | None) -> Built:
        """The volume of all structures together."""
        ...

    def surface(self, zone: str | None, *, sides_only: bool) -> Built:
        """The total (or lateral) surface area of all structures together."""
        ...

    def footprints(self, zone: str | None) -> Footprints:
        """Where structures stand."""
        ...

    def origins(self, zones: Sequence[str]) -> tuple[Origin, ...]:
        """Where the numbers on zones come from; without zones, of the whole model."""
        ...

    def doubts(self, zones: Sequence[str]) -> tuple[str, ...]:
        """What is to be said of numbers on zones that do not agree with each other; without zones, of the model."""
        ...


@dataclass(frozen=True)
class Context:
    """All that a rule is judged by.

    allowance: what widens the limits within a formula; against: it narrows them, as below a `not`. text: the sentence
    that states the rule; shares are said in its form.
    """

    setting: Setting
    measures: Measures
    structures: Structures | None = None
    allowance: Allowance | None = None
    against: bool = False
    text: str = "%"

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that a team lays out, in the challenge's order."""
        return zones_laid_out(self.setting)

    @property
    def all_zones(self) -> tuple[str, ...]:
        """Every zone, the keep-clear ones included."""
        return tuple(zone.name for zone in self.setting.zones)

    def said(self, quantity: Quantity, unit: str, limit: Limit | None = None) -> str:
        """A quantity in the class's own form of numbers, a share in that of the rule's sentence, beside its limit."""
        numbers = self.setting.numbers
        form = share_form(self.text)
        ends = () if limit is None else ends_said(limit, numbers, form)
        return share_said(quantity, form, ends) if unit == "%" else value_said(quantity, unit, numbers, ends)

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
