"""One measured model on the page: what is shown, verdicts by hand, structures, repairs, attempts, reports."""

from __future__ import annotations

import io
import json
import re
import shutil
import zipfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

import numpy as np
import pypdfium2
import pytest
from flask import Flask

import tapeplat
from calib.camera import Camera
from measure.file_content import FileContent
from measure.plat.seen_solid import SeenSolid
from measure.quantity import Quantity
from measure.result.result import read_result
from tapeplat.archive import NewAttempt
from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.content.repair_request import result_version
from tapeplat.page.jobs.filing_job import FilingJob, with_marks
from tapeplat.page.jobs.solving_job import Question
from tapeplat.page.jobs.upload_check import UploadedPhoto
from tapeplat.page.session.services import Services
from tapeplat.page.session.template_words import day
from tapeplat.page.store.hand_numbers import HandCells, HandEntries
from tests.helpers.clock import days_later
from tests.helpers.page.browser import Browser
from tests.helpers.paths import SAMPLES

TEXT = (SAMPLES / "quarry-lake-1.toml").read_text(encoding="utf-8").replace(
    '"no zones overlap",', '"no zones overlap",\n  "landing uses at least 2 different solids",'
)  # fmt: skip
TEAM = "3"


def job_of(text: str, archive: Path, data: Path, class_id: str = "") -> FilingJob:
    return FilingJob(
        challenge=FileContent("lake.toml", text.encode()),
        team=TEAM,
        photos=(SAMPLES / "quarry-lake-1.jpg",),
        archive=archive,
        data=data,
        class_id=class_id,
    )


@pytest.fixture(scope="module")
def filed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive with one attempt of team 3, measured from a sample photo."""
    root = tmp_path_factory.mktemp("archive") / "root"
    answer = job_of(TEXT, root, root.parent).run()
    assert answer.measured, answer.problem
    return root


@pytest.fixture
def app(tmp_path: Path, filed: Path) -> Flask:
    shutil.copytree(filed, tmp_path / "archive")
    made = create_app(Settings(data=tmp_path / "data", archive=tmp_path / "archive"))
    house = made.extensions["tapeplat"]
    house.challenges.save("lake", TEXT)
    house.archive.give_to_class(house.archive.entries(), house.classes.of("lake").id)
    return made


@pytest.fixture
def entry(house: Services) -> str:
    return house.archive.entries()[0].id


def rule_of(house: Services, entry: str, text: str) -> tuple[str, str | None]:
    """A rule's measured verdict, and the one set by hand."""
    result = read_result(house.archive.entry(entry).folder)
    rule = next(rule for rule in result.rules if rule.text == text)
    return rule.verdict, rule.by_hand.verdict if rule.by_hand else None


EYE = "by eye: every street can be walked from end to end"


def test_a_model_shows_rules_areas_pictures_and_nothing_else_of_the_archive(teacher: Browser, entry: str) -> None:
    page = teacher.text(f"/teacher/model/{entry}")
    assert "Team 3, attempt 1" in page
    assert "orchard covers at least 1/12 of the parcel" in page
    assert page.count('class="verdict verdict-') >= 12
    for name, kind in (("annotated.png", "image/png"), ("corrected.jpg", "image/jpeg"), ("shown.jpg", "image/jpeg")):
        answer = teacher.get(f"/teacher/model/{entry}/{name}")
        assert (answer.status_code, answer.mimetype) == (200, kind)
        answer.close()
    for name in ("result.json", "challenge.toml", "attempt.json", "..%2f..%2fREADME.txt", "photo-1.jpg"):
        assert teacher.get(f"/teacher/model/{entry}/{name}").status_code == 404


@pytest.mark.parametrize("name", ["nosuch", "..", "a.b.1", "%2e%2e", "<b>"])
def test_a_model_that_is_not_there_is_told(teacher: Browser, name: str) -> None:
    assert teacher.get(f"/teacher/model/{name}").status_code == 404


def test_an_entrys_short_name_is_no_address(teacher: Browser, entry: str) -> None:
    assert teacher.get(f"/teacher/model/{entry.split('.', 1)[1]}").status_code == 404


def test_a_by_eye_rule_is_answered_with_a_reason_and_taken_back(teacher: Browser, house: Services, entry: str) -> None:
    address = f"/teacher/model/{entry}/by-hand"
    assert teacher.post(address, {"rule": EYE, "verdict": "met", "reason": " "}).status_code == 400
    assert teacher.post(address, {"rule": EYE, "verdict": "splendid", "reason": "x"}).status_code == 400
    assert teacher.post(address, {"rule": "no such rule", "verdict": "met", "reason": "x"}).status_code == 400
    assert teacher.post(address, {"rule": EYE, "verdict": "met", "reason": "walked all <three>"}).status_code == 303
    assert rule_of(house, entry, EYE) == ("by eye", "met")
    page = teacher.text(f"/teacher/model/{entry}")
    assert "walked all &lt;three&gt;" in page
    assert house.archive.verify() == ()
    assert teacher.post(address, {"rule": EYE, "verdict": "take back"}).status_code == 303
    assert rule_of(house, entry, EYE) == ("by eye", None)


def test_structures_are_entered_judged_and_kept_for_the_teams_next_attempt(
    teacher: Browser, house: Services, entry: str
) -> None:
    rule = "landing uses at least 2 different solids"
    assert rule_of(house, entry, rule)[0] == "not measured"
    row = {"zone": ["landing"] * 2, "solid": ["box", "cylinder"], "length": ["2 1/4", ""], "width": ["1", ""]}
    row |= {"height": ["1", "2"], "diameter": ["", "1"], "unit": ["in"] * 2, "count": ["1"] * 2}
    row |= {"division": ["1/8"] * 2, "piece": [""] * 2}
    form = {f"s_{name}": values for name, values in row.items()}
    assert teacher.post(f"/teacher/model/{entry}/structures", form).status_code == 303
    assert rule_of(house, entry, rule)[0] == "met"
    assert 'value="2 1/4"' in teacher.text(f"/teacher/model/{entry}")
    assert house.tables.structures("lake", TEAM).startswith("team,zone,solid,length")
    wrong = {**form, "s_zone": ["landing", "harbour"], "s_height": ["1", "tall"]}
    refused = teacher.post(f"/teacher/model/{entry}/structures", wrong)
    assert refused.status_code == 400
    assert "tall" in refused.text
    assert "harbour" in refused.text
    assert "Row 2" in refused.text  # the form's second row, which is the table's third
    assert 'value="tall"' in refused.text  # nothing that was typed is lost
    assert rule_of(house, entry, rule)[0] == "met"


def test_outlines_are_repaired_by_script_and_by_form_and_the_repair_is_on_record(
    teacher: Browser, house: Services, entry: str
) -> None:
    folder = house.archive.entry(entry).folder
    before = read_result(folder)
    zone = next(zone for zone in before.zones if zone.name == "landing")
    outline = [list(place) for place in zone.pieces[0].outline]
    outline[0] = [outline[0][0] - 0.2, outline[0][1] - 0.2]
    edit = {"do": "reshape", "zone": "landing", "piece": 1, "outline": outline}
    headers = {"X-CSRF": teacher.token(), "X-Fragment": "1"}
    asked = {"base": result_version(folder), "edits": [edit]}
    answer = teacher.client.post(f"/teacher/model/{entry}/outlines", json=asked, headers=headers)
    assert answer.status_code == 200, answer.text
    assert '<div id="model">' in answer.text
    assert "<html" not in answer.text
    assert "changed by hand" in answer.text
    after = next(zone for zone in read_result(folder).zones if zone.name == "landing")
    assert after.area is not None
    assert zone.area is not None
    assert after.area.value > zone.area.value
    stale = teacher.client.post(f"/teacher/model/{entry}/outlines", json=asked, headers=headers)
    assert stale.status_code == 409
    assert "again" in json.loads(stale.text)["error"]["what"]
    form = {"base": result_version(folder), "of-1": "landing", "piece-1": "1", "to-1": "landing", "remove-1": "yes"}
    assert teacher.post(f"/teacher/model/{entry}/outlines", form).status_code == 303
    assert next(zone for zone in read_result(folder).zones if zone.name == "landing").pieces == ()
    assert house.archive.verify() == ()


def test_verdicts_by_hand_stay_when_outlines_are_repaired(teacher: Browser, house: Services, entry: str) -> None:
    teacher.post(f"/teacher/model/{entry}/by-hand", {"rule": EYE, "verdict": "not met", "reason": "a dead end"})
    folder = house.archive.entry(entry).folder
    form = {"base": result_version(folder), "of-1": "landing", "piece-1": "1", "to-1": "landing", "remove-1": "yes"}
    teacher.post(f"/teacher/model/{entry}/outlines", form)
    assert rule_of(house, entry, EYE) == ("by eye", "not met")


def test_two_attempts_are_compared_and_one_is_removed(teacher: Browser, house: Services, entry: str) -> None:
    changed = TEXT.replace("at most 1/8", "at most 1/9")
    assert job_of(changed, house.settings.archive, house.settings.data, house.classes.of("lake").id).run().measured
    second = house.archive.entries()[1].id
    assert "Compare with attempt 1" in teacher.text(f"/teacher/model/{second}")
    page = teacher.text(f"/teacher/archive/compare?before={entry}&after={second}")
    assert "landing covers at most 1/9 of the parcel" in page
    assert "the same" in page
    drawing = teacher.get(f"/teacher/archive/overlay.svg?before={entry}&after={second}")
    assert drawing.mimetype == "image/svg+xml"
    assert "script" not in drawing.headers["Content-Security-Policy"]
    assert teacher.get(f"/teacher/archive/compare?before={entry}").status_code == 400
    assert teacher.post(f"/teacher/model/{second}/remove").location == "/teacher/challenge/lake/results"
    assert [left.id for left in house.archive.entries()] == [entry]
    assert "1 removed attempt" in teacher.text("/teacher/archive")


def test_results_reports_and_tables(teacher: Browser, house: Services) -> None:
    house.classes.name_teams("lake", {3: "The Otters"})
    page = teacher.text("/teacher/challenge/lake/results")
    assert "Team 3: The Otters" in page
    assert "not met" in page
    for address in ("/teacher/challenge/lake/report.pdf", f"/teacher/model/{house.archive.entries()[0].id}/report.pdf"):
        assert teacher.get(address).data.startswith(b"%PDF-")
    table = teacher.get("/teacher/challenge/lake/class.csv")
    assert table.mimetype == "text/csv"
    assert "orchard covers" in table.text
    assert teacher.get("/teacher/challenge/lake/secret.csv").status_code == 404


def test_posters_have_the_teams_names_and_the_words_that_were_typed(
    teacher: Browser, nobody: Browser, house: Services, entry: str
) -> None:
    house.classes.name_teams("lake", {3: "The Otters"})
    assert "/teacher/challenge/lake/posters.pdf" in teacher.text("/teacher/challenge/lake/results")
    assert f"/teacher/model/{entry}/poster.pdf" in teacher.text(f"/teacher/model/{entry}")
    for path in (
        "/teacher/challenge/lake/posters.pdf?paper=a4",
        f"/teacher/model/{entry}/poster.pdf?words=We+built+it.",
    ):
        answer = teacher.get(path)
        document = pypdfium2.PdfDocument(answer.data)
        words = "".join(document[0].get_textpage().get_text_range().split())
        assert "Team3:TheOtters" in words
        assert ("Webuiltit." in words) == ("words=" in path)
        assert nobody.get(path).status_code == 302


def test_questions_from_a_model_are_about_that_model_alone(teacher: Browser, entry: str) -> None:
    assert f"/teacher/model/{entry}/kit.docx" in teacher.text(f"/teacher/model/{entry}")
    document = pypdfium2.PdfDocument(teacher.get(f"/teacher/model/{entry}/kit.pdf").data)
    heads = [page.get_textpage().get_text_range().splitlines()[0] for page in document]
    assert heads[0] == "Team 3: what do our numbers say?"
    assert all(head.startswith("Team 3: ") for head in heads)


def test_progress_is_one_click_away_and_refused_teams_stand_in_the_table(
    teacher: Browser, house: Services, entry: str
) -> None:
    photo = UploadedPhoto((SAMPLES / "quarry-lake-1.jpg").read_bytes(), ".jpg", "a.jpg", b"")
    house.jobs.finish(house.jobs.add("lake", "5", [photo], "teacher"), "refused", "Hold still.")
    page = teacher.text("/teacher/challenge/lake/results")
    assert "photo refused: Hold still." in page
    assert re.search(r"<td>\d+ of \d+</td>", page)
    assert "/teacher/challenge/lake/progress.pdf" in page
    first = house.archive.entry(entry)
    files = {name: (first.folder / name).read_bytes() for name in ("result.json", "plat.svg")}
    challenge = (first.folder / "challenge.toml").read_bytes()
    house.archive.save(NewAttempt(first.title, first.team, challenge, files, class_id=first.class_id))
    last = house.archive.entries()[-1].id
    assert f"/teacher/model/{last}/attempts.pdf" in teacher.text(f"/teacher/model/{last}")
    wanted = {
        "/teacher/challenge/lake/progress.pdf": "ourclass'sprogress", f"/teacher/model/{last}/attempts.pdf": "attempt2",
        "/teacher/challenge/lake/report.pdf": "photonotmeasured:seebelow",
    }  # fmt: skip
    for path, said in wanted.items():
        words = pypdfium2.PdfDocument(teacher.get(path).data)[0].get_textpage().get_text_range()
        assert said in "".join(words.split())


def test_what_is_old_is_listed_before_it_is_deleted(teacher: Browser, house: Services, entry: str) -> None:
    assert teacher.post("/teacher/archive/expire", {"months": "0"}).status_code == 400
    today = teacher.post("/teacher/archive/expire", {"months": "1"}).text
    assert "nothing that old" in today, "its photo is older, and it was filed just now"
    cells = HandCells("QX", "landing", "", "side", "1", "3", "in", "ruler", "1/8 in")
    HandEntries(house.database).add("lake", 3, entry, cells, asked=True)
    with days_later(40):
        listed = teacher.post("/teacher/archive/expire", {"months": "1"}).text
        assert f"team 3, attempt 1, filed {day(datetime.now())}" in listed
        assert len(house.archive.entries()) == 1
        done = teacher.post("/teacher/archive/expire", {"months": "1", "sure": "yes"})
    assert "1 attempt deleted for good" in teacher.text(done.location)
    assert house.archive.entries() == ()
    assert HandEntries(house.database).of("lake", 3) == [], "the numbers that were compared with it"


def test_what_cannot_be_read_is_counted_where_old_attempts_are_deleted(teacher: Browser, house: Services) -> None:
    there = house.archive.entries()[0].folder
    (there / "attempt.json").write_text("{", encoding="utf-8")
    there.rename(there.parent / "attempt-001-2099-01-01")
    assert "1 attempt cannot be read" in teacher.text("/teacher/archive")
    assert "1 more attempt cannot be read" in teacher.post("/teacher/archive/expire", {"months": "1"}).text
    with days_later(40):
        listed = teacher.post("/teacher/archive/expire", {"months": "1"}).text
        assert "more attempt" not in listed
        assert "Delete 1 attempt for good" in listed
        teacher.post("/teacher/archive/expire", {"months": "1", "sure": "yes"})
    assert house.archive.unreadable() == ()


def test_damage_is_named_and_does_not_break_the_lists(teacher: Browser, house: Services, entry: str) -> None:
    (house.archive.entry(entry).folder / "result.json").write_text("{", encoding="utf-8")
    assert "result.json" in teacher.post("/teacher/settings/check").text
    assert teacher.get("/teacher/challenge/lake/results").status_code == 200
    assert teacher.get("/teacher/archive").status_code == 200
    assert teacher.get(f"/teacher/model/{entry}").status_code in (400, 404)


def test_students_and_strangers_get_nothing_of_it(nobody: Browser, entry: str) -> None:
    for path in ("", "/annotated.png", "/corrected.jpg", "/shown.jpg", "/report.pdf"):
        assert nobody.get(f"/teacher/model/{entry}{path}").status_code == 302
    assert nobody.post(f"/teacher/model/{entry}/remove").status_code == 403
    assert nobody.get("/teacher/archive").status_code == 302


def test_what_a_team_could_change_is_asked_of_its_model(teacher: Browser, house: Services, entry: str) -> None:
    page = teacher.text(f"/teacher/model/{entry}")
    assert f"/teacher/solvable/model/{entry}" in page
    entry_folder = house.archive.entry(entry).folder
    texts = [(entry_folder / name).read_text(encoding="utf-8") for name in ("challenge.toml", "result.json")]
    said = Question(*texts).run()
    assert said.heading == "What this team could change"
    assert all(line[0].isupper() and line.endswith(".") for line in said.sentences)
    assert said.sentences
    assert said.drawing == ""


def test_what_is_handed_on_holds_what_was_asked_and_nothing_else(teacher: Browser, house: Services) -> None:
    title = house.archive.entries()[0].class_id
    answer = teacher.get(f"/teacher/archive/export.zip?of={quote(title)}&part=page&part=plat")
    with zipfile.ZipFile(io.BytesIO(answer.data)) as packed:
        assert {Path(name).name for name in packed.namelist()} <= {"index.html", "plat.svg", ""}
        assert any(name.endswith("plat.svg") for name in packed.namelist())
    assert teacher.get(f"/teacher/archive/export.zip?of={quote(title)}").status_code == 400
    assert teacher.get("/teacher/archive/export.zip?of=other&part=page").status_code == 400
    assert teacher.get(f"/teacher/archive/export.zip?of={quote(title)}&part=originals").status_code == 400


def with_solids(house: Services, entry: str, *solids: SeenSolid) -> None:
    """The attempt as if several photos had shown structures on it."""
    found = house.archive.entry(entry)
    made = tapeplat.check(found.folder / "challenge.toml", found.folder)
    made = tapeplat.repair(replace(made, plat=replace(made.plat, solids=solids)), ())
    files = {name: data for name, data in made.files.items() if name != "corrected.jpg"}
    house.archive.replace_result(found, files, "photos")


def a_box(x: float, y: float, height: float) -> SeenSolid:
    corners = np.array([[x, y], [x + 20, y], [x + 20, y + 10], [x, y + 10]])
    numbers = (200.0, height, 200 * height, 400 + 60 * height, 60 * height)
    return SeenSolid("box", corners, *(Quantity(number, np.array([number / 100])) for number in numbers))


def test_what_photos_show_stands_beside_the_table_and_one_click_says_that_it_is_all(
    teacher: Browser, house: Services, entry: str
) -> None:
    rule = "landing uses at least 2 different solids"
    with_solids(house, entry, a_box(40, 40, 25.4), a_box(80, 40, 50.8))
    page = teacher.text(f"/teacher/model/{entry}")
    assert "What the photos show" in page
    assert re.search(r'<td>2</td><td>[^<]*</td><td>box</td><td class="number">2 in</td>', page)
    assert rule_of(house, entry, rule)[0] == "not measured"
    assert teacher.post(f"/teacher/model/{entry}/all-shown", {"all": "yes"}).status_code == 303
    assert rule_of(house, entry, rule)[0] == "not met"
    assert "measured from the photos" in teacher.text(f"/teacher/model/{entry}").casefold()
    assert teacher.post(f"/teacher/model/{entry}/all-shown", {"all": "no"}).status_code == 303
    assert rule_of(house, entry, rule)[0] == "not measured"


def marks_in(house: Services, entry: str, height: float) -> dict[str, str]:
    """Foot and top, in px of the photo, of an upright edge in the middle of the parcel, as its camera sees it."""
    record = read_result(house.archive.entry(entry).folder).photos[0].camera
    assert record is not None
    camera = Camera(np.array(record.parameters), record.size)
    (foot,), (top,) = (camera.project(np.array([[40.0, 40.0]]), tall) for tall in (0.0, height))
    places = {"foot_x": foot[0], "foot_y": foot[1], "top_x": top[0], "top_y": top[1]}
    return {"photo": "1", "marking": "2", **{name: f"{place:.2f}" for name, place in places.items()}}


def test_a_height_is_marked_in_the_photo_judged_and_taken_away(teacher: Browser, house: Services, entry: str) -> None:
    address = f"/teacher/model/{entry}"
    page = teacher.text(f"{address}/mark")
    assert 'name="foot_x"' in page
    photo = teacher.get(f"{address}/mark/photo-1")
    assert (photo.status_code, photo.mimetype) == (200, "image/jpeg")
    photo.close()
    assert teacher.get(f"{address}/mark/photo-2").status_code == 404
    upside_down = marks_in(house, entry, 150.0)
    upside_down["top_x"], upside_down["foot_x"] = upside_down["foot_x"], upside_down["top_x"]
    upside_down["top_y"], upside_down["foot_y"] = upside_down["foot_y"], upside_down["top_y"]
    refused = teacher.post(f"{address}/mark", upside_down)
    assert refused.status_code == 400
    assert "the top lies no higher than the foot" in refused.text
    assert teacher.post(f"{address}/mark", marks_in(house, entry, 150.0)).status_code == 303
    (seen,) = read_result(house.archive.entry(entry).folder).seen
    assert (seen.origin, seen.solid, seen.floor, seen.volume) == ("marked photo", "other", None, None)
    assert seen.height is not None
    assert seen.height.value == pytest.approx(150.0 / 25.4, abs=0.02)
    assert seen.height.u95 > 0.02
    assert "Take the mark away" in teacher.text(address)
    there = house.archive.entry(entry).folder
    anew = tapeplat.check(there / "challenge.toml", there)
    anew = replace(anew, plat=replace(anew.plat, solids=()))
    assert [one.origin for one in with_marks(anew, house.archive.entries()).result.seen] == ["marked photo"]
    assert with_marks(anew, ()) is anew
    assert teacher.post(f"{address}/mark", {"do": "remove", "number": "1"}).status_code == 303
    assert read_result(house.archive.entry(entry).folder).seen == ()


def test_which_photos_are_wanted_is_said_before_they_are_sent(teacher: Browser, house: Services) -> None:
    assert "20 to 40 degrees off straight above" in teacher.text("/teacher/challenge/lake/photos")
    house.challenges.save("flat", TEXT.replace('"landing uses at least 2 different solids",', ""))
    assert "Buildings in photos" not in teacher.text("/teacher/challenge/flat/photos")
