"""One outline as a file gives it, and the values that every kind of file gives with it: its zone, its u95."""

from __future__ import annotations

import math
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from measure.challenge import Challenge
from measure.errors import Mistake
from measure.name_folding import folded
from measure.quantity import COVERAGE_FACTOR, FloatArray
from measure.units import MM_PER, Unit

_LEAST_CERTAIN = 1e4
"""mm: no corner of a model is less certain than ten metres."""


@dataclass(frozen=True, eq=False)
class GivenOutline:
    """One polygon as read: where it stands in the file, its zone, rings (n, 2) in mm, and a corner's u in mm."""

    where: str
    zone: str
    rings: tuple[FloatArray, ...]
    u: float


def zone_named(name: Any, where: str, challenge: Challenge, mistakes: list[Mistake]) -> str | None:
    """The challenge's own name of a zone; None, with the mistake noted, where it has none of that name."""
    known = {folded(alias): z.name for z in challenge.zones for alias in (z.name, *z.aliases)}
    found = known.get(folded(str(name))) if name is not None else None
    if found is None:
        near = get_close_matches(folded(str(name)), known, n=1)
        do = f"did you mean {near[0]}?" if near else f"the zones are {', '.join(z.name for z in challenge.zones)}"
        what = "it names no zone" if name in (None, "") else f"{name} is no zone of this challenge"
        mistakes.append(Mistake(where, what, do))
    return found


def corner_u(value: Any, where: str, unit: Unit, mistakes: list[Mistake], name: str = "u95") -> float | None:
    """Half of a length in mm, 0 where the file gives none: the standard uncertainty of a corner from its u95."""
    try:
        u95 = 0.0 if value is None else float(str(value).replace(",", "."))
    except ValueError:
        u95 = math.nan
    if not 0 <= u95 * MM_PER[unit] <= _LEAST_CERTAIN:
        mistakes.append(Mistake(where, f"its {name} is {value}", f"give a length in {unit}, 0 or more"))
        return None
    return u95 * MM_PER[unit] / COVERAGE_FACTOR
