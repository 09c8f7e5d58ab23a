"""What browsers send in forms, without signs that turn the text around them or steer a screen.

One name with a sign that turns the direction of writing makes all that follows it in a list read backwards.
"""

from __future__ import annotations

import re

from flask import Request
from werkzeug.datastructures import ImmutableMultiDict
from werkzeug.utils import cached_property

_STEERING = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Unicode's embeddings, overrides and isolates of direction, and all controls but tabs and ends of lines."""


def without_steering(typed: str) -> str:
    """A text without such signs; what is written from right to left by its own letters stays so."""
    return _STEERING.sub("", typed)


class PlainRequest(Request):
    """A request whose forms hold none of them."""

    @cached_property
    def form(self) -> ImmutableMultiDict[str, str]:
        """Fields and what was typed into them."""
        sent = super().form
        return ImmutableMultiDict([(name, without_steering(typed)) for name, typed in sent.items(multi=True)])
