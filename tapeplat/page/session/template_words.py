"""What templates need to say things: verdicts' signs, times, dates, counted words."""

from __future__ import annotations

import re
import time
from datetime import datetime

from flask import Flask

from measure.units import Unit, format_number, from_mm
from tapeplat.page.base.page_words import without_commands
from tapeplat.page.session.roles import is_teacher, owner
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge

SIGNS = {
    "met": "met",
    "not met": "not-met",
    "too close to call": "too-close",
    "not measured": "not-measured",
    "by eye": "by-eye",
}
"""The sign of each verdict in static/signs.svg, of the same shape as on the annotated picture."""


def register(app: Flask) -> None:
    """Give the templates their words."""
    app.jinja_env.globals.update(SIGNS=SIGNS, is_teacher=is_teacher, owner=owner, services=services, titled=titled)
    app.jinja_env.filters.update(
        counted=counted, when=when, day=day, quoted=quoted, length_in=length_in, capital=capital
    )


def titled(stored: StoredChallenge) -> str:
    """A challenge with its class's name, `Gull Point Harbour, class 4b`, where the teacher gave one."""
    name = services().classes.names().get(stored.slug, "")
    return f"{stored.title}, class {name}" if name else stored.title


def counted(number: int, one: str, many: str = "") -> str:
    """`1 photo`, `3 photos`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def capital(text: str) -> str:
    """With its first letter large, all others as they are."""
    return text[:1].upper() + text[1:]


def quoted(text: str) -> str:
    """With quotation marks in place of the backticks that messages put around words, and without commands."""
    return re.sub(r"`([^`]*)`", r"“\1”", without_commands(text))


def when(seconds: float) -> str:
    """A time of this computer's clock, as `25 Nov 2026, 15:04`."""
    return time.strftime("%d %b %Y, %H:%M", time.localtime(seconds)).lstrip("0")


def day(when: datetime) -> str:
    """`25 Nov 2026`."""
    return f"{when:%d %b %Y}".lstrip("0")


def length_in(mm: float, unit: Unit) -> str:
    """A stated length in the challenge's unit, as short as it can be written: `18`, `4.5`."""
    return format_number(from_mm(mm, unit))
