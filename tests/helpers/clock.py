"""Waiting some days without waiting: for what an archive deletes when it is old."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, tzinfo
from unittest.mock import patch


@contextmanager
def days_later(days: float) -> Iterator[None]:
    """The archive takes it to be so many days later."""

    class Later(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:
            return datetime.now(tz) + timedelta(days=days)

    with patch("tapeplat.archive.store.datetime", Later):
        yield
