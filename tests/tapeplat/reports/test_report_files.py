"""Tables for spreadsheets, and the command `tapeplat report`."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from measure.result.result import ByHand, RuleResult, result_text
from tapeplat.cli.main import main
from tapeplat.reports.class_csv import class_tables
from tapeplat.reports.class_page import ClassContent, Unmeasured
from tests.helpers.made.results import ordinary
from tests.helpers.rendered_sheets import Rendered

RUNS = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What spreadsheets may take for a formula's start (OWASP, CSV Injection)."""


def rows_of(content: bytes) -> list[list[str]]:
    assert content.startswith(b"\xef\xbb\xbf")
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def is_number(cell: str) -> bool:
    return re.fullmatch(r"-?\d+(\.\d+)?(e[-+]?\d+)?", cell) is not None


@given(
    st.one_of(st.text(max_size=20), st.sampled_from(["=1+1", "+1", "-1+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1"]))
)
def test_no_cell_can_run_as_a_formula(text):
    base = ordinary(text)
    rule = RuleResult(
        text, "", "size", "not met", -1.25, "sq in", (None, -2.0), 0.1, note=text, by_hand=ByHand("met", text)
    )
    result = replace(
        base, rules=(rule, *base.rules), zones=tuple(replace(z, name=f"{text}{z.name}") for z in base.zones)
    )
    content = ClassContent(text, (result,), (Unmeasured(text, (text,), text, text),))
    for table in class_tables(content).values():
        for row in rows_of(table):
            for cell in row:
                assert not cell.startswith(RUNS) or is_number(cell), cell


def test_negative_numbers_stay_numbers_and_limits_may_be_open():
    rule = RuleResult("a", "", "size", "not met", -1.25, "sq in", (None, -2.0), 0.1)
    rows = rows_of(class_tables(ClassContent("", (replace(ordinary(), rules=(rule,)),)))["class-rules.csv"])
    row = dict(zip(rows[0], rows[1], strict=True))
    assert (row["value"], row["u95"], row["limit from"], row["limit to"]) == ("-1.25", "0.10", "", "-2")


def test_the_class_s_table_has_areas_in_the_class_s_unit_and_verdicts_by_hand():
    base = ordinary()
    rules = (replace(base.rules[1], by_hand=ByHand("met", "measured again")), *base.rules[2:])
    rows = rows_of(class_tables(ClassContent("", (base, replace(base, team="Ötters", rules=rules))))["class.csv"])
    assert len({len(row) for row in rows}) == 1
    first, second = (dict(zip(rows[0], row, strict=True)) for row in rows[1:])
    assert first["landing (sq in)"] == "12.38"
    assert first["landing u95 (sq in)"] == "0.10"
    assert first["orchard (sq in)"] == ""
    assert (first["met"], second["met"]) == ("1", "1")
    assert second["team"] == "Ötters"
    assert second["1. library covers at most 1/5 of the parcel"] == ""
    assert second["2. stables are at least 4 1/2 in from library"] == "met (by hand)"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["report", *map(str, arguments)], catch_exceptions=False)


@pytest.fixture
def results(tmp_path: Path) -> list[Path]:
    folders = [tmp_path / f"team-{n}" for n in (1, 2)]
    for folder in folders:
        folder.mkdir()
        (folder / "result.json").write_text(result_text(ordinary(folder.name[-1])), "utf-8")
    return folders


def test_one_page_a_team_with_map_and_class_where_asked_for(results: list[Path], tmp_path: Path):
    out = tmp_path / "made" / "wall.pdf"
    assert run(*results, "--out", out).exit_code == 0
    assert len(Rendered(out.read_bytes())) == 2
    said = run(results[0], results[1] / "result.json", "--out", out, "--map", "--class", "--paper", "a4")
    assert said.exit_code == 0
    pages = Rendered(out.read_bytes())
    assert len(pages) == 5
    assert pages.size(0)[0] == pytest.approx(210, abs=0.1)
    assert "ataglance" in pages.text(0)
    assert "Team2:scalemap" in pages.text(4)


def test_a_team_s_map_as_a_drawing(results: list[Path], tmp_path: Path):
    assert run(results[0], "--out", tmp_path / "map.svg").exit_code == 0
    assert "Team 1: scale map" in (tmp_path / "map.svg").read_text("utf-8")


def test_what_is_wrong_is_said_in_one_message(results: list[Path], tmp_path: Path):
    (tmp_path / "broken.json").write_text("{", "utf-8")
    wrong = [
        (*results, "--out", tmp_path / "map.svg"),
        (*results, "--out", tmp_path / "wall.doc"),
        (tmp_path / "broken.json", "--out", tmp_path / "wall.pdf"),
        (tmp_path / "missing", "--out", tmp_path / "wall.pdf"),
        (tmp_path, "--out", tmp_path / "wall.pdf"),
        (results[0], "--out", tmp_path / "broken.json" / "wall.pdf"),
        (results[0],),
    ]
    for arguments in wrong:
        said = run(*arguments)
        assert said.exit_code == 2, arguments
        assert said.stderr.strip()
        assert "Traceback" not in said.output
        assert not (tmp_path / "wall.pdf").exists()


def test_letters_that_cannot_be_printed_are_told(tmp_path: Path):
    (tmp_path / "result.json").write_text(result_text(ordinary("鷺")), "utf-8")
    assert "typeface lacks 鷺" in run(tmp_path, "--out", tmp_path / "wall.pdf").stderr
