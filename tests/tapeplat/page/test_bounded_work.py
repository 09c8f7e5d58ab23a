"""What one participant can do to all: bodies, photos and plans are bounded before they cost the others anything."""

from __future__ import annotations

import http.client
import io
import json
import math
import re
import socket
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from flask import Flask
from PIL import Image

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.content import photo_upload
from tapeplat.page.jobs.fair_line import FairLine
from tapeplat.page.jobs.large_photos import OneLarge, is_large
from tapeplat.page.jobs.photo_look import LIMITS, looked_at
from tapeplat.page.jobs.plan_checking import PlanChecker, PlanQuestion
from tapeplat.page.jobs.upload_check import UploadRefused
from tapeplat.page.judged_requests import BodyJudge
from tapeplat.page.session.services import Services
from tapeplat.page.session.upload_turns import Turns
from tapeplat.workers.worker_pool import InProcess, Limits, WorkerFailed, WorkerPool
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.page.student_world import open_all
from tests.helpers.worker_jobs import Double, Slow
from tests.tapeplat.page.test_uploads import photo
from vision.picture.photo import register_heif


def head(host: str, length: int, more: str = "") -> bytes:
    return f"POST /class/code HTTP/1.1\r\nHost: {host}\r\nContent-Length: {length}\r\n{more}\r\n".encode()


def sent_before_refusal(port: int, first: bytes, chunked: bool = False) -> tuple[str, int]:
    """The status line of a request whose body goes on and on, and how many bytes of it were taken in."""
    piece, taken = bytes(65_536), 0
    if chunked:
        piece = f"{len(piece):x}\r\n".encode() + piece + b"\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=20) as client:
        client.sendall(first)
        client.settimeout(0.2)
        while taken < 40_000_000:
            try:
                answer = client.recv(200)
                break
            except TimeoutError:
                pass
            try:
                for _ in range(40):
                    client.sendall(piece)
                    taken += len(piece)
            except OSError:
                client.settimeout(5)
                answer = client.recv(200) if taken else b""
                break
        else:
            answer = b"HTTP/1.1 000 taken in"
        with suppress(OSError):
            while client.recv(65_536):
                pass
    time.sleep(0.2)  # the server's own end is closed before the server is
    return answer.decode("latin-1").split("\r\n")[0], taken


@pytest.mark.parametrize(
    ("host", "more", "status"),
    [("127.0.0.1", "", 413), ("evil.example", "", 421), ("127.0.0.1", "Expect: 100-continue\r\n", 413)],
)
def test_a_large_body_is_refused_by_its_head_and_never_kept(app: Flask, host: str, more: str, status: int) -> None:
    port = free_port()
    with on_socket(app, port):
        line, taken = sent_before_refusal(port, head(host, 250_000_000, more))
    assert f" {status} " in line
    assert taken == 0, "the head alone decides"


def test_the_sender_of_too_much_is_told_so_when_all_is_sent(app: Flask, house: Services, nobody: Browser) -> None:
    """Browsers look for an answer when they have sent all; a connection that is closed before shows none."""
    house.challenges.save("gull", CHALLENGE)
    nobody.post(f"/phone/key/{house.upload_keys.make('gull')}")
    cookie = "; ".join(f"{c.key}={c.value}" for c in nobody.client._cookies.values())
    head = {"Cookie": cookie, "X-CSRF": nobody.token(), "Content-Type": "multipart/form-data; boundary=x"}
    port = free_port()
    with on_socket(app, port):
        status, page = posted(port, "/sign-in", head, 12_000_000)
        assert status == 413
        assert "<h1>That is too much at once</h1>" in page
        house.visits.end_role("phone")
        status, said = posted(port, "/phone/photos", {**head, "Accept": "application/json"}, 6_000_000)
        assert status == 403, "a phone that was signed out is told that it is"
        assert "may not send photos" in json.loads(said)["error"]["what"]


def posted(port: int, path: str, headers: dict[str, str], length: int) -> tuple[int, str]:
    """The answer to a body of zeros, read when all of it is sent."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    line.request("POST", path, bytes(length), headers)
    answer = line.getresponse()
    said = answer.read().decode()
    line.close()
    return answer.status, said


@dataclass(eq=False)
class Coming:
    """A request's head that came in."""

    address: str
    content_length: int
    path: str = "/class/code"
    query: str = ""
    command: str = "POST"
    headers: dict[str, str] = field(default_factory=lambda: {"HOST": "127.0.0.1"})
    chunked: bool = False
    expect_continue: bool = False
    completed: bool = False
    thrown_away: bool = False

    def limit(self, most: int) -> None:
        pass

    def throw_body_away(self) -> None:
        self.thrown_away = True


def test_few_bodies_at_a_time_are_thrown_away(app: Flask) -> None:
    judge = BodyJudge(app)
    coming = [Coming(f"10.0.0.{n // 3}", 3_000_000) for n in range(9)]
    refused = [judge(head) is not None for head in (*coming, Coming("10.0.0.0", 3_000_000))]
    assert refused == [False] * 8 + [True, True], "eight in all, three of one address"
    coming[0].completed = True
    again, too_large = Coming("10.0.0.0", 3_000_000), Coming("10.0.0.7", 250_000_000)
    assert judge(again) is None
    assert again.thrown_away
    coming[1].completed = True
    assert judge(too_large) is not None


def test_a_body_that_does_not_say_its_length_ends_where_it_is_too_long(app: Flask) -> None:
    port = free_port()
    first = b"POST /class/code HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n"
    with on_socket(app, port):
        line, taken = sent_before_refusal(port, first, chunked=True)
    assert " 413 " in line
    assert taken < 8_000_000, "what the network holds on its way, not what was sent"


def test_a_student_may_send_a_large_plan_and_no_photo(app: Flask, student: Browser) -> None:
    port = free_port()
    cookie = "; ".join(f"{c.key}={c.value}" for c in student.client._cookies.values())
    with on_socket(app, port):
        line, _ = sent_before_refusal(port, head("127.0.0.1", 3_000_000, f"Cookie: {cookie}\r\n"))
        assert " 413 " in line
        small = head("127.0.0.1", 300_000, f"Cookie: {cookie}\r\nConnection: close\r\n") + bytes(300_000)
        with socket.create_connection(("127.0.0.1", port), timeout=20) as client:
            client.sendall(small)
            assert b" 403 " in client.recv(100), "it came in, and had no token"


def star(corners: int = 80, at: float = 0.0) -> str:
    """A ring of many corners within the harbour's parcel."""
    places = []
    for corner in range(corners):
        angle, radius = 2 * math.pi * corner / corners, 9 + 3 * (corner % 2) + at
        places.append(f"({20 + radius * math.cos(angle):.2f}, {15 + radius * math.sin(angle):.2f})")
    return " ".join(places)


def plan_of(pieces: int, corners: int = 4) -> dict[str, list[str]]:
    row = {"zone": "market", "left": "", "top": "", "width": "", "depth": "", "corners": star(corners)}
    return {f"piece_{name}": [value] * pieces for name, value in row.items()}


def test_what_is_too_long_for_a_plan_is_not_kept(student: Browser, house: Services) -> None:
    open_all(house)
    padded = {**plan_of(1), "piece_corners": [star(3) + " " * 5 + "," * 30_000]}
    many, pieces = plan_of(60, 80), plan_of(61, 3)
    for form in (padded, many, pieces):
        answer = student.post("/class/plan", form)
        assert answer.status_code == 400
        assert "too long" in answer.text
    kept = house.database.read().execute("SELECT COUNT(*) FROM plan").fetchone()[0]
    assert kept == 0
    assert student.post("/class/plan", plan_of(20, 60)).status_code == 303


def test_a_plan_that_takes_too_long_is_given_up_and_the_others_are_answered() -> None:
    class Bounded(InProcess):
        """As a pool whose worker was stopped."""

        def answer(self, job):  # type: ignore[no-untyped-def]
            if len(job.pieces) > 1000:
                raise WorkerFailed("it took more than 10 s and was stopped")
            return super().answer(job)

    square = {"zone": "market", "left": "1", "top": "1", "width": "5", "depth": "5"}
    checker = PlanChecker(Bounded())
    large, small = (PlanQuestion(CHALLENGE, json.dumps([square] * many)) for many in (60, 1))
    said = [None, None]
    while None in said:
        said = [checker.answer("1", large), checker.answer("2", small)]
    checker.stop()
    assert "too much to check" in said[0].problem  # type: ignore[attr-defined]
    assert [verdict.word for verdict in said[1].verdicts] == ["met", "not yet", "by eye"]  # type: ignore[attr-defined]


def test_what_was_answered_is_not_worked_on_again() -> None:
    worked: list[object] = []

    class Counting(InProcess):
        def answer(self, job):  # type: ignore[no-untyped-def]
            worked.append(job)
            return super().answer(job)

    checker = PlanChecker(Counting())
    question = PlanQuestion(CHALLENGE, "[]")
    first = None
    while first is None:
        first = checker.answer("1", question)
    assert checker.answer("2", PlanQuestion(CHALLENGE, "[]")) == first
    checker.stop()
    assert len(worked) == 1


def test_whoever_asks_much_waits_behind_the_others() -> None:
    order: list[int] = []
    begun, free = threading.Event(), threading.Event()

    class Watching(InProcess):
        def answer(self, job):  # type: ignore[no-untyped-def]
            begun.set()
            free.wait(60)
            if isinstance(job, Double):
                order.append(job.number)
            return super().answer(job)

    line = FairLine(Watching(), 1)
    line.hand_in("busy", Slow())
    assert begun.wait(60), "the only worker has its hands full before others come"
    many = [line.hand_in("busy", Double(100 + n)) for n in range(10)]
    others = [line.hand_in(f"team {n}", Double(n)) for n in range(3)]
    free.set()
    assert [other.result(60) for other in others] == [0, 2, 4]
    assert many[-1].result(60) == 218
    line.stop()
    assert sum(future.cancelled() for future in many) == 9, "the newest alone waits"
    assert order.index(109) <= 3


def test_whoever_took_much_time_waits_behind_whoever_took_little() -> None:
    """One team hands in a plan of ten seconds again and again: another's waits for the one that is under way."""
    now, order = [0.0], list[int]()
    begun, free = threading.Semaphore(0), threading.Semaphore(0)

    class Watched(InProcess):
        def answer(self, job):  # type: ignore[no-untyped-def]
            begun.release()
            assert free.acquire(timeout=60)
            now[0] += 10.0 if job.number >= 100 else 0.1
            order.append(job.number)
            return super().answer(job)

    def work_one() -> None:
        assert begun.acquire(timeout=60)
        free.release()

    line = FairLine(Watched(), 1, clock=lambda: now[0])
    first = line.hand_in("heavy", Double(100))
    work_one()
    assert first.result(60) == 200
    line.hand_in("light", Double(1))
    assert begun.acquire(timeout=60)
    heavy = line.hand_in("heavy", Double(101))
    other = line.hand_in("other", Double(2))
    again = line.hand_in("light", Double(3))
    free.release()
    for _ in range(3):
        work_one()
    assert [future.result(60) for future in (heavy, other, again)] == [202, 4, 6]
    line.stop()
    assert order == [100, 1, 2, 3, 101]


def test_the_check_is_told_while_it_is_being_found(
    student: Browser, house: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_all(house)
    monkeypatch.setattr(PlanChecker, "answer", lambda self, team, question: None)
    address = student.post("/class/plan", {**plan_of(1), "do": "check"}).headers["Location"]
    page = student.text(address)
    assert "being checked" in page
    assert "http-equiv" in page, "without script the page asks again, too"
    monkeypatch.undo()
    polled = re.search(r'poll-part data-address="([^"]+)"', page)
    assert polled is not None
    part = "poll-part"
    while "poll-part" in part:
        part = student.client.get(polled[1].replace("&amp;", "&"), headers={"X-Fragment": "1"}).text
    assert "What the check says" in part
    assert "<html" not in part


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux bounds a process's memory")
def test_decoding_is_bounded_in_time_and_memory() -> None:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((9000, 6000)).convert("RGB").save(out, "PNG")
    wide = out.getvalue()
    slow, greedy = Limits(clock=0.001), Limits(more_mb=60)
    for limits in (slow, greedy):
        with WorkerPool(1, limits) as workers, pytest.raises(UploadRefused, match=r"a\.png: (it takes too|this)"):
            looked_at(workers, wide, "a.png")
    with WorkerPool(1, LIMITS) as workers:
        found, teams = looked_at(workers, photo("PNG", (3000, 2000)), "a.png", labels=True)
        assert found.ending == ".png"
        assert teams == ()


def test_a_phone_keeps_so_many_models_waiting_and_no_more(
    teacher: Browser, nobody: Browser, house: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.challenges.save("gull", CHALLENGE)
    key = house.upload_keys.make("gull")
    nobody.post(f"/phone/key/{key}")
    monkeypatch.setattr(photo_upload, "MOST_OF_PHONE", 2)

    def send() -> int:
        return nobody.post("/phone/photos", {"team": "1", "photos": (io.BytesIO(photo()), "a.jpg")}).status_code

    assert [send(), send(), send()] == [303, 303, 429]
    to_teacher = {"team": "1", "photos": (io.BytesIO(photo()), "a.jpg")}
    assert teacher.post("/teacher/challenge/gull/photos", to_teacher).status_code == 303
    monkeypatch.setattr(photo_upload, "MOST_KEPT", 1)
    full = teacher.post("/teacher/challenge/gull/photos", {"team": "1", "photos": (io.BytesIO(photo()), "b.jpg")})
    assert full.status_code == 507
    assert "No room" in full.text


def test_photos_of_all_senders_are_measured_in_turn(house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    found, _ = looked_at(InProcess(), photo(), "a.jpg")
    busy = [house.jobs.add("gull", "1", [found], "phone a") for _ in range(3)]
    late = [house.jobs.add("gull", "2", [found], origin) for origin in ("phone b", "teacher")]
    taken: list[int] = []
    while (job := house.jobs.claim()) is not None:
        taken.append(job.id)
        house.jobs.finish(job.id, "refused", "no card")
    assert taken == [busy[0], *late, *busy[1:]]


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux says what a process takes")
def test_workers_end_when_the_page_ends(tmp_path: Path) -> None:
    app = create_app(Settings(data=tmp_path / "data", archive=tmp_path / "archive"))
    house: Services = app.extensions["tapeplat"]
    looked_at(house.lookers, photo(), "a.jpg")
    assert isinstance(house.lookers, WorkerPool)
    assert house.lookers.pids != ()
    house.close()
    time.sleep(0.2)
    assert house.lookers.pids == ()


def test_one_phone_never_takes_the_threads_of_all_others(app: Flask, house: Services, nobody: Browser) -> None:
    """Sixteen small files at a time that take seconds to open: all but two are asked to come again."""
    house.challenges.save("gull", CHALLENGE)
    nobody.post(f"/phone/key/{house.upload_keys.make('gull')}")
    token, cookies = nobody.token(), nobody.client._cookies
    free, inside, answers = threading.Event(), threading.Semaphore(0), list[int]()

    class Slow(InProcess):
        def answer(self, job):  # type: ignore[no-untyped-def]
            inside.release()
            free.wait(20)
            return super().answer(job)

    object.__setattr__(house, "lookers", Slow())

    def send() -> None:
        client = app.test_client()
        client._cookies = cookies
        data = {"team": "1", "photos": (io.BytesIO(photo()), "a.jpg")}
        answers.append(client.post("/phone/photos", data=data, headers={"X-CSRF": token}).status_code)

    threads = [threading.Thread(target=send) for _ in range(16)]
    for thread in threads:
        thread.start()
    assert inside.acquire(timeout=20)
    assert inside.acquire(timeout=20)
    while len(answers) < 14:
        time.sleep(0.01)
    assert answers == [503] * 14
    free.set()
    for thread in threads:
        thread.join()
    assert sorted(answers)[:2] == [303, 303]
    again = {"team": "1", "photos": (io.BytesIO(photo()), "b.jpg")}
    assert nobody.post("/phone/photos", again).status_code == 303, "turns that are over are given back"


def coded(kind: str, size: tuple[int, int], **more: object) -> bytes:
    out = io.BytesIO()
    register_heif()
    Image.new("RGB", size, (90, 80, 70)).save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize(("kind", "more"), [("PNG", {}), ("JPEG", {}), ("JPEG", {"progressive": True}), ("HEIF", {})])
def test_how_large_a_photo_is_is_known_before_it_is_decoded(kind: str, more: dict[str, object]) -> None:
    assert not is_large(coded(kind, (1200, 900), **more))
    assert is_large(coded(kind, (5200, 4000), **more))
    assert not is_large(b"no photo at all")


def test_one_large_photo_is_worked_on_at_a_time_and_small_ones_at_once() -> None:
    one, large, small = OneLarge(), coded("PNG", (5200, 4000)), coded("PNG", (40, 30))
    begun = threading.Event()

    def work() -> None:
        with one.turn([large]):
            begun.set()

    with one.turn([small, large]):
        with one.turn([small]):
            pass
        other = threading.Thread(target=work)
        other.start()
        assert not begun.wait(0.2)
    assert begun.wait(10)
    other.join()


def test_the_teacher_gets_a_turn_whoever_sends_photos() -> None:
    turns = Turns(3, 2)
    assert [turns.begin(who) for who in ("a", "a", "a", "b", "c", "")] == [True, True, False, True, False, True]
    turns.end("a")
    assert turns.begin("c")
