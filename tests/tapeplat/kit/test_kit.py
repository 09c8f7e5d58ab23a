"""The unit kit: every page from the challenge, easy to read for children, a document to edit and a PDF to print."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from docx import Document
from PIL import Image

from measure.challenge import Challenge, parse_challenge
from measure.result.result import result_text
from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from tapeplat.cli.main import main
from tapeplat.kit.kit_blocks import Drawing, Grid, KitPage, texts
from tapeplat.kit.kit_contents import MODEL_PAGES, kit_file, kit_pages
from tapeplat.kit.kit_job import KitJob
from tapeplat.kit.level_pages import at_level
from tapeplat.kit.marking_pages import WEIGHTS
from tapeplat.kit.preparing_pages import plan_page, shopping_page, tape_length
from tapeplat.kit.standards import about, standards_of, touched
from tapeplat.kit.starting_pages import GLOSSARY, words_of
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.reports.report_content import content_of
from tests.helpers.made.challenges import challenge as ruled
from tests.helpers.made.results import ordinary, zone
from tests.helpers.made.sheet_challenges import QUARRY, crowded_toml
from tests.helpers.paths import SAMPLES
from tests.helpers.readability import check_easy, read
from tests.helpers.rendered_sheets import Rendered
from tests.tapeplat.reports.test_report_pages import check_sound, squeezed

TRIANGLE = ((1.0, 1.0), (4.0, 5.0), (1.0, 5.0))


def model():
    """Rectangles, and a right triangle with sides 3, 4 and 5 in."""
    base = ordinary()
    pond = zone("pond", 1, 1, 3, 4)
    piece = replace(pond.pieces[0], outline=TRIANGLE)
    return content_of(replace(base, zones=(replace(pond, pieces=(piece,)), *base.zones)))


def page_of(job: KitJob, name: str) -> KitPage:
    [page] = kit_pages(job, [name])
    return page


@pytest.fixture(params=["quarry", "sample", "crowded"])
def challenge(request: pytest.FixtureRequest) -> Challenge:
    text = {
        "quarry": QUARRY,
        "crowded": crowded_toml(),
        "sample": (SAMPLES / "quarry-lake-2.toml").read_text("utf-8"),
    }[request.param]
    return parse_challenge(text)


def test_children_can_read_their_pages(challenge):
    """Grade 4 at most on pages of 80 words or more; no sentence over 12 words on shorter ones.

    Left out are what the teacher wrote (rules, names, the title) and the words that the kit itself explains.
    """
    job = KitJob(challenge, models=(model(),))
    own = [zone.name for zone in (*challenge.zones, *model().result.zones)] + ["Team"]
    rules = {rule.text for rule in challenge.rules} | {at_level(rule, n) for rule in challenge.rules for n in (1, 3)}
    seen = 0
    for page in kit_pages(job):
        if page.reader == "children":
            said = [text for text in texts(page) if text not in rules and not text.startswith("Rule: ")]
            check_easy(read(said, [*GLOSSARY, *own]), page.name)
            seen += 1
    assert seen >= 13


def test_a_hard_text_would_be_noticed():
    hard = "The quadrilaterals' approximate perimeters illustrate considerable dimensional uncertainties."
    assert read([hard]).grade > 12
    assert read(["We went out. The sun was hot. It was fun."]).grade < 2


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_pdf_is_sound_and_every_page_begins_on_its_own_sheet(challenge, paper):
    job = KitJob(challenge, 12, models=(model(),))
    pages = Rendered(kit_file(job, ".pdf", PAPERS[paper]))
    check_sound(pages)
    heads = [head for head in pages.headings() if not head.endswith(", continued")]
    assert heads == [page.title for page in kit_pages(job)]


def test_the_document_can_be_opened_has_the_same_words_and_can_be_edited(challenge):
    job = KitJob(challenge, models=(model(),))
    content = kit_file(job, ".docx", PAPERS["a4"])
    document = Document(io.BytesIO(content))
    said = [p.text for p in document.paragraphs]
    said += [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    there = squeezed(" ".join(said))
    for page in kit_pages(job):
        for text in texts(page):
            assert squeezed(text) in there
    assert document.sections[0].page_width.mm == pytest.approx(210, abs=0.1)
    assert content == kit_file(job, ".docx", PAPERS["a4"]), "the same kit is the same file"


def test_a_lesson_s_minutes_add_up_and_a_week_has_five_days():
    lesson, week = (block for block in plan_page(KitJob(parse_challenge(QUARRY))).blocks if isinstance(block, Grid))
    assert sum(int(row[0]) for row in lesson.rows[1:]) == 60
    assert [row[0] for row in week.rows[1:]] == list("12345")


def test_weights_make_a_whole():
    assert sum(weight for _, weight in WEIGHTS) == 100


def test_tape_is_worked_out_from_the_share_that_a_rule_allows():
    """Meadow covers 20 to 30 % of 18 x 14 in: 63 sq in, an oblong of 5.6 x 11.2 in, 33.7 in around and a tenth more."""
    challenge = parse_challenge(QUARRY)
    assert tape_length(challenge.zone("meadow"), challenge) / 25.4 == pytest.approx(1.1 * 6 * (63 / 2) ** 0.5)
    assert tape_length(challenge.zone("crusher"), challenge) / 25.4 == pytest.approx(1.1 * 14), "its size is stated"
    grid = next(block for block in shopping_page(KitJob(challenge, teams=8)).blocks if isinstance(block, Grid))
    bought = {row[0]: row[1] for row in grid.rows}
    assert bought["tape for crusher"] == f"{math.ceil(8 * 1.5 * 1.1 * 14 / 12)} ft", "half as much again, once"


def test_tape_for_a_zone_in_pieces_goes_around_each():
    share = "stables cover at least 1/8 of the parcel"
    one, six = (
        tape_length(made.zones[1], made)
        for made in (
            ruled(share, *more, zones=("library", "stables"), unit="in")
            for more in ((), ("there are exactly 6 pieces of stables",))
        )
    )
    assert six == pytest.approx(6**0.5 * one)


def test_levels_are_rules_that_are_read_and_easier_or_harder():
    challenge = parse_challenge(QUARRY)
    names = ZoneNames({zone.name: zone.aliases for zone in challenge.zones})
    changed = 0
    for stated in challenge.rules:
        for level in (1, 3):
            text = at_level(stated, level)
            read, _ = read_rule(text, names, challenge.unit)
            assert replace(read, limit=None).kind == stated.rule.kind
            changed += text != stated.text
        assert at_level(stated, 2) == stated.text
    assert changed >= 16
    share = challenge.rules[2]
    assert [at_level(share, level) for level in (1, 2, 3)] == [
        "library covers at most 1/4 of the parcel",
        "library covers at most 1/5 of the parcel",
        "library covers at most 1/6 of the parcel",
    ]


@pytest.mark.parametrize(
    ("rule", "easier"),
    [
        ("stables are within 3 in of library", "the distance from stables to library is at most 3 3/4 in"),
        ("library covers at least 1.4 times stables", "the area of library is at least 1.1 times the area of stables"),
        ("library and stables cover at most half of the parcel",
         "the area of library and stables together is at most 5/8 of the parcel"),
    ],
)  # fmt: skip
def test_a_limit_in_other_words_has_its_level_too(rule, easier):
    made = ruled(rule, zones=("library", "stables"), unit="in").rules[0]
    assert at_level(made, 1) == easier
    names = ZoneNames({"library": (), "stables": ()})
    assert read_rule(easier, names, "in")[0].kind == made.rule.kind


def test_words_are_those_that_the_rules_need():
    everything = [word for word, _ in words_of(parse_challenge(QUARRY))]
    assert {"area", "perimeter", "gap", "volume", "height", "share", "keep clear"} <= set(everything)
    head, _, tail = QUARRY.partition("rules = [")
    small = parse_challenge(f'{head}rules = ["there is a market"]{tail.partition(chr(10) + "]" + chr(10))[2]}')
    assert not {"area", "gap", "volume", "share"} & {word for word, _ in words_of(small)}


def test_every_rule_about_a_number_names_a_standard_and_all_named_ones_are_explained():
    challenge = parse_challenge(QUARRY)
    by_text = {stated.text: standards_of(stated) for stated in challenge.rules}
    assert "3.MD.D.8" in by_text["the perimeter of meadow is at most 40 in"]
    assert "6.RP.A.3" in by_text["meadow covers between 20% and 30% of the parcel"]
    assert "5.MD.C.5" in by_text["stables hold at least 200 cubic cm"]
    assert "3.MD.B.4" in by_text["stables are at least 4 1/2 in from library"]
    assert by_text["nothing overlaps crusher"] == ()
    assert all(about(code) for code in touched(challenge))
    assert {"3-5-ETS1-1", "3-5-ETS1-2", "3-5-ETS1-3"} <= set(touched(challenge))


def test_questions_speak_of_the_team_s_own_numbers():
    said = " ".join(texts(page_of(KitJob(parse_challenge(QUARRY), models=(model(),)), "own-questions")))
    assert "library covers at most 1/5 of the parcel. We have a little under 1/6" in said
    assert "stables are at least 4 1/2 in from library. We have 3 1/4 in" in said
    assert "Your parcel is 252 sq in." in said


def test_practice_shows_the_team_s_own_shapes_and_the_answers_name_them():
    job = KitJob(parse_challenge(QUARRY), models=(model(),))
    drawn = [block for block in page_of(job, "practice").blocks if isinstance(block, Drawing)]
    assert len(drawn) == 4, "two pages full"
    ink = np.asarray(Image.open(io.BytesIO(drawn[0].png))) < 128
    assert 0.005 < ink.mean() < 0.2
    answers = next(block for block in page_of(job, "answers").blocks if isinstance(block, Grid))
    by_zone = {row[0]: row[1:] for row in answers.rows[1:]}
    assert by_zone["pond"][:2] == ("right scalene triangle", "12 in")
    assert by_zone["library"] == ("rectangle", "about 18 in", "about 20 sq in")


def test_a_model_without_such_shapes_has_no_practice():
    hexagon = tuple((8 + 3 * np.cos(a), 6 + 3 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 6, endpoint=False))
    round_one = zone("pond", 1, 1, 3, 4)
    piece = replace(round_one.pieces[0], outline=tuple((float(x), float(y)) for x, y in hexagon))
    other = content_of(replace(ordinary(), zones=(replace(round_one, pieces=(piece,)),)))
    names = [page.name for page in kit_pages(KitJob(parse_challenge(QUARRY), models=(other,)))]
    assert [name for name in MODEL_PAGES if name in names] == ["own-questions"]


def test_the_command_writes_both_kinds_and_says_what_it_cannot(tmp_path):
    challenge, result = tmp_path / "quarry.toml", tmp_path / "team-3"
    challenge.write_text(QUARRY, "utf-8")
    result.mkdir()
    (result / "result.json").write_text(result_text(model().result), "utf-8")

    def run(*arguments: str):
        return CliRunner().invoke(main, ["kit", str(challenge), *arguments])

    for name in ("kit.docx", "kit.pdf", "kit.docx"):  # the second document takes the first one's place
        outcome = run(str(result), "--out", str(tmp_path / name))
        assert outcome.exit_code == 0, outcome.stderr
        assert (tmp_path / name).stat().st_size > 5000
    assert run("--out", str(tmp_path / "kit.txt")).exit_code == 2
    wrong = run("--out", str(tmp_path / "x.pdf"), "--only", "shoping")
    assert wrong.exit_code == 2
    assert "shopping" in wrong.stderr
    only = run("--out", str(tmp_path / "x.pdf"), "--only", "shopping,marks")
    assert only.exit_code == 0
    assert Rendered((tmp_path / "x.pdf").read_bytes()).headings() == [
        "Shopping and cutting list",
        "Weights, rubric and marks",
    ]


def test_an_edited_kit_is_not_written_over(tmp_path):
    """A word processor's own copy compresses all parts, as python-docx does."""
    challenge, out = tmp_path / "quarry.toml", tmp_path / "kit.docx"
    challenge.write_text(QUARRY, "utf-8")
    assert CliRunner().invoke(main, ["kit", str(challenge), "--out", str(out)]).exit_code == 0
    document = Document(out)
    document.add_paragraph("Bring old newspapers.")
    document.save(out)
    outcome = CliRunner().invoke(main, ["kit", str(challenge), "--out", str(out)])
    assert outcome.exit_code == 2
    assert "not made here" in outcome.stderr
