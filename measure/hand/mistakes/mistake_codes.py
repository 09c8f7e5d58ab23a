"""The mistakes that a hand measurement is searched for, and how common each is taken to be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

Code = Literal[
    "unit-swap",
    "perimeter-for-area",
    "area-for-perimeter",
    "halved",
    "doubled",
    "sides-added",
    "side-missed",
    "extra-side",
    "bounding-box",
    "diameter-for-radius",
    "inner-edge",
    "outer-edge",
    "ruler-offset",
    "other-zone",
    "other-piece",
    "other-team",
    "digits-swapped",
    "decimal-slip",
    "fraction-as-decimal",
    "whole-squares",
]
CODES: tuple[Code, ...] = get_args(Code)
PRIOR: Mapping[Code, float] = dict.fromkeys(CODES, 1.0)
"""Relative weights before the number is seen; flat, because no source tells how often children make each."""
MISTAKEN = 0.30
"""Prior weight of all the mistakes that are searched for, together (common practice, no source)."""
UNEXPLAINED = 0.03
"""Prior weight of a mistake of any other kind: the number then says little about the quantity. A class's own numbers
soon outweigh it (measure.hand.mistakes.habits)."""
UNEXPLAINED_SPREAD = 0.8
"""Of its natural logarithm: within a factor of about 5 of the true value."""
CARELESS = 0.03
"""Prior weight of a value that is right but more carelessly measured than its method allows for."""
CARELESS_TIMES = 2.0
"""How many times the uncertainty of the method a careless value has."""
NEIGHBOUR_SIDE = 0.03
"""Prior weight of another side of the same outline: no code names it, but it must not be taken for something else."""
