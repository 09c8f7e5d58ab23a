"""`tapeplat measure`: photos of one model to verdicts and pictures."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tapeplat.measuring import Measured

_FILE = click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)


@click.command()
@click.argument("challenge", type=_FILE)
@click.argument("photos", metavar="PHOTO...", type=_FILE, nargs=-1, required=True)
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder for the results.")
@click.option("--team", default="", help="The team's name or number, for the reports.")
@click.option("--structures", type=_FILE, help="A CSV file with the sizes of the structures.")
def measure(challenge: Path, photos: tuple[Path, ...], out: Path, team: str, structures: Path | None) -> None:
    """Measure a model from one or more photos and check its rules.

    CHALLENGE is the challenge file, PHOTO one or more photos of one model with the printed card in it. Writes
    result.json, annotated.png, plat.svg and corrected.jpg into the folder given by --out, or nothing where the photo is
    refused.
    """
    from tapeplat.measuring import measure_model
    from tapeplat.output import write_folder

    measured = measure_model(challenge, photos, team=team, structures=structures)
    write_folder(out, measured.files)
    click.echo(said(measured, out, ", ".join(photo.name for photo in photos)), nl=False)


def said(measured: Measured, folder: Path, heading: str) -> str:
    """What the terminal shows of a measured model: the verdicts, the warnings, where the picture is."""
    from tapeplat.table import verdict_table

    width = max(60, min(140, shutil.get_terminal_size((100, 24)).columns))
    lines = [f"{measured.notes.title} ({heading})", verdict_table(measured.notes.rules, width)]
    lines += [f"lens: {lens}" for lens in measured.lenses]
    lines += [f"warning: {warning}" for warning in measured.warnings]
    lines.append(f"picture: {folder / 'annotated.png'}")
    return "\n".join(lines) + "\n"
