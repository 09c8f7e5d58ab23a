"""The class as it stands on disk, for table and pages: the results of the measured teams, the refusals of all."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from measure.errors import InputMistakes
from measure.result.result import Result, read_result
from tapeplat.classroom.class_record import ClassRecord, ModelRecord
from tapeplat.classroom.team_names import in_order
from tapeplat.output.result_folder import write_folder
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.reports.class_csv import class_tables
from tapeplat.reports.class_page import ClassContent, Unmeasured
from tapeplat.reports.map_page import map_svg
from tapeplat.reports.report_files import MAP_FILE, REPORT_FILE, read_content, report_pdf

PDF_FILE = "class.pdf"
_AT_ONCE = 2.0
"""Seconds: files whose times differ by less were written together (FAT disks keep even seconds)."""


def content_of_class(record: ClassRecord, out: Path) -> ClassContent:
    """The results that are there, numbered teams first, and what has none."""
    models = sorted(record.models, key=lambda model: in_order(model.team))
    results, unmeasured = list[Result](), list[Unmeasured]()
    for model in models:
        unmeasured += _refused(model, out)
        if model.state == "measured":
            try:
                results.append(read_result(out / model.folder))
            except InputMistakes as mistakes:
                unmeasured.append(Unmeasured(model.team, ("result.json",), "", f"{mistakes}; run the command again"))
    return ClassContent(record.title, tuple(results), tuple(unmeasured))


def class_files(content: ClassContent, paper: str) -> dict[str, bytes]:
    """The class's page and tables, by name."""
    return {PDF_FILE: report_pdf([], PAPERS[paper], overview=content), **class_tables(content)}


def renew_pages(record: ClassRecord, out: Path, paper: str) -> list[str]:
    """Make the pages of teams anew whose result was changed by hand since; the teams. Raises FolderNotWritable."""
    renewed = []
    for model in record.models:
        folder = out / model.folder
        if model.state == "measured" and _changed_since(folder):
            content = read_content(folder)
            pages = {REPORT_FILE: report_pdf([content], PAPERS[paper], maps=True)}
            write_folder(folder, {**pages, MAP_FILE: map_svg(content, PAPERS[paper]).encode("utf-8")})
            renewed.append(model.team)
    return renewed


def _changed_since(folder: Path) -> bool:
    """Whether the result is newer than the page that was made of it."""
    try:
        result, page = ((folder / name).stat().st_mtime for name in ("result.json", REPORT_FILE))
    except OSError:
        return False
    return result - page > _AT_ONCE


def _refused(model: ModelRecord, out: Path) -> Iterator[Unmeasured]:
    for refusal in model.refusals:
        advice = refusal.advice
        if model.state != "measured" and (out / model.folder / "result.json").is_file():
            advice += f" (what is in {model.folder} is of an earlier photo)"
        yield Unmeasured(model.team, refusal.files, refusal.reason, advice)
