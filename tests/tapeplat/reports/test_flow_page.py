"""The flow sheet: the nets as measured, every zone's box free of the others, room for what flows."""

from __future__ import annotations

from dataclasses import replace

from measure.result.line_results import LinePieceResult, LineResult
from measure.result.result_values import Place, Value
from tapeplat.paper.pdf.pdf_canvas import PAPERS, Pages
from tapeplat.reports.flow_page import Flow, draw_flow_page, flows_of
from tapeplat.reports.report_content import TeamContent, content_of
from tests.helpers.made.results import ordinary
from tests.helpers.rendered_sheets import Rendered


def piece(*points: Place, reaches: tuple[str, ...] = ()) -> LinePieceResult:
    return LinePieceResult(points, Value(5.0), Value(0.0), reaches=reaches)


def content(*lines: LineResult) -> TeamContent:
    return content_of(replace(ordinary(), lines=lines))


def test_pieces_that_hang_together_are_one_net() -> None:
    first, second, *_ = (zone.name for zone in ordinary().zones)
    made = content(
        LineResult(
            "pipe",
            (
                piece((1.0, 1.0), (4.0, 1.0), reaches=(first,)),
                piece((4.1, 1.0), (8.0, 1.0), reaches=(second, first)),  # 0.1 in on
                piece((1.0, 9.0), (4.0, 9.0), reaches=(second,)),
            ),
        ),
        LineResult("road"),
        LineResult("cable", (piece((1.0, 12.0), (3.0, 12.0)),)),
    )
    assert flows_of(made) == (Flow(0, (first, second)), Flow(0, (second,)), Flow(2, ()))


def test_the_sheet_names_every_zone_and_line_and_leaves_room_to_write() -> None:
    zones = [zone.name for zone in ordinary().zones]
    made = content(LineResult("pipe", (piece((1.0, 1.0), (4.0, 1.0), reaches=tuple(zones[:3])),)), LineResult("road"))
    pages = Pages(PAPERS["letter"], "x")
    draw_flow_page(pages, made)
    text = Rendered(pages.finished()).text(0)
    there = {piece.zone for piece in made.plat.pieces}
    for word in (*there, "pipe", "road", "what flows", "from"):
        assert word.replace(" ", "") in text.replace(" ", "")


def test_a_challenge_without_lines_has_no_flow_sheet() -> None:
    pages = Pages(PAPERS["letter"], "x")
    draw_flow_page(pages, content())
    assert pages.count == 0
