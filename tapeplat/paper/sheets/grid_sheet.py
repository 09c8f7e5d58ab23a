"""Clear grids to print on transparency or tracing paper, for counting squares over the model or its photo."""

from __future__ import annotations

from dataclasses import dataclass

from calib.printed import Box
from measure.units import Unit
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "Clear grid"
FINE_HEADING = "Fine clear grid"
_TOP = 30.0
_FOOT = 16.0


@dataclass(frozen=True)
class Mesh:
    """Squares of one size: their side in mm, what they are called, how many make a heavier line."""

    side: float
    name: str
    heavy: int
    check: str
    """What the distance between two heavy lines measures, for checking the print."""


CM, HALF_CM = Mesh(10.0, "1 cm squares", 5, "5 cm"), Mesh(5.0, "1/2 cm squares", 2, "1 cm")
HALF_INCH, QUARTER_INCH = Mesh(12.7, "1/2 in squares", 2, "1 in"), Mesh(6.35, "1/4 in squares", 4, "1 in")


def meshes(unit: Unit) -> tuple[Mesh, Mesh]:
    """The squares of a class that works in this unit, the larger ones first."""
    return (HALF_INCH, QUARTER_INCH) if unit == "in" else (CM, HALF_CM)


def draw_clear_grid(pages: Pages, job: Job) -> None:
    """A page of the larger squares."""
    _draw(pages, HEADING, meshes(job.challenge.unit)[0])


def draw_fine_grid(pages: Pages, job: Job) -> None:
    """A page of the smaller squares."""
    _draw(pages, FINE_HEADING, meshes(job.challenge.unit)[1])


def _draw(pages: Pages, heading: str, mesh: Mesh) -> None:
    pages.start(f"{heading}: {mesh.name}")
    room = pages.paper.width - 2 * MARGIN
    note = f"Print at 100 % on transparency or tracing paper. From one thick line to the next: {mesh.check}."
    pages.fitted(MARGIN, 26, note, room, size=9)
    step = mesh.side * mesh.heavy
    columns = int(room // step) * mesh.heavy
    rows = int((pages.paper.height - _TOP - _FOOT) // step) * mesh.heavy
    left = (pages.paper.width - columns * mesh.side) / 2
    draw_mesh(pages, mesh, Box(left, _TOP, columns * mesh.side, rows * mesh.side))


def draw_mesh(pages: Pages, mesh: Mesh, area: Box) -> None:
    """The mesh over an area that whole squares fill."""
    for n in range(round(area.width / mesh.side) + 1):
        x = area.x + n * mesh.side
        pages.line((x, area.y), (x, area.y + area.height), width=_line_width(n, mesh))
    for n in range(round(area.height / mesh.side) + 1):
        y = area.y + n * mesh.side
        pages.line((area.x, y), (area.x + area.width, y), width=_line_width(n, mesh))


def _line_width(n: int, mesh: Mesh) -> float:
    return 0.5 if n % mesh.heavy == 0 else 0.2
