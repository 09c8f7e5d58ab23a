"""What every request has to pass, and what every answer carries.

- Host: a request under any other name than the page's own is refused, so that a foreign site whose name is made to lead
  to this machine (DNS rebinding) gets nothing.
- Changes: need the session's own token, and come from this page's own address (Sec-Fetch-Site, Origin).
- Answers: a strict content security policy, so that no script but our own files runs and nothing is asked of any
  other host; no sniffing of types, no frames, no caching of children's work.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Callable
from typing import ParamSpec, TypeVar
from urllib.parse import urlsplit

from flask import Flask, current_app, request, session
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session import upload_turns
from tapeplat.page.session.roles import is_teacher, photos_challenge, student
from tapeplat.page.session.services import services

P = ParamSpec("P")
R = TypeVar("R")

FORM_BYTES, STUDENT_BYTES, NOBODY_BYTES = 2_000_000, 400_000, 20_000
"""What a request may hold: the teacher's, a student's (a plan of 60 pieces), anybody's (a code, a passphrase)."""
CHANGES = ("POST", "PUT", "PATCH", "DELETE")
_POLICY = (
    "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
_HEADERS = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}
"""`camera` is for scripts; choosing a photo from the phone's camera app needs no permission."""


def register(app: Flask) -> None:
    """Guard every request and answer."""
    app.before_request(_check_host)
    app.before_request(_set_size)
    upload_turns.register(app)
    app.before_request(_check_change)
    app.after_request(_with_headers)
    app.jinja_env.globals["csrf"] = csrf_token


def may_hold(most_bytes: int, *, phones: bool = False) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A view that takes requests of that size, from the teacher; with phones, from those that may send photos, too."""

    def marked(view: Callable[P, R]) -> Callable[P, R]:
        view.most_bytes, view.phones = most_bytes, phones  # type: ignore[attr-defined]
        return view

    return marked


def csrf_token() -> str:
    """The session's own token, for a hidden field `csrf` or the header X-CSRF."""
    if not isinstance(session.get("csrf"), str):
        session["csrf"] = secrets.token_urlsafe(24)
    return str(session["csrf"])


def _check_host() -> None:
    name = urlsplit(f"//{request.host}").hostname or ""
    known = {host.strip("[]").lower() for host in services().reach.hosts}
    if name not in known:
        what = "This page answers only under its own address."
        raise PageError(421, "Another address", what, "Open the address that the program shows.")


def _set_size() -> None:
    """Before anything of the request is read: the token in it is read next."""
    request.max_content_length = most_bytes_of_request()
    request.max_form_memory_size = min(request.max_content_length, FORM_BYTES)


def most_bytes_of_request() -> int:
    """What the request may hold, by who sends it where. Raises PageError where it comes under another name."""
    _check_host()
    view = current_app.view_functions.get(request.endpoint or "")
    most, teacher = getattr(view, "most_bytes", 0), is_teacher()
    if most and (teacher or (getattr(view, "phones", False) and photos_challenge())):
        return int(most)
    return FORM_BYTES if teacher else STUDENT_BYTES if student() else NOBODY_BYTES


def _check_change() -> None:
    if request.method not in CHANGES:
        return
    site, origin = request.headers.get("Sec-Fetch-Site"), request.headers.get("Origin")
    foreign = site not in (None, "same-origin") or (origin is not None and origin.partition("://")[2] != request.host)
    said = request.headers.get("X-CSRF") or request.form.get("csrf") or ""
    known = session.get("csrf")
    if foreign or not isinstance(known, str) or not hmac.compare_digest(said.encode(), known.encode()):
        what = "The page was open for too long, or was not opened here, so nothing was changed."
        raise PageError(403, "Please try again", what, "Open the page anew and do it once more.")


def _with_headers(response: Response) -> Response:
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    if urlsplit(f"//{request.host}").hostname in ("127.0.0.1", "localhost"):
        # Browsers take this one from safe origins only, and complain about it elsewhere.
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "no-store")
    return response
