"""What children read on paper is easy: measured by a published formula."""

from __future__ import annotations

import html
import re

import pytest
from reportlab.platypus.paragraph import Paragraph

from measure.hand.mistakes.hints import HINTS, NO_MISTAKE_FOUND, SMALLER_SQUARES
from tapeplat.paper.book import SHEETS, make_book
from tapeplat.paper.pdf.pdf_canvas import LETTER, Pages
from tapeplat.paper.sheets.sheet_job import Job
from tests.helpers.readability import check_easy, read, syllables_of

FOR_TEACHERS = {"teacher", "use", "tiles", "zonetiles", "labels", "selfcheck", "lens", "master", "answers"}


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """All texts that are set while a test runs."""
    texts: list[str] = []
    paragraph, text = Paragraph.__init__, Pages.text

    def recorded(self: Paragraph, words: str, *args: object, **more: object) -> None:
        texts.append(re.sub(r"<[^>]+>", "", html.unescape(words)))
        paragraph(self, words, *args, **more)

    def drawn(self: Pages, x: float, y: float, words: str, **more: object) -> None:
        texts.append(words)
        text(self, x, y, words, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Paragraph, "__init__", recorded)
    monkeypatch.setattr(Pages, "text", drawn)
    return texts


@pytest.mark.parametrize("sheet", [s for s in SHEETS if s.name not in FOR_TEACHERS], ids=lambda sheet: sheet.name)
def test_a_sheet_for_children_is_easy_to_read(quarry, written, sheet):
    job = Job(quarry, LETTER, (1, 2, 3))
    if sheet.idle(job):
        pytest.skip(sheet.idle(job))
    make_book(job, [sheet])
    assert written
    check_easy(read(written, [quarry.title, *(zone.name for zone in quarry.zones)]), sheet.name)


@pytest.mark.parametrize("hint", sorted({*HINTS.values(), NO_MISTAKE_FOUND, SMALLER_SQUARES}))
def test_a_hint_is_easy_to_read(hint):
    check_easy(read([hint]), hint)


def test_all_hints_together_are_easy_to_read():
    every = read([*HINTS.values(), NO_MISTAKE_FOUND, SMALLER_SQUARES])
    assert every.words > 80
    check_easy(every, "hints")


@pytest.mark.parametrize(
    ("word", "count"),
    [("cat", 1), ("measure", 2), ("table", 2), ("the", 1), ("ruler", 2), ("measured", 2), ("parcel", 2), ("people", 2),
     ("painted", 2), ("picture", 2), ("uncertainty", 4), ("once", 1), ("number", 2)],
)  # fmt: skip
def test_syllables(word, count):
    assert syllables_of(word) == count


def test_a_hard_text_is_hard():
    """A sentence as a laboratory writes it is far above grade 4."""
    text = read(
        ["The expanded uncertainty of the measurement corresponds to a coverage probability of approximately."] * 1
    )
    assert text.grade > 12
