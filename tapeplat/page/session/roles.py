"""Who is asking: the teacher, a student of one team, or nobody that we know.

On this machine the teacher comes in by the start address, whose key works once; so another account on the same
machine, or a page of another site, is no teacher, and nobody types a passphrase.  From other machines the teacher comes
in by the passphrase.  A computer that is handed to the students is signed out first.
"""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from flask import g, redirect, request, session, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.device_words import device_said
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session.services import services
from tapeplat.page.store.team_words import TeamWords
from tapeplat.page.store.visits import Role

PHOTO_HOURS = 4
_FRESH_MINUTES = 10
P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True)
class Student:
    """A student's browser: the challenge whose class code it entered, and its team, None until one is chosen."""

    challenge: str
    team: int | None


def is_teacher() -> bool:
    """Whether the teacher is asking."""
    own = session.get("teacher") == services().sign_in_secrets.sign_in_round()
    return own and _goes_on(session.get("visit"), "teacher")


def sign_in_teacher(*, by_start_key: bool = False) -> None:
    """Make this browser the teacher's; by_start_key where it came by the address that this computer's window shows."""
    leave_visit()
    session.clear()
    session["visit"] = _visit("teacher")
    session["started"] = time.time() if by_start_key else 0.0
    session["teacher"] = services().sign_in_secrets.sign_in_round()
    session.permanent = True


def sign_out() -> None:
    """Make this browser nobody's: also for whoever kept a copy of its cookie."""
    leave_visit()
    session.clear()


def leave_visit() -> None:
    """End what this browser may do."""
    services().visits.end(session.get("visit"))
    services().visits.end(_photos().get("visit"))


def came_by_start_key() -> bool:
    """Whether the teacher came in by this computer's own address, some minutes ago at most."""
    return time.time() - float(session.get("started", 0.0)) < _FRESH_MINUTES * 60


def student() -> Student | None:
    """The student who is asking: None without a class code that still holds."""
    code = session.get("code")
    found = services().classes.with_code(code) if isinstance(code, str) else None
    if found is None or services().challenges.file(found.challenge) is None:
        return None
    team, said = session.get("team"), session.get("word")
    if not _goes_on(session.get("visit"), "student", team if isinstance(team, int) else 0):
        return None
    if not isinstance(team, int) or not 1 <= team <= found.teams or not said:
        return Student(found.challenge, None)
    joined = said == TeamWords(services().database).word(found.challenge, team)
    return Student(found.challenge, team if joined else None)


def owner() -> str:
    """Whose drafts a browser may keep: the teacher's, a team's, a phone's; empty for nobody.

    `-` is somebody who came in and whose team is not known at the moment: drafts are neither kept nor deleted.
    """
    found = None if is_teacher() else student()
    if is_teacher():
        return "teacher"
    if found is not None and found.team is not None:
        return f"{services().classes.of(found.challenge).id}/{found.team}"
    if photos_challenge():
        return photos_sender().replace(" ", "/")
    return "-" if services().visits.number_of(session.get("visit") or _photos().get("visit")) else ""


def enter_class(code: str) -> Student | None:
    """Let a student's browser into the class of this code; None where there is no such class."""
    found = services().classes.with_code(code)
    if found is None:
        return None
    leave_visit()
    session.clear()
    session["visit"] = _visit("student", found.challenge)
    session["code"] = found.code
    session.permanent = True
    return student()


def join_team(number: int, word: str) -> None:
    """Make the student's browser one of this team; word is the team's own, until the teacher frees the team."""
    session["team"], session["word"] = number, word


def allow_photos_of(challenge: str) -> None:
    """Let this browser send photos for a challenge, and do nothing else, for some hours."""
    until = time.time() + PHOTO_HOURS * 3600
    visit, sender = _visit("phone", challenge), f"phone {secrets.token_hex(6)}"
    session["photos"] = {"challenge": challenge, "until": until, "sender": sender, "visit": visit}


def photos_challenge() -> str:
    """The challenge that this browser may send photos for; empty where it may not."""
    allowed = _photos()
    if float(allowed.get("until", 0)) < time.time() or not _goes_on(allowed.get("visit"), "phone"):
        return ""
    return str(allowed["challenge"])


def _photos() -> dict[str, Any]:
    allowed = session.get("photos")
    return allowed if isinstance(allowed, dict) else {}


def _visit(role: Role, challenge: str = "") -> str:
    device = device_said(request.headers.get("User-Agent", ""))
    return services().visits.begin(role, challenge, device, request.remote_addr or "")


def _goes_on(token: object, role: Role, team: int = 0) -> bool:
    """Asked once a request, however often it is asked for."""
    known: dict[tuple[object, ...], bool] = g.setdefault("visits", {})
    asked = (token, role, team)
    if asked not in known:
        known[asked] = services().visits.holds(token, role, team)
    return known[asked]


def photos_sender() -> str:
    """What the queue calls this phone; only of a browser that may send photos."""
    return str(session["photos"].get("sender", "phone"))


def teachers_only(view: Callable[P, R]) -> Callable[P, R | Response]:
    """A page for the teacher: everybody else is asked to sign in (pages) or refused (changes)."""

    @wraps(view)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R | Response:
        if is_teacher():
            return view(*args, **kwargs)
        if request.method == "GET" and not wants_fragment():
            return redirect(url_for("sign_in.sign_in", to=request.path))
        raise PageError(403, "This is for the teacher", "You are not signed in.", "Sign in and try again.")

    return guarded


def students_only(view: Callable[P, R]) -> Callable[P, R | Response]:
    """A page for a student with a team; `current_student()` says which."""

    @wraps(view)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R | Response:
        found = student()
        if found is not None and found.team is not None:
            g.student = found
            return view(*args, **kwargs)
        if request.method == "GET" and not wants_fragment():
            return redirect(url_for("student.team" if found else "student.code"))
        raise PageError(403, "Enter your class code first", "This device has no team yet.", "Go to the first page.")

    return guarded


def current_student() -> Student:
    """The student whom a page of `students_only` answers."""
    found = g.student
    assert isinstance(found, Student)
    return found


def wants_fragment() -> bool:
    """Whether a script asks, for a piece of a page."""
    return request.headers.get("X-Fragment") == "1"
