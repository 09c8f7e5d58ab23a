"""The slim set, what a team measures, and pages and ink counted beforehand."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from calib.printed import Box
from measure.challenge import parse_challenge
from tapeplat.cli.main import main
from tapeplat.paper.book import SHEETS
from tapeplat.paper.exercises.needed_measures import Needed, needed_measures, shared_out
from tapeplat.paper.exercises.rule_facts import speaks_of_structures
from tapeplat.paper.page_count import counted, ink_of
from tapeplat.paper.pdf.pdf_canvas import LETTER, PAPERS, Pages
from tapeplat.paper.sheet_sets import MOST_FOR_A_TEAM, chosen, pages_of
from tapeplat.paper.sheets.sheet_job import Job
from tests.helpers.made.challenges import challenge as ruled
from tests.helpers.made.sheet_challenges import QUARRY


def names(found) -> list[str]:
    return [sheet.name for sheet in found]


@pytest.fixture
def flat(quarry):
    """Without the rules about structures."""
    return replace(quarry, rules=quarry.rules[:13])


@pytest.mark.parametrize("which", ["quarry", "crowded"])
def test_a_team_gets_eight_pages_at_most_and_what_it_needs_most(which, paper, request):
    job = Job(request.getfixturevalue(which), PAPERS[paper], tuple(range(1, 13)))
    team = chosen("team", job)
    assert sum(pages_of(sheet, job) for sheet in team.sheets) <= MOST_FOR_A_TEAM
    assert names(team.sheets)[:2] == ["card", "rules"]
    built = {"structures"} if speaks_of_structures(job.challenge) else set()
    needed = {"card", "rules", "measuring", "drawing", "grid", "questions", *built}
    assert set(names(team.sheets + team.left_out)) == needed
    assert built <= set(names(team.sheets))


def test_an_ordinary_challenge_leaves_nothing_of_the_slim_set_out(flat):
    assert chosen("team", Job(flat, LETTER)).left_out == ()


def test_a_challenge_about_structures_has_their_sheet_and_no_squares_to_count(quarry):
    built = replace(quarry, rules=quarry.rules[13:16])
    team = names(chosen("team", Job(built, LETTER)).sheets)
    assert "structures" in team
    assert "grid" not in team


def test_formulas_have_their_rows_on_the_sheet_of_what_is_measured():
    made = ruled(
        "for every piece of homes: the area of that piece is at least 5 sq in",
        "for every piece of homes: the gap from that piece to park is at most 6 in",
        zones=("homes", "park"),
        unit="in",
    )
    assert needed_measures(made) == (Needed("area", "homes", "", (1,)), Needed("gap", "homes", "park", (2,)))


def test_pupils_measure_as_many_numbers_as_the_others():
    needed = [Needed("area", f"zone {n}") for n in range(5)] + [Needed("gap", f"zone {n}", "lake") for n in range(7)]
    who = shared_out(needed, 4)
    assert [who.count(pupil) for pupil in range(4)] == [3, 3, 3, 3]


def test_answers_are_printed_where_questions_are(quarry, crowded):
    for challenge in (quarry, crowded):
        slim = names(chosen("slim", Job(challenge, LETTER)).sheets)
        assert ("answers" in slim) == ("questions" in slim)


def test_slim_is_class_and_team(flat):
    job = Job(flat, LETTER)
    parts = [names(chosen(name, job).sheets) for name in ("class", "team")]
    assert names(chosen("slim", job).sheets) == parts[0] + parts[1]
    assert set(parts[0] + parts[1]) < set(names(chosen("all", job).sheets))


def test_what_is_measured_is_what_the_rules_need_each_once():
    challenge = parse_challenge(
        QUARRY.replace(
            "rules = [", 'rules = ["library covers less than meadow", "stables are within 9 in of library",', 1
        )
    )
    found = needed_measures(challenge)
    assert Needed("area", "library", "", (1, 5)) in found
    assert Needed("gap", "stables", "library", (2, 12)) in found
    assert Needed("perimeter", "meadow", "", (10,)) in found
    assert Needed("volume", "cottages", "", (18,)) in found
    assert Needed("height", "", "", (16,)) in found
    assert len({(one.quantity, frozenset((one.zone, one.other))) for one in found}) == len(found)
    assert not [one for one in found if one.zone == "crusher"]


def test_rules_without_numbers_need_no_measuring_sheet(quarry):
    challenge = parse_challenge(
        QUARRY.split("rules = [")[0] + 'rules = ["there is a market"]' + QUARRY.split("\n]\n", 1)[1]
    )
    assert needed_measures(challenge) == ()
    assert "measuring" not in names(chosen("all", Job(challenge, LETTER)).sheets)


NEEDED = st.builds(Needed, st.sampled_from(["area", "perimeter", "gap", "volume"]), st.sampled_from("abcdefg"))


@given(st.lists(NEEDED, max_size=30), st.integers(1, 6))
def test_a_zone_s_sizes_are_one_pupil_s_and_nobody_is_left_without(needed, pupils):
    who = shared_out(needed, pupils)
    assert len(who) == len(needed)
    sizes = [(one.zone, pupil) for one, pupil in zip(needed, who, strict=True) if one.quantity != "gap"]
    assert len({zone for zone, _ in sizes}) == len(set(sizes))
    assert set(who) <= set(range(pupils))
    if len({zone for zone, _ in sizes}) >= pupils:
        assert set(who) == set(range(pupils))


def test_ink_is_the_black_share_of_each_page():
    pages = Pages(LETTER, "")
    for grey in (0.0, 0.5):
        pages.start()
        pages.box(Box(20, 20, 100, 150), width=0, fill=grey)
    whole = 100 * 150 / (LETTER.width * LETTER.height)
    found = ink_of(pages.finished())
    footer = 0.002  # "page 1"
    assert found[0] == pytest.approx(whole, abs=footer)
    assert found[1] == pytest.approx(whole / 2, abs=footer)


def test_copies_are_counted_for_the_teams(quarry):
    job = Job(quarry, LETTER, tuple(range(1, 13)))
    total = counted([sheet for sheet in SHEETS if sheet.name in ("card", "tiles", "rules", "teacher")], job)
    by_name = {one.sheet.name: one for one in total.sheets}
    assert {name: one.copies for name, one in by_name.items()} == {"teacher": 1, "card": 13, "tiles": 4, "rules": 12}
    assert total.printed == sum(one.pages * one.copies for one in by_name.values())
    assert total.for_a_team == by_name["card"].pages + by_name["rules"].pages


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "quarry.toml"
    path.write_text(QUARRY, "utf-8")
    return path


def run(*arguments: object):
    return CliRunner().invoke(main, ["sheets", *map(str, arguments)])


def test_counting_needs_no_file_and_writes_none(file):
    outcome = run(file, "--count", "--teams", "12", "--json")
    assert outcome.exit_code == 0, outcome.output
    found = json.loads(outcome.stdout)
    assert found["for_a_team"] <= MOST_FOR_A_TEAM
    contents = 1
    assert found["printed"] == contents + sum(sheet["pages"] * sheet["copies"] for sheet in found["sheets"])
    assert [path.name for path in file.parent.iterdir()] == [file.name]
    said = run(file, "--count", "--teams", "12").stdout
    assert f"{found['printed']} pages for 12 teams, {found['for_a_team']} for each team" in said


def test_without_out_and_count_the_place_is_asked_for(file):
    outcome = run(file)
    assert outcome.exit_code == 2
    assert "--out is missing" in outcome.stderr


def test_what_has_no_room_is_said(tmp_path):
    from tests.helpers.made.sheet_challenges import crowded_toml

    path = tmp_path / "crowded.toml"
    path.write_text(crowded_toml(), "utf-8")
    outcome = run(path, "--out", tmp_path / "x.pdf", "--set", "team")
    assert outcome.exit_code == 0
    assert "would be more than 8 pages for a team and is left out; --only questions prints it" in outcome.stderr
