"""Pieces of a page that keep themselves fresh: asked for again and again, and sent where they say something new."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from flask import Response, request


def live_part(seen: object, drawn: Callable[[], str]) -> Response:
    """The piece; nothing (204) to a script that has it as it is. seen is all it depends on."""
    stamp = hashlib.sha256(repr(seen).encode()).hexdigest()[:16]
    if request.headers.get("X-Stamp") == stamp:
        return Response(status=204)
    return Response(drawn(), headers={"X-Stamp": stamp})
