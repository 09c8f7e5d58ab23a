"""All attempts of a team on one page, and the class's progress as a chart."""

from __future__ import annotations

from dataclasses import replace

import pytest
from click.testing import CliRunner

from measure.result.result import result_text
from tapeplat.archive.class_progress import Step, TeamSteps, class_progress_pdf, progress_said, steps_from
from tapeplat.archive.store import Archive
from tapeplat.archive.team_progress import Attempt, attempts_from, moves, shown_attempts, team_progress_pdf
from tapeplat.cli.main import main
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.reports.report_content import content_of
from tests.helpers.made.attempts import attempt
from tests.helpers.made.results import crowded, ordinary, zone
from tests.helpers.rendered_sheets import Rendered
from tests.tapeplat.reports.test_report_pages import check_sound, squeezed


def attempts(*results) -> list[Attempt]:
    return [Attempt(number, content_of(result)) for number, result in enumerate(results, start=1)]


def moved():
    """The library goes 3 in to the right; the broken distance is kept now, and the share is lost."""
    first = ordinary()
    rules = (replace(first.rules[0], verdict="not met", value=0.21), replace(first.rules[1], verdict="met", value=4.75))
    zones = (zone("library", 4, 1, 5, 4), *first.zones[1:])
    return first, replace(first, zones=zones, rules=(*rules, *first.rules[2:]))


def test_an_arrow_goes_where_a_piece_moved_and_nowhere_else():
    [(start, end)] = moves(attempts(*moved()))
    assert start == pytest.approx((3.5 * 25.4, 3 * 25.4))
    assert end == pytest.approx((6.5 * 25.4, 3 * 25.4))


def test_of_several_pieces_each_belongs_to_the_nearest_one_before():
    pieces = [zone("pond", x, 1, 2, 2).pieces[0] for x in (1, 10)]
    later = [zone("pond", x, 1, 2, 2).pieces[0] for x in (12, 1)]
    base = ordinary()
    pond = replace(base.zones[0], name="pond", pieces=tuple(pieces))
    two = [replace(base, zones=(replace(pond, pieces=tuple(own)),)) for own in (pieces, later)]
    [(start, end)] = moves(attempts(*two))
    assert (start[0], end[0]) == pytest.approx((11 * 25.4, 13 * 25.4))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_page_has_every_rule_with_what_was_won_and_lost_and_values_as_the_class_writes_them(paper):
    pages = Rendered(team_progress_pdf(attempts(*moved()), PAPERS[paper]))
    assert len(pages) == 1
    check_sound(pages)
    text = pages.text(0)
    assert text.count("won") == text.count("lost") == 1
    for said in ("attempt 1", "attempt 2", "3 1/4 in", "4 3/4 in", "rules met", "1 of 5", "12 3/8 sq in", "moved"):
        assert squeezed(said) in text
    for rule in ordinary().rules:
        assert squeezed(rule.text) in text


def test_many_attempts_of_a_crowded_model_go_on_over_pages_and_say_what_is_left_out():
    many = attempts(*(crowded() for _ in range(9)))
    assert [one.number for one in shown_attempts(many)] == [1, 5, 6, 7, 8, 9]
    pages = Rendered(team_progress_pdf(many, PAPERS["a4"]))
    assert "3attemptsbetweenthefirstandthelast5arenotshown" in pages.all_text()
    edge = 6.3
    for page in range(len(pages)):
        for box in pages.text_boxes(page):
            assert box.left > edge
            assert box.right < 210 - edge


def test_an_attempt_without_a_place_for_its_board_is_named_and_not_drawn():
    first, second = moved()
    loose = replace(second, parcel=replace(second.parcel, frame="card"))
    pages = Rendered(team_progress_pdf(attempts(first, loose), PAPERS["letter"]))
    assert "Attempt2isnotinthedrawing" in pages.text(0)


def test_the_chart_has_a_filled_part_for_what_was_met():
    """Two bars: of 4 of 8 rules half is filled, of 8 of 8 all."""
    team = TeamSteps("Team 1", (Step(1, 4, 8), Step(2, 8, 8)))
    pages = Rendered(class_progress_pdf("Quarry Lake", [team], PAPERS["letter"]))
    check_sound(pages)
    grey = pages.picture(0, 100)
    filled = (grey > 170) & (grey < 200)
    columns = filled[150:260].sum(axis=0)
    bars = [int(columns[round(x / 25.4 * 100)]) for x in (12 + 56 + 2, 12 + 56 + 12 + 2.5 + 2)]
    assert bars[1] == pytest.approx(2 * bars[0], abs=4)
    assert bars[0] > 15


def test_sixteen_teams_stay_on_one_page_and_more_go_on():
    def made(count: int) -> Rendered:
        teams = [TeamSteps(f"Team {n}", (Step(1, 3, 9),)) for n in range(count)]
        return Rendered(class_progress_pdf("", teams, PAPERS["letter"]))

    assert len(made(16)) == 1
    assert len(made(29)) == 2
    assert all(f"Team{n}" in made(29).all_text() for n in range(29))


def test_the_class_is_told_of_teams_that_tried_again():
    again = TeamSteps("a", (Step(1, 2, 10), Step(2, 8, 10)))
    once = TeamSteps("b", (Step(1, 9, 10),))
    assert progress_said([again, once]) == (
        "1 team has more than one attempt. Rules met at first: 2 of 10. Rules met now: 8 of 10."
    )
    assert progress_said([once, once]) == "2 teams have one attempt each so far."


def test_the_command_prints_a_team_and_the_class(tmp_path):
    kept = Archive(tmp_path / "kept")
    for result in moved():
        files = {"result.json": result_text(result).encode(), "plat.svg": b"<svg/>"}
        kept.save(attempt("3", "Quarry Lake Village", files=files))
    assert [step.met for step in steps_from(kept.entries())[0].steps] == [1, 1]
    assert [one.number for one in attempts_from(kept.entries())] == [1, 2]
    out = tmp_path / "progress.pdf"

    def run(*arguments: str):
        given = ["archive", "progress", *arguments, "--out", str(out), "--archive-folder", str(tmp_path / "kept")]
        return CliRunner().invoke(main, given)

    assert run().exit_code == 0
    assert "1of5" in Rendered(out.read_bytes()).text(0)
    assert run("--team", "3").exit_code == 0
    assert "allattempts" in Rendered(out.read_bytes()).text(0)
    assert run("--team", "9").exit_code == 2
    kept.save(attempt("3"))
    several = run("--team", "3")
    assert several.exit_code == 2
    assert "several challenges are filed" in several.stderr
