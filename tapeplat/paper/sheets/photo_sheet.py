"""The corrected photo of a measured model under a grid, for counting squares by hand; it gives no numbers away."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from calib.printed import Box
from measure.errors import InputMistakes, Mistake
from measure.units import MM_PER, Unit, format_length
from tapeplat.paper.pdf.flow import PUPIL, para, set_in_box
from tapeplat.paper.pdf.pdf_canvas import FOOTER, HEADER, MARGIN, Pages, PaperSize
from tapeplat.paper.pdf.tiling import View, draw_tiled, fewest, fitting_scale, parts, readable_step

PAGE_HEADING = "Our model under a grid"
FULL_HEADING = "Our model under a grid, full size"
_LEAST_CELL = 5.0
_NOTE = 20.0


@dataclass(frozen=True)
class CorrectedPhoto:
    """A photo seen straight from above: its file and the box of the parcel's frame (mm) that it shows."""

    file: Path
    extent: Box


def read_corrected(result: Path) -> CorrectedPhoto:
    """The corrected photo beside a result file, or in its folder; InputMistakes where it is not or cannot be read."""
    result = result / "result.json" if result.is_dir() else result
    try:
        content = json.loads(result.read_text("utf-8"))
        entry = content["corrected"]
        name, step = str(entry["file"]), float(entry["mm_per_px"])
        x, y = (float(value) for value in entry["origin_mm"])
    except OSError as problem:
        raise _mistake(result, f"cannot be read: {problem.strerror or problem}") from None
    except (UnicodeDecodeError, json.JSONDecodeError):
        raise _mistake(result, "is no result file", "name the result.json that tapeplat measure wrote") from None
    except (KeyError, TypeError, ValueError):
        raise _mistake(result, "names no corrected photo", "measure the photo again with this version") from None
    if not (0 < step < 100 and math.isfinite(x) and math.isfinite(y)):
        raise _mistake(result, "has a scale or place for its corrected photo that cannot be", "measure again")
    file = result.parent / Path(name).name
    width, height = _pixels(file)
    return CorrectedPhoto(file, Box(x - step / 2, y - step / 2, width * step, height * step))


def draw_on_one_page(pages: Pages, photo: CorrectedPhoto, unit: Unit) -> None:
    """The photo fitted to one page, with its scale."""
    pages.start(PAGE_HEADING)
    paper, extent = pages.paper, photo.extent
    top = HEADER + _NOTE
    area = Box(MARGIN, top, paper.width - 2 * MARGIN, paper.height - top - FOOTER)
    n = fitting_scale(extent.width, extent.height, area)
    view = View(1 / n, (paper.width - extent.width / n) / 2 - extent.x / n, top - extent.y / n)
    step = _draw_under_grid(pages, view, photo, unit)
    note = f"Scale 1 : {n:g}. The side of one square is {format_length(step, unit)} on the model."
    set_in_box(pages, Box(MARGIN, HEADER, area.width, _NOTE - 2), [para(note, PUPIL)])


def draw_full_size(pages: Pages, photo: CorrectedPhoto, unit: Unit) -> None:
    """The photo at the model's own size over several pages."""
    draw_tiled(pages, FULL_HEADING, photo.extent, lambda p, view: _draw_under_grid(p, view, photo, unit))


def full_size_pages(photo: CorrectedPhoto, paper: PaperSize) -> int:
    """How many pages the photo takes at full size."""
    return len(parts(photo.extent, fewest(photo.extent, paper)))


def _draw_under_grid(pages: Pages, view: View, photo: CorrectedPhoto, unit: Unit) -> float:
    """The photo, then black lines with a white rim so that they show on light and dark; returns their step in mm."""
    box = view.box(photo.extent)
    pages.picture(photo.file, box)
    base = MM_PER["in"] / 2 if unit == "in" else MM_PER["cm"]
    step = readable_step(base, view.scale, _LEAST_CELL)
    xs = [view.place((k * step, 0))[0] for k in _multiples(photo.extent.x, photo.extent.width, step)]
    ys = [view.place((0, k * step))[1] for k in _multiples(photo.extent.y, photo.extent.height, step)]
    for width, grey in ((0.5, 1.0), (0.2, 0.0)):
        for x in xs:
            pages.line((x, box.y), (x, box.y + box.height), width=width, grey=grey)
        for y in ys:
            pages.line((box.x, y), (box.x + box.width, y), width=width, grey=grey)
    return step


def _multiples(first: float, length: float, step: float) -> range:
    return range(math.ceil(first / step), math.floor((first + length) / step) + 1)


def _pixels(file: Path) -> tuple[int, int]:
    try:
        with Image.open(file, formats=["JPEG", "PNG"]) as image:
            image.verify()
            return image.size
    except OSError as problem:
        what = "is not there" if isinstance(problem, FileNotFoundError) else "cannot be read as a picture"
        raise _mistake(file, what, "measure the photo again") from None
    except Image.DecompressionBombError:
        raise _mistake(file, "is too large a picture", "measure the photo again") from None


def _mistake(file: Path, what: str, do: str = "") -> InputMistakes:
    return InputMistakes([Mistake(str(file), what, do)])
