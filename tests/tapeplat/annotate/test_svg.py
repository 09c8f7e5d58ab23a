from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from measure.plat.plat import Plat
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.wording.notes import PieceNote
from tests.helpers.examples import examples
from tests.helpers.made.drawn_plats import piece
from tests.helpers.reading_back import SVG, svg_rings


def test_outlines_read_back_agree_within_a_tenth_of_a_millimetre(plat, notes):
    drawn = svg_rings(plat_svg(plat, notes.pieces, "Quarry Lake Village"))
    wanted = {(p.zone, 1, "outline"): p.ring.points for p in plat.pieces}
    wanted["market", 1, "hole 1"] = plat.pieces[3].holes[0].points
    assert drawn.keys() == wanted.keys()
    for key, points in wanted.items():
        assert np.abs(drawn[key] - points).max() < 0.1


def test_the_drawing_is_at_true_scale_and_holds_everything(plat, notes):
    root = ET.fromstring(plat_svg(plat, notes.pieces, "x"))
    left, top, width, height = map(float, root.get("viewBox").split())
    assert root.get("width") == f"{width:.3f}mm"
    assert root.get("height") == f"{height:.3f}mm"
    for points in svg_rings(plat_svg(plat, notes.pieces, "x")).values():
        assert (points > [left, top]).all()
        assert (points < [left + width, top + height]).all()


def test_several_pieces_are_numbered_within_their_zone(plat):
    corner = np.array([[0, 0], [9, 0], [9, 9]])
    pieces = (piece("a", corner), piece("b", corner + 20), piece("a", corner + 40))
    notes = [PieceNote(p.zone, p.zone, "") for p in pieces]
    drawn = svg_rings(plat_svg(replace(plat, pieces=pieces), notes, "x"))
    assert list(drawn) == [("a", 1, "outline"), ("b", 1, "outline"), ("a", 2, "outline")]


def test_inferred_stretches_are_dashed(plat, notes):
    text = plat_svg(plat, notes.pieces, "x")
    (inferred,) = (p for p in ET.fromstring(text).iter(f"{SVG}path") if p.get("class") == "inferred")
    assert inferred.get("d") == "M75.0000,20.0000 130.0000,18.0000 128.4000,51.2000"
    assert "stroke-dasharray" in text


def test_holes_are_left_open_by_the_even_odd_rule(plat, notes):
    paths = ET.fromstring(plat_svg(plat, notes.pieces, "x")).iter(f"{SVG}path")
    fills = [p for p in paths if "fill" in p.get("class", "").split()]
    assert [p.get("d").count("M") for p in fills] == [1, 1, 1, 2, 1]
    assert {p.get("fill-rule") for p in fills} == {"evenodd"}


@examples(60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(min_size=1), st.text())
def test_any_name_gives_well_formed_xml_without_scripts(name, title):
    plat = Plat(100, 100, (piece(name, [[0, 0], [9, 0], [9, 9]]),), (), "card")
    root = ET.fromstring(plat_svg(plat, [PieceNote(name, name, "1 sq in")], title).encode("utf-8", "replace"))
    assert not list(root.iter(f"{SVG}script"))
    assert len([p for p in root.iter(f"{SVG}path") if p.get("class") == "ring"]) == 1


def test_a_name_like_markup_stays_text(plat):
    name = "</text><script>\"&'"
    shown = replace(plat, pieces=(piece(name, [[0, 0], [9, 0], [9, 9]]),))
    text = plat_svg(shown, [PieceNote(name, name, "")], name)
    assert "<script" not in text
    assert next(iter(svg_rings(text)))[0] == name
