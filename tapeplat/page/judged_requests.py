"""Requests are judged by their heads: how often one asks, host, role and size, before a byte of their bodies is kept.

The server stores a body before it asks the application for an answer, large ones on the disk. So of whoever may not
send so much the body is thrown away as it comes, or, where it is larger than anybody sends by mistake, the connection
is closed at once. Whoever asks far more often than a browser does is told so without the application, so that the
others' requests do not stand behind all of one's.
"""

from __future__ import annotations

import logging
import weakref
from typing import Protocol

from flask import Flask
from flask.sessions import SecureCookieSessionInterface
from itsdangerous import BadData
from waitress.utilities import Error, RequestEntityTooLarge
from werkzeug.http import parse_cookie

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.request_allowance import RequestAllowance
from tapeplat.page.session.guard import most_bytes_of_request

_LOG = logging.getLogger(__name__)
_RUSH_OF_VISIT, _OF_VISIT = 150, 15.0
"""Pages of one browser that came in: at once, and a second; a class board asks every 1.5 s."""
_RUSH_OF_ADDRESS, _OF_ADDRESS = 1500, 100.0
"""Of one address: scripts and styles, and pages of those that did not come in; a whole class may be one address."""
_LARGE = 1_000_000
_LARGE_AT_ONCE, _LARGE_OF_ONE = 12, 4
"""Bodies above _LARGE bytes that may be on their way at the same time, from everybody and from one address."""
_MOST_THROWN = 100_000_000
_THROWN_AT_ONCE, _THROWN_OF_ONE = 8, 3
"""Of bodies that are too large, so many bytes are read and thrown away, so that the sender sees why: browsers look for
an answer when all is sent."""


class Misdirected(Error):  # type: ignore[misc]  # noqa: N818  (the server's library has no types, and its names)
    """The request was made under another name than the page's own."""

    code, reason = 421, "Misdirected Request"


class Busy(Error):  # type: ignore[misc]  # noqa: N818
    """Too many large bodies are on their way."""

    code, reason = 503, "Service Unavailable"


class TooOften(Error):  # type: ignore[misc]  # noqa: N818
    """Somebody asks more often than the page answers one; the answer waits, so that asking on and on is slow."""

    code, reason = 503, "Service Unavailable"


class Head(Protocol):
    """A request whose head has come, from an address."""

    address: str
    path: str
    query: str
    command: str
    headers: dict[str, str]
    content_length: int
    chunked: bool
    expect_continue: bool
    completed: bool

    def limit(self, most: int) -> None:
        """Give a body of more bytes up, also one that does not say its length."""

    def throw_body_away(self) -> None:
        """Keep nothing of the body; the application is asked when it has come, and sees its length alone."""


class BodyJudge:
    """Says of requests whether they are answered, and of those with a body whether it may come."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._cookies = SecureCookieSessionInterface().get_signing_serializer(app)
        self._visits = RequestAllowance(rush=_RUSH_OF_VISIT, a_second=_OF_VISIT)
        self._addresses = RequestAllowance(rush=_RUSH_OF_ADDRESS, a_second=_OF_ADDRESS)
        self._coming, self._thrown = weakref.WeakSet[Head](), weakref.WeakSet[Head]()

    def __call__(self, parser: Head) -> Error | None:
        """What is wrong; None for a request that is answered, its body no longer than what it may hold."""
        if self._too_often(parser):
            return TooOften("This device asks too often. Try again in a minute.")
        return self._body(parser) if parser.content_length > 0 or parser.chunked else None

    def _too_often(self, parser: Head) -> bool:
        visit = "" if parser.path.startswith("/static/") else self._visit(parser.headers.get("COOKIE", ""))
        return not (self._visits.take(visit) if visit else self._addresses.take(parser.address))

    def _visit(self, cookies: str) -> str:
        """The token of the visit in a cookie that the page signed; whether it goes on is not asked."""
        try:
            signed = parse_cookie(cookies).get(self._app.config["SESSION_COOKIE_NAME"], "")
            told = self._cookies.loads(signed) if self._cookies and signed else {}
        except (BadData, UnicodeError):
            return ""
        photos = told.get("photos")
        return str(told.get("visit") or (photos.get("visit") if isinstance(photos, dict) else "") or "")

    def _body(self, parser: Head) -> Error | None:
        try:
            most = self._most(parser)
        except PageError as error:
            return Misdirected(error.what)
        except Exception:
            _LOG.exception("the head of a request could not be judged")
            most = 0
        if parser.content_length > most:
            if self._may_be_thrown_away(parser):
                parser.throw_body_away()
                return None
            return RequestEntityTooLarge(
                "This is more than the page takes from you here. Go back, and send less at once."
            )
        parser.limit(most)
        return self._share(parser) if max(parser.content_length, most * parser.chunked) > _LARGE else None

    def _most(self, parser: Head) -> int:
        path = f"{parser.path}?{parser.query}" if parser.query else parser.path
        head = {name: parser.headers[name.upper()] for name in ("Host", "Cookie") if name.upper() in parser.headers}
        came = {"REMOTE_ADDR": parser.address}
        with self._app.test_request_context(path, method=parser.command, headers=head, environ_overrides=came):
            return most_bytes_of_request()

    def _may_be_thrown_away(self, parser: Head) -> bool:
        if parser.content_length > _MOST_THROWN or parser.expect_continue:
            return False
        return _joined(self._thrown, parser, _THROWN_AT_ONCE, _THROWN_OF_ONE)

    def _share(self, parser: Head) -> Error | None:
        if not _joined(self._coming, parser, _LARGE_AT_ONCE, _LARGE_OF_ONE):
            return Busy("Others are sending photos at the moment. Try again in a minute.")
        return None


def _joined(coming: weakref.WeakSet[Head], parser: Head, at_once: int, of_one: int) -> bool:
    """Whether there was room for one more among those that are on their way."""
    others = [other for other in coming if not other.completed]
    if len(others) >= at_once or sum(other.address == parser.address for other in others) >= of_one:
        return False
    coming.add(parser)
    return True
