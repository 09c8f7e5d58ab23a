"""`tapeplat sheets`: the printed sheets of a challenge."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.whole_number import WholeNumber

if TYPE_CHECKING:
    from tapeplat.paper.book import Sheet
    from tapeplat.paper.sheet_sets import SetName
    from tapeplat.paper.sheets.sheet_job import Job

MOST_TEAMS = 29
"""Team labels have 30 tags; teams are counted from 1."""


class _OutUnlessCounted(click.Option):
    """Needed where anything is to be written."""

    def process_value(self, ctx: click.Context, value: Any) -> Any:
        """As click, which says how it is typed, where it is missing."""
        found = super().process_value(ctx, value)
        if self.value_is_missing(found) and not ctx.params.get("count"):
            raise click.MissingParameter(ctx=ctx, param=self)
        return found


@click.command("sheets", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.option("--out", cls=_OutUnlessCounted, type=click.Path(path_type=Path), help="The PDF file to write.")
@click.option(
    "--count",
    is_flag=True,
    is_eager=True,
    help="Only say how many pages and how much ink it takes; --out is not needed.",
)
@click.option(
    "--set",
    "name",
    type=click.Choice(["slim", "team", "class", "all"]),
    default="slim",
    show_default=True,
    help="Which sheets: what is needed (for a team, for the class once, or both), or all.",
)
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper.")
@click.option("--only", default="", metavar="NAME,...", help="Only these sheets, whatever the set.")
@click.option("--teams", type=WholeNumber(1, MOST_TEAMS), default=8, show_default=True, help="How many teams.")
@click.option("--pupils", type=WholeNumber(1, 6), default=4, show_default=True, help="How many pupils in a team.")
@click.option("--result", type=Given("result"), help="result.json of a model, or its folder, for its photo.")
@reporting_options
def sheets(
    challenge: Path,
    out: Path | None,
    count: bool,
    name: SetName,
    paper: str,
    only: str,
    teams: int,
    pupils: int,
    result: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Print what CHALLENGE needs on paper, as a PDF at true size.

    Without --only: what the class needs once, and at most 8 pages for each team. --set team is the team's pages alone,
    to print once for each team; --set all is everything.

    Sheets for --only: teacher, card, use, tiles, zonetiles, labels, selfcheck, lens, rules, master, measuring, squares,
    ruler, structures, cubes, grid, finegrid, drawing, planning, photo, photofull, key, questions, answers.
    """
    from tapeplat.output.drawn_file import write_drawn
    from tapeplat.paper.book import make_book

    if out is not None and out.suffix.casefold() != ".pdf":
        raise click.UsageError(
            f"--out {out}: the sheets are one PDF, so the name ends in .pdf: {out.with_suffix('.pdf')}"
        )
    job = _job(challenge, paper, teams, pupils, result)
    useful = _useful(_named(only), job) if only else _of_set(name, job)
    for warning in job.challenge.warnings:
        click.echo(f"warning: {warning}", err=True)
    _warn_of_lost_characters(job)
    if count:
        _tell_count(useful, job, contents=not only and name != "team", as_json=as_json, quiet=quiet)
    if out is not None:
        write_drawn(out, make_book(job, useful, with_contents=not only and name != "team"))
    if out is not None and not count:
        last = f"sheets: {out}; print them at 100 %, then measure the card's check lines with a ruler"
        names = [sheet.name for sheet in useful]
        tell(last, as_json=as_json, quiet=quiet, content=lambda: {"file": out, "sheets": names})


def _tell_count(useful: list[Sheet], job: Job, *, contents: bool, as_json: bool, quiet: bool) -> None:
    """Pages and ink, sheet by sheet and in all; contents: the file begins with a page that lists them."""
    from tapeplat.paper.page_count import counted

    total = counted(useful, job)
    lines = [f"{'sheet':34}{'pages':>6}{'copies':>8}{'printed':>9}{'black':>8}"]
    for one in total.sheets:
        black = f"{100 * one.share:.0f} %"
        lines.append(f"{one.sheet.title[:33]:34}{one.pages:6}{one.copies:8}{one.printed:9}{black:>8}")
    lines += [f"{'the list of contents':34}{1:6}{1:8}{1:9}"] if contents else []
    in_all, teams = total.printed + contents, len(job.teams)
    each = f", {total.for_a_team} for each team" if total.for_a_team else ""
    lines += [
        "",
        f"{in_all} {'page' if in_all == 1 else 'pages'} for {teams} {'team' if teams == 1 else 'teams'}{each}; "
        f"as much ink as about {total.text_pages:.0f} pages of text",
    ]
    rows = [(one.sheet.name, one.pages, one.copies, round(one.share, 3)) for one in total.sheets]
    tell(
        "\n".join(lines),
        as_json=as_json,
        quiet=quiet,
        content=lambda: {
            "teams": teams,
            "printed": in_all,
            "for_a_team": total.for_a_team,
            "text_pages_of_ink": round(total.text_pages),
            "sheets": [dict(zip(("name", "pages", "copies", "black"), row, strict=True)) for row in rows],
        },
    )


class _Refused(click.ClickException):
    """The command line or an input file is wrong."""

    exit_code = 2

    def show(self, file: object = None) -> None:
        click.echo(self.message, err=True)


def _named(only: str) -> list[Sheet]:
    """The sheets named, in the book's order."""
    from tapeplat.paper.book import NAMES, SHEETS

    names = [name.strip().lower() for name in only.split(",") if name.strip()]
    for name in names:
        if name not in NAMES:
            raise _Refused(f'--only: there is no sheet "{name}"; the sheets are {", ".join(NAMES)}')
    return [sheet for sheet in SHEETS if sheet.name in names]


def _of_set(name: SetName, job: Job) -> list[Sheet]:
    """The sheets of a set; those that a team's pages have no room for are said."""
    from tapeplat.paper.sheet_sets import MOST_FOR_A_TEAM, chosen

    found = chosen(name, job)
    for sheet in found.left_out:
        click.echo(
            f"warning: {sheet.title} would be more than {MOST_FOR_A_TEAM} pages for a team and is left out; "
            f"--only {sheet.name} prints it",
            err=True,
        )
    return list(found.sheets)


def _job(challenge: Path, paper: str, teams: int, pupils: int, result: Path | None) -> Job:
    from measure.challenge import read_challenge
    from measure.errors import InputMistakes
    from tapeplat.paper.pdf.pdf_canvas import PAPERS
    from tapeplat.paper.sheets.photo_sheet import read_corrected
    from tapeplat.paper.sheets.sheet_job import Job

    try:
        photo = read_corrected(result) if result else None
        return Job(read_challenge(challenge), PAPERS[paper], tuple(range(1, teams + 1)), photo, pupils)
    except InputMistakes as mistakes:
        raise _Refused(str(mistakes)) from None
    except OSError as problem:
        raise _Refused(f"cannot read {challenge}: {problem.strerror or problem}") from None


def _useful(named: list[Sheet], job: Job) -> list[Sheet]:
    """The sheets that this job has use for; those that it has not are said."""
    reasons = [sheet.idle(job) for sheet in named]
    useful = [sheet for sheet, reason in zip(named, reasons, strict=True) if not reason]
    if not useful:
        raise _Refused("; ".join(dict.fromkeys(reasons)))
    for reason in filter(None, reasons):
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
