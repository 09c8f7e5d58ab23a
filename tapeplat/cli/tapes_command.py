"""`tapeplat tapes`: before building, whether the photo tells every tape from the others and from the board."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

import tapeplat
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

if TYPE_CHECKING:
    from tapeplat.measuring.tapes import TapesSaid


@click.command("tapes", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.argument("photo", type=Given("photo"))
@reporting_options
def tapes(challenge: Path, photo: Path, as_json: bool, quiet: bool) -> None:
    """Say whether the tapes can be told apart, before anybody builds.

    CHALLENGE is the challenge file, PHOTO a photo of the card with the tapes stuck in, on or beside the empty board, in
    the light in which models will be photographed. Says which boxes hold tape, which tapes look alike, which look like
    the board, and what to change. Exit code 0 whatever it says, 3 where the photo is refused.
    """
    known = tapeplat.read_challenge(challenge)
    from tapeplat.measuring.tapes import tapes_said

    said = tapes_said(known, photo)
    lines = [f"{known.title} ({photo.name})", *_lines(said)]
    tell("\n".join(lines), last=said.summary, as_json=as_json, quiet=quiet, content=lambda: said)


def _lines(said: TapesSaid) -> Iterator[str]:
    for box in said.boxes:
        zones = f" ({', '.join(box.zones)})" if box.zones else ""
        yield f"box {box.number}{zones} {box.holds}"
    for change in said.changes:
        yield f"change: {change}"
    for remark in said.remarks:
        yield f"note: {remark}"
