"""`tapeplat sheets`: the printed sheets of a challenge."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.whole_number import WholeNumber

if TYPE_CHECKING:
    from tapeplat.paper.book import Sheet
    from tapeplat.paper.sheets.sheet_job import Job

MOST_TEAMS = 29
"""Team labels have 30 tags; teams are counted from 1."""


@click.command("sheets", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The PDF file to write.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper.")
@click.option("--only", default="", metavar="NAME,...", help="Only these sheets; without it, all that are of use.")
@click.option("--teams", type=WholeNumber(1, MOST_TEAMS), default=8, show_default=True, help="How many teams.")
@click.option("--result", type=Given("result"), help="result.json of a model, or its folder, for its photo.")
@reporting_options
def sheets(
    challenge: Path,
    out: Path,
    paper: str,
    only: str,
    teams: int,
    result: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Print everything that CHALLENGE needs on paper, as a PDF at true size.

    Sheets for --only: teacher, card, tiles, zonetiles, labels, selfcheck, lens, rules, master, squares, ruler, cubes,
    grid, drawing, planning, photo, photofull, key, questions, answers.
    """
    from tapeplat.output.drawn_file import write_drawn
    from tapeplat.paper.book import make_book

    if out.suffix.casefold() != ".pdf":
        raise click.UsageError(
            f"--out {out}: the sheets are one PDF, so the name ends in .pdf: {out.with_suffix('.pdf')}"
        )
    chosen = _chosen(only)
    job = _job(challenge, paper, teams, result)
    useful = _useful(chosen, job, asked=bool(only))
    for warning in job.challenge.warnings:
        click.echo(f"warning: {warning}", err=True)
    _warn_of_lost_characters(job)
    write_drawn(out, make_book(job, useful, with_contents=not only))
    last = f"sheets: {out}; print them at 100 %, then measure the card's check lines with a ruler"
    names = [sheet.name for sheet in useful]
    tell(last, as_json=as_json, quiet=quiet, content=lambda: {"file": out, "sheets": names})


class _Refused(click.ClickException):
    """The command line or an input file is wrong."""

    exit_code = 2

    def show(self, file: object = None) -> None:
        click.echo(self.message, err=True)


def _chosen(only: str) -> list[Sheet]:
    """The sheets named, in the book's order; all where none is named."""
    from tapeplat.paper.book import NAMES, SHEETS

    names = [name.strip().lower() for name in only.split(",") if name.strip()]
    for name in names:
        if name not in NAMES:
            raise _Refused(f'--only: there is no sheet "{name}"; the sheets are {", ".join(NAMES)}')
    return [sheet for sheet in SHEETS if sheet.name in names or not names]


def _job(challenge: Path, paper: str, teams: int, result: Path | None) -> Job:
    from measure.challenge import read_challenge
    from measure.errors import InputMistakes
    from tapeplat.paper.pdf.pdf_canvas import PAPERS
    from tapeplat.paper.sheets.photo_sheet import read_corrected
    from tapeplat.paper.sheets.sheet_job import Job

    try:
        photo = read_corrected(result) if result else None
        return Job(read_challenge(challenge), PAPERS[paper], tuple(range(1, teams + 1)), photo)
    except InputMistakes as mistakes:
        raise _Refused(str(mistakes)) from None
    except OSError as problem:
        raise _Refused(f"cannot read {challenge}: {problem.strerror or problem}") from None


def _useful(chosen: list[Sheet], job: Job, *, asked: bool) -> list[Sheet]:
    """The sheets that this job has use for; those asked for by name that it has not are said."""
    reasons = [sheet.idle(job) for sheet in chosen]
    useful = [sheet for sheet, reason in zip(chosen, reasons, strict=True) if not reason]
    if not useful:
        raise _Refused("; ".join(dict.fromkeys(reasons)))
    for reason in filter(None, reasons if asked else []):
        click.echo(f"warning: {reason}", err=True)
    return useful


def _warn_of_lost_characters(job: Job) -> None:
    from tapeplat.paper.pdf.fonts import lost

    challenge = job.challenge
    texts = [challenge.title, *(zone.name for zone in challenge.zones), *(rule.text for rule in challenge.rules)]
    signs = lost(" ".join(texts))
    if signs:
        click.echo(
            f"warning: the sheets' typeface lacks {' '.join(signs)}; accents are left off and other signs are printed "
            "as a question mark",
            err=True,
        )
