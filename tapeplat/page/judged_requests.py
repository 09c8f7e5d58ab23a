"""Requests are judged by their heads: how often one asks, host, role and size, before a byte of their bodies is kept.

The server stores a body before it asks the application for an answer, large ones on the disk. So whoever may not send
so much is told when the head has come, and the connection is closed. Whoever asks far more often than a browser does is
told so as cheaply, so that the others' requests do not stand behind all of one's.
"""

from __future__ import annotations

import copy
import logging
import weakref
from functools import partial
from typing import Any

from flask import Flask
from flask.sessions import SecureCookieSessionInterface
from itsdangerous import BadData
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import create_server
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


class Misdirected(Error):  # type: ignore[misc]  # noqa: N818  (the server's library has no types, and its names)
    """The request was made under another name than the page's own."""

    code, reason = 421, "Misdirected Request"


class Busy(Error):  # type: ignore[misc]  # noqa: N818
    """Too many large bodies are on their way."""

    code, reason = 503, "Service Unavailable"


class TooOften(Error):  # type: ignore[misc]  # noqa: N818
    """Somebody asks more often than the page answers one."""

    code, reason = 503, "Service Unavailable"


def judged_server(app: Flask, **options: Any) -> Any:
    """The server for an application that judges every request by its head; options are the server's own."""
    server = create_server(app, **options)
    judge = BodyJudge(app)
    server.channel_class = partial(JudgedChannel, judge)
    return server


class BodyJudge:
    """Says of requests whether they are answered, and of those with a body whether it may come."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._cookies = SecureCookieSessionInterface().get_signing_serializer(app)
        self._visits = RequestAllowance(rush=_RUSH_OF_VISIT, a_second=_OF_VISIT)
        self._addresses = RequestAllowance(rush=_RUSH_OF_ADDRESS, a_second=_OF_ADDRESS)
        self._coming: weakref.WeakSet[JudgedParser] = weakref.WeakSet()

    def __call__(self, parser: JudgedParser) -> Error | None:
        """What is wrong; None for a request that is answered, its body no longer than what it may hold."""
        if self._too_often(parser):
            return TooOften("This device asks too often. Try again in a minute.")
        return self._body(parser) if parser.content_length > 0 or parser.chunked else None

    def _too_often(self, parser: JudgedParser) -> bool:
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

    def _body(self, parser: JudgedParser) -> Error | None:
        try:
            most = self._most(parser)
        except PageError as error:
            return Misdirected(error.what)
        except Exception:
            _LOG.exception("the head of a request could not be judged")
            most = 0
        if parser.content_length > most:
            return RequestEntityTooLarge(
                "This is more than the page takes from you here. Go back, and send less at once."
            )
        parser.limit(most)
        return self._share(parser) if max(parser.content_length, most * parser.chunked) > _LARGE else None

    def _most(self, parser: JudgedParser) -> int:
        path = f"{parser.path}?{parser.query}" if parser.query else parser.path
        head = {name: parser.headers[name.upper()] for name in ("Host", "Cookie") if name.upper() in parser.headers}
        came = {"REMOTE_ADDR": parser.address}
        with self._app.test_request_context(path, method=parser.command, headers=head, environ_overrides=came):
            return most_bytes_of_request()

    def _share(self, parser: JudgedParser) -> Error | None:
        coming = [other for other in self._coming if not other.completed]
        own = sum(other.address == parser.address for other in coming)
        if len(coming) >= _LARGE_AT_ONCE or own >= _LARGE_OF_ONE:
            return Busy("Others are sending photos at the moment. Try again in a minute.")
        self._coming.add(parser)
        return None


class JudgedChannel(HTTPChannel):  # type: ignore[misc]
    """A connection whose requests are judged."""

    def __init__(self, judge: BodyJudge, server: Any, sock: Any, addr: Any, adj: Any, map: Any = None) -> None:
        super().__init__(server, sock, addr, adj, map=map)
        self.parser_class = partial(JudgedParser, judge, str(addr[0]))


class JudgedParser(HTTPRequestParser):  # type: ignore[misc]
    """A request that is coming in, from an address."""

    adj: Any
    content_length: int

    def __init__(self, judge: BodyJudge, address: str, adj: Any) -> None:
        super().__init__(adj)
        self._judge_it, self.address = judge, address

    def parse_header(self, header_plus: bytes) -> None:
        """Read the head, and give the request up where it may not come."""
        super().parse_header(header_plus)
        self.error = self._judge_it(self)
        if self.error is not None:
            self.expect_continue, self.body_rcv, self.content_length = False, None, 0

    def limit(self, most: int) -> None:
        """A body of more bytes is given up, also one that does not say its length."""
        self.adj = copy.copy(self.adj)
        self.adj.max_request_body_size = most + 1
