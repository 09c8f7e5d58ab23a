"""The class board: what it says of every team, photos given to their teams, and all of it live in a browser."""

from __future__ import annotations

import html
import io
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.class_board import team_states
from tapeplat.page.class_board.team_states import ClassBoard, TeamState, class_board
from tapeplat.page.session.services import Services
from tapeplat.page.store.hand_numbers import HandCells, HandEntries
from tapeplat.workers.model_job import ModelAnswer
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.chromium import CHROMIUM, WCAG, started_browser
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.page.student_world import ENTRY, SLUG, TITLE, file_attempt
from tests.tapeplat.page.test_queue import checked_upload, photo
from tests.tapeplat.page.test_story import World
from tests.tapeplat.page.test_uploads import labelled

BOARD = f"/teacher/challenge/{SLUG}/board"
FOR_EVER = 1e12
REFUSED = "The card cannot be found. Lay the whole card on the board and take the photo again."


def add(house: Services, team: str, why: str = "") -> int:
    return house.jobs.add(SLUG, team, [checked_upload(photo(), f"{team or 'x'}.jpg")], "teacher", why)


def refuse(house: Services, team: str) -> int:
    number = add(house, team)
    house.jobs.finish(number, "refused", REFUSED)
    return number


def a_class(house: Services, folder: Path) -> None:
    """Team 1 is measured, 2 refused, 3 waiting, 4 measured and refused since, 5 has no photo; one photo is nobody's."""
    house.challenges.create(TITLE, CHALLENGE)
    house.classes.set_teams(SLUG, 5, 3)
    house.classes.name_teams(SLUG, {1: "The Otters"})
    for team in ("1", "4"):
        file_attempt(house, folder, team)
    refuse(house, "2")
    refuse(house, "4")
    add(house, "3")
    add(house, "", "No team label is in it.")
    cells = HandCells(**{name: ENTRY.get(name, "") for name in HandCells.__dataclass_fields__})
    HandEntries(house.database).add(SLUG, 1, "", cells, asked=True)


class TestWithoutABrowser:
    @pytest.fixture(autouse=True)
    def the_class(self, house: Services, tmp_path: Path) -> None:
        a_class(house, tmp_path / "made")

    def board(self, teacher: Browser) -> ClassBoard:
        with teacher.client.application.app_context():
            return class_board(SLUG)

    def team(self, teacher: Browser, name: str) -> TeamState:
        return next(team for team in self.board(teacher).teams if team.team == name)

    def test_every_team_has_one_word(self, teacher: Browser) -> None:
        found = {team.team: team.state for team in self.board(teacher).teams}
        assert found == {"1": "measured", "2": "refused", "3": "waiting", "4": "measured", "5": "no photo"}
        assert self.board(teacher).tally == [("measured", 2), ("waiting", 1), ("refused", 1), ("no photo", 1)]
        page = teacher.text(BOARD)
        assert "The Otters" in page
        assert "1 hand measurement" in page
        assert REFUSED in page

    def test_its_verdicts_are_those_of_the_results(self, teacher: Browser, house: Services) -> None:
        assert self.team(teacher, "1").counts == [("met", 2), ("by eye", 1)]
        house.challenges.save(SLUG, CHALLENGE.replace("at most 1/5", "at most 1/25"))
        assert self.team(teacher, "1").counts == []
        assert "judged by the challenge as it was before" in teacher.text(BOARD)

    def test_refused_photos_of_a_team_with_a_good_one_are_folded(self, teacher: Browser) -> None:
        tile = teacher.text(BOARD).split('id="team-4"')[1].split("</li>")[0]
        before, folded = tile.split('<details id="refused-4">')
        assert REFUSED not in before
        assert "1 refused photo" in folded
        assert REFUSED in folded

    def test_nobodys_photo_is_measured_when_it_has_its_team(self, teacher: Browser, house: Services) -> None:
        (nobodys,) = self.board(teacher).ownerless
        asked: list[str] = []
        house.queue.work_off(lambda job: asked.append(job.team) or ModelAnswer(True, entry="e"))  # type: ignore[func-returns-value]
        assert asked == ["3"], "nobody said whose the other one is"
        assert teacher.post(f"/teacher/job/{nobodys.id}/team", {"team": "9"}).status_code == 400
        assert teacher.post(f"/teacher/job/{nobodys.id}/team", {"team": "5"}).location.endswith("/board")
        assert teacher.post(f"/teacher/job/{nobodys.id}/team", {"team": "2"}).status_code == 409
        house.queue.work_off(lambda job: asked.append(job.team) or ModelAnswer(True, entry="e"))  # type: ignore[func-returns-value]
        assert asked == ["3", "5"]

    def test_a_photo_that_waits_under_a_wrong_team_is_moved_or_set_aside(
        self, teacher: Browser, house: Services
    ) -> None:
        waiting, refused = self.team(teacher, "3").waiting[0], self.team(teacher, "2").refused[0]
        assert "Another team's photo?" in html.unescape(teacher.text(BOARD).split('id="team-3"')[1].split("</li>")[0])
        give = f"/teacher/job/{waiting.id}/team"
        assert teacher.post(give, {"team": "5", "before": "1"}).status_code == 409, "it is not team 1's"
        assert teacher.post(give, {"team": "5", "before": "3"}).location.endswith("/board")
        assert self.team(teacher, "3").state == "no photo"
        assert teacher.post(give, {"aside": "yes", "before": "5"}).location.endswith("/board")
        aside = next(job for job in self.board(teacher).ownerless if job.id == waiting.id)
        assert aside.message == "It was sent as team 5's, and set aside."
        house.queue.work_off(lambda job: pytest.fail("nobody says whose it is"))
        assert teacher.post(give, {"team": "3"}).location.endswith("/board")
        asked: list[str] = []
        house.queue.work_off(lambda job: asked.append(job.team) or ModelAnswer(True, entry="e"))  # type: ignore[func-returns-value]
        assert asked == ["3"]
        assert teacher.post(f"/teacher/job/{refused.id}/team", {"team": "5", "before": "2"}).status_code == 303
        assert [job.message for job in self.team(teacher, "5").refused] == [REFUSED]
        assert teacher.post(f"/teacher/job/{refused.id}/team", {"aside": "yes", "before": "5"}).status_code == 409

    def test_a_photo_that_is_being_measured_stays(self, teacher: Browser, house: Services) -> None:
        job = house.jobs.claim()
        assert job is not None
        answer = teacher.post(f"/teacher/job/{job.id}/team", {"team": "5", "before": "3"})
        assert answer.status_code == 409
        assert "being measured just now" in answer.text
        assert "Another team" not in teacher.text(BOARD).split('id="team-3"')[1].split("</li>")[0]

    def test_what_did_not_change_is_not_drawn_again(
        self, teacher: Browser, house: Services, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(team_states, "ANEW", FOR_EVER)
        first = teacher.client.get(f"{BOARD}/now", headers={"X-Fragment": "1"})
        known = {"X-Fragment": "1", "X-Stamp": first.headers["X-Stamp"]}
        assert teacher.client.get(f"{BOARD}/now", headers=known).status_code == 204
        refuse(house, "5")
        assert "2 refused" in teacher.client.get(f"{BOARD}/now", headers=known).text

    def test_photos_without_a_team_are_held_and_erased(self, teacher: Browser, house: Services) -> None:
        held = f"/teacher/challenge/{SLUG}/held"
        phone = house.visits.begin("phone", SLUG, "a phone", "")
        assert "Erase these photos" in teacher.text(held)
        assert "photos without a team" in teacher.post(f"{held}/erase", {"team": ""}).text
        done = teacher.post(f"{held}/erase", {"team": "", "sure": "yes"})
        assert "No photo without a team is left" in teacher.text(done.location)
        assert all(job.team for job in house.jobs.open_of(SLUG))
        assert len(house.jobs.open_of(SLUG)) == 3, "the teams' own stay"
        assert house.visits.holds(phone, "phone"), "it is in no team, and is nobody's photo"

    def test_for_the_projector_there_are_no_verdicts(self, teacher: Browser) -> None:
        page = teacher.text(f"{BOARD}?plain=1")
        assert "verdict" not in page.split('data-live="')[1].split('id="board-teams"')[1]
        assert "small.jpg" not in page
        assert "measured" in page

    def test_pictures_are_small(self, teacher: Browser, house: Services) -> None:
        answer = teacher.get(f"/teacher/model/{house.archive.entries()[0].id}/small.jpg")
        assert answer.mimetype == "image/jpeg"
        assert len(answer.data) < 60_000

    def test_it_is_the_teachers(self, nobody: Browser) -> None:
        assert nobody.get(BOARD).status_code == 302
        assert nobody.client.get(f"{BOARD}/now", headers={"X-Fragment": "1"}).status_code == 403


playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
SLOW = 60_000  # ms


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """The class on a socket; nothing is measured before a test says so."""
    folder = tmp_path_factory.mktemp("board")
    port = free_port()
    settings = Settings(folder / "data", folder / "archive", port, address=f"http://127.0.0.1:{port}", workers=0)
    app = create_app(settings)
    house = app.extensions["tapeplat"]
    a_class(house, folder / "made")
    with on_socket(app, port) as base, started_browser() as browser:
        made = World(base, house, browser)
        with made.page() as page:
            page.goto(f"{base}/start/{house.start_key.key}")
            made.state = page.context.storage_state()
        yield made
    house.close()


@pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
class TestInABrowser:
    @pytest.fixture(autouse=True)
    def quiet(self, world: World) -> Iterator[None]:
        world.said.clear()
        yield
        assert world.said == []

    @pytest.mark.parametrize(("size", "scheme"), [("laptop", "dark"), ("laptop", "light"), ("phone", "light")])
    @pytest.mark.parametrize("plain", ["", "?plain=1"])
    def test_nobody_is_kept_out(self, world: World, size: str, scheme: str, plain: str) -> None:
        with world.page(size, color_scheme=scheme, reduced_motion="reduce") as page:
            page.goto(f"{world.base}{BOARD}{plain}")
            page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true; })")
            found = axe.Axe().run(page, options=WCAG).response["violations"]
            assert [f"{item['id']}: {node['html'][:150]}" for item in found for node in item["nodes"]] == []
            wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            assert page.evaluate(wide) <= 0

    def test_a_measured_team_whose_new_photo_waits_can_be_read_on_a_phone(self, world: World) -> None:
        number = add(world.house, "1")
        with world.page("phone") as page:
            page.goto(f"{world.base}{BOARD}")
            word = page.locator("#team-1 .state")
            playwright.expect(word).to_contain_text("new photo waiting")
            assert word.bounding_box()["width"] > 120
        world.house.jobs.dismiss(number)

    def test_it_follows_without_a_reload_and_keeps_what_is_being_chosen(self, world: World) -> None:
        house = world.house
        with world.page() as page:
            page.goto(f"{world.base}{BOARD}")
            expect = playwright.expect
            choice = page.get_by_label("Team of x.jpg")
            choice.focus()
            page.keyboard.type("Team 5")
            refuse(house, "3")
            expect(page.locator("#team-3")).to_contain_text("The card cannot be found", timeout=SLOW)
            expect(choice, "what was chosen by the keyboard is kept").to_have_value("5")
            expect(choice).to_be_focused()
            page.keyboard.press("Tab")
            page.keyboard.press("Enter")
            expect(page.locator("#board-ownerless > li")).to_have_count(0)
            expect(page.locator("#team-5")).to_contain_text("waiting")
            page.evaluate("window.mine = 1")  # giving it is a form, and loads the page
            house.queue.work_off(lambda job: ModelAnswer(False, problem="it did not end well"))
            expect(page.locator("#team-5")).to_contain_text("It did not end well", timeout=SLOW)
            page.get_by_role("link", name="Team 1", exact=True).focus()
            file_attempt(house, house.settings.data / "later", "1")
            expect(page.locator("#team-1")).to_contain_text("attempt 2", timeout=SLOW)
            expect(page.get_by_role("link", name="Team 1", exact=True)).to_be_focused()
            assert page.evaluate("window.mine") == 1, "the page was not loaded again"

    @pytest.mark.parametrize("size", ["laptop", "phone"])
    def test_a_wrong_teams_photo_is_moved_where_it_is_seen(self, world: World, size: str) -> None:
        number, expect = add(world.house, "5"), playwright.expect
        with world.page(size) as page:
            page.goto(f"{world.base}{BOARD}")
            own = page.locator(f"#other-{number}")
            own.get_by_text("Another team's photo?").click()
            later = add(world.house, "5")
            expect(page.locator(f"#other-{later}")).to_be_visible(timeout=SLOW)
            own.get_by_label("It shows the model of").select_option("Team 2")  # what was opened is still open
            own.get_by_role("button", name="Move it there").click()
            expect(page.locator("#team-2 .state")).to_contain_text("waiting")
            page.locator(f"#other-{later} summary").click()
            page.locator(f"#other-{later}").get_by_role("button", name="Set it aside").click()
            expect(page.locator("#board-ownerless")).to_contain_text("It was sent as team 5's, and set aside.")
            expect(page.locator("#team-5 .state")).not_to_contain_text("waiting")
        world.house.jobs.dismiss(number)
        world.house.jobs.dismiss(later)

    def test_a_phone_sees_what_becomes_of_its_photos(self, world: World) -> None:
        house = world.house
        house.queue.work_off(lambda job: ModelAnswer(False, problem="it did not end well"))
        add(house, "4")  # the teacher's, which is none of the phone's business
        with world.page("phone", teacher=False) as phone:
            phone.goto(f"{world.base}/phone/key/{house.upload_keys.make(SLUG)}")
            phone.get_by_role("button", name="Use this phone").click()
            expect, sent = playwright.expect, phone.locator("#sent-list")
            for team in ("2", "label"):
                phone.get_by_label("Team", exact=True).select_option(team)
                photo_file = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": labelled()}
                phone.set_input_files("#files", photo_file)
                phone.get_by_role("button", name="Send and measure").click()
            expect(sent.locator("li")).to_have_count(2, timeout=SLOW)  # they are sent in the background
            expect(sent).to_contain_text("waits until your teacher says whose model it is. No team label is in it.")
            expect(sent).to_contain_text("waiting, 1 model before it", timeout=SLOW)
            house.queue.work_off(lambda job: ModelAnswer(job.team == "4", problem="the card is hidden; lay it flat"))
            expect(sent).to_contain_text("not measured", timeout=SLOW)
            expect(sent).to_contain_text("The card is hidden; lay it flat.")
            nobodys = next(job for job in house.jobs.open_of(SLUG) if not job.team)
            house.jobs.assign(nobodys.id, "3")
            house.queue.work_off(lambda job: ModelAnswer(True, entry="e"))
            expect(sent).to_contain_text("✓ measured", timeout=SLOW)

    def test_a_lost_connection_is_said_and_comes_back(self, world: World) -> None:
        with world.page() as page:
            page.goto(f"{world.base}{BOARD}")
            page.route("**/board/now", lambda route: route.abort())
            playwright.expect(page.locator("[data-lost]")).to_have_count(1, timeout=SLOW)
            page.unroute("**/board/now")
            playwright.expect(page.locator("[data-lost]")).to_have_count(0, timeout=2 * SLOW)
            world.said.clear()  # the browser's own line about the request that failed


def test_thirty_teams_are_looked_up_quickly(
    teacher: Browser, house: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(team_states, "ANEW", FOR_EVER)
    house.challenges.create(TITLE, CHALLENGE)
    house.classes.set_teams(SLUG, 30, 3)
    for team in range(1, 31):
        file_attempt(house, tmp_path, str(team))
    address, known = f"{BOARD}/now", {"X-Fragment": "1"}
    stamp = teacher.client.get(address, headers=known).headers["X-Stamp"]
    begun = time.process_time()
    answers = [teacher.client.get(address, headers={**known, "X-Stamp": stamp}).status_code for _ in range(20)]
    each = (time.process_time() - begun) / 20
    assert answers == [204] * 20
    assert each < 0.05, f"{each * 1000:.0f} ms of computing for one look at a board that stayed as it was"


def test_a_photo_file_that_is_none_is_told_and_the_others_are_taken_in(teacher: Browser, house: Services) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    sent = [(io.BytesIO(labelled()), "a.jpg"), (io.BytesIO(b"x"), "b.txt")]
    answer = teacher.post(f"/teacher/challenge/{SLUG}/photos", {"team": "label", "photos": sent})
    assert "1 of 2 photos were taken in" in answer.text
    assert [(job.team, job.message) for job in house.jobs.open_of(SLUG)] == [("", "No team label is in it.")]


def test_the_newest_refused_photo_is_shown_and_the_others_are_folded(teacher: Browser, house: Services) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    house.classes.name_teams(SLUG, {2: "Herons"})
    numbers = [refuse(house, "1") for _ in range(3)]
    add(house, "", "No team label is in it.")
    page = teacher.text(BOARD)
    assert ">Team 2: Herons</option>" in page
    tile = page.split('id="team-1"')[1].split("</li>")[0]
    before, folded = tile.split('<details id="refused-1">')
    assert f"/teacher/job/{numbers[-1]}/preview.jpg" in before
    assert before.count(REFUSED) == 1
    assert "2 more refused photos" in folded
    assert folded.count(REFUSED) == 2


def test_a_full_disk_is_no_refused_photo(teacher: Browser, house: Services) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    house.jobs.finish(add(house, "1"), "failed", "The disk is full; free some space, then do it again.")
    refuse(house, "2")
    page = teacher.text(BOARD)
    assert "1 not measured" in page
    assert "1 refused" in page
    assert '<p class="state">not measured</p>' in page.split('id="team-1"')[1]
