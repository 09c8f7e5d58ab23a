"""The structures of a team's table, with what the plat says of the outlines that they stand on.

`count` identical structures of one row share its readings, so their sizes are fully correlated; rows are independent of
each other, but for prisms on the same outline.  A row of counted cubes is one structure, made of `count` unit cubes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from measure.errors import InputMistakes, Mistake
from measure.notices import Notice, Subject
from measure.plat.measures import Measures
from measure.quantity import Quantity
from measure.structures.base_fit import fit_notices
from measure.structures.solid_volumes import SIZES, Solid, prism_on, solid_of, unit_cube
from measure.structures.structure_rows import Structure, StructureRow, StructuresFile, readings
from measure.teams import team_key
from measure.units import to_mm


@dataclass(frozen=True, eq=False)
class TeamStructures:
    """The rows of one team's table; known is False where the table does not have the team."""

    structures: tuple[Structure, ...]
    notices: tuple[Notice, ...] = ()
    known: bool = True


def team_structures(file: StructuresFile, measures: Measures, team: str = "") -> TeamStructures:
    """The structures of one team, those on measured outlines too, with notices of slips that are likely.

    Raises InputMistakes where the file has several teams and it is not said whose model this is.
    """
    if not team and len(file.teams) > 1:
        do = f"name the team of this model: {', '.join(file.teams)}"
        raise InputMistakes([Mistake(file.name, "there are structures of several teams", do)])
    rows = [row for row in file.rows if not team or not row.team or team_key(row.team) == team_key(team)]
    if not rows and team:
        absent = Notice("no-structures-of-team", Subject(file=file.name), {"team": team, "teams": file.teams})
        return TeamStructures((), (*file.notices, absent), known=False)
    first, made, notices = measures.source_count(), [], list(file.notices)
    for at, row in enumerate(rows):
        solid, note = _solid(row, measures, first + at * len(SIZES))
        made.append(Structure(row, solid))
        notices += [of_row(file.name, row.number, text) for text in (*row.warnings, *([note] if note else []))]
    tents = tuple(structure.row.number for structure in made if structure.row.solid == "triangular prism")
    if tents:
        notices.append(Notice("tent-surface", Subject(file=file.name), {"rows": tents}))
    return TeamStructures(tuple(made), (*notices, *fit_notices(file.name, made, measures)))


def of_row(file: str, row: int, text: str) -> Notice:
    """What there is to remark of a row of a table."""
    return Notice("table-row", Subject(file=file, row=row), {"text": text})


def _solid(row: StructureRow, measures: Measures, first: int) -> tuple[Solid | None, str]:
    """The solid of a row, and why it, or something of it, is not known."""
    sizes = readings(row.sizes, row.division, first)
    if row.solid == "cubes":
        edge = sizes.get("length", Quantity(to_mm(1.0, row.unit)))
        cube = unit_cube(edge)
        return Solid(cube.volume, None, None, sizes.get("height")), ""
    if row.solid == "prism on outline":
        return on_outline(row, measures, sizes["height"])
    return solid_of(row.solid, sizes), ""


def on_outline(row: StructureRow, measures: Measures, height: Quantity) -> tuple[Solid | None, str]:
    """The prism of a row that stands on its zone's outline, height in mm, and why it is not known.

    The mean prism where there is one on each of several pieces, so that `count` of it are all of them.
    """
    count = measures.count(row.zone)
    if count == 0:
        return None, f"no outline of {row.zone} was found for the prism to stand on"
    if row.piece is not None and row.piece > count:
        return None, f"{row.zone} has no piece {row.piece}; it has {count}"
    if row.piece is None and count not in (1, row.count):
        do = f"add a column `piece` that says on which, or give the count as {count} for one on each"
        return None, f"{row.zone} has {count} pieces; {do}"
    on = range(1, count + 1) if row.piece is None else (row.piece,)
    pairs = [(measures.piece_area(row.zone, at), measures.piece_perimeter(row.zone, at)) for at in on]
    areas = [area for area, _ in pairs if area is not None]
    lengths = [length for _, length in pairs if length is not None]
    if len(areas) < len(pairs) or len(lengths) < len(pairs):
        return None, f"the outline of {row.zone} could not be measured, so the prism on it is not known"
    share = 1.0 / len(pairs)
    return prism_on(_total(areas) * share, _total(lengths) * share, height), ""


def _total(parts: Iterable[Quantity]) -> Quantity:
    return sum(parts, Quantity(0.0))
