"""Reports as files, from results in folders or in memory."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from PIL import Image

from calib.printed import Box
from measure.result.result import Result, parse_result, read_result
from measure.result.result_plat import plat_of
from tapeplat.paper.pdf.fonts import lost
from tapeplat.paper.pdf.pdf_canvas import PAPERS, Pages, PaperSize
from tapeplat.reports.class_page import ClassContent, draw_class_pages
from tapeplat.reports.flow_page import draw_flow_page
from tapeplat.reports.map_page import draw_map_page, map_svg
from tapeplat.reports.poster_page import draw_poster
from tapeplat.reports.report_content import ModelPhoto, TeamContent, content_of
from tapeplat.reports.scale_map import outlines_extent
from tapeplat.reports.team_page import draw_team_page

REPORT_FILE, MAP_FILE = "report.pdf", "map.svg"
_MOST_PIXELS = 2300
"""Of the longer side: 300 dots to the inch over a page's width."""
_QUALITY = 90


def team_files(result: bytes, files: Mapping[str, bytes], paper: str) -> dict[str, bytes]:
    """A measured model's page with its map, and the map as a drawing; files are those that measuring made, by name."""
    read = parse_result(result)
    content = content_of(read, picture_of(read, files))
    size = PAPERS[paper]
    return {REPORT_FILE: report_pdf([content], size, maps=True), MAP_FILE: map_svg(content, size).encode("utf-8")}


def report_pdf(
    contents: Sequence[TeamContent], paper: PaperSize, *, maps: bool = False, flows: bool = False,
    overview: ClassContent | None = None,
) -> bytes:  # fmt: skip
    """The class's pages where asked for, then a page for each team, with its map and flow sheet where wanted."""
    pages = Pages(paper, contents[0].title if contents else overview.title if overview else "")
    if overview is not None:
        draw_class_pages(pages, overview)
    for content in contents:
        draw_team_page(pages, content)
        if maps:
            draw_map_page(pages, content)
        if flows:
            draw_flow_page(pages, content)
    return pages.finished()


def posters_pdf(contents: Sequence[TeamContent], paper: PaperSize, own_words: str = "") -> bytes:
    """A poster for each team; own_words are the words of the one team that there is."""
    pages = Pages(paper, contents[0].title if contents else "")
    for content in contents:
        draw_poster(pages, content, own_words)
    return pages.finished()


def lost_on_paper(results: Iterable[Result]) -> str:
    """A warning where the pages' typeface lacks signs that are printed on them; empty where it has all."""
    texts = [text for result in results for text in _printed(result)]
    signs = lost(" ".join(dict.fromkeys(texts)))
    if not signs:
        return ""
    said = f"the pages' typeface lacks {' '.join(signs)}; accents are left off and other signs are printed as ?"
    return f"{said}. A team's name that cannot be printed is a line to write on."


def _printed(result: Result) -> Iterator[str]:
    yield from (result.title, result.team)
    yield from (zone.name for zone in result.zones)
    yield from (rule.text for rule in result.rules)


def read_content(folder_or_file: Path) -> TeamContent:
    """What is said of the result in a folder or a file, with the picture beside it. Raises InputMistakes."""
    result = read_result(folder_or_file)
    folder = folder_or_file if folder_or_file.is_dir() else folder_or_file.parent
    names = ["annotated.png"] + ([result.corrected.file] if result.corrected else [])
    files = {}
    for name in names:
        try:
            files[name] = (folder / Path(name).name).read_bytes()
        except OSError:
            continue  # a result from outlines has no picture: the map stands in its place
    return content_of(result, picture_of(result, files), photo_of(result, files))


def picture_of(result: Result, files: Mapping[str, bytes]) -> bytes | None:
    """The annotated picture without its list of rules, as JPEG; None where there is none.

    The corrected photo lies at the annotated picture's top left, pixel for pixel, so its size says what to keep.
    """
    drawn, photo = files.get("annotated.png"), files.get(result.corrected.file) if result.corrected else None
    if drawn is None or photo is None:
        return None
    try:
        with Image.open(io.BytesIO(photo), formats=["JPEG"]) as shown:
            size = shown.size
        with Image.open(io.BytesIO(drawn), formats=["PNG"]) as whole:
            part = whole.convert("RGB").crop((0, 0, min(size[0], whole.width), min(size[1], whole.height)))
    except (OSError, ValueError, Image.DecompressionBombError):
        return None
    return _jpeg(part)


def photo_of(result: Result, files: Mapping[str, bytes]) -> ModelPhoto | None:
    """The corrected photo around the model and no more of it, as JPEG; None where there is none."""
    content = files.get(result.corrected.file) if result.corrected else None
    if content is None or result.corrected is None:
        return None
    wanted, step = outlines_extent(plat_of(result)), result.corrected.mm_per_px
    start = [side - step / 2 for side in result.corrected.origin_mm]
    try:
        with Image.open(io.BytesIO(content), formats=["JPEG"]) as shown:
            left, top = (max(0, round((a - b) / step)) for a, b in zip((wanted.x, wanted.y), start, strict=True))
            right = min(shown.width, round((wanted.x + wanted.width - start[0]) / step))
            bottom = min(shown.height, round((wanted.y + wanted.height - start[1]) / step))
            if right <= left or bottom <= top:
                return None
            part = shown.convert("RGB").crop((left, top, right, bottom))
    except (OSError, ValueError, Image.DecompressionBombError):
        return None
    extent = Box(start[0] + left * step, start[1] + top * step, (right - left) * step, (bottom - top) * step)
    return ModelPhoto(_jpeg(part), extent)


def _jpeg(picture: Image.Image) -> bytes:
    """No larger than paper shows."""
    picture.thumbnail((_MOST_PIXELS, _MOST_PIXELS), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()
