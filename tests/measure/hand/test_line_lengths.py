"""Lengths of lines that children took with a string: agree, or look again."""

from __future__ import annotations

from pathlib import Path

import pytest

from measure.errors import InputMistakes
from measure.hand.hand_comparison import Checked, compare
from measure.hand.values.hand_table import read_hand
from measure.result.line_results import LinePieceResult, LineResult
from measure.result.result import FORMAT, ParcelResult, Result, ZoneResult
from measure.result.result_values import Value

PIECES = (
    LinePieceResult(((4.0, 2.0), (10.0, 2.0)), Value(6.1, 0.03), Value(0.1)),
    LinePieceResult(((4.0, 5.0), (16.0, 5.0)), Value(12.4, 0.05), Value(0.1)),
)
RESULT = Result(
    FORMAT, "Quarry Lake", "in", "middle", ParcelResult(18, 14, 252), (ZoneResult("school", "zone", None),),
    lines=(LineResult("road", PIECES, Value(18.5, 0.06)), LineResult("pipe")),
)  # fmt: skip


def checked(folder: Path, *rows: str) -> tuple[Checked, ...]:
    file = folder / "hand.csv"
    file.write_text("zone,piece,quantity,value,unit,method,division\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return compare(read_hand(file, ["school"], "in", ["road", "pipe"]), [RESULT]).rows


def test_a_length_by_string_agrees_or_is_looked_at_again(tmp_path: Path) -> None:
    whole, second, far, swapped, metric = checked(
        tmp_path,
        "road,,length,18 3/8,in,string,1/8",
        "roads,2,length,12.25,in,string,1/8",
        "road,,length,20,in,string,1/8",
        "road,,length,47,in,string,1/8",
        "road,1,length,15.5,cm,string,0.1",
    )
    assert [row.agrees for row in (whole, second, far, swapped, metric)] == [True, True, False, False, True]
    assert (whole.photo, second.photo, metric.photo) == pytest.approx((18.5, 12.4, 15.494))
    assert swapped.likely == (("unit-swap",),)


def test_a_string_is_less_certain_than_a_ruler_on_a_long_line(tmp_path: Path) -> None:
    string, ruler = checked(tmp_path, "road,,length,18.5,in,string,1/8", "road,,length,18.5,in,ruler,1/8")
    assert string.u95_hand > 2 * ruler.u95_hand
    assert string.u95_hand == pytest.approx(0.02 * 18.5, rel=0.3)


def test_one_piece_is_told_from_another(tmp_path: Path) -> None:
    (row,) = checked(tmp_path, "road,1,length,12 3/8,in,string,1/8")
    assert row.agrees is False
    assert ("other-piece",) in row.candidates


def test_a_line_that_was_not_found_has_nothing_to_compare_with(tmp_path: Path) -> None:
    (row,) = checked(tmp_path, "pipe,,length,9,in,string,1/8")
    assert (row.agrees, row.note) == (None, "no pipe was found in the photo")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("school,,length,9,in,string,1/8", "`school` is no line of this challenge; the lines are road, pipe"),
        ("road,,perimeter,9,in,string,1/8", "`road` is no zone of this challenge; the zones are school"),
        (",,length,9,in,string,1/8", "the line is missing; the lines are road, pipe"),
    ],
)
def test_what_is_no_line_has_no_length(tmp_path: Path, row: str, said: str) -> None:
    with pytest.raises(InputMistakes) as refused:
        checked(tmp_path, row)
    assert said in str(refused.value)
