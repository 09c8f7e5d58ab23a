"""The questions sheet for a team, and its answers on a page of their own."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tapeplat.paper.exercises.question_making import Question, questions
from tapeplat.paper.pdf.flow import PUPIL, flow_fitted, para, space, table, text_size, together
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "Questions for your team"
ANSWERS_HEADING = "Answers, for the teacher"
_ROOM = 16.0


def draw_questions(pages: Pages, job: Job) -> None:
    """Every question with room for working and an answer line."""

    def story(factor: float) -> list[Flowable]:
        size = text_size(PUPIL, factor)
        made: list[Flowable] = [
            para("Use your rule list. Write down how you found each answer.", size, after=4 * factor)
        ]
        for n, question in enumerate(questions(job.challenge), start=1):
            text = para(_text(question), size, indent=11, bullet=f"{n}.")
            made += [together([text, space(_ROOM * factor), _answer_line(size)]), space(6 * factor)]
        return made

    flow_fitted(pages, HEADING, story)


def draw_answers(pages: Pages, job: Job) -> None:
    """Every question with its answer and working."""
    width = pages.paper.width - 2 * MARGIN
    rows: list[Sequence[Flowable | str]] = [("", "Question", "Answer", "One way to find it")]
    for n, question in enumerate(questions(job.challenge), start=1):
        rows.append((str(n), _text(question), question.answer, question.working))
    widths = (11, width - 11 - 42 - 50, 42, 50)
    flow_fitted(pages, ANSWERS_HEADING, lambda factor: [table(rows, widths, size=text_size(10, factor))])


def _text(question: Question) -> str:
    return f"Rule {question.rule}. {question.text}" if question.rule else question.text


def _answer_line(size: float) -> Flowable:
    return para(f"Answer: {'_' * 34}", size, indent=11, after=5)
