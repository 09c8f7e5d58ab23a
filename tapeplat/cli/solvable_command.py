"""`tapeplat solvable`: can a challenge's rules be met, how tight are they, or which of them fight; teacher only."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

import tapeplat
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import tell

if TYPE_CHECKING:
    from tapeplat.solving.solution import Solution, Suggestion


def _slack(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    """A wanted slack: `20%`, `1/5` or `0.2`, above 0 and at most a half."""
    from measure.units import parse_number

    if value is None:
        return None
    try:
        number = float(parse_number(value.strip().removesuffix("%"))) / (100 if value.strip().endswith("%") else 1)
    except ValueError as error:
        raise click.BadParameter(str(error)) from None
    if not 0 < number <= 0.5:
        raise click.BadParameter(f"{value} is not between 0 and 50%; write it like 20% or 1/5")
    return number


def _number_of_seconds(ctx: click.Context, param: click.Parameter, value: float) -> float:
    """`nan` passes for a number within any range."""
    if math.isnan(value):
        raise click.BadParameter("nan is not a number of seconds")
    return value


@click.command("solvable", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.option(
    "--seconds",
    type=click.FloatRange(1, 3600),
    callback=_number_of_seconds,
    default=30.0,
    show_default=True,
    help="Time to decide in.",
)
@click.option(
    "--looser", callback=_slack, metavar="ROOM", help="Say which one limit to loosen for this much room (20%)."
)
@click.option(
    "--tighter", callback=_slack, metavar="ROOM", help="Say how far each limit may be tightened for this room."
)
@click.option(
    "--near",
    type=Given("plat"),
    metavar="RESULT",
    help="What a team built (result.json or a plat): say what to change.",
)
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for a drawing of the layout.")
@click.option("--draw", is_flag=True, help="With --near and --out: draw the answer too, not only say it.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, for other programs.")
@click.option("--quiet", is_flag=True, help="Print the answer alone, not what is being tried.")
def solvable(
    challenge: Path,
    seconds: float,
    looser: float | None,
    tighter: float | None,
    near: Path | None,
    out: Path | None,
    draw: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Say whether the rules can all be met, how tight they are, or which fight.

    For CHALLENGE, before a class tries it. Finds a layout that the checker passes and says how tight the rules are, or
    proves that there is none and says which rules cannot hold together. With --out the layout is drawn: keep that from
    the class.
    """
    if draw and (near is None or out is None):
        raise click.UsageError("--draw goes with --near RESULT and --out FOLDER")
    if near is not None and (looser is not None or tighter is not None):
        raise click.UsageError("--near says what a team could change; ask for --looser or --tighter without it")
    read = tapeplat.read_challenge(challenge)
    if near is not None:
        found = tapeplat.suggest(read, near, seconds=seconds)
        _tell(found, "\n".join(found.lines), _drawn(found, out if draw else None), as_json=as_json, quiet=quiet)
        return
    say = _silent if quiet or as_json else _progress
    answer = tapeplat.solve(read, seconds=seconds, looser=looser, tighter=tighter, progress=say)
    _tell(answer, answer.report, _drawn(answer, out), as_json=as_json, quiet=quiet)


def _drawn(found: Solution | Suggestion, out: Path | None) -> str:
    """What was written, where a drawing is wanted and there is one."""
    if out is None or not found.files:
        return ""
    found.save(out)
    return f"drawn: {out / 'plat.svg'}; keep it from the class"


def _tell(found: Solution | Suggestion, answer: str, drawn: str, *, as_json: bool, quiet: bool) -> None:
    """The answer is what the command is for, so that `--quiet` leaves it."""
    last = "" if quiet else drawn
    tell(answer, last=last, as_json=as_json, content=lambda: found.json)


def _progress(what: str) -> None:
    click.echo(f"trying: {what}", err=True)


def _silent(_: str) -> None:
    """Nothing is said."""
