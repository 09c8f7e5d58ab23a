"""`hand.json` and `hand.csv`: every row compared, for other programs and for a spreadsheet."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

from measure.hand.hand_comparison import Checked
from measure.hand.mistakes.diagnosis import Likely
from measure.hand.values.hand_table import COLUMNS
from tapeplat.output.spreadsheet import csv_text
from tapeplat.verify.hand_words import state


def hand_json(rows: Sequence[Checked]) -> str:
    """One object a row, in order; null where there was nothing to compare with, `note` says why."""
    return json.dumps([_object(checked) for checked in rows], indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def hand_csv(rows: Sequence[Checked]) -> str:
    """The rows as they were read, with what was found; cells that a spreadsheet might run are marked as text."""
    found = ("agreement", "photo", "u95 photo", "u95 hand", "en", "percent error", "likely", "candidates", "note")
    return csv_text([["row", *COLUMNS, *found], *map(_cells, rows)])


def _object(checked: Checked) -> dict[str, object]:
    made: dict[str, object] = {
        "row": checked.row.row,
        "agrees": checked.agrees,
        "en": _rounded(checked.en),
        "percent_error": _rounded(checked.percent_error),
        "likely": [list(place) for place in checked.likely],
        "candidates": [list(place) for place in checked.candidates],
    }
    return made | ({"note": checked.note} if checked.note else {})


def _rounded(number: float | None) -> float | None:
    """Four digits behind the point; what is not finite as a very large number, for JSON has no other."""
    if number is None:
        return None
    return round(number, 4) if math.isfinite(number) else math.copysign(1e9, number)


def _cells(checked: Checked) -> list[str]:
    row = checked.row
    piece, other = str(row.piece or ""), row.other or str(row.side or "")
    start = [str(row.row), checked.team, row.who, row.zone, piece, row.quantity, other, row.text]
    start += ["%" if row.percent else "" if row.power == 0 else row.unit, row.method, f"{row.division:g}"]
    if checked.photo is None:
        return [*start, *[""] * 8, checked.note]
    factor = 100.0 if row.percent else 1.0
    values = [f"{value * factor:.6g}" for value in (checked.photo, checked.u95_photo, checked.u95_hand)]
    numbers = ["" if v is None else f"{v:g}" for v in (_rounded(checked.en), _rounded(checked.percent_error))]
    likely, candidates = (_codes(found) for found in (checked.likely, checked.candidates))
    return [*start, state(checked), *values, *numbers, likely, candidates, checked.note]


def _codes(places: Likely) -> str:
    return "; ".join(" = ".join(place) for place in places)
