"""What a mistake predicts, and what a child would read who measures something: shared by the mistakes' predictions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from measure.hand.mistakes.mistake_codes import Code
from measure.hand.values.hand_table import HandRow
from measure.hand.values.tape_lines import Outline
from measure.hand.values.true_values import ModelTruth, Target
from measure.units import MM_PER


@dataclass(frozen=True)
class Prediction:
    """A mistake's value and standard uncertainty, and its share of the mistake's weight; code None has no name."""

    code: Code | None
    value: float
    u: float
    weight: float = 1.0


@dataclass(frozen=True)
class Reading:
    """What a child would write who measures something, and its standard uncertainty, the photo's in it too."""

    value: float
    u: float

    def times(self, factor: float) -> tuple[float, float]:
        """Value and uncertainty, multiplied."""
        return self.value * factor, self.u * factor


@dataclass(frozen=True, eq=False)
class About:
    """A row, what it is about, and the model that it is about."""

    row: HandRow
    target: Target
    truth: ModelTruth

    @property
    def outline(self) -> Outline | None:
        """The one outline that is measured."""
        return self.truth.outline(self.target)

    @property
    def division(self) -> float:
        """In mm."""
        return self.row.division * MM_PER[self.row.unit]

    @property
    def parcel(self) -> float:
        """What an area is divided by: the parcel's in mm2 for shares, else 1."""
        return self.truth.parcel if self.row.quantity == "share" else 1.0

    def reading(self, target: Target, truth: ModelTruth | None = None) -> Reading | None:
        """What measuring a target by the row's method gives; None where the result does not tell."""
        model = truth or self.truth
        found = model.estimate(target)
        if found is None:
            return None
        hand = model.hand_u(found, target.quantity, self.row.method, self.division)
        return Reading(found.value, math.hypot(hand, found.u))
