"""Rules about what is there: zones, their pieces, and what the teacher alone can see."""
# ruff: noqa: D102  (reads_as and findings are explained where they are declared, in kind.py)

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.kind import Context, Group, Rule
from measure.rules.parts import Limit
from measure.rules.verdict import Claim, Findings, Unknown


@dataclass(frozen=True)
class CountRule(Rule):
    """`there is a school`, `there are exactly 3 pieces of cottages`: how many pieces; exact, without uncertainty."""

    group: Group
    limit: Limit

    @property
    def kind(self) -> str:  # type: ignore[override]
        """`presence` for whether there is any, else `count`."""
        return "presence" if whole_bounds(self.limit) in ((1, None), (0, 0)) else "count"

    def reads_as(self) -> str:
        number, zones = self.limit.upper or self.limit.amount, self.group
        if self.limit.stated == 0 and self.limit.relation == "exactly":
            return f"there is no piece of {zones}"
        one = number.number == 1
        return f"there {'is' if one else 'are'} {self.limit} {'piece' if one else 'pieces'} of {zones}"

    def findings(self, context: Context) -> Findings:
        zones = [zone for thing in self.group.things(context.zones) for zone in thing]
        return Findings(tuple(self._claim(context, zone) for zone in zones), self.limit.stated)

    def _claim(self, context: Context, zone: str) -> Claim | Unknown:
        """Tape whose outline cannot be measured is there, but may be one piece or part of another."""
        count, unsure = context.measures.count(zone), context.measures.unmeasured(zone)
        least = max(1, count - unsure) if count else 0
        if self._meets(least) != self._meets(count) and unsure:
            return Unknown(f"how many pieces {zone} has could not be told", (zone,))
        low, high = whole_bounds(self.limit)
        return Claim((Quantity(float(count)),), low, high, (zone,))

    def _meets(self, count: int) -> bool:
        low, high = whole_bounds(self.limit)
        return low <= count <= (math.inf if high is None else high)


@dataclass(frozen=True)
class ByEyeRule(Rule):
    """`by eye: every street can be walked`: on the list for the teacher to decide."""

    kind: ClassVar[str] = "by eye"
    text: str

    def reads_as(self) -> str:
        return f"by eye: {self.text}"

    def findings(self, context: Context) -> Findings:
        """Nothing is measured."""
        return Findings((), None)


def whole_bounds(limit: Limit) -> tuple[int, int | None]:
    """The least and the largest whole number that meet a limit of a count."""
    low = 0 if limit.low is None else math.ceil(limit.low)
    high = None if limit.high is None else math.floor(limit.high)
    if limit.relation == "more than":
        low = math.floor(limit.amount.value) + 1
    if limit.relation == "less than":
        high = math.ceil(limit.amount.value) - 1
    return low, high
