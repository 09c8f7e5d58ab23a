"""What each mistake would have made of the true quantity: predicted values with their uncertainties.

Every prediction is in mm, mm2, mm3 or a share, as the hand value is after its number and unit are taken at their word.
Mistakes in writing (digits swapped, a fraction written as a decimal) are not here: they are undone on the written
number (see measure.hand.mistakes.digits).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from measure.hand.mistakes.mistake_codes import Code
from measure.hand.mistakes.prediction import About, Prediction, Reading
from measure.hand.mistakes.workings import for_area, for_perimeter, for_volume, ruler_offsets, whole_squares
from measure.hand.values.hand_table import HandRow
from measure.hand.values.true_values import ModelTruth, Target
from measure.plat.offset import TapeEdge
from measure.units import MM_PER, UNITS, LengthUnit

_ONE_DECIMAL, _TWO_DECIMALS = 0.4, 0.1


def predictions(
    row: HandRow, target: Target, truth: ModelTruth, others: Sequence[ModelTruth]
) -> tuple[Prediction, ...]:
    """All that the mistakes predict for a row; empty where the target itself is not known."""
    about = About(row, target, truth)
    base = about.reading(target)
    if base is None:
        return ()
    found = [
        *_scaled(row, base),
        *_unit_swaps(row, base),
        *_other_edges(about),
        *_other_places(about),
        *_other_teams(about, others),
        *ruler_offsets(about, base),
    ]
    if row.quantity in ("area", "share"):
        found += [*for_area(about, base), *whole_squares(about)]
    elif row.quantity == "perimeter":
        found += for_perimeter(about, base)
    elif row.quantity == "volume":
        found += for_volume(about, base)
    elif row.quantity == "side":
        found += _neighbours(about)
    return tuple(p for p in found if p.value > 0 and math.isfinite(p.value))


def _scaled(row: HandRow, base: Reading) -> Iterator[Prediction]:
    yield Prediction("halved", *base.times(0.5))
    yield Prediction("doubled", *base.times(2.0))
    for factor, weight in ((10.0, _ONE_DECIMAL), (0.1, _ONE_DECIMAL), (100.0, _TWO_DECIMALS), (0.01, _TWO_DECIMALS)):
        yield Prediction("decimal-slip", *base.times(factor), weight)


def _unit_swaps(row: HandRow, base: Reading) -> Iterator[Prediction]:
    """The number of another unit: of the whole quantity, or of one length in it; or turned the wrong way."""
    if row.power == 0:
        return
    for other in UNITS:
        step = MM_PER[row.unit] / MM_PER[other]
        if step == 1.0:
            continue
        usual = 0.3 if _both_on_a_ruler(row.unit, other) else 0.1
        yield Prediction("unit-swap", *base.times(step**row.power), usual)
        yield Prediction("unit-swap", *base.times(step**-row.power), usual / 3)
        for power in range(1, row.power):
            yield Prediction("unit-swap", *base.times(step**power), usual / 2)


def _both_on_a_ruler(a: LengthUnit, b: LengthUnit) -> bool:
    """The two edges of a school ruler."""
    return {a, b} == {"in", "cm"}


def _other_edges(about: About) -> Iterator[Prediction]:
    if about.row.quantity in ("height", "volume", "length"):
        return
    own = about.truth.result.tape_edge
    if own != "inner":
        yield from _at_edges(about, "inner-edge", ("inner",) if own == "middle" else ("inner", "middle"))
    if own != "outer":
        yield from _at_edges(about, "outer-edge", ("outer",) if own == "middle" else ("outer", "middle"))


def _at_edges(about: About, code: Code, edges: Sequence[TapeEdge]) -> Iterator[Prediction]:
    for edge in edges:
        found = about.reading(replace(about.target, edge=edge))
        if found is not None:
            yield Prediction(code, found.value, found.u, 1.0 / len(edges))


def _other_places(about: About) -> Iterator[Prediction]:
    """The same quantity of another zone, or of another piece."""
    target, truth = about.target, about.truth
    own_pieces = truth.pieces(target.zone)
    named = truth.lines if target.quantity == "length" else truth.zones
    zones = [replace(target, zone=zone) for zone in named if zone not in (target.zone, target.other)]
    if target.quantity == "gap":
        zones += [replace(target, other=zone) for zone in truth.zones if zone not in (target.zone, target.other)]
    yield from _shared_out("other-zone", [about.reading(other) for other in zones])
    numbers = range(1, (own_pieces if target.quantity not in ("height", "volume") else len(_rows(about))) + 1)
    pieces = [replace(target, piece=n) for n in numbers if n != target.piece] if len(numbers) > 1 else []
    if target.piece is not None and len(numbers) > 1 and target.quantity != "side":
        pieces.append(replace(target, piece=None))
    yield from _shared_out("other-piece", [about.reading(other) for other in pieces])


def _rows(about: About) -> Sequence[object]:
    return about.truth.structures(replace(about.target, piece=None))


def _other_teams(about: About, others: Sequence[ModelTruth]) -> Iterator[Prediction]:
    yield from _shared_out("other-team", [about.reading(about.target, other) for other in others])


def _shared_out(code: Code, found: Sequence[Reading | None]) -> Iterator[Prediction]:
    """Each as likely as the others."""
    there = [reading for reading in found if reading is not None]
    for reading in there:
        yield Prediction(code, reading.value, reading.u, 1.0 / len(there))


def _neighbours(about: About) -> Iterator[Prediction]:
    """Another side of the same outline, which no code names."""
    outline = about.outline
    count = len(outline.sides("middle")) if outline else 0
    for n in range(1, count + 1):
        found = about.reading(replace(about.target, side=n)) if n != about.target.side else None
        if found is not None:
            yield Prediction(None, found.value, found.u, 1.0 / (count - 1))
