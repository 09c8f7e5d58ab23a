"""`tapeplat solvable`: can a challenge's rules be met, how tight are they, or which of them fight; teacher only."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from measure.challenge import Challenge
    from measure.solvable import Near

_FILE = click.Path(path_type=Path)


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


@click.command("solvable")
@click.argument("challenge", type=_FILE)
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
    "--near", type=_FILE, metavar="RESULT", help="What a team built (result.json or a plat): say what to change."
)
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for a drawing of the layout.")
@click.option("--draw", is_flag=True, help="With --near and --out: draw the answer too, not only say it.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, for other programs.")
@click.option("--quiet", is_flag=True, help="Do not say what is being tried.")
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
    from measure.challenge import read_challenge
    from tapeplat.output.result_folder import write_folder

    if draw and (near is None or out is None):
        raise click.UsageError("--draw goes with --near RESULT and --out FOLDER")
    if near is not None and (looser is not None or tighter is not None):
        raise click.UsageError("--near says what a team could change; ask for --looser or --tighter without it")
    read = read_challenge(challenge)
    say = _silent if quiet or as_json else _progress
    if near is not None:
        text, files = _near(read, near, seconds, as_json=as_json, draw=draw)
    else:
        text, files = _answer(read, seconds, looser, tighter, say, as_json=as_json)
    if out is not None and files:
        write_folder(out, files)
    click.echo(text)


def _answer(
    challenge: Challenge,
    seconds: float,
    looser: float | None,
    tighter: float | None,
    say: object,
    *,
    as_json: bool,
) -> tuple[str, dict[str, bytes]]:
    from measure.solvable import answer, plat_of
    from tapeplat.solving.solvable_files import answer_json, drawn
    from tapeplat.solving.solvable_words import report

    assert callable(say)
    found = answer(challenge, seconds, say, looser_to=looser, tighter_to=tighter)
    files = {} if found.layout is None else drawn(challenge, plat_of(found.layout), "sample layout")
    return (answer_json(found) if as_json else report(found)), files


def _near(
    challenge: Challenge, result: Path, seconds: float, *, as_json: bool, draw: bool
) -> tuple[str, dict[str, bytes]]:
    from measure.errors import InputMistakes, Mistake
    from measure.importing.plat_file import read_plat
    from measure.solvable import Deadline, nearest
    from tapeplat.solving.solvable_files import drawn, near_json
    from tapeplat.solving.solvable_words import near_words

    plat = read_plat(result / "result.json" if result.is_dir() else result, challenge)
    try:
        found = nearest(challenge, plat, Deadline(seconds))
    except ValueError as error:
        raise InputMistakes([Mistake(result.name, str(error), "measure the model again from a better photo")]) from None
    text = near_json(found, challenge) if as_json else "\n".join(near_words(found, challenge.unit))
    return text, drawn(challenge, found.plat, "suggestion") if draw and _has_steps(found) and found else {}


def _has_steps(near: Near | None) -> bool:
    return near is not None and bool(near.steps)


def _progress(what: str) -> None:
    click.echo(f"trying: {what}", err=True)


def _silent(_: str) -> None:
    """Nothing is said."""
