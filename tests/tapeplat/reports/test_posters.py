"""Posters: one page, large names, kind words; looked at as PDFium shows them."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import combinations, groupby

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from PIL import Image

from calib.printed import Box
from measure.result.result import ByHand, CorrectedResult, Result, result_text
from tapeplat.cli.main import main
from tapeplat.paper.pdf.pdf_canvas import MARGIN, PAPERS
from tapeplat.reports.poster_labels import Place, placed_labels
from tapeplat.reports.poster_words import poster_words
from tapeplat.reports.report_content import content_of
from tapeplat.reports.report_files import photo_of, posters_pdf
from tests.helpers.made.results import crowded, ordinary, picture, zone
from tests.helpers.rendered_sheets import Rendered
from tests.tapeplat.reports.test_report_pages import check_sound, squeezed

CAPITAL = 14 * 0.729 * 25.4 / 72
"""mm: a capital letter of 14 points in Bitstream Vera, whose capitals are 1493 of 2048 units high."""


def with_photo(result: Result, width: int = 940, height: int = 740) -> tuple[Result, dict[str, bytes]]:
    """A photo at half a millimetre a pixel that shows the parcel (18 x 14 in) and 5 mm around it."""
    corrected = CorrectedResult("corrected.jpg", 0.5, (-4.75, -4.75))
    return replace(result, corrected=corrected), {"corrected.jpg": picture(width, height)}


def poster(result: Result, paper: str = "letter", words: str = "") -> Rendered:
    made, files = with_photo(result)
    return Rendered(posters_pdf([content_of(made, None, photo_of(made, files))], PAPERS[paper], words))


@pytest.mark.parametrize("made", [ordinary, crowded])
@pytest.mark.parametrize("photo", [True, False])
def test_a_poster_is_one_sound_page_with_names_words_and_signature(made, photo, paper):
    result = made()
    pages = poster(result, paper) if photo else Rendered(posters_pdf([content_of(result)], PAPERS[paper]))
    assert len(pages) == 1
    check_sound(pages)
    text = pages.text(0)
    assert squeezed(content_of(result).name) in text
    for said in ("Three things that are right", "What we try next", "In our own words", "Signed by the team"):
        assert squeezed(said) in text
    for part in result.zones:
        assert part.area is None or squeezed(part.name) in text


@pytest.fixture(params=["letter", "a4"])
def paper(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_names_are_set_in_fourteen_points(paper):
    """A word with a letter as high as a capital (b, t, d, k, l) is a capital high at least."""
    boxes = poster(ordinary("Blue Herons"), paper).text_boxes(0)
    for name in ("library", "stables", "landing", "crusher", "Blue Herons"):
        found = [box for box in boxes if box.text.strip() == name]
        assert len(found) == 1
        assert found[0].bottom - found[0].top >= CAPITAL - 0.1


def test_labels_lie_in_the_picture_and_over_no_other():
    places = [Place(n, name, shapely.box(x, 10, x + 18, 40)) for n, (name, x) in enumerate(
        [("greenhouse", 10), ("landing", 30), ("waterworks", 50), ("bay", 70)], start=1)]  # fmt: skip
    picture_box = Box(5, 5, 90, 60)
    labels = placed_labels(places, picture_box)
    assert {label.number for label in labels} == {1, 2, 3, 4}
    boxes = [shapely.box(b.x, b.y, b.x + b.width, b.y + b.height) for b in (label.box for label in labels)]
    assert not any(one.intersects(other) for one, other in combinations(boxes, 2))
    assert all(shapely.box(5, 5, 95, 65).contains(box) for box in boxes)


def test_a_name_without_room_has_its_number_there_and_its_name_below():
    """Four zones an inch wide beside each other: names of 14 points would cover their neighbours."""
    names = ("the upper waterworks", "the lower waterworks", "the old waterworks", "the new waterworks")
    zones = tuple(zone(name, 1 + 1.1 * n, 1, 1, 0.6) for n, name in enumerate(names))
    pages = poster(replace(ordinary(), zones=zones, rules=()))
    check_sound(pages)
    boxes = pages.text_boxes(0)
    for number, name in enumerate(names, start=1):
        assert squeezed(name) in pages.text(0)
        if not [box for box in boxes if box.text.strip() == name]:
            assert squeezed(f"{number} {name}") in pages.text(0)
            assert [box for box in boxes if box.text.strip() == str(number)]


def test_a_name_that_would_hide_a_piece_or_its_neighbour_stands_beside_it_with_a_line():
    """Two small squares in a wide picture: neither name fits in its own."""
    small = [shapely.box(30, 30, 42, 42), shapely.box(60, 30, 72, 42)]
    places = [Place(n, name, shape) for n, (name, shape) in enumerate(zip(("orchard", "landing"), small, strict=True))]
    for label, own, other in zip(placed_labels(places, Box(0, 0, 120, 80)), small, small[::-1], strict=True):
        box = shapely.box(label.box.x, label.box.y, label.box.x + label.box.width, label.box.y + label.box.height)
        assert not label.is_number
        assert not box.intersects(own)
        assert not box.intersects(other)
        assert label.leader is not None
        assert shapely.LineString(label.leader).intersects(own)
        assert not shapely.LineString(label.leader).intersects(other)


def test_numbers_in_place_of_names_count_from_one():
    names = ("hill", "a name that is much too long for it", "the other name that is much too long")
    rows = [shapely.box(10, y, 100, y + 15) for y in (10, 30, 50)]
    places = [Place(2 * n, name, shape) for n, (name, shape) in enumerate(zip(names, rows, strict=True))]
    labels = placed_labels(places, Box(0, 0, 110, 80))
    assert [label.text for label in labels] == ["hill", "1", "2"]


@pytest.mark.parametrize(("width", "depth", "least"), [(18, 14, 0.7), (14, 14, 0.6), (12, 16, 0.5)])
def test_the_model_goes_across_the_page(width, depth, least, paper):
    """Of the width between the margins; a square or upright parcel has the team's words beside it."""
    made = ordinary()
    parcel = replace(made.parcel, width=float(width), depth=float(depth), area=float(width * depth))
    zones = (zone("library", 1, 1, 4, 3), zone("landing", 7, 8, 3, 4))
    pages = Rendered(posters_pdf([content_of(replace(made, parcel=parcel, zones=zones))], PAPERS[paper]))
    check_sound(pages)
    dark = np.asarray(pages.picture(0, 72.0)).reshape(*pages.picture(0, 72.0).shape[:2], -1).min(axis=2) < 160
    top = dark[round(32 * 72 / 25.4) : round(37 * 72 / 25.4)]
    frame = max(sum(1 for _ in run) for row in top for is_dark, run in groupby(row) if is_dark)
    assert frame >= least * (PAPERS[paper].width - 2 * MARGIN) * 72 / 25.4


def test_what_is_right_comes_from_what_is_met_and_else_from_the_outlines():
    words = poster_words(content_of(ordinary()))
    assert words.right == (
        "The library covers at most 1/5 of the parcel.",
        "We marked 3 zones with tape.",
        "The tape goes all around the library.",
    )


def test_next_is_the_rule_that_is_nearest_to_being_met_as_something_to_do():
    far, near = ordinary().rules[0], ordinary().rules[0]
    far = replace(far, verdict="not met", value=0.9)
    near = replace(near, text="library covers at most 1/4 of the parcel", verdict="not met", value=0.26, limit=0.25)
    words = poster_words(content_of(replace(ordinary(), rules=(far, near))))
    assert words.next == "We make the library a bit smaller."
    assert words.rule == "Our rule: library covers at most 1/4 of the parcel."
    said = "The library covers 26/100 of the parcel. It must cover at most 1/4."
    measured = replace(near, sentence=said)
    assert poster_words(content_of(replace(ordinary(), rules=(far, measured)))).rule == said
    kept = poster_words(content_of(replace(ordinary(), rules=(replace(measured, verdict="met"),))))
    assert kept.right[0] == said, "as everywhere else, with its number and its limit"


def test_distances_are_said_as_moves():
    apart = replace(ordinary().rules[1], over=("stables", "library"))
    assert poster_words(content_of(replace(ordinary(), rules=(apart,)))).next == (
        "We move the stables and the library farther apart."
    )
    close = replace(apart, value=6.0, text="stables are at most 4 1/2 in from library")
    assert poster_words(content_of(replace(ordinary(), rules=(close,)))).next == (
        "We move the stables and the library closer together."
    )


def test_a_verdict_by_hand_counts_on_the_poster():
    broken = replace(ordinary().rules[1], by_hand=ByHand("met", "measured again"))
    words = poster_words(content_of(replace(ordinary(), rules=(broken,))))
    assert words.right[0] == "The stables are at least 4 1/2 in from library."
    assert words.next == "All our rules are met. What can we make even better?"


def test_a_poster_names_no_failure():
    text = poster(ordinary()).text(0).casefold()
    assert not [word for word in ("notmet", "wrong", "fail", "broken", "toosmall", "toolarge") if word in text]


def test_the_team_s_words_take_the_place_of_the_lines():
    said = "Our streets cross at the market. We liked the bridge best."
    assert squeezed(said) in poster(ordinary(), words=said).text(0)
    lines = [poster(ordinary(), words=words).picture(0, 100)[-300:, 100] for words in ("", said)]
    dark = [int(np.count_nonzero(np.diff((column < 200).astype(int)) == 1)) for column in lines]
    assert dark[0] >= dark[1] + 3


def test_the_photo_ends_at_the_parcel():
    """Whoever stands beside the board is not on the wall: the photo of 470 mm is cut to the parcel's 457.2 mm."""
    made, files = with_photo(ordinary())
    photo = photo_of(made, files)
    assert photo is not None
    assert (photo.extent.x, photo.extent.y) == pytest.approx((0, 0), abs=0.5)
    assert (photo.extent.width, photo.extent.height) == pytest.approx((457.2, 355.6), abs=1.0)
    with Image.open(io.BytesIO(photo.jpeg)) as shown:
        assert shown.width / shown.height == pytest.approx(457.2 / 355.6, rel=0.01)


def test_the_command_makes_posters_and_says_what_does_not_go_together(tmp_path):
    for team in ("1", "2"):
        (tmp_path / team).mkdir()
        (tmp_path / team / "result.json").write_text(result_text(ordinary(team)), "utf-8")
    both, out = [str(tmp_path / "1"), str(tmp_path / "2")], tmp_path / "posters.pdf"

    def run(*arguments: str):
        return CliRunner().invoke(main, ["report", *arguments])

    assert run(*both, "--poster", "--out", str(out)).exit_code == 0
    assert len(Rendered(out.read_bytes())) == 2
    one = run(both[0], "--poster", "--words", "We like it.", "--out", str(out))
    assert one.exit_code == 0
    assert "Welikeit." in Rendered(out.read_bytes()).text(0)
    for wrong in (
        [*both, "--poster", "--words", "x"], [both[0], "--words", "x"], [both[0], "--poster", "--map"],
        [both[0], "--poster", "--class"],
    ):  # fmt: skip
        assert run(*wrong, "--out", str(out)).exit_code == 2
    assert run(both[0], "--poster", "--out", str(tmp_path / "x.svg")).exit_code == 2
