"""Hand measurements as children write them and as spreadsheets export them."""

from __future__ import annotations

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.errors import InputMistakes
from measure.hand.values.hand_table import COLUMNS, read_hand
from measure.hand.values.written_values import read_written

ZONES = ("library", "stables", "market")


@pytest.fixture
def read(tmp_path):
    def made(text, unit="in", encoding="utf-8"):
        path = tmp_path / "hand.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return read_hand(path, ZONES, unit)

    return made


def row(**cells: str) -> str:
    usual = {"team": "3", "who": "AB", "zone": "library", "quantity": "area", "value": "12", "unit": "in"}
    usual |= {"method": "formula", "division": "1/8"} | cells
    return ",".join(f'"{usual.get(column, "")}"' for column in COLUMNS)


def table(*rows: str) -> str:
    return "\n".join([",".join(COLUMNS), *rows])


@pytest.mark.parametrize(
    ("written", "number", "step", "unit"),
    [
        ("5 3/8", 5.375, 1 / 8, None),
        ("5-3/8", 5.375, 1 / 8, None),
        ("5⅜", 5.375, 1 / 8, None),
        ("5.4", 5.4, 0.1, None),
        ("13 cm", 13, 1, "cm"),
        ("13cm", 13, 1, "cm"),
        ('5 1/2"', 5.5, 0.5, "in"),
        ("41 sq in", 41, 1, "in"),
        ("30 cm²", 30, 1, "cm"),
        ("200 cubic cm", 200, 1, "cm"),
        ("13.20", 13.2, 0.01, None),
        ("two and a half", 2.5, 0.5, None),
    ],
)
def test_values_as_children_write_them(written, number, step, unit):
    found = read_written(written)
    assert float(found.number) == pytest.approx(number)
    assert float(found.step) == pytest.approx(step)
    assert found.unit == unit


@pytest.mark.parametrize("written", ["", "about five", "-3", "12 furlongs", "=1+1", "1..2"])
def test_what_is_no_value_is_refused(written):
    with pytest.raises(ValueError, match='"'):
        read_written(written)


@given(whole=st.integers(0, 90), over=st.integers(1, 7))
def test_mixed_numbers_and_decimals_mean_the_same(whole, over):
    mixed = read_written(f"{whole} {over}/8" if whole else f"{over}/8")
    assert mixed.number == read_written(f"{whole + over / 8:.3f}").number


@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_spreadsheets_export(read, mark):
    cells = ["3", "AB", "library", "1", "side", "2", "13,2", "cm", "ruler", "0,1"]
    text = mark.join(COLUMNS) + "\r\n" + mark.join(cells) + "\r\n\r\n"
    found = read(codecs.BOM_UTF8 + text.encode())
    assert [(r.side, r.value, r.unit, r.division, r.piece) for r in found.rows] == [(2, 13.2, "cm", 0.1, 1)]
    assert found.warnings == ()


def test_what_is_inferred_is_a_warning(read):
    found = read(table(row(unit="", division="", method="")))
    (only,) = found.rows
    assert (only.unit, only.method, only.division) == ("in", "formula", 1 / 8)
    assert all(f"hand.csv, row 2: {what}" in " ".join(found.warnings) for what in ("the unit", "the method"))
    assert "the division is missing; taken to be 1/8 in" in " ".join(found.warnings)


def test_the_units_in_a_value_wins_over_the_columns(read):
    found = read(table(row(value="13 cm", division="1/8")))
    assert (found.rows[0].unit, found.rows[0].division) == ("cm", pytest.approx(2.54 / 8))
    assert "the value says cm and the column in" in found.warnings[0]


@pytest.mark.parametrize(
    ("value", "unit", "share"),
    [("20%", "", 0.2), ("20", "%", 0.2), ("1/5", "", 0.2), ("0.2", "", 0.2), ("20", "", 0.2), ("16.5", "%", 0.165)],
)
def test_shares(read, value, unit, share):
    found = read(table(row(quantity="share", value=value, unit=unit)))
    assert found.rows[0].value == pytest.approx(share)
    assert bool(found.warnings) == (value == "20" and unit == "")


def test_squares_and_cubes_may_be_counted(read):
    cells = table(
        row(value="40 squares", method="squares", division="1/2"),
        row(quantity="volume", value="24 cubes", method="cubes", unit="cm", division="2"),
    )
    assert [r.value for r in read(cells).rows] == [10.0, 192.0]


def test_rows_not_filled_in_yet_are_kept_in_their_place(read):
    found = read(table(row(value=""), ",,,,,,,,,", row(value="5")))
    assert [(r.row, r.number, r.value) for r in found.rows] == [(1, 2, None), (2, 4, 5.0)]


def test_all_mistakes_at_once_each_with_its_row_and_what_to_do(read):
    with pytest.raises(InputMistakes) as caught:
        read(
            table(
                row(zone="libary"),
                row(quantity="volum"),
                row(value="12 bananas"),
                row(quantity="side", other="x"),
                row(quantity="gap", other="library"),
                row(method="by eye"),
                row(piece="0"),
                row(unit="stone"),
                row(division="0"),
                row(value="3-May"),
                row(quantity="area", value="0"),
            )
        )
    said = [str(mistake) for mistake in caught.value.mistakes]
    assert [text.split(":")[0] for text in said] == [f"hand.csv, row {n}" for n in range(2, 13)]
    assert "did you mean `library`?" in said[0]
    assert "did you mean `volume`?" in said[1]
    assert "12 bananas" in said[2]
    assert "write the side's number" in said[3]
    assert "name the second zone" in said[4]
    assert "ruler, squares, cubes, formula" in said[5]
    assert "1, 2, 3" in said[6]
    assert "in, cm or mm" in said[7]
    assert "smallest division" in said[8]
    assert "a date" in said[9]


def test_a_file_without_values_or_columns_is_refused(read):
    with pytest.raises(InputMistakes, match="no row has a value"):
        read(table(row(value="")))
    with pytest.raises(InputMistakes, match="`value` is missing"):
        read("zone,quantity\nlibrary,area")
    with pytest.raises(InputMistakes, match="did you mean `quantity`"):
        read("zone,quantitiy,value\nlibrary,area,3")


@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=20), min_size=10, max_size=10))
def test_any_cells_are_read_or_refused_in_words(tmp_path_factory, cells):
    path = tmp_path_factory.mktemp("any") / "hand.csv"
    quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)
    path.write_text(table(quoted), encoding="utf-8", newline="")
    try:
        rows = read_hand(path, ZONES, "in").rows
    except InputMistakes:
        return
    assert all(row.zone in ZONES and row.division > 0 for row in rows)
