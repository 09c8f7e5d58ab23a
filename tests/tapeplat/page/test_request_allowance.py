"""Whoever asks far more often than a browser does waits, and nobody else does."""

from __future__ import annotations

import http.client
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing

import pytest
from flask import Flask

from tapeplat.page import judged_requests, judging_server
from tapeplat.page.base.request_allowance import RequestAllowance
from tapeplat.page.session.services import Services
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.page.student_world import joined


def test_a_rush_is_answered_and_then_so_many_a_second() -> None:
    now = [100.0]
    allowed = RequestAllowance(rush=3, a_second=2.0, clock=lambda: now[0])
    assert [allowed.take("a") for _ in range(5)] == [True, True, True, False, False]
    assert allowed.take("b"), "another sender has an allowance of its own"
    now[0] += 0.5
    assert [allowed.take("a"), allowed.take("a")] == [True, False]
    now[0] += 3600.0
    assert [allowed.take("a") for _ in range(4)] == [True, True, True, False], "a long rest is no larger rush"


@pytest.fixture
def port(app: Flask, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    for name, value in (("_RUSH_OF_VISIT", 8), ("_OF_VISIT", 0.0), ("_RUSH_OF_ADDRESS", 5), ("_OF_ADDRESS", 0.0)):
        monkeypatch.setattr(judged_requests, name, value)
    monkeypatch.setattr(judging_server, "_HELD_SECONDS", 0.0)
    port = free_port()
    with on_socket(app, port):
        yield port


def asked(port: int, times: int, cookie: str = "", method: str = "GET", path: str = "/class/code") -> list[int]:
    """The answers to so many requests, each by a connection of its own."""
    found = []
    for _ in range(times):
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as line:
            body = b"x" * 1000 if method == "POST" else None
            line.request(method, path, body, {"Cookie": cookie} if cookie else {})
            found.append(line.getresponse().status)
    return found


def test_a_devices_flood_is_refused_by_its_head_and_the_others_are_answered(
    app: Flask, house: Services, port: int
) -> None:
    name = str(app.config["SESSION_COOKIE_NAME"])
    one, other = (f"{name}={joined(app, house, team).client.get_cookie(name).value}" for team in (3, 4))  # type: ignore[union-attr]
    assert asked(port, 7) == [200] * 5 + [503] * 2, "whoever did not come in, by the address"
    assert asked(port, 2, f"{name}=forged") == [503] * 2, "a made-up cookie is no way round it"
    assert asked(port, 1, one, path="/static/x.css") == [503], "scripts and styles count for the address, too"
    assert asked(port, 10, one, path="/class/home") == [200] * 8 + [503] * 2
    assert asked(port, 1, one, "POST", "/class/measure") == [503], "a flood of forms does not get further"
    assert asked(port, 8, other, path="/class/home") == [200] * 8, "the other team is answered as before"


def test_cookies_that_are_none_of_ours_are_nobodys(app: Flask, port: int) -> None:
    name = app.config["SESSION_COOKIE_NAME"]
    cookies = (f"{name}=.", f"{name}=x.y.z", f"{name}={'a' * 3000}", "=;;=", "caf\xe9=1")
    assert [asked(port, 1, cookie)[0] for cookie in cookies] == [200] * 5
    assert asked(port, 1, f"{name}=x.y.z") == [503]


def test_whoever_asks_too_often_waits_and_nobody_else_does(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """More than the server has threads; those beyond what may wait are closed without an answer."""
    monkeypatch.setattr(judging_server, "_HELD_SECONDS", 5.0)
    monkeypatch.setattr(judging_server, "_MOST_HELD", 10)
    assert asked(port, 5) == [200] * 5
    begun, closed = time.monotonic(), []

    def ask(_: int) -> float:
        try:
            assert asked(port, 1) == [503]
        except (http.client.HTTPException, OSError):
            closed.append(1)
            return 5.0
        return time.monotonic() - begun

    with ThreadPoolExecutor(14) as threads:
        waited = list(threads.map(ask, range(14)))
    assert min(waited) >= 5.0
    assert len(closed) == 4
