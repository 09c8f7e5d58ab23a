"""A team's structures as the rows of a form, to and from the table that the rest of the program reads."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import astuple, dataclass, fields, replace

from werkzeug.datastructures import MultiDict

from measure.errors import InputMistakes
from tapeplat.page.base.form_rows import rows_of

MOST_ROWS = 60


@dataclass(frozen=True)
class StructureFields:
    """One row, every field as it was typed. division is the smallest division read."""

    zone: str = ""
    solid: str = ""
    length: str = ""
    width: str = ""
    height: str = ""
    diameter: str = ""
    unit: str = ""
    count: str = "1"
    division: str = ""
    piece: str = ""

    @property
    def blank(self) -> bool:
        """Whether no size was entered."""
        return not (self.length or self.width or self.height or self.diameter or self.solid)


_NAMES = [field.name for field in fields(StructureFields)]


def rows_from_browser(form: MultiDict[str, str]) -> list[StructureFields]:
    """What the browser sent, without empty rows."""
    made = [StructureFields(**row) for row in rows_of(form, "s_", _NAMES, MOST_ROWS)]
    return [row for row in made if not row.blank]


def rows_from_csv(text: str) -> list[StructureFields]:
    """The rows of a table that was kept."""
    lines = csv.DictReader(io.StringIO(text))
    return [StructureFields(**{name: (line.get(name) or "").strip() for name in _NAMES}) for line in lines]


def csv_of(rows: Sequence[StructureFields], team: str) -> str:
    """The table; empty where there are no rows."""
    if not rows:
        return ""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["team", *_NAMES])
    writer.writerows([team, *astuple(row)] for row in rows)
    return out.getvalue()


def problems_of(wrong: InputMistakes) -> list[str]:
    """What is wrong, with the form's rows, which have no header, in place of the table's."""
    return [str(one if one.number is None else replace(one, where=f"Row {one.number - 1}")) for one in wrong.mistakes]
