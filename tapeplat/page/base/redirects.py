"""Answers after a change."""

from __future__ import annotations

from flask import redirect
from werkzeug.wrappers import Response


def redirect_to(address: str) -> Response:
    """See the page at this address; a reload of it does not send the change again."""
    return redirect(address, 303)
