"""How every command that reports speaks: results on standard output, warnings on standard error, last what is next."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import asdict, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any

import click


def reporting_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """`--json` and `--quiet`, of every command that reports."""
    function = click.option("--quiet", is_flag=True, help="Print warnings and mistakes alone.")(function)
    return click.option("--json", "as_json", is_flag=True, help="Print the result as JSON, for other programs.")(
        function
    )


def tell(
    text: str,
    *,
    warnings: Iterable[str] = (),
    last: str = "",
    as_json: bool = False,
    quiet: bool = False,
    content: Callable[[], object] = dict,
) -> None:
    """Print a report: its text and last what was written and what to do next, or its content as JSON.

    content is JSON's text already, or values that JSON has a form for.
    """
    if as_json:
        made = content()
        click.echo(made.rstrip("\n") if isinstance(made, str) else json_text(made))
    elif not quiet:
        click.echo(text)
    for warning in warnings:
        click.echo(f"warning: {warning}", err=True)
    if last and not (as_json or quiet):
        click.echo(last)


def json_text(content: object) -> str:
    """Values as JSON; dataclasses as objects, paths as texts, dates as in ISO 8601."""
    return json.dumps(content, indent=1, ensure_ascii=False, default=_plain)


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Path) or not hasattr(value, "__iter__") else list(value)
