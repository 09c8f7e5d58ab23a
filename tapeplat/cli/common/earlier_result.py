"""A folder that holds another team's result is not written over without a word."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from measure.errors import InputMistakes, Mistake
from measure.result.result import read_result
from measure.teams import team_key


def replace_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option of every command that measures."""
    return click.option("--replace", is_flag=True, help="Write over another's results in the folder.")(function)


def check_earlier(out: Path | None, team: str, *, replace: bool) -> None:
    """Raise InputMistakes where a folder holds the result of another team than this, and nobody said to replace it."""
    if out is None or replace or not (out / "result.json").is_file():
        return
    try:
        before = read_result(out).team
    except InputMistakes:
        return
    if before and team_key(before) != team_key(team):
        what = f"it holds the result of team {before}"
        whose = "name the team with --team if it is the same" if not team else f"name another folder for team {team}"
        raise InputMistakes([Mistake(str(out), what, f"{whose}, or say --replace")])
