"""The form for one hand measurement: its choices are those of the measuring sheets, whatever the browser sends.

Only the divisions and methods of the lists are taken. A ruler with marks a hand apart would agree with every number.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.hand.values.hand_table import METHODS, QUANTITIES, HandRow, Method, QuantityName, read_hand_row
from measure.units import Unit
from tapeplat.page.store.hand_numbers import HandCells
from tapeplat.paper.exercises.rule_facts import speaks_of_structures

METHODS_OF: dict[QuantityName, tuple[Method, ...]] = {
    "side": ("ruler",),
    "perimeter": ("ruler", "formula"),
    "area": ("squares", "formula"),
    "share": ("squares", "formula"),
    "gap": ("ruler",),
    "height": ("ruler",),
    "volume": ("cubes", "formula"),
    "length": ("string",),
}
_RULER = {
    "in": ("1/8 in", "1/16 in", "1/4 in", "1/2 in", "1 in"),
    "cm": ("0.1 cm", "0.5 cm", "1 cm"),
    "mm": ("1 mm", "5 mm", "10 mm"),
}
_SQUARES = {
    "in": ("1/2 in", "1/4 in", "1 in"),
    "cm": ("1 cm", "0.5 cm", "2 cm"),
    "mm": ("10 mm", "5 mm", "20 mm"),
}
_CUBES = {"in": ("1 in", "1/2 in", "3/4 in"), "cm": ("1 cm", "2 cm"), "mm": ("10 mm", "20 mm")}
_BUILT = ("height", "volume")
_MOST_LETTERS = 30
_MOST_WHO = 12
_PART, _PERCENT = "part", "%"
_MARGIN = 1.25
"""How much more than the parcel somebody may measure of it by mistake, and still be told `look again`."""


@dataclass(frozen=True)
class HandForm:
    """What the form holds, as texts. area_unit and volume_unit name the length whose square or cube is the unit, and
    are `unit` where they are empty; share_unit is for shares; mark, square and cube are the division, by method. line
    is what a length is of, in the zone's place.
    """

    who: str = ""
    quantity: str = "side"
    zone: str = ""
    line: str = ""
    piece: str = ""
    side: str = ""
    other: str = ""
    value: str = ""
    unit: str = ""
    area_unit: str = ""
    volume_unit: str = ""
    share_unit: str = _PERCENT
    method: str = ""
    mark: str = ""
    square: str = ""
    cube: str = ""


@dataclass(frozen=True)
class Choices:
    """What the form offers for one challenge."""

    zones: tuple[str, ...]
    lines: tuple[str, ...]
    quantities: tuple[QuantityName, ...]
    units: tuple[str, ...]
    marks: tuple[str, ...]
    squares: tuple[str, ...]
    cubes: tuple[str, ...]


def choices(challenge: Challenge) -> Choices:
    """Its zones and units; lengths where it has lines, heights and volumes where its rules speak of structures."""
    left = set() if speaks_of_structures(challenge) else set(_BUILT)
    left |= set() if challenge.lines else {"length"}
    units = (challenge.unit, *(unit for unit in ("in", "cm", "mm") if unit != challenge.unit))
    return Choices(
        tuple(zone.name for zone in challenge.zones),
        tuple(line.name for line in challenge.lines),
        tuple(quantity for quantity in QUANTITIES if quantity in METHODS_OF and quantity not in left),
        units,
        *(tuple(one for unit in units for one in lists[unit]) for lists in (_RULER, _SQUARES, _CUBES)),
    )


def from_browser(form: Mapping[str, str]) -> HandForm:
    """What the browser sent."""
    names = HandForm.__dataclass_fields__
    return HandForm(**{name: " ".join(form[name].split()) for name in names if name in form})


def next_form(cells: HandCells | None) -> HandForm:
    """The form after a measurement: the same sheet, zone and ruler; the next side."""
    if cells is None:
        return HandForm()
    division = {"squares": "square", "cubes": "cube"}.get(cells.method, "mark")
    form = HandForm(
        who=cells.who,
        quantity=cells.quantity,
        zone="" if cells.quantity == "length" else cells.zone,
        line=cells.zone if cells.quantity == "length" else "",
        piece=cells.piece,
        side=str(int(cells.other) + 1) if cells.quantity == "side" and cells.other.isdigit() else "",
        other="" if cells.quantity == "side" else cells.other,
        unit=cells.unit,
        area_unit=cells.unit,
        volume_unit=cells.unit,
        share_unit=_PERCENT if cells.value.endswith("%") else _PART,
        method=cells.method,
    )
    return replace(form, **{division: cells.division})


def read_form(form: HandForm, challenge: Challenge) -> tuple[HandCells | None, dict[str, tuple[str, ...]]]:
    """The measurement, or what is wrong by the field's name."""
    offered = choices(challenge)
    wrong: dict[str, tuple[str, ...]] = {name: (said,) for name, said in _wrong(form, offered)}
    if wrong:
        return None, wrong
    quantity = next(name for name in QUANTITIES if name == form.quantity)
    method = _method(form, quantity)
    share, plain = quantity == "share", form.value.lstrip("=+~≈ ")  # `= 7` is 7, and no formula in a spreadsheet
    percent = share and form.share_unit == _PERCENT and not form.value.endswith("%")
    cells = HandCells(
        who=form.who,
        zone=form.line if quantity == "length" else form.zone,
        piece=form.piece,
        quantity=quantity,
        other=form.side if quantity == "side" else form.other if quantity == "gap" else "",
        value=f"{plain}%" if percent else plain,
        unit=challenge.unit if share else _unit(form, quantity)[1],
        method=method,
        division={"squares": form.square, "cubes": form.cube}.get(method, form.mark),
    )
    problem = _value_problem(cells, challenge)
    return (None, {"value": (problem,)}) if problem else (cells, {})


def row_of(cells: HandCells, challenge: Challenge) -> HandRow | None:
    """The measurement as the comparison reads it; None where the challenge has changed since."""
    zones, lines = (tuple(each.name for each in named) for named in (challenge.zones, challenge.lines))
    return _row(cells, zones, lines, challenge.unit)


@lru_cache(maxsize=4096)
def _row(cells: HandCells, zones: tuple[str, ...], lines: tuple[str, ...], unit: Unit) -> HandRow | None:
    try:
        return read_hand_row({**vars(cells), "who": ""}, zones, unit, lines)
    except InputMistakes:
        return None


def _unit(form: HandForm, quantity: QuantityName) -> tuple[str, str]:
    """The field in which a quantity's unit was chosen, and the unit."""
    field = {"area": "area_unit", "volume": "volume_unit"}.get(quantity, "unit")
    return field, getattr(form, field) or form.unit


def _method(form: HandForm, quantity: QuantityName) -> Method:
    """The method chosen; the only possible one where there is one."""
    possible = METHODS_OF[quantity]
    return possible[0] if len(possible) == 1 else next(name for name in METHODS if name == form.method)


def _wrong(form: HandForm, offered: Choices) -> Iterator[tuple[str, str]]:
    quantity = next((name for name in offered.quantities if name == form.quantity), None)
    if quantity is None:
        yield "quantity", "Choose what you measured."
        return
    if quantity == "length" and form.line not in offered.lines:
        yield "line", "Choose the line."
    elif quantity != "length" and form.zone not in offered.zones:
        yield "zone", "Choose the zone."
    if form.piece and not _is_count(form.piece):
        yield "piece", "Write 1, 2 or 3. Leave it empty if there is one piece, or you measured all."
    if quantity == "side" and not _is_count(form.side):
        yield "side", "Write the number of the side: 1, 2, 3 or 4. Side 1 starts at corner 1."
    if quantity == "gap" and (form.other not in offered.zones or form.other == form.zone):
        yield "other", "Choose the second zone. It is another one than the first."
    if len(form.who) > _MOST_WHO:
        yield "who", "Two letters are enough."
    if not form.value or len(form.value) > _MOST_LETTERS:
        yield "value", "Write your number, like 5 3/8 or 13.2."
    field, unit = _unit(form, quantity)
    if quantity != "share" and unit not in offered.units:
        yield field, "Choose the unit."
    yield from _wrong_method(form, quantity, offered)


def _wrong_method(form: HandForm, quantity: QuantityName, offered: Choices) -> Iterator[tuple[str, str]]:
    possible = METHODS_OF[quantity]
    if len(possible) > 1 and form.method not in possible:
        yield "method", "Choose how you measured."
        return
    method = _method(form, quantity)
    if method == "squares" and form.square not in offered.squares:
        yield "square", "Choose how long the side of one square is."
    elif method == "cubes" and form.cube not in offered.cubes:
        yield "cube", "Choose how long the side of one cube is."
    elif method in ("ruler", "formula", "string") and form.mark not in offered.marks:
        yield "mark", "Choose the smallest marks of your ruler."


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10 and 1 <= int(text) <= 99


def _value_problem(cells: HandCells, challenge: Challenge) -> str:
    row = row_of(cells, challenge)
    if row is None or row.value is None:
        return "This cannot be read as a number. Write it like 5 3/8 or 13.2."
    if row.percent and row.value > 1:
        return "A share is a part of the parcel: it is never more than 100 %."
    if _beyond_parcel(row, row.value, challenge):
        return "That is more than your whole parcel has. Look at your number and its unit again."
    return ""


def _beyond_parcel(row: HandRow, value: float, challenge: Challenge) -> bool:
    """Whether no measuring error makes so much of a thing that lies on the parcel; it is then a slip of the pen."""
    width, depth = challenge.parcel.width, challenge.parcel.depth
    most = {"area": width * depth, "side": width + depth, "gap": width + depth}.get(row.quantity)
    return most is not None and value * row.scale > _MARGIN * most
