"""Every error answer has one shape: a heading, what is wrong, what to do. Scripts get the same as JSON."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Sequence

from flask import Flask, jsonify, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from measure.errors import InputMistakes
from tapeplat.page.base.page_words import without_commands

Answer = tuple[Response | str, int]


class PageError(Exception):
    """An answer that says what is wrong and what to do, with its HTTP status."""

    def __init__(self, status: int, title: str, what: str, do: str = "", lines: Sequence[str] = ()) -> None:
        super().__init__(f"{title}: {what}")
        self.status, self.title, self.what, self.do, self.lines = status, title, what, do, tuple(lines)


DISK_FULL = PageError(
    507,
    "The disk is full",
    "There is no room left on the computer that runs Tapeplat, so this was not kept. What was saved before is safe.",
    "Your teacher has to free some space there; then do it again.",
)
_DISK_FULL_HERE = PageError(507, DISK_FULL.title, DISK_FULL.what, "Free some space there; then do it again.")


def not_found(what: str, do: str = "Go back, and choose it from the list.") -> PageError:
    """Something that is asked for and is not there."""
    return PageError(404, "Not found", what, do)


def register(app: Flask) -> None:
    """Answer every error in the one shape."""
    app.register_error_handler(PageError, _page_error)
    app.register_error_handler(InputMistakes, _mistakes)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


_PLAIN = {
    400: ("This could not be read", "Something in the request is missing or odd.", "Go back and try again."),
    404: ("Not found", "There is no page at this address.", "Check the address, or start at the first page."),
    405: ("Not this way", "This address does not take that kind of request.", "Go back and use the page's buttons."),
    413: (
        "That is too much at once",
        "This is larger than what the page takes from you here.",
        "Send less at once, photos one by one; a photo has at most 25 MB.",
    ),
}


def _page_error(error: PageError) -> Answer:
    return _answer(error)


def _mistakes(wrong: InputMistakes) -> Answer:
    lines = tuple(map(str, wrong.mistakes))
    return _answer(PageError(400, "This cannot be used yet", "Please put this right:", lines=lines))


def _http(error: HTTPException) -> Answer:
    status = error.code or 500
    unknown = ("This did not work", error.description or error.name, "Go back and try again.")
    title, what, do = _PLAIN.get(status, unknown)
    return _answer(PageError(status, title, what, do))


def _unexpected(error: Exception) -> Answer:
    from flask import current_app

    if is_disk_full(error):
        return _answer(DISK_FULL if not request.path.startswith("/teacher") else _DISK_FULL_HERE)
    current_app.logger.error("a page failed", exc_info=error)
    what = "Something went wrong inside the program. Nothing that was saved is lost."
    do = "Try again. If it happens again, start the program anew; its window shows what went wrong."
    return _answer(PageError(500, "This did not work", what, do))


def is_disk_full(error: BaseException) -> bool:
    """Whether something failed because there is no room left."""
    if isinstance(error, sqlite3.Error):
        return getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL
    return isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT)


def _answer(error: PageError) -> Answer:
    what, do, *lines = map(without_commands, (error.what, error.do, *error.lines))
    error = PageError(error.status, error.title, what, do, lines)
    if request.headers.get("X-Fragment") == "1" or request.accept_mimetypes.best == "application/json":
        said = {"title": error.title, "what": error.what, "do": error.do, "lines": list(error.lines)}
        return jsonify({"error": said}), error.status
    return render_template("error.html", error=error, back=_back()), error.status


def _back() -> str:
    """The page that the request came from, where it is one of ours; empty where it is not."""
    came = request.referrer or ""
    shown = came != request.url or request.method != "GET"  # a form is often sent to the address that shows it
    return came if came.startswith(request.host_url) and shown else ""
