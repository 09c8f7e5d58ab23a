"""The reports' pages as PDFium, another program than the one that wrote them, shows them."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import cv2
import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from measure.result.result import ByHand, Result
from measure.rules.verdict import VERDICTS
from tapeplat.paper.pdf.fonts import printable
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.pdf.signs import draw_sign
from tapeplat.reports.class_page import ClassContent, Unmeasured
from tapeplat.reports.report_content import content_of, tally
from tapeplat.reports.report_files import report_pdf
from tests.helpers.examples import examples
from tests.helpers.made.results import crowded, ordinary, picture, zone
from tests.helpers.rendered_sheets import Rendered

UNPRINTABLE_EDGE = 6.3
"""mm: a quarter of an inch, what common printers cannot reach (common practice, no source)."""


def squeezed(text: str) -> str:
    return "".join(printable(text).split())


def team_page(result: Result, paper: str, photo: bytes | None = None, **more: object) -> Rendered:
    return Rendered(report_pdf([content_of(result, photo)], PAPERS[paper], **more))  # type: ignore[arg-type]


def class_pages(*results: Result, unmeasured: tuple[Unmeasured, ...] = (), paper: str = "letter") -> Rendered:
    overview = ClassContent("Quarry Lake Village", results, unmeasured)
    return Rendered(report_pdf([], PAPERS[paper], overview=overview))


def check_sound(pages: Rendered) -> None:
    """Nothing in the margins, no text over other text."""
    edge = int(UNPRINTABLE_EDGE * 50 / 25.4)
    for page in range(len(pages)):
        inner = pages.picture(page, 50).copy()
        inner[edge:-edge, edge:-edge] = 255
        assert inner.min() == 255, f"page {page + 1}"
        for a, b in combinations(pages.text_boxes(page), 2):
            width = min(a.right, b.right) - max(a.left, b.left)
            height = min(a.bottom, b.bottom) - max(a.top, b.top)
            assert width < 0.3 or height < 0.3, f"page {page + 1}: {a} and {b}"


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("made", [ordinary, crowded])
@pytest.mark.parametrize("shape", [(800, 620), (500, 800), None])
def test_a_team_s_page_is_one_page_with_everything_on_it(made, paper, shape):
    result = made()
    pages = team_page(result, paper, picture(*shape) if shape else None)
    assert len(pages) == 1
    check_sound(pages)
    text, content = pages.text(0), content_of(result)
    assert squeezed(content.name) in text
    assert "Inourownwords" in text
    for rule in content.rules:
        assert squeezed(rule.text) in text
        assert squeezed(f"{rule.word[:1].upper()}{rule.word[1:]}") in text
        assert squeezed(rule.detail) in text
    for part in content.zones:
        assert squeezed(part.name) in text
        assert squeezed(part.brief) in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_there_is_room_for_the_team_s_own_words(paper):
    """At least three lines to write on, each at least 150 mm long and 7 mm from the next, even on a crowded page."""
    from tests.helpers.rendered_sheets import dark_runs

    pages = team_page(crowded(), paper, picture())
    head = next(box for box in pages.text_boxes(0) if box.text.startswith("In our own"))
    grey = pages.picture(0, 150).astype(float)
    column = grey[round((head.bottom + 1) * 150 / 25.4) :, round(18 * 150 / 25.4)]
    lines = [middle for middle, _ in dark_runs(column, 150, 60) if middle < 60]
    assert len(lines) >= 3
    assert min(np.diff(lines[:3])) > 7


def test_numbers_are_in_the_class_s_own_form():
    """4 1/8 times 3 is 12.375, 4.91 % of 252 square inches; no class reads hundredths of a square inch."""
    assert "123/8sqin,4.9%" in team_page(ordinary(numbers="eighth"), "letter").text(0)
    assert "12.4sqin,4.9%" in team_page(ordinary(numbers="percent"), "letter").text(0)
    assert "12.4sqin,4.9%" in team_page(ordinary(numbers="decimal"), "letter").text(0)


def test_a_verdict_by_hand_is_the_one_that_counts_and_the_photo_s_stays_readable():
    result = ordinary()
    rules = (result.rules[0], replace(result.rules[1], by_hand=ByHand("met", "the tape had moved")), *result.rules[2:])
    text = team_page(replace(result, rules=rules), "letter").text(0)
    assert "2of5rulesmet" in text
    assert "Met,byhand.Fromthephoto:notmet." in text
    assert "Byhand:met(thetapehadmoved)" in text


def test_the_tally_counts_every_verdict():
    assert tally(["met", "not met", "met", "by eye"]) == "2 of 4 rules met, 1 not met, 1 by eye"
    assert tally([]) == "no rules"


@pytest.mark.parametrize("team", ["", "青い鷺", "   ", "???"])
def test_a_team_without_a_printable_name_gets_a_line_to_write_on(team):
    pages = team_page(ordinary(team), "letter")
    check_sound(pages)
    assert "Team" in [box.text.strip() for box in pages.text_boxes(0)]
    line = pages.picture(0, 150)[round(27 * 150 / 25.4) : round(31 * 150 / 25.4), round(60 * 150 / 25.4)]
    assert line.min() < 128


NAMES = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=60)


@examples(15, suppress_health_check=[HealthCheck.too_slow])
@given(team=NAMES, name=NAMES, rule=NAMES, count=st.integers(0, 20))
def test_any_names_and_any_number_of_rules_fit(team, name, rule, count):
    base = ordinary(team)
    zones = (zone(name, 1, 1, 5, 4), *base.zones[1:])
    rules = tuple(replace(base.rules[n % 5], text=f"{rule} {n}") for n in range(count))
    result = replace(base, title=name, zones=zones, rules=rules)
    pages = team_page(result, "a4", maps=True)
    assert len(pages) == 2
    check_sound(pages)
    check_sound(class_pages(result, result, paper="a4"))


def test_the_same_team_gives_the_same_bytes():
    first, second = (team_page(crowded(), "a4", picture(), maps=True).content for _ in range(2))
    assert first == second


def test_the_signs_have_five_shapes_in_grey():
    """Each drawn 20 mm high: the ink of any two differs over more than a tenth of the larger sign's ink."""
    import io

    drawn = []
    for verdict in VERDICTS:
        out = io.BytesIO()
        canvas = Canvas(out, pagesize=(72, 72))
        draw_sign(canvas, (36, 36), 28, verdict)
        canvas.save()
        drawn.append(Rendered(out.getvalue()).picture(0, 144) < 200)
    for (one, a), (other, b) in combinations(zip(VERDICTS, drawn, strict=True), 2):
        assert (a ^ b).sum() > 0.1 * max(a.sum(), b.sum()), f"{one} and {other}"


def test_the_class_at_a_glance_names_rules_teams_and_what_was_not_measured():
    results = [ordinary(str(n)) for n in range(1, 24)]
    unmeasured = (Unmeasured("24", ("24.jpg",), "blurred", "hold still and take it again"),)
    pages = class_pages(*results, unmeasured=unmeasured)
    check_sound(pages)
    assert len(pages) <= 2
    text = pages.all_text()
    assert "23teamsmeasured.1photocouldnotbemeasured" in text
    assert "Hardest:rule2,metby0of23teams" in text
    for rule in results[0].rules:
        assert squeezed(rule.text) in text
    assert "23notmet" in text
    assert "team24,24.jpg(blurred):holdstillandtakeitagain" in text


def test_every_team_has_its_count_of_met_rules_and_a_refused_one_a_row():
    unmeasured = tuple(Unmeasured(team, (f"{team}.jpg",), "blurred", "hold still") for team in ("2", "9", "9"))
    text = class_pages(ordinary("1"), ordinary("2"), unmeasured=unmeasured).all_text()
    assert text.count("1of5") == 2
    assert text.count("photorefused(blurred):seebelow") == 1, "team 2 has a measured model, team 9 one row"


def test_the_fills_of_the_bars_stay_apart_in_grey():
    """A bar for each verdict alone: any two differ in their grey or in where they are dark."""
    drawn = []
    for verdict in VERDICTS:
        rule = replace(ordinary().rules[0], verdict=verdict)
        pages = class_pages(replace(ordinary(), rules=(rule,)))
        words = next(
            box for box in pages.text_boxes(0) if box.text.strip() == "library covers at most 1/5 of the parcel"
        )
        rows = slice(round(words.top * 200 / 25.4), round((words.top + 3) * 200 / 25.4))
        drawn.append(pages.picture(0, 200)[rows, 750:950].astype(int))
    for (one, a), (other, b) in combinations(zip(VERDICTS, drawn, strict=True), 2):
        assert (abs(a - b) > 40).mean() > 0.04, f"{one} and {other}"


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_large_class_with_many_rules_goes_on_over_pages(paper):
    results = [crowded(f"The {n}th and last of the Blue and Grey Herons of the Upper Quarry") for n in range(60)]
    many = [
        replace(r, rules=tuple(replace(r.rules[n % 15], text=f"{n} {r.rules[n % 15].text}") for n in range(25)))
        for r in results
    ]
    pages = class_pages(*many, paper=paper)
    check_sound(pages)
    heads = [box.text.strip() for page in range(len(pages)) for box in pages.text_boxes(page)]
    assert {"1", "18", "19", "25"} <= set(heads)


def test_teams_of_short_names_have_all_their_rules_in_one_table():
    made = ordinary("7")
    rules = tuple(replace(made.rules[0], text=f"rule {n}: {made.rules[0].text}") for n in range(21))
    heads = [
        box for box in class_pages(replace(made, rules=rules)).text_boxes(0) if box.text.strip() in ("team", "met")
    ]
    row = [box for box in heads if box.text.strip() == "team"]
    assert len(row) == 1
    assert any(abs(box.top - row[0].top) < 1 for box in heads if box.text.strip() == "met")


def test_a_class_without_results_says_what_went_wrong():
    text = class_pages(unmeasured=(Unmeasured("1", ("1.jpg",), "no-card", "lay the card beside it"),)).all_text()
    assert "0teamsmeasured" in text
    assert "laythecardbesideit" in text


def test_the_picture_is_the_annotated_one_without_its_list(tmp_path):
    """The photo lies at the annotated picture's top left; to its right stands the list, which the page sets itself."""
    from PIL import Image

    from measure.result.result import CorrectedResult
    from tapeplat.reports.report_files import picture_of

    result = replace(ordinary(), corrected=CorrectedResult("corrected.jpg", 0.5, (0.0, 0.0)))
    whole = np.full((620, 1200, 3), 255, np.uint8)
    whole[:, :800] = (30, 90, 200)
    done, png = cv2.imencode(".png", whole)
    assert done
    files = {"annotated.png": png.tobytes(), "corrected.jpg": picture(800, 620)}
    made = picture_of(result, files)
    assert made is not None
    (tmp_path / "made.jpg").write_bytes(made)
    with Image.open(tmp_path / "made.jpg") as image:
        assert image.size == (800, 620)
        assert np.abs(np.asarray(image).astype(int) - (200, 90, 30)).max() < 10
    assert picture_of(result, {**files, "annotated.png": b"broken"}) is None
    assert picture_of(result, {"annotated.png": files["annotated.png"]}) is None
