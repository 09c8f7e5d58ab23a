"""`tapeplat selfcheck`: one line on how far measurements with this phone and this printer can be trusted."""

from __future__ import annotations

import re
from pathlib import Path

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

Lines = tuple[float | None, float | None]


def _lines(context: click.Context, parameter: click.Parameter, text: str) -> Lines:
    """One or two lengths in mm."""
    from tapeplat.lens.lens_words import NOMINAL, PLAUSIBLE

    try:
        lengths = [float(part) for part in text.replace(",", " ").split()]
    except ValueError:
        lengths = []
    if not text:
        return None, None
    _check_commas(text)
    if not 1 <= len(lengths) <= 2:
        raise click.BadParameter("give the lines' lengths in mm as a ruler shows them, along and up, such as 99.5,79.6")
    for length, nominal in zip(lengths, NOMINAL, strict=False):
        if not abs(length / nominal - 1) < PLAUSIBLE:
            raise click.BadParameter(f"{length:g} mm is not near {nominal:g} mm; measure that line again, in mm")
    return lengths[0], lengths[1] if len(lengths) == 2 else None


def _check_commas(text: str) -> None:
    """Raise click.BadParameter where commas stand for decimal points: `99,5` and `99,5 79,6`."""
    parts = re.split(r"[,;\s]+", text.strip())
    short = len(parts) == 2 and len(parts[1]) == 1
    if (short or len(parts) == 4) and all(part.isdecimal() for part in parts):
        meant = ",".join(f"{parts[at]}.{parts[at + 1]}" for at in range(0, len(parts), 2))
        raise click.BadParameter(f"a comma stands between the two lengths; with decimal points write {meant}")


@click.command(cls=OwnCommand)
@click.argument("photo", type=Given("photo"))
@click.option(
    "--printed-line", default="", metavar="ALONG[,UP]", callback=_lines,
    help="Lengths in mm of the card's check lines (100 and 80 long) as a ruler shows them on this print.",
)  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="Show every outline, too.")
@reporting_options
def selfcheck(photo: Path, printed_line: Lines, everything: bool, as_json: bool, quiet: bool) -> None:
    """Say how far to trust results, from a photo of the self-check sheet.

    PHOTO shows the whole printed sheet (sheets --only selfcheck), flat on a table that is darker than paper.
    """
    from tapeplat.lens.lens_store import damaged, read_photo_with_profile, stored
    from tapeplat.lens.lens_words import outline_in_words, selfcheck_in_words
    from tapeplat.lens.selfcheck import self_check

    for path in damaged():
        click.echo(f"warning: the lens profile {path} is damaged and is not used", err=True)
    check = self_check(read_photo_with_profile(photo, stored()), printed_line)
    lines = [selfcheck_in_words(check, printed_line), *map(outline_in_words, check.outlines if everything else ())]
    tell("\n".join(lines), as_json=as_json, quiet=quiet, content=lambda: check)
