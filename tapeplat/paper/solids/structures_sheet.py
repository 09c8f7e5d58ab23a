"""The measuring sheet for structures: a picture of each solid with what to measure, and the table that goes in.

The columns are those of the table of structures (docs/structures.md), under the same names.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from calib.printed import Box
from measure.challenge import Challenge
from measure.structures.solid_volumes import SOLIDS, SolidName
from tapeplat.paper.pdf.flow import PUPIL, flow_fitted, numbered, para, set_in_box, table
from tapeplat.paper.pdf.pdf_canvas import HEADER, MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job
from tapeplat.paper.solids.solid_pictures import draw_solid

HEADING = "Measuring sheet: buildings"
STEPS = (
    "Find the picture of your building. Write its name in the table.",
    "Measure each line that the picture shows. Hold the ruler straight.",
    "Height goes straight up from the board. Do not measure along a slope.",
    "Are two just alike? Measure one, and write 2 under count.",
)
WORDS: dict[SolidName, str] = {
    "box": "box",
    "cube": "cube: all sides are the same",
    "cylinder": "cylinder",
    "half cylinder": "half cylinder",
    "triangular prism": "triangular prism: like a tent",
    "square pyramid": "square pyramid",
    "cone": "cone",
    "hemisphere": "hemisphere: half a ball",
    "prism on outline": "prism on outline: as wide as its tape",
    "cubes": "cubes: count them",
}
"""What stands below each picture; what is written into the table comes first."""
_ACROSS = 5
_CELL_HEIGHT = 46.0
_STEPS_HEIGHT = 29.0
_ROWS = 11
_INTO, _INTO_ROUND, _DOWN = 7.5, 16.0, 23.0
"""From a cell's top left to the picture's origin: a corner, or the middle of a round base."""
_NAME_HEIGHT = 12.0


def draw(pages: Pages, job: Job) -> None:
    """One page: the steps, the pictures, the table."""
    pages.start(HEADING)
    width = pages.paper.width - 2 * MARGIN
    set_in_box(pages, Box(MARGIN, HEADER, width, _STEPS_HEIGHT), numbered(list(STEPS), PUPIL))
    cell = width / _ACROSS
    for at, solid in enumerate(SOLIDS):
        _cell(pages, solid, MARGIN + at % _ACROSS * cell, HEADER + _STEPS_HEIGHT + at // _ACROSS * _CELL_HEIGHT, cell)
    top = HEADER + _STEPS_HEIGHT + -(-len(SOLIDS) // _ACROSS) * _CELL_HEIGHT + 2
    flow_fitted(pages, HEADING, lambda factor: _table(job.challenge, width, factor), top=top)


def _cell(pages: Pages, solid: SolidName, left: float, top: float, width: float) -> None:
    into = _INTO_ROUND if solid in ("cylinder", "cone", "hemisphere") else _INTO
    draw_solid(pages, solid, left + into, top + _DOWN)
    name, _, more = WORDS[solid].partition(": ")
    words = para(more, 9, lead=f"{name}:" if more else name)
    set_in_box(pages, Box(left, top + _CELL_HEIGHT - _NAME_HEIGHT, width - 3, _NAME_HEIGHT), [words])


def _table(challenge: Challenge, width: float, factor: float) -> list[Flowable]:
    line = "_" * 9
    fields = ("\u00a0" * 4).join(
        (f"team: {line}", f"unit: {challenge.unit}", f"division (smallest mark of the ruler): {line}")
    )
    rows: list[Sequence[Flowable | str]] = [("zone", "solid", "length", "width", "height", "diameter", "count")]
    rows += [("",) * 7 for _ in range(_ROWS)]
    widths = (36, 38, 23, 23, 23, 26, width - 169)
    return [para(fields, 9.5, after=3), table(rows, widths, row_height=9.0 * factor)]
