"""`tapeplat tapes`: before building, whether the photo tells every tape from the others and from the board."""

from __future__ import annotations

from pathlib import Path

import click

import tapeplat

_FILE = click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)


@click.command("tapes")
@click.argument("challenge", type=_FILE)
@click.argument("photo", type=_FILE)
def tapes(challenge: Path, photo: Path) -> None:
    """Say whether the tapes can be told apart, before anybody builds.

    CHALLENGE is the challenge file, PHOTO a photo of the card with the tapes stuck in, on or beside the empty board, in
    the light in which models will be photographed. Says which boxes hold tape, which tapes look alike, which look like
    the board, and what to change. Exit code 0 whatever it says, 3 where the photo is refused.
    """
    known = tapeplat.read_challenge(challenge)
    from tapeplat.measuring.tapes import tapes_said

    said = tapes_said(known, photo)
    click.echo(f"{known.title} ({photo.name})")
    for box in said.boxes:
        zones = f" ({', '.join(box.zones)})" if box.zones else ""
        click.echo(f"box {box.number}{zones} {box.holds}")
    for change in said.changes:
        click.echo(f"change: {change}")
    for remark in said.remarks:
        click.echo(f"note: {remark}")
    click.echo(said.summary)
