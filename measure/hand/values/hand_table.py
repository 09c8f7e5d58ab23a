"""Hand measurements from a CSV file, as children write them and as spreadsheets export them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, TypeVar, get_args

from measure.csv_table import CsvRow, CsvTable, read_csv
from measure.errors import InputMistakes, Mistake
from measure.file_content import Readable
from measure.hand.values.written_values import Written, read_written
from measure.name_folding import folded
from measure.rules.language.zone_names import ZoneNames
from measure.units import MM_PER, LengthUnit, Unit, unit_named

COLUMNS = ("team", "who", "zone", "piece", "quantity", "other", "value", "unit", "method", "division")
QuantityName = Literal["side", "perimeter", "area", "gap", "share", "height", "volume", "length"]
QUANTITIES: tuple[QuantityName, ...] = get_args(QuantityName)
Method = Literal["ruler", "squares", "cubes", "formula", "string"]
METHODS: tuple[Method, ...] = get_args(Method)
POWER: dict[QuantityName, int] = {
    "side": 1, "perimeter": 1, "area": 2, "gap": 1, "share": 0, "height": 1, "volume": 3, "length": 1,
}  # fmt: skip
"""Of the unit in which a quantity is stated."""
_USUAL_METHOD: dict[QuantityName, Method] = {"area": "formula", "share": "formula", "volume": "formula"}
_USUAL_METHOD |= {"length": "string"}
_USUAL_DIVISION: dict[LengthUnit, Fraction] = {"in": Fraction(1, 8), "cm": Fraction(1, 10), "mm": Fraction(1)}
_PERCENT = ("%", "percent", "per cent")
_MOST_ROWS = 20_000
_Name = TypeVar("_Name", bound=str)


@dataclass(frozen=True)
class HandRow:
    """One row: its number from 1 and in the spreadsheet (header: 1), what was measured, and the value as written.

    value is in the unit's power (a share: a number where 1 is the whole parcel); None where nothing was written yet.
    division and step are in `unit` and in the value's unit; side is the side's number, other the second zone of a gap.
    """

    row: int
    number: int
    team: str
    who: str
    zone: str
    piece: int | None
    quantity: QuantityName
    side: int | None
    other: str
    text: str
    value: float | None
    digits: str
    step: float
    unit: LengthUnit
    method: Method
    division: float
    percent: bool = False

    @property
    def power(self) -> int:
        """Of the unit that the value is in."""
        return POWER[self.quantity]

    @property
    def scale(self) -> float:
        """mm, mm2 or mm3 in one of the value's unit; 1 for shares."""
        return MM_PER[self.unit] ** self.power


@dataclass(frozen=True)
class HandFile:
    """The rows of one file; warnings say what was inferred."""

    name: str
    rows: tuple[HandRow, ...]
    warnings: tuple[str, ...] = ()


def read_hand(file: Readable, zones: Iterable[str], unit: Unit, lines: Iterable[str] = ()) -> HandFile:
    """The hand measurements in a CSV file about models with these zones and lines; unit is the results'.

    Raises InputMistakes with everything that is wrong, each with its row.
    """
    table = read_csv(file, COLUMNS, ("zone", "quantity", "value"))
    names = ZoneNames(dict.fromkeys(zones, ()), dict.fromkeys(lines, ()))
    reader = _Reader(table, names, unit, list(table.warnings))
    if len(table.rows) > _MOST_ROWS:
        do = "split the file"
        raise InputMistakes([Mistake(table.name, f"there are {len(table.rows)} rows, more than {_MOST_ROWS}", do)])
    read = [reader.row(at, line) for at, line in enumerate(table.rows, start=1)]
    rows = tuple(row for row in read if row is not None)
    if reader.wrong:
        raise InputMistakes(reader.wrong)
    if all(row.value is None for row in rows):
        raise InputMistakes([Mistake(table.name, "no row has a value", "write the measured numbers in `value`")])
    return HandFile(table.name, rows, tuple(reader.notes))


def read_hand_row(cells: Mapping[str, str], zones: Iterable[str], unit: Unit, lines: Iterable[str] = ()) -> HandRow:
    """One measurement from cells named as the columns are. Raises InputMistakes with everything that is wrong."""
    table = CsvTable("the measurement", (CsvRow(1, cells),), ",")
    reader = _Reader(table, ZoneNames(dict.fromkeys(zones, ()), dict.fromkeys(lines, ())), unit)
    row = reader.row(1, table.rows[0])
    if row is None or reader.wrong:
        raise InputMistakes(reader.wrong)
    return row


@dataclass
class _Reader:
    """Reads row by row and collects what is wrong."""

    table: CsvTable
    names: ZoneNames
    usual_unit: Unit
    notes: list[str] = field(default_factory=list)
    wrong: list[Mistake] = field(default_factory=list)

    def row(self, at: int, line: CsvRow) -> HandRow | None:
        """One row, or None where something in it is wrong."""
        before = len(self.wrong)
        zone = self._line(line) if folded(line["quantity"]) in ("length", "lengths") else self._zone(line, "zone")
        quantity = self._one_of(line, "quantity", QUANTITIES)
        method = self._one_of(line, "method", METHODS, optional=True)
        piece = self._number(line, "piece")
        written = self._written(line)
        unit = self._unit(line, written)
        side = other = None
        if quantity == "side":
            side = self._side(line)
        elif quantity == "gap":
            other = self._zone(line, "other")
            if other is not None and other == zone:
                self._add(line, "a gap is between two zones; `other` names the same one", "name the second zone")
        if zone is None or quantity is None or len(self.wrong) > before:
            return None
        if method is None:
            method = _USUAL_METHOD.get(quantity, "ruler")
            self._note(line, f"the method is missing; taken to be {method}", if_value=True)
        division = self._division(line, unit, method, quantity)
        value = self._value(line, quantity, written, unit, division)
        if len(self.wrong) > before:
            return None
        return HandRow(
            row=at,
            number=line.number,
            team=line["team"],
            who=line["who"],
            zone=zone,
            piece=piece,
            quantity=quantity,
            side=side,
            other=other or "",
            text=line["value"],
            value=value,
            digits=written.digits if written else "",
            step=float(written.step) * (0.01 if self._is_percent(line, quantity, written) else 1.0) if written else 0.0,
            unit=unit,
            method=method,
            division=division,
            percent=self._is_percent(line, quantity, written),
        )

    def _add(self, line: CsvRow, what: str, do: str = "") -> None:
        self.wrong.append(Mistake(self.table.where(line), what, do))

    def _note(self, line: CsvRow, what: str, *, if_value: bool = False) -> None:
        if line["value"] or not if_value:
            self.notes.append(f"{self.table.where(line)}: {what}")

    def _zone(self, line: CsvRow, column: Literal["zone", "other"]) -> str | None:
        said = line[column]
        found = self.names.match(said, 0)
        if found and found.end() == len(said):
            return self.names.canonical(said)
        near = difflib.get_close_matches(folded(said), self.names.exact, 1, 0.6)
        hint = f"did you mean `{near[0]}`?" if near else f"the zones are {', '.join(self.names.names)}"
        what = "the zone is missing" if column == "zone" else "`other` does not name the second zone of the gap"
        self._add(line, f"`{said}` is no zone of this challenge" if said else what, hint)
        return None

    def _line(self, line: CsvRow) -> str | None:
        """The line whose length a row has: pipes, cables, roads and rails have one, zones have a perimeter."""
        lines, said = self.names.lines, line["zone"]
        found = lines.named(said) if lines is not None else None
        if found is None:
            hint = f"the lines are {', '.join(lines.names)}" if lines is not None else "the challenge has no line"
            self._add(line, f"`{said}` is no line of this challenge" if said else "the line is missing", hint)
        return found

    def _one_of(self, line: CsvRow, column: str, words: Sequence[_Name], *, optional: bool = False) -> _Name | None:
        said = folded(line[column])
        for word in words:
            if said in (word, f"{word}s", word.removesuffix("s")):
                return word
        if said or not optional:
            near = difflib.get_close_matches(said, words, 1, 0.6)
            hint = f"did you mean `{near[0]}`?" if near else f"it is one of {', '.join(words)}"
            self._add(line, f"`{said}` is no {column}" if said else f"the {column} is missing", hint)
        return None

    def _number(self, line: CsvRow, column: str) -> int | None:
        cell = line[column].removesuffix(".0")
        if not cell:
            return None
        if cell.isascii() and cell.isdigit() and 1 <= int(cell) <= 999:
            return int(cell)
        self._add(line, f"the {column} is `{cell}`", f"a {column} counts 1, 2, 3 as numbered on the picture")
        return None

    def _side(self, line: CsvRow) -> int | None:
        cell = folded(line["other"]).removeprefix("side").strip().removesuffix(".0")
        if cell.isascii() and cell.isdigit() and 1 <= int(cell) <= 999:
            return int(cell)
        do = "write the side's number as numbered on the picture: 1, 2, 3"
        self._add(line, f"`other` is `{line['other']}`" if line["other"] else "the side's number is missing", do)
        return None

    def _written(self, line: CsvRow) -> Written | None:
        if not line["value"]:
            return None
        try:
            return read_written(self.table.plain_number(line["value"]))
        except ValueError as error:
            self._add(line, f"value: {error}")
            return None

    def _unit(self, line: CsvRow, written: Written | None) -> LengthUnit:
        said, inside = line["unit"], written.unit if written else None
        plain = "".join(sign for sign in said if sign not in "²³^").rstrip("23")
        words = [word for word in plain.split() if word.rstrip(".").casefold() not in ("sq", "square", "cu", "cubic")]
        unit = unit_named(" ".join(words)) if said else None
        if said and unit is None and said.casefold() not in _PERCENT:
            self._add(line, f"`{said}` is no unit of length", "write in, cm or mm")
        if inside and unit and inside != unit:
            self._note(line, f'the value says {inside} and the column {unit}; "{line["value"]}" is taken as it says')
        if not said and not inside and written is not None and folded(line["quantity"]) != "share":
            self._note(line, f"the unit is missing; taken to be {self.usual_unit}")
        return inside or unit or self.usual_unit

    def _division(self, line: CsvRow, unit: LengthUnit, method: Method, quantity: QuantityName) -> float:
        """The smallest division in `unit`; the side of a square or cube where those were counted."""
        cell, stated = line["division"], unit_named(line["unit"]) or unit
        if cell:
            try:
                read = read_written(self.table.plain_number(cell))
            except ValueError as error:
                self._add(line, f"division: {error}")
                return 1.0
            if read.number <= 0:
                self._add(line, f"the division is {cell}", "it is the smallest division read, such as 1/8 or 0.1")
            if read.percent or self._of_the_share(line, quantity):
                return float(_USUAL_DIVISION.get(unit, Fraction(1)))
            return float(read.number) * MM_PER[read.unit or stated] / MM_PER[unit]
        usual = Fraction(1) if method in ("squares", "cubes") else _USUAL_DIVISION.get(unit, Fraction(1, 100))
        what = {"squares": "the side of one square", "cubes": "the side of one cube"}.get(method, "the division")
        self._note(line, f"{what} is missing; taken to be {usual} {unit}", if_value=True)
        return float(usual)

    def _of_the_share(self, line: CsvRow, quantity: QuantityName) -> bool:
        """Whether a division is the share's own, not the ruler's: its unit is per cent or none."""
        if quantity != "share" or "/" in line["division"]:
            return False
        return not line["unit"] or line["unit"].casefold() in _PERCENT

    def _is_percent(self, line: CsvRow, quantity: QuantityName, written: Written | None) -> bool:
        if quantity != "share" or written is None:
            return False
        return written.percent or line["unit"].casefold() in _PERCENT or written.number > 1

    def _value(
        self, line: CsvRow, quantity: QuantityName, written: Written | None, unit: LengthUnit, division: float
    ) -> float | None:
        if written is None:
            return None
        number = float(written.number)
        if number < 0 or (number == 0 and quantity != "gap") or number > 1e9:
            self._add(line, f"the value is {line['value']}", "leave the cell empty where nothing was measured")
        if written.percent and quantity != "share":
            self._add(line, f"the value is {line['value']}", "only a share is in per cent")
        if self._is_percent(line, quantity, written):
            if not written.percent and line["unit"].casefold() not in _PERCENT:
                self._note(line, f"a share of {line['value']} is taken as per cent")
            return number / 100
        if written.counted and written.counted == POWER[quantity]:
            return float(number * division**written.counted)
        return number
