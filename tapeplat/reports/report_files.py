"""Reports as files, from results in folders or in memory."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from PIL import Image

from measure.result.result import Result, parse_result, read_result
from tapeplat.paper.pdf.fonts import lost
from tapeplat.paper.pdf.pdf_canvas import PAPERS, Pages, PaperSize
from tapeplat.reports.class_page import ClassContent, draw_class_pages
from tapeplat.reports.map_page import draw_map_page, map_svg
from tapeplat.reports.report_content import TeamContent, content_of
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
    contents: Sequence[TeamContent], paper: PaperSize, *, maps: bool = False, overview: ClassContent | None = None
) -> bytes:
    """The class's pages where asked for, then a page for each team, with its map behind it where asked for."""
    pages = Pages(paper, contents[0].title if contents else overview.title if overview else "")
    if overview is not None:
        draw_class_pages(pages, overview)
    for content in contents:
        draw_team_page(pages, content)
        if maps:
            draw_map_page(pages, content)
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
    return content_of(result, picture_of(result, files))


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
    part.thumbnail((_MOST_PIXELS, _MOST_PIXELS), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    part.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()
