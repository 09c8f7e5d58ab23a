"""What changed between two attempts, against numbers worked out by hand and against shapely."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
import shapely

from tapeplat.archive import Archive
from tapeplat.archive.attempt_comparison import compare
from tapeplat.archive.comparison_words import comparison_page, comparison_text
from tests.helpers.made.attempts import SQUARE, as_bytes, attempt, result

SVG = "{http://www.w3.org/2000/svg}"


def filed(folder: Path, **made: object):
    return Archive(folder).save(attempt(files={"result.json": as_bytes(result(**made))}))


def test_an_area_that_grew_by_more_than_the_uncertainty_of_the_change_did_grow(tmp_path):
    """JCGM 100:2008, 5.1.2: 0.5 and 0.5 make 0.707, so a change of 0.7 is none and one of 0.72 is one."""
    first = filed(tmp_path)
    for area, trend in ((100.0, "the same"), (100.70, "the same"), (100.72, "more"), (99.28, "less")):
        change = compare(first, filed(tmp_path, area=area)).areas[0]
        assert change.name == "jetty"
        assert change.trend == trend
        assert change.change.value == pytest.approx(area - 100.0)
        assert change.change.u95 == pytest.approx(math.hypot(0.5, 0.5))


def test_rules_are_won_lost_changed_new_and_gone(tmp_path):
    fates = {
        ("not met", "met"): "won",
        ("too close to call", "met"): "won",
        ("met", "too close to call"): "lost",
        ("met", "not met"): "lost",
        ("not met", "too close to call"): "changed",
        ("met", "met"): "as before",
    }
    for (before, after), fate in fates.items():
        found = compare(filed(tmp_path, verdict=before), filed(tmp_path, verdict=after))
        assert [rule.fate for rule in found.rules] == [fate, "as before"]
    other = result()
    other["rules"][0] |= {"text": "jetty  covers at MOST 1/10 of the parcel"}
    other["rules"][1] |= {"text": "by eye: the jetty is pretty"}
    found = compare(filed(tmp_path), Archive(tmp_path).save(attempt(files={"result.json": as_bytes(other)})))
    assert [rule.fate for rule in found.rules] == ["as before", "new", "gone"]


def edited(*rules: tuple[str, str, str]) -> dict:
    """A result with these rules: text, how it is read, verdict."""
    made = result()
    share = made["rules"][0]
    made["rules"] = [{**share, "text": text, "reads_as": reads, "verdict": verdict} for text, reads, verdict in rules]
    return made


def test_a_rule_whose_limit_was_edited_is_the_same_rule(tmp_path):
    """It was told as one rule gone and one that is new."""
    archive = Archive(tmp_path)
    before = edited(("jetty covers at most 1/10", "jetty is at most 10 %", "not met"), ("reeds too", "r 3 in", "met"))
    after = edited(("jetty covers at most 1/5", "jetty is at most 20 %", "met"), ("the reeds too", "r 3 in", "met"))
    one, two = (archive.save(attempt(files={"result.json": as_bytes(made)})) for made in (before, after))
    found = compare(one, two)
    assert [(rule.fate, rule.formerly) for rule in found.rules] == [
        ("won", "jetty covers at most 1/10"), ("as before", "reeds too"),
    ]  # fmt: skip
    assert 'jetty covers at most 1/5  (not met -> met; it was "jetty covers at most 1/10")' in comparison_text(found)
    assert "it was &quot;jetty covers at most 1/10&quot;" in comparison_page(found)


def test_rules_that_are_alike_but_for_their_numbers_are_not_taken_for_each_other(tmp_path):
    archive = Archive(tmp_path)
    before = edited(("a 1", "a 1 in", "met"), ("a 2", "a 2 in", "met"))
    after = edited(("a 3", "a 3 in", "met"), ("a 4", "a 4 in", "met"))
    one, two = (archive.save(attempt(files={"result.json": as_bytes(made)})) for made in (before, after))
    assert [rule.fate for rule in compare(one, two).rules] == ["new", "new", "gone", "gone"]


def test_the_teachers_word_counts_before_the_measured_verdict(tmp_path):
    made = result(verdict="too close to call")
    made["rules"][0]["by_hand"] = {"verdict": "met", "reason": "ruler"}
    found = compare(
        filed(tmp_path, verdict="too close to call"),
        Archive(tmp_path).save(attempt(files={"result.json": as_bytes(made)})),
    )
    assert [rule.text for rule in found.of_fate("won")] == ["jetty covers at most 1/10 of the parcel"]


def test_units_are_converted_before_anything_is_compared(tmp_path):
    """One inch is 2.54 cm exactly: 100 sq cm are 15.500 sq in."""
    inches = result(area=100 / 2.54**2)
    inches["unit"] = "in"
    inches["distances"][0]["value"] = 4.0 / 2.54
    found = compare(filed(tmp_path), Archive(tmp_path).save(attempt(files={"result.json": as_bytes(inches)})))
    assert found.unit == "in"
    assert found.areas[0].change.value == pytest.approx(0.0, abs=1e-9)
    assert found.areas[0].before.u95 == pytest.approx(0.5 / 2.54**2)
    assert found.gaps[0].change.value == pytest.approx(0.0, abs=1e-9)
    assert "the parcels are of different sizes" in found.remarks


def test_a_gap_is_the_same_gap_whichever_zone_is_named_first(tmp_path):
    turned = result(distances=[{"between": ["reeds", "jetty"], "value": 4.5, "u95": 0.1}])
    found = compare(filed(tmp_path), Archive(tmp_path).save(attempt(files={"result.json": as_bytes(turned)})))
    assert [(gap.name, gap.trend) for gap in found.gaps] == [("jetty and reeds", "more")]


def test_a_zone_that_was_not_there_is_new_and_one_that_is_missing_is_gone(tmp_path):
    without = result()
    without["zones"][0] |= {"area": None, "pieces": []}
    bare = Archive(tmp_path).save(attempt(files={"result.json": as_bytes(without)}))
    whole = filed(tmp_path)
    assert [c.trend for c in compare(bare, whole).areas] == ["new", "not measured"]
    assert [c.trend for c in compare(whole, bare).areas] == ["gone", "not measured"]
    assert "jetty (gone)" in compare(whole, bare).overlay


def rings(svg: str, style: str) -> list[np.ndarray]:
    root = ET.fromstring(svg)
    paths = [p.attrib["d"] for p in root.iter(f"{SVG}path") if p.get("class") == style and "data-zone" in p.attrib]
    return [np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", path), dtype=float) for path in paths]


def test_the_overlay_draws_both_outlines_where_they_are(tmp_path):
    moved = [[x + 5, y] for x, y in SQUARE]
    svg = compare(filed(tmp_path), filed(tmp_path, outline=moved)).overlay
    before, after = (shapely.Polygon(rings(svg, style)[0]) for style in ("before", "after"))
    assert before.bounds == pytest.approx((100, 100, 200, 200))
    assert before.intersection(after).area == pytest.approx(50 * 100)
    view = [float(number) for number in ET.fromstring(svg).attrib["viewBox"].split()]
    assert shapely.box(view[0], view[1], view[0] + view[2], view[1] + view[3]).covers(after)
    assert "team 3, attempt 1" in svg


def test_outlines_whose_place_is_not_known_are_not_laid_over_each_other(tmp_path):
    found = compare(filed(tmp_path), filed(tmp_path, frame="card"))
    assert found.overlay == ""
    assert any("not laid over each other" in remark for remark in found.remarks)
    assert "<svg" not in comparison_page(found)


def test_text_and_page_say_what_changed_rounded_to_its_uncertainty(tmp_path):
    found = compare(filed(tmp_path, verdict="not met"), filed(tmp_path, area=112.3456, verdict="met"))
    text, page = comparison_text(found), comparison_page(found)
    for said in (text, page):
        assert "Heron Marsh: team 3, attempts 1 and 2" in said
        assert "12.3 sq cm" in said
        assert "±" not in said
        assert "not met" in said
    assert "rules won: 1\n  jetty covers at most 1/10 of the parcel  (not met -> met)\nrules lost: 0" in text
    assert "areas that changed: 1 of 2" in text
    assert page.count("<svg") == 1
    assert "<script" not in page


def test_names_with_signs_of_html_stay_text(tmp_path):
    made = result(title="<b>Marsh</b>", team="<i>")
    made["zones"][0]["name"] = 'je"tty<'
    entry = Archive(tmp_path).save(attempt("<i>", "<b>Marsh</b>", files={"result.json": as_bytes(made)}))
    found = compare(entry, entry)
    for page in (comparison_page(found), (entry.folder / "index.html").read_text()):
        assert "<b>" not in page
        assert "<i>" not in page
        assert "tty<" not in page
    ET.fromstring(found.overlay)
