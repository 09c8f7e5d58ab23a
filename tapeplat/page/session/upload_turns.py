"""Requests with photos are taken in a few at a time, so that whoever sends many never takes the threads of all others.

Looking at photos takes seconds, for which a request holds one of the server's threads.
"""

from __future__ import annotations

import threading

from flask import Flask, current_app, g, request, session

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session.roles import is_teacher

_MOST, _MOST_OF_ONE = 6, 2
"""Requests at the same time, of all others than the teacher, and of one browser; the server has sixteen threads."""


class Turns:
    """Who is being answered; safe to share between threads."""

    def __init__(self, most: int, of_one: int) -> None:
        self._most, self._of_one = most, of_one
        self._who: list[str] = []
        self._lock = threading.Lock()

    def begin(self, who: str) -> bool:
        """Whether this one's turn has begun; empty is somebody who always gets one."""
        with self._lock:
            others = [name for name in self._who if name]
            if who and (len(others) >= self._most or others.count(who) >= self._of_one):
                return False
            self._who.append(who)
        return True

    def end(self, who: str) -> None:
        """A turn is over."""
        with self._lock:
            self._who.remove(who)


def register(app: Flask) -> None:
    """Before anything of a request's body is read."""
    turns = Turns(_MOST, _MOST_OF_ONE)

    def begin() -> None:
        view = current_app.view_functions.get(request.endpoint or "")
        if request.method != "POST" or not getattr(view, "most_bytes", 0):
            return
        who = "" if is_teacher() else str(session.get("photos") or request.remote_addr)
        if not turns.begin(who):
            what = "Others are sending photos at the moment, or this device is sending some."
            raise PageError(503, "One moment", what, "Try again in a minute.")
        g.turn = who

    def end(_: BaseException | None) -> None:
        who = g.pop("turn", None)
        if who is not None:
            turns.end(who)

    app.before_request(begin)
    app.teardown_request(end)
