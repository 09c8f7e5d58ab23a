"""Rows of fields in a form: every row sends every field, so that the fields of a row belong together by their place."""

from __future__ import annotations

from collections.abc import Sequence

from werkzeug.datastructures import MultiDict


def rows_of(form: MultiDict[str, str], prefix: str, names: Sequence[str], most: int) -> list[dict[str, str]]:
    """The rows that the browser sent, each by its fields' names without the prefix; at most so many are looked at."""
    columns = [[value.strip() for value in form.getlist(f"{prefix}{name}")[:most]] for name in names]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=False)]
