"""`tapeplat measure`: photos of one model to verdicts and pictures."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

import tapeplat
from tapeplat.cli.common.archive_options import archive_wanted, filing_options
from tapeplat.cli.common.earlier_result import check_earlier, replace_option
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.usage_words import typed

if TYPE_CHECKING:
    from tapeplat.measuring.measured_model import MeasuredModel


@click.command(cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.argument("photos", metavar="PHOTO...", type=Given("photo"), nargs=-1, required=True)
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder for the results.")
@click.option("--team", default="", help="The team's name or number, for the reports.")
@click.option("--structures", type=Given("structures"), help="A CSV file with the sizes of the structures.")
@filing_options
@click.option("--notes", default="", help="Text to file with the result.")
@click.option("--keep-surroundings", is_flag=True, help="Do not black out what filed photos show around the model.")
@click.option("--keep-originals", is_flag=True, help="File the photos' own files, too, with all that they tell.")
@replace_option
@reporting_options
def measure(
    challenge: Path,
    photos: tuple[Path, ...],
    out: Path,
    team: str,
    structures: Path | None,
    archive: bool,
    archive_folder: Path | None,
    notes: str,
    keep_surroundings: bool,
    keep_originals: bool,
    replace: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Measure a model from one or more photos and check its rules.

    CHALLENGE is the challenge file, PHOTO one or more photos of one model with the printed card in it; two or
    three, from above and 20 to 40 degrees from other sides, show what stands on it, too. Writes
    result.json, annotated.png, plat.svg and corrected.jpg into the folder given by --out, or nothing where the photo is
    refused. With --archive the result is filed, the photo without what its file tells of place, time and camera, and
    black around parcel and card.
    """
    check_earlier(out, team, replace=replace)
    measured = tapeplat.measure(challenge, photos, team=team, structures=structures)
    measured.save(out)
    lines: list[str] = []
    try:
        if kept := archive_wanted(archive, archive_folder):
            from tapeplat.archive.filing import attempt_of  # the archive is slow to import, and few measure to file

            attempt = attempt_of(measured.files, challenge, photos, notes=notes)
            entry = kept.save(attempt, keep_originals=keep_originals, surroundings=keep_surroundings)
            lines = [f"filed: {entry.id} in {kept.root}", *(f"note: {remark}" for remark in entry.remarks)]
    finally:  # what was measured is said even where it cannot be filed
        tell(
            said(measured, ", ".join(photo.name for photo in photos)),
            warnings=measured.warnings,
            last="\n".join(
                [
                    *lines,
                    f"picture: {out / 'annotated.png'}",
                    f"next: {typed(['tapeplat report', str(out)])} --out page.pdf makes the exact page, "
                    "with --poster one for the wall",
                ]
            ),
            as_json=as_json,
            quiet=quiet,
            content=lambda: measured.files["result.json"].decode("utf-8"),
        )


def said(measured: MeasuredModel, heading: str) -> str:
    """What the terminal shows of a measured model: the verdicts, and which lens profile was used."""
    from tapeplat.wording.verdict_table import verdict_table

    width = max(60, min(140, shutil.get_terminal_size((100, 24)).columns))
    lines = [f"{measured.notes.title} ({heading})", verdict_table(measured.notes.rules, width)]
    lines += [f"lens: {lens}" for lens in measured.lenses]
    return "\n".join(lines)
