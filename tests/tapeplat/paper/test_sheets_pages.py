"""Whole books: paper sizes, same bytes, nothing outside the margins or on top of anything else, all text there."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from tapeplat.paper.book import SHEETS
from tapeplat.paper.pdf.fonts import printable
from tapeplat.paper.pdf.pdf_canvas import A4, LETTER
from tests.helpers.examples import examples
from tests.helpers.rendered_sheets import Rendered

TABLES = ("What is", "For the teacher", "Our rules", "All teams", "Measuring sheet", "Zone key", "Answers", "The card")
UNPRINTABLE_EDGE = 6.3
"""mm: a quarter of an inch, what common printers cannot reach (common practice, no source)."""


def squeezed(text: str) -> str:
    return "".join(printable(text).split())


@pytest.fixture(scope="module")
def books(tmp_path_factory):
    """The crowded challenge's and the small one's whole books on both papers, made once."""
    from measure.challenge import read_challenge
    from tapeplat.paper.book import make_book
    from tapeplat.paper.sheets.sheet_job import Job
    from tests.helpers.made.sheet_challenges import QUARRY, crowded_toml

    made = {}
    for name, text in (("quarry", QUARRY), ("crowded", crowded_toml())):
        path = tmp_path_factory.mktemp(name) / "challenge.toml"
        path.write_text(text, "utf-8")
        challenge = read_challenge(path)
        for paper in (LETTER, A4):
            job = Job(challenge, paper, tuple(range(1, 12)))
            sheets = [sheet for sheet in SHEETS if not sheet.idle(job)]
            made[name, paper.name] = (challenge, Rendered(make_book(job, sheets, with_contents=True)))
    return made


@pytest.fixture(params=["quarry", "crowded"])
def book(request, paper, books):
    return books[request.param, paper]


def test_paper_sizes_are_the_standards():
    """A4 of ISO 216; letter is size A of ANSI/ASME Y14.1, 8.5 x 11 in."""
    assert (A4.width, A4.height) == (210, 297)
    assert (LETTER.width, LETTER.height) == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_every_page_has_the_paper_s_size(book, paper):
    width, height = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    _, pages = book
    heads = pages.headings()
    turned = {n for n in range(len(pages)) if tuple(round(side, 1) for side in pages.size(n)) == (height, width)}
    rest = [n for n in range(len(pages)) if n not in turned]
    assert {tuple(round(side, 1) for side in pages.size(n)) for n in rest} == {(width, height)}
    assert all(heads[n].startswith("Planning sheet: row") for n in turned)


def test_the_file_asks_not_to_be_scaled(quarry, render):
    assert b"/PrintScaling /None" in render(quarry, "letter", "key").content


def test_two_runs_give_the_same_bytes(quarry, paper, render):
    names = ("card", "teacher", "rules", "ruler", "planning", "answers")
    assert render(quarry, paper, *names).content == render(quarry, paper, *names).content


def test_nothing_is_printed_at_the_paper_s_edge(book):
    _, pages = book
    edge = int(UNPRINTABLE_EDGE * 50 / 25.4)
    for page in range(len(pages)):
        inner = pages.picture(page, 50).copy()
        inner[edge:-edge, edge:-edge] = 255
        assert inner.min() == 255, f"page {page + 1}"


def test_no_text_lies_on_other_text(book):
    _, pages = book
    for page in range(len(pages)):
        for a, b in combinations(pages.text_boxes(page), 2):
            width = min(a.right, b.right) - max(a.left, b.left)
            height = min(a.bottom, b.bottom) - max(a.top, b.top)
            assert width < 0.3 or height < 0.3, f"page {page + 1}: {a} and {b}"


def test_text_stays_in_its_cell(book):
    """No upright line that is longer than the words are high passes through them, on any page with a table."""
    _, pages = book
    scale = 120 / 25.4
    for page, heading in enumerate(pages.headings()):
        if not heading.startswith(TABLES):
            continue
        dark = pages.picture(page, 120) < 200
        for box in pages.text_boxes(page):
            rows = slice(round((box.top - 1.5) * scale), round((box.bottom + 1.5) * scale))
            columns = slice(round((box.left + 0.3) * scale), round((box.right - 0.3) * scale))
            assert not dark[rows, columns].all(axis=0).any(), f"page {page + 1}: {box}"


def test_a_line_through_words_would_be_noticed(quarry, render):
    """The test above can fail: beside a zone's name stands a line of the table."""
    pages = render(quarry, "letter", "key")
    dark = pages.picture(0, 120) < 200
    words = next(box for box in pages.text_boxes(0) if box.text.startswith("library"))
    rows = slice(round((words.top - 1.5) * 120 / 25.4), round((words.bottom + 1.5) * 120 / 25.4))
    assert dark[rows, round((words.left - 4) * 120 / 25.4) : round(words.right * 120 / 25.4)].all(axis=0).any()


def test_every_sheet_is_in_the_book_and_the_contents_say_where(book):
    _, pages = book
    headings = pages.headings()
    listed = pages.text(0)
    for sheet in SHEETS:
        found = [n for n, heading in enumerate(headings, start=1) if heading.startswith(sheet.title)]
        if sheet.name in ("photo", "photofull") or (sheet.name in ("cubes", "structures") and not found):
            continue
        if sheet.name == "planning":
            found = [n for n in found if "row" in headings[n - 1]]
        last = max(found)
        wanted = f"{found[0]}" if last == found[0] else f"{found[0]}–{last}"
        assert squeezed(f"{wanted} {sheet.title}") in listed


@pytest.mark.parametrize("heading", ["Zone key", "Measuring sheet: count sq", "Measuring sheet: ruler", "The card"])
def test_every_zone_is_named(book, heading):
    challenge, pages = book
    text = "".join(pages.text(n) for n, words in enumerate(pages.headings()) if words.startswith(heading))
    for zone in challenge.zones:
        assert squeezed(zone.name) in text


@pytest.mark.parametrize("heading", ["Our rules", "All teams, all rules (teams 1", "All teams, all rules (teams 7"])
def test_every_rule_is_printed_whole(book, heading):
    challenge, pages = book
    text = "".join(pages.text(n) for n, words in enumerate(pages.headings()) if words.startswith(heading))
    for rule in challenge.rules:
        assert squeezed(rule.text) in text


def test_what_is_allowed_stands_beside_its_rule(render):
    from measure.challenge import parse_challenge
    from tests.helpers.made.sheet_challenges import QUARRY

    challenge = parse_challenge(QUARRY.replace("rules = [", 'allow = "1/16 in"\nrules = [', 1))
    told = [rule.told for rule in challenge.rules if rule.allowance]
    assert told
    text = render(challenge, "letter", "rules").all_text()
    assert all(squeezed(rule) in text for rule in told)


def test_every_question_is_on_the_page_of_its_answer_line(book):
    _, pages = book
    for page, heading in enumerate(pages.headings()):
        if heading.startswith("Questions for your team"):
            questions = re.findall(r"(?m)^\d+\.(?!\d)", pages.document[page].get_textpage().get_text_range())
            assert len(questions) == pages.text(page).count("Answer:") > 0


def test_pages_are_grey(book):
    """Readable in grey because there is nothing else (photos apart, which these books do not have)."""
    _, pages = book
    for page in range(len(pages)):
        colours = np.array(pages.document[page].render(scale=0.3).to_numpy()).astype(int)
        assert np.ptp(colours[..., :3], axis=2).max() <= 1


def test_pupils_sheets_are_set_large(quarry, render):
    """Lower-case x of 13 points is 2.5 mm high in this typeface; capital letters and digits 3.3 mm."""
    pages = render(quarry, "letter", "questions", "rules")
    for page in range(len(pages)):
        body = [box for box in pages.text_boxes(page) if 24 < box.top < 260 and len(box.text) > 20]
        assert body
        assert min(box.bottom - box.top for box in body) > 3.0


def test_team_columns_are_shared_out_over_pages(quarry, render):
    headings = render(quarry, "letter", "master", teams=tuple(range(1, 21))).headings()
    assert [h for h in headings if "continued" not in h] == [
        "All teams, all rules (teams 1 to 7)",
        "All teams, all rules (teams 8 to 14)",
        "All teams, all rules (teams 15 to 20)",
    ]


@examples(10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(width=st.floats(5, 50_000), depth=st.floats(5, 50_000))
def test_any_parcel_has_a_scale_drawing_on_one_page(quarry, render, width, depth):
    parcel = replace(quarry.parcel, width=width, depth=depth)
    pages = render(replace(quarry, parcel=parcel), "letter", "drawing")
    assert len(pages) == 1
    edge = int(UNPRINTABLE_EDGE * 50 / 25.4)
    inner = pages.picture(0, 50).copy()
    inner[edge:-edge, edge:-edge] = 255
    assert inner.min() == 255


_LETTERS = st.characters(codec="utf-8", categories=("Lu", "Ll", "Nd"), max_codepoint=0x24F)
NAMES = st.text(st.one_of(_LETTERS, st.sampled_from(" '&<>\"/")), min_size=1, max_size=40).filter(
    lambda name: name == " ".join(name.split())
)


@examples(12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=NAMES)
def test_any_name_of_forty_characters_fits(quarry, render, name):
    zone = replace(quarry.zones[2], name=name)
    challenge = replace(quarry, title=f"{name} and {name}", zones=(zone, *quarry.zones[:2]), rules=())
    pages = render(challenge, "a4", "card", "key", "ruler", "zonetiles", "squares")
    for sheet in ("The card", "Zone key", "Measuring sheet: ruler", "Measuring sheet: count squares", "Zone tiles"):
        text = "".join(pages.text(n) for n, words in enumerate(pages.headings()) if words.startswith(sheet))
        assert squeezed(name) in text
    for page in range(len(pages)):
        for box in pages.text_boxes(page):
            assert box.left > UNPRINTABLE_EDGE
            assert box.right < 210 - UNPRINTABLE_EDGE
