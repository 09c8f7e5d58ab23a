"""How the pages speak of a hand measurement: what was measured, the number as written, values with their unit."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from measure.hand.hand_comparison import Checked, Measurers
from measure.hand.hand_verdicts import HandVerdict
from measure.hand.mistakes.hints import meaning
from measure.hand.mistakes.mistake_codes import Code
from measure.hand.values.hand_table import HandRow
from measure.numbers import NumberStyle
from measure.units import format_number
from measure.voice import Known, value_said

_UNIT_WORDS = {1: "{}", 2: "sq {}", 3: "cubic {}"}
AGREES, AGAIN = "agrees", "look again"
TABLE = "your teacher’s table of buildings"
FEWEST_FOR_MEDIAN = 3
"""Numbers: the middle of two is neither of them, and says nothing that the two do not."""
_APART = (
    (0.5, "well within"),
    (1.0, "within"),
    (1.5, "just beyond"),
    (3.0, "beyond"),
    (math.inf, "far beyond"),
)
"""The largest absolute En number of each word."""


def what(row: HandRow) -> str:
    """`library, piece 2: side 3`, `gap from library to stables`."""
    if row.quantity == "gap":
        return f"gap from {row.zone} to {row.other}"
    piece = f", piece {row.piece}" if row.piece is not None else ""
    return f"{row.zone}{piece}: {row.quantity}{f' {row.side}' if row.side is not None else ''}"


def as_written(row: HandRow) -> str:
    """The number as it was written, with its unit where it has none."""
    if not row.text or re.search(r"[^\W\d_]|[%\"″]", row.text):
        return row.text
    return f"{row.text} {_unit(row)}".rstrip()


def value_text(row: HandRow, value: float, u95: float = 0.0) -> str:
    """A value in the row's unit and form, as a class reads it: `5 3/8 in` beside eighths; shares in per cent."""
    if row.power == 0 and not row.percent:
        return value_said(Known(value, u95), "%", "decimal")
    return value_said(Known(value, u95), _unit(row), _form(row))


def _form(row: HandRow) -> NumberStyle:
    """Fractions where the ruler has them: the marks of an inch."""
    marks: dict[float, NumberStyle] = {0.5: "half", 0.25: "quarter", 0.125: "eighth", 0.0625: "sixteenth"}
    fractions = row.power == 1 and row.unit in ("in", "ft")
    return marks.get(row.division, "decimal") if fractions else "percent"


def with_unit(row: HandRow, number: str) -> str:
    """A number with the row's unit."""
    return f"{number} {_unit(row)}".rstrip()


def with_uncertainty(row: HandRow, value: float, u95: float) -> str:
    """`41.2 ± 0.3 sq in`, for the teacher."""
    factor = 100.0 if row.percent else 1.0
    if u95 <= 0:
        return f"{format_number(value * factor)} {_unit(row)}".rstrip()
    number, spread = (format_number(v * factor, u95 * factor) for v in (value, u95))
    return f"{number} ± {spread} {_unit(row)}".rstrip()


def spread_text(row: HandRow, u95: float) -> str:
    """An uncertainty by itself, for the teacher."""
    factor = 100.0 if row.percent else 1.0
    return f"{format_number(u95 * factor, u95 * factor)} {_unit(row)}".rstrip()


def en_text(en: float | None) -> str:
    """How far hand and photo lie apart against their uncertainty, in words; the number itself is in `hand.csv`."""
    if en is None:
        return ""
    return next(words for most, words in _APART if abs(en) <= most)


def compared_with(rows: Sequence[Checked]) -> str:
    """What these numbers are compared with: no photo shows heights and volumes, the teacher writes them down."""
    tables = {of_table(checked.row) for checked in rows}
    return {frozenset({True}): TABLE, frozenset({True, False}): f"the photo and {TABLE}"}.get(
        frozenset(tables), "the photo"
    )


def of_table(row: HandRow) -> bool:
    """Whether it is compared with the structures that the teacher wrote down, which no photo shows."""
    return row.quantity in ("height", "volume")


def median_text(group: Measurers) -> str:
    """The number in the middle; nothing of two, whose middle is neither of them."""
    first = group.rows[0]
    return value_text(first.row, group.median, first.u95_hand) if len(group.rows) >= FEWEST_FOR_MEDIAN else ""


def mistakes_text(checked: Checked) -> str:
    """What clearly explains a number, then what may, too; else what may: `perhaps half of it; two digits swapped`."""
    quantity = checked.row.quantity
    first, rest = checked.likely[:1], checked.likely[1:]
    if first:
        return _in_order(first, quantity) + (f"; perhaps {_in_order(rest, quantity)}" if rest else "")
    return f"perhaps {_in_order(checked.candidates, quantity)}" if checked.candidates else ""


def _in_order(places: Sequence[Sequence[Code]], quantity: str) -> str:
    return "; ".join(" = ".join(meaning(code, quantity) for code in place) for place in places)


def verdict_value(found: HandVerdict) -> str:
    """What a rule's hand value is, as a sentence with its limit."""
    return found.note if found.value is None else found.sentence


def state(checked: Checked) -> str:
    """`agrees`, `look again`, or nothing where there was nothing to compare with."""
    if checked.too_coarse:
        return AGAIN
    return "" if checked.agrees is None else AGREES if checked.agrees else AGAIN


def team_name(team: str) -> str:
    """`Team 3`; `Team Foxes`; `Your team` where it has no name."""
    if not team:
        return "Your team"
    return team if team.casefold().startswith("team") else f"Team {team}"


def _unit(row: HandRow) -> str:
    if row.power == 0:
        return "%" if row.percent else ""
    return _UNIT_WORDS[row.power].format(row.unit)
