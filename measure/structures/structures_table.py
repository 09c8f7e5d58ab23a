"""Reading and checking a table of structures."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from measure.challenge import Challenge
from measure.csv_table import CsvRow, CsvTable, read_csv
from measure.errors import InputMistakes, Mistake
from measure.file_content import Readable
from measure.name_folding import folded
from measure.notices import Notice, Subject
from measure.quantity import Quantity
from measure.ruler_readings import division_as_written
from measure.rules.language.rule_tokens import SOLID_FORMS
from measure.rules.language.zone_names import ZoneNames
from measure.structures.solid_volumes import POSES, SIZES, SOLIDS, Size, SolidName, pose_of
from measure.structures.structure_rows import StructureRow, StructuresFile, readings
from measure.units import LengthUnit, from_mm, parse_length, parse_number, to_mm, unit_named

COLUMNS = ("team", "zone", "solid", *SIZES, "unit", "count", "division", "piece")
"""`piece` is for a prism on one of several pieces, and mostly left out."""
MOST = 10_000
"""Structures in a row: more is a slip."""
_SAME_SOLID: Mapping[str, SolidName] = {
    "rectangular prism": "box",
    "rectangular box": "box",
    "cuboid": "box",
    "cubes": "cubes",
    "prism on the outline": "prism on outline",
}
"""Other words for solids than those of the rules; `cubes` are counted ones here."""
_USED_TOO: Mapping[SolidName, tuple[Size, ...]] = {"cubes": ("length", "height")}


def read_structures(file: Readable, challenge: Challenge) -> StructuresFile:
    """The structures in a CSV file. Raises InputMistakes with everything that is wrong with it, each with its row."""
    table = read_csv(file, COLUMNS, ("zone", "solid"))
    reader = _Reader(table, challenge)
    rows = [row for line in table.rows if (row := reader.row(line)) is not None]
    if reader.wrong:
        raise InputMistakes(reader.wrong)
    of_table = (Notice("table", Subject(file=file.name), {"text": said}) for said in table.warnings)
    return StructuresFile(file.name, tuple(rows), tuple(of_table))


@dataclass
class _Reader:
    """Reads row by row and collects what is wrong."""

    table: CsvTable
    challenge: Challenge
    wrong: list[Mistake] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def row(self, line: CsvRow) -> StructureRow | None:
        """One row, or None where something in it is wrong."""
        before, self.notes = len(self.wrong), []
        if not line["team"] and any(other["team"] for other in self.table.rows):
            self._add(line, "the team is missing", "every row says whose structure it is, or none does")
        zone, solid = self._zone(line), self._solid(line)
        unit = self._unit(line)
        sizes = {name: self._length(line, name, unit) for name in SIZES if self._is_given(line, name, solid)}
        known = {name: size for name, size in sizes.items() if size is not None}
        count, piece = self._count(line, solid), self._piece(line, zone)
        division = self._division(line, unit, known, solid) if len(known) == len(sizes) else None
        if zone is None or solid is None or count is None or division is None or len(self.wrong) > before:
            return None
        if not self._is_complete(line, solid, known, division):
            return None
        team = line["team"]
        return StructureRow(
            line.number, team, zone, solid, known, unit, count, division, piece, tuple(dict.fromkeys(self.notes))
        )

    def _add(self, line: CsvRow, what: str, do: str = "") -> None:
        self.wrong.append(Mistake(self.table.where(line), what, do, line.number))

    def _note(self, line: CsvRow, what: str) -> None:
        self.notes.append(what)

    def _zone(self, line: CsvRow) -> str | None:
        names = ZoneNames({zone.name: zone.aliases for zone in self.challenge.zones})
        said = line["zone"]
        found = names.match(said, 0)
        if found and found.end() == len(said):
            zone = names.canonical(said)
            if self.challenge.zone(zone).kind == "keep-clear":
                self._note(line, f"{zone} is to be kept clear, and there is a structure in it")
            return zone
        near = difflib.get_close_matches(folded(said), names.exact, 1, 0.6)
        hint = f"did you mean `{near[0]}`?" if near else f"the zones are {', '.join(names.names)}"
        self._add(line, f"`{said}` is no zone of this challenge" if said else "the zone is missing", hint)
        return None

    def _solid(self, line: CsvRow) -> SolidName | None:
        said = folded(line["solid"]).replace("-", " ").replace("_", " ")
        if said in SOLIDS:
            return next(solid for solid in SOLIDS if solid == said)
        named = _SAME_SOLID.get(said) or SOLID_FORMS.get(said)
        if named in SOLIDS:
            return next(solid for solid in SOLIDS if solid == named)
        near = difflib.get_close_matches(said, [*SOLIDS, *_SAME_SOLID], 1, 0.7)
        hint = f"did you mean `{near[0]}`?" if near else f"it is one of {', '.join(SOLIDS)}"
        self._add(line, f"`{line['solid']}` is no solid" if said else "the solid is missing", hint)
        return None

    def _unit(self, line: CsvRow) -> LengthUnit:
        said, usual = line["unit"], self.challenge.unit
        unit = unit_named(said) if said else usual
        if unit is None:
            self._add(line, f"`{said}` is no unit of length", "write in, cm or mm")
            return usual
        if not said:
            self._note(line, f"the unit is missing; taken to be {usual}")
        return unit

    def _is_given(self, line: CsvRow, name: Size, solid: SolidName | None) -> bool:
        """Whether a cell is to be read: a size that the solid does not have is not, with a warning unless it is 0."""
        cell = line[name]
        if not cell or solid is None:
            return bool(cell)
        used = {size for pose in POSES[solid] for size in (*pose.needs, *pose.follows)} | {*_USED_TOO.get(solid, ())}
        if name in used:
            return True
        if cell.strip("0.,"):
            self._note(line, f"the {name} of a {solid} is not used")
        return False

    def _length(self, line: CsvRow, name: str, unit: LengthUnit) -> float | None:
        try:
            size = parse_length(self.table.plain_number(line[name]), unit)
        except ValueError as error:
            self._add(line, f"{name}: {error}")
            return None
        if not 0 < size <= to_mm(100, "m"):
            self._add(line, f"the {name} is {line[name]}", "leave the cell empty where there is none")
            return None
        return size

    def _count(self, line: CsvRow, solid: SolidName | None) -> int | None:
        cell = line["count"]
        if not cell and solid != "cubes":
            return 1
        count = _whole(cell)
        if count is None or not 1 <= count <= MOST:
            what = f"the count is `{cell}`" if cell else "the count of the cubes is missing"
            self._add(line, what, f"write a whole number from 1 to {MOST}")
            return None
        return count

    def _piece(self, line: CsvRow, zone: str | None) -> int | None:
        cell = line["piece"]
        piece = _whole(cell)
        if cell and (piece is None or piece < 1):
            self._add(line, f"the piece is `{cell}`", "pieces count 1, 2, 3 as numbered on the picture")
        return piece

    def _division(
        self, line: CsvRow, unit: LengthUnit, sizes: Mapping[Size, float], solid: SolidName | None
    ) -> float | None:
        """The smallest division read, in mm: as the sizes are written where it is missing, 0 where nothing was read."""
        if not sizes:
            return 0.0
        if line["division"]:
            division = self._length(line, "division", unit)
            if division is not None and division > min(sizes.values()):
                what = f"the division {line['division']} is larger than what was measured with it"
                self._add(line, what, "it is the ruler's smallest division, such as 1/8 or 0.1")
                return None
            return division
        if solid == "cubes" and "height" not in sizes:
            return 0.0
        step = min((self._step(line[name]) for name in sizes), default=Fraction(1))
        self._note(line, f"the division is missing; taken to be {step} {unit}, as the sizes are written")
        return min(to_mm(float(step), unit), *sizes.values())

    def _step(self, cell: str) -> Fraction:
        return division_as_written(re.sub(r"[^\d.,/⁄\s¼-¾⅐-⅞-]+.*$", "", self.table.plain_number(cell)).strip(" -"))

    def _is_complete(self, line: CsvRow, solid: SolidName, sizes: Mapping[Size, float], division: float) -> bool:
        """Whether the sizes are all there and agree with each other."""
        read: Mapping[Size, Quantity] = readings(sizes, division, 0)
        try:
            pose_of(solid, read)
        except ValueError as error:
            self._add(line, str(error))
            return False
        if solid == "cubes" and from_mm(sizes.get("length", 10.0), "cm") > 20:
            self._note(line, "a unit cube with an edge longer than 20 cm; the length is that of one cube")
        return True


def _whole(cell: str) -> int | None:
    try:
        number = parse_number(cell)
    except ValueError:
        return None
    return int(number) if number.denominator == 1 else None
