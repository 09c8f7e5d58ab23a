"""All pages of the kit, in the order of a unit."""

from __future__ import annotations

from collections.abc import Sequence

from tapeplat.kit.kit_blocks import KitPage
from tapeplat.kit.kit_docx import kit_docx
from tapeplat.kit.kit_job import KitJob
from tapeplat.kit.kit_pdf import kit_pdf
from tapeplat.kit.level_pages import LEVELS, measuring_page, rules_page
from tapeplat.kit.marking_pages import marks_page, standards_page
from tapeplat.kit.model_pages import answers_page, can_practise, practice_page, questions_page
from tapeplat.kit.preparing_pages import plan_page, shopping_page
from tapeplat.kit.starting_pages import needs_page, words_page
from tapeplat.kit.thinking_pages import analysis_page, review_page, short_analysis_page, talk_page
from tapeplat.paper.pdf.pdf_canvas import PaperSize

SUFFIXES = (".docx", ".pdf")
MODEL_PAGES = ("own-questions", "practice", "answers")
"""The pages that are about a measured model."""
MEDIA = {
    ".docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    ".pdf": "application/pdf",
}


def kit_pages(job: KitJob, names: Sequence[str] = ()) -> list[KitPage]:
    """The pages, those of measured models last; of the named ones alone where any are named."""
    has_rules = bool(job.challenge.rules)
    pages = [shopping_page(job), plan_page(job), needs_page(job), words_page(job)]
    if has_rules:
        pages += [make(job, level) for make in (rules_page, measuring_page) for level in LEVELS]
    pages += [analysis_page(job), short_analysis_page(job), review_page(job), talk_page(job), marks_page(job)]
    pages += [standards_page(job)] if has_rules else []
    for model in job.models:
        pages.append(questions_page(model))
        pages += [practice_page(model), answers_page(model)] if can_practise(model) else []
    return [page for page in pages if not names or page.name in names]


def kit_file(job: KitJob, suffix: str, paper: PaperSize, names: Sequence[str] = ()) -> bytes:
    """The kit as a document to edit (`.docx`), or as a PDF (`.pdf`)."""
    pages, title = kit_pages(job, names), f"{job.challenge.title}: unit kit"
    return kit_docx(pages, title, paper) if suffix == ".docx" else kit_pdf(pages, title, paper)
