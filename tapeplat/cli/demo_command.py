"""`tapeplat demo`: the sample photos measured, one after the other."""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path

import click

import tapeplat
from tapeplat.api.samples import samples
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell


@click.command(cls=OwnCommand)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the results; a temporary one where not given.")
@reporting_options
def demo(out: Path | None, as_json: bool, quiet: bool) -> None:
    """Measure the sample photos and say where the pictures are.

    The photos were ray-traced by this project with known geometry; they are not photographs of real classrooms.
    """
    from tapeplat.cli.measure_command import said

    folder = out or Path(tempfile.mkdtemp(prefix="tapeplat-demo-"))
    results = []
    for challenge, photo in samples():
        measured = tapeplat.measure(challenge, [photo])
        measured.save(folder / photo.stem)
        picture = f"picture: {folder / photo.stem / 'annotated.png'}\n"
        results.append(json.loads(measured.files["result.json"]))
        if not as_json:
            tell(said(measured, photo.name), warnings=measured.warnings, last=picture, quiet=quiet)
    tell(
        "The photos were ray-traced with known geometry; they are not photographs of real classrooms.",
        last=f"Look at the pictures: {folder.resolve()}{os.sep}*{os.sep}annotated.png",
        as_json=as_json,
        quiet=quiet,
        content=lambda: {"folder": folder.resolve(), "results": results},
    )
