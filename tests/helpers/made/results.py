"""Results for the reports' tests: an ordinary team, and one with long names, 12 zones and 15 rules; no photo."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
from PIL import Image

from measure.result.result import ByHand, ParcelResult, PieceResult, Result, RuleResult, ZoneResult
from measure.result.result_values import Value
from measure.units import Unit

LONG = "the long terraces above the upper quarry"


def zone(name: str, x: float, y: float, width: float, depth: float, kind: str = "zone", **piece: object) -> ZoneResult:
    """A rectangle; u95 of its area is 0.1."""
    outline = ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))
    area = Value(width * depth, 0.1)
    around = Value(2 * (width + depth), 0.1)
    made = PieceResult(outline, "measured", area=area, perimeter=around, **piece)  # type: ignore[arg-type]
    return ZoneResult(name, kind, area, (made,))  # type: ignore[arg-type]


RULES = (
    RuleResult(
        "library covers at most 1/5 of the parcel", "", "share", "met", 0.161, "", 0.2, 0.001, 1.0, ("library",)
    ),
    RuleResult("stables are at least 4 1/2 in from library", "", "distance", "not met", 3.27, "in", 4.5, 0.03, 0.0),
    RuleResult("landing covers at least 12 sq in", "", "size", "too close to call", 12.05, "sq in", 12.0, 0.1, 0.8),
    RuleResult("orchard covers less than landing", "", "comparison", "not measured", note="no orchard was found"),
    RuleResult("by eye: every street can be walked from end to end", "", "by eye", "by eye"),
)


def ordinary(team: str = "3", numbers: str = "eighth", unit: Unit = "in") -> Result:
    """Five zones and one rule of each verdict."""
    zones = (
        zone("library", 1, 1, 5, 4),
        zone("stables", 9, 2, 4, 3, inferred=((0, 0.2, 0.7),)),
        zone("landing", 2, 8, 4.125, 3),
        zone("crusher", 9, 8, 5, 4, "keep-clear"),
        ZoneResult("orchard", "zone", None),
    )
    return Result(
        "tapeplat/result-1", "Quarry Lake Village", unit, "middle", ParcelResult(18, 14, 252, "tiles"), zones, team,
        rules=RULES, numbers=numbers,  # type: ignore[arg-type]
    )  # fmt: skip


def crowded(team: str = "The Blue and Grey Herons of the Upper Quarry") -> Result:
    """12 zones with names of 40 letters, 15 rules of two lines each, verdicts by hand with reasons."""
    names = [f"{n:02d} {LONG}"[:40] for n in range(1, 13)]
    zones = tuple(zone(name, 1 + 4 * (n % 4), 1 + 4.3 * (n // 4), 3, 3) for n, name in enumerate(names))
    word = ByHand("met", "measured again with the steel ruler after the tape was pressed down")
    rules = tuple(
        RuleResult(
            f"{name} and {names[-1 - n % 12]} together cover between 1% and 5 1/2 % of the parcel", "", "share",
            ("met", "not met", "too close to call")[n % 3], 0.0341, "", (0.01, 0.055), 0.0004, 1.0,  # type: ignore[arg-type]
            by_hand=word if n % 5 == 0 else None,
        )
        for n, name in enumerate([*names, *names[:3]])
    )  # fmt: skip
    title = "Upper Quarry Terraces, second term, all of the lower school together"
    return replace(ordinary(team, "percent"), title=title, zones=zones, rules=rules)


def picture(width: int = 800, height: int = 620) -> bytes:
    """A JPEG of blotches."""
    blotches = np.random.default_rng(3).integers(60, 230, (9, 12, 3)).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(blotches).resize((width, height), Image.Resampling.BICUBIC).save(out, "JPEG", quality=85)
    return out.getvalue()
