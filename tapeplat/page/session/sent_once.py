"""Changes that a script sends carry a name of their own, so that sending again what has arrived changes nothing.

A script sends `X-Sent-As`, 32 hexadecimal digits made at random, and gets `{"go": address}` where a form would be led
on to that address; without the header everything is as ever.
"""

from __future__ import annotations

import re

from flask import Flask, g, jsonify, request
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session.services import services
from tapeplat.page.store.received import key_of

HEADER = "X-Sent-As"
_NAME = re.compile(r"[0-9a-f]{32}")


def register(app: Flask) -> None:
    """After the guards of requests."""
    app.before_request(_answer_again)
    app.after_request(_remember)
    app.teardown_request(_end)


def sent_as() -> str:
    """The name under which the request was sent; empty where it has none."""
    name = request.headers.get(HEADER, "") if request.method == "POST" else ""
    return name if _NAME.fullmatch(name) else ""


def _answer_again() -> Response | None:
    if not sent_as():
        return None
    key = key_of(request.path, sent_as())
    if go := services().received.answer(key):
        return jsonify(go=go)
    if not services().received.begin(key):
        what = "The same is being worked on at the moment."
        raise PageError(503, "One moment", what, "It is asked for again by itself.")
    g.received = key
    return None


def _remember(response: Response) -> Response:
    """What would lead a form on is told to the script, which goes there itself."""
    key = g.get("received")
    if key is None or not 300 <= response.status_code < 400:
        return response
    services().received.remember(key, response.location or "/")
    return jsonify(go=response.location or "/")


def _end(_: BaseException | None) -> None:
    if key := g.get("received"):
        services().received.end(key)
