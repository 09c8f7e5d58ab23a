"""`tapeplat verify`: the pages, what the team's page keeps to itself, and files that are wrong."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest
from click.testing import CliRunner

from measure.hand.values.hand_table import COLUMNS
from tapeplat.cli.main import main
from tapeplat.output.spreadsheet import harmless
from tapeplat.paper.sheets.hand_sheets import CUBES_HEADING, RULER_HEADING, SQUARES_HEADING
from tests.helpers.readability import blocks_of_html, check_easy, read

CHALLENGE = """title = "Heron Marsh Camp"
unit = "cm"
rules = ["library covers at most 1/5 of the parcel", "stables are at least 6 cm from library",
         "library covers at least 2 times stables"]
[parcel]
width = 45.7
depth = 35.1
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
"""


def box(zone, x, y, w, h):
    ring = [[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]]
    properties = {"zone": zone, "u95": 0.04}
    return {"type": "Feature", "properties": properties, "geometry": {"type": "Polygon", "coordinates": [ring]}}


HAND = """team;who;zone;piece;quantity;other;value;unit;method;division
3;AB;library;1;side;1;13,7;cm;ruler;0,1
3;=HYPERLINK("x");library;;area;;42,4;cm;formula;0,1
3;CD;library;;area;;84,7;cm;formula;0,1
3;CD;stables;;area;;777;cm;formula;0,1
3;+AB;stables;;gap;library;2,25;in;ruler;0,01
3;AB;stables;;perimeter;;;cm;ruler;0,1
"""


@pytest.fixture
def files(tmp_path):
    """A challenge, a result of team 3 (library 13.7 x 6.2, stables 8.1 x 5.3, 5.8 apart), and a table."""
    boxes = [box("library", 1, 1, 13.7, 6.2), box("stables", 20.5, 1, 8.1, 5.3)]
    plan = {"type": "FeatureCollection", "features": boxes}
    (tmp_path / "camp.toml").write_text(CHALLENGE, encoding="utf-8")
    (tmp_path / "plan.geojson").write_text(json.dumps(plan), encoding="utf-8")
    made = run("check", tmp_path / "camp.toml", tmp_path / "plan.geojson", "--out", tmp_path / "r3", "--team", "3")
    assert made.exit_code == 0
    (tmp_path / "hand.csv").write_text("\ufeff" + HAND, encoding="utf-8")
    return tmp_path


def run(*words: object):
    return CliRunner().invoke(main, [str(word) for word in words])


def verified(files, *more):
    said = run("verify", files / "r3", files / "hand.csv", "--out", files / "out", *more)
    assert said.exit_code == 0, said.output
    return {path.name: path.read_text(encoding="utf-8-sig") for path in (files / "out").iterdir()}


def test_every_row_is_an_object_in_order(files):
    rows = json.loads(verified(files)["hand.json"])
    assert [row["row"] for row in rows] == [1, 2, 3, 4, 5, 6]
    assert [row["agrees"] for row in rows] == [True, False, True, False, True, None]
    assert all(set(row) >= {"row", "agrees", "en", "percent_error", "likely"} for row in rows)
    assert rows[1]["percent_error"] == pytest.approx(100 * (84.94 - 42.4) / 84.94, abs=0.01)
    assert rows[1]["en"] < -1
    assert rows[1]["likely"][0] == ["halved"]
    assert rows[0]["likely"] == rows[5]["likely"] == []
    assert rows[5]["note"] == "not measured yet"


def test_a_teams_page_says_agree_or_look_again_and_nothing_of_the_photos_values(files):
    page = verified(files)["team-3.html"]
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", page, flags=re.DOTALL)
    assert text.count("✓ agrees") == 3
    assert text.count("↺ look again") == 2
    numbers = {float(number.replace(",", ".")) for number in re.findall(r"\d+(?:[.,]\d+)?", text)}
    photo = (84.94, 42.93, 5.8, 39.8, 26.8, 5.3, 6.2, 8.1)
    assert not [n for n in numbers if any(abs(n - value) < 0.02 for value in photo)]
    assert "%" not in text.split("What our own numbers say")[0]
    assert not re.search(r"too (?:large|small|big)|half|twice|En\b|per cent", text)


def test_a_teams_page_is_the_same_whatever_the_size_of_an_unexplained_error(files):
    """A child who tries one number after another learns only whether the number agrees."""
    pages = []
    for value in ("777", "643", "1,9"):
        (files / "hand.csv").write_text(HAND.replace("777", value), encoding="utf-8")
        page = verified(files)["team-3.html"]
        pages.append(next(line for line in page.split("<tr") if f">{value} sq cm<" in line).replace(value, ""))
    assert pages[0] == pages[1] == pages[2]


def test_nobody_has_to_read_a_formula_and_the_number_is_in_the_table(files):
    made = verified(files)
    for name in ("team-3.html", "teacher.html"):
        assert not re.search(r"\bEn\|?\s|>En<", made[name].replace("its number En is in hand.csv", ""))
    assert ">well within<" in made["teacher.html"]
    assert ">far beyond<" in made["teacher.html"]
    assert [bool(row["en"]) for row in csv.DictReader(io.StringIO(made["hand.csv"]))] == [True] * 5 + [False]


def test_two_numbers_have_no_middle(files):
    for name in ("team-3.html", "teacher.html"):
        together = verified(files)[name].split("Measured more than once")[1].split("</table>")[0]
        assert re.search(r'<td class="number" data-head="median"></td>', together)


def test_reveal_shows_the_photos_values(files):
    page = verified(files, "--reveal")["team-3.html"]
    assert "84.9" in page
    assert "the photo says" in page


def test_the_teachers_page_has_values_and_what_is_common(files):
    page = verified(files)["teacher.html"]
    assert all(text in page for text in ("84.9", "half of it", "error %", "3 of 5 numbers agree"))
    assert "1 x half of it (halved)" in page
    assert "median" in page
    assert "stables are at least 6 cm from library" in page


def test_pages_need_nothing_from_elsewhere_and_run_nothing(files):
    made = verified(files)
    for name in ("team-3.html", "teacher.html"):
        assert not re.search(r"https?:|src=|<script|@import|url\(", made[name])
        assert "@media print" in made[name]
        assert made[name].startswith("<!doctype html>")
    assert '=HYPERLINK("x")' not in made["teacher.html"]  # its quotation marks are escaped
    assert "=HYPERLINK(&quot;x&quot;)" in made["teacher.html"]


def test_cells_cannot_run_as_formulas(files):
    rows = list(csv.DictReader(io.StringIO(verified(files)["hand.csv"])))
    assert [row["who"] for row in rows][1] == '\'=HYPERLINK("x")'
    assert [row["who"] for row in rows][4] == "'+AB"
    assert float(rows[1]["en"]) < 0
    for row in rows:
        for cell in row.values():
            assert not cell.startswith(("=", "+", "@", "\t", "\r"))
            assert not cell.startswith("-") or float(cell) < 0


@pytest.mark.parametrize("cell", ["=1+1", "+2", "-2+3", "@SUM(A1)", "\t=1", "  =1", "-cmd", "＝1", "-1e5+2"])
def test_a_formula_is_marked_as_text(cell):
    """The starts that OWASP's page on CSV injection names."""
    assert harmless(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ["", "library", "5 3/8", "-0.31", "13,2"])
def test_other_cells_stay(cell):
    assert harmless(cell) == cell


def test_several_teams_and_one_table(files):
    plan = {"type": "FeatureCollection", "features": [box("library", 1, 1, 11.1, 9.9), box("stables", 20.5, 1, 8, 5)]}
    (files / "plan.geojson").write_text(json.dumps(plan), encoding="utf-8")
    run("check", files / "camp.toml", files / "plan.geojson", "--out", files / "r4", "--team", "4")
    (files / "hand.csv").write_text(HAND + "4;XY;library;;area;;84,9;cm;formula;0,1\n", encoding="utf-8")
    said = run("verify", files / "r3", files / "r4" / "result.json", files / "hand.csv", "--out", files / "out")
    assert said.exit_code == 0
    assert {"team-3.html", "team-4.html", "teacher.html"} <= {path.name for path in (files / "out").iterdir()}
    rows = json.loads((files / "out" / "hand.json").read_text())
    assert rows[6]["likely"][0] == ["other-team"]
    assert "84,9" not in (files / "out" / "team-3.html").read_text(encoding="utf-8")


def test_without_out_nothing_is_written(files):
    said = run("verify", files / "r3", files / "hand.csv")
    assert said.exit_code == 0
    assert said.output.startswith("3 of 5 numbers agree with the photo\n")
    assert not (files / "out").exists()


def test_wrong_files_are_exit_2_with_all_mistakes_and_nothing_written(files):
    (files / "hand.csv").write_text(HAND.replace("library;1;", "libary;1;").replace("777", "many"), encoding="utf-8")
    said = run("verify", files / "r3", files / "nowhere", files / "hand.csv", "--out", files / "out")
    assert said.exit_code == 2
    assert all(text in said.stderr for text in ("hand.csv, row 2: `libary`", "hand.csv, row 5: value", "nowhere"))
    assert not (files / "out").exists()
    assert run("verify", files / "hand.csv").exit_code == 2
    assert run("verify", files / "hand.csv", files / "hand.csv").exit_code == 2
    assert run("verify", "--template", files / "camp.toml", files / "hand.csv").exit_code == 2


def test_the_template_has_the_fields_of_the_measuring_sheets_and_reads_back(files):
    said = run("verify", "--template", files / "camp.toml")
    rows = list(csv.DictReader(io.StringIO(said.output)))
    assert tuple(rows[0]) == COLUMNS
    assert {row["zone"] for row in rows} == {"library", "stables"}
    assert {(row["zone"], row["other"]) for row in rows if row["quantity"] == "gap"} == {("stables", "library")}
    methods = {row["method"] for row in rows} | {"cubes"}
    for heading, method in ((SQUARES_HEADING, "squares"), (RULER_HEADING, "formula"), (CUBES_HEADING, "cubes")):
        assert method in methods
        assert method.removesuffix("s") in heading
    filled = said.output.replace(",perimeter,,,", ",perimeter,,39.8,")
    (files / "hand.csv").write_text(filled.replace("\n,", "\n3,"), encoding="utf-8")
    done = json.loads(verified(files)["hand.json"])
    assert [row["agrees"] for row in done if row["agrees"] is not None] == [True, False]


def test_the_template_goes_into_a_folder(files):
    assert run("verify", "--template", files / "camp.toml", "--out", files / "new").exit_code == 0
    assert (files / "new" / "hand-measurements.csv").read_bytes().startswith(b"\xef\xbb\xbfteam,who,")


def test_a_teams_page_is_easy_to_read(files):
    for reveal in ((), ("--reveal",)):
        page = next(text for name, text in verified(files, *reveal).items() if name.startswith("team"))
        check_easy(read(blocks_of_html(page), ["library", "stables"]), "the team's page")
