"""The questions sheet for a team, and its answers on a page of their own."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tapeplat.paper.exercises.question_making import Question, questions
from tapeplat.paper.pdf.flow import PUPIL, flow, para, space, table, together
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "Questions for your team"
ANSWERS_HEADING = "Answers, for the teacher"
_ROOM = 16.0


def draw_questions(pages: Pages, job: Job) -> None:
    """Every question with room for working and an answer line."""
    story: list[Flowable] = [para("Use your rule list. Write down how you found each answer.", PUPIL, after=4)]
    for n, question in enumerate(questions(job.challenge), start=1):
        text = para(_text(question), PUPIL, indent=11, bullet=f"{n}.")
        story += [together([text, space(_ROOM), _answer_line()]), space(6)]
    flow(pages, HEADING, story)


def draw_answers(pages: Pages, job: Job) -> None:
    """Every question with its answer and working."""
    width = pages.paper.width - 2 * MARGIN
    rows: list[Sequence[Flowable | str]] = [("", "Question", "Answer", "One way to find it")]
    for n, question in enumerate(questions(job.challenge), start=1):
        rows.append((str(n), _text(question), question.answer, question.working))
    flow(pages, ANSWERS_HEADING, [table(rows, (11, width - 11 - 42 - 50, 42, 50), size=10)])


def _text(question: Question) -> str:
    return f"Rule {question.rule}. {question.text}" if question.rule else question.text


def _answer_line() -> Flowable:
    return para(f"Answer: {'_' * 34}", PUPIL, indent=11, after=5)
