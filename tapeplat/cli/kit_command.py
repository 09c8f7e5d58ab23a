"""`tapeplat kit`: the unit kit of a challenge, to edit or to print."""

from __future__ import annotations

from pathlib import Path

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.whole_number import WholeNumber


@click.command("kit", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.argument("results", metavar="[RESULT]...", type=Given("result"), nargs=-1)
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The file to write: NAME.docx or NAME.pdf.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper.")
@click.option("--only", default="", metavar="NAME,...", help="Only these pages; a wrong name is told with all names.")
@click.option("--teams", type=WholeNumber(1, 60), default=8, show_default=True, help="How many teams.")
@click.option("--pupils", type=WholeNumber(1, 6), default=4, show_default=True, help="How many pupils in a team.")
@reporting_options
def kit(
    challenge: Path,
    results: tuple[Path, ...],
    out: Path,
    paper: str,
    only: str,
    teams: int,
    pupils: int,
    as_json: bool,
    quiet: bool,
) -> None:
    """Make the unit kit of CHALLENGE: lists, plans, children's pages, marks; to edit as .docx, or to print as .pdf.

    With RESULT, a team's folder or result.json, there are questions on that team's own numbers, and practice with its
    own shapes.
    """
    from measure.challenge import read_challenge
    from tapeplat.kit.kit_contents import SUFFIXES, kit_file, kit_pages
    from tapeplat.kit.kit_job import KitJob
    from tapeplat.output.drawn_file import write_drawn
    from tapeplat.paper.pdf.pdf_canvas import PAPERS
    from tapeplat.reports.report_files import read_content

    if out.suffix.casefold() not in SUFFIXES:
        raise click.UsageError(f"--out {out.name}: the file's name ends in .docx, to edit it, or in .pdf, to print it")
    job = KitJob(read_challenge(challenge), teams, pupils, tuple(read_content(path) for path in results))
    names = [name.strip().casefold() for name in only.split(",") if name.strip()]
    every = [page.name for page in kit_pages(job)]
    for name in names:
        if name not in every:
            pages = ", ".join(dict.fromkeys(every))
            raise click.UsageError(f'--only: there is no page "{name}"; the pages are {pages}')
    write_drawn(out, kit_file(job, out.suffix.casefold(), PAPERS[paper], names))
    made = [name for name in every if not names or name in names]
    said = f"{len(made)} {'page' if len(made) == 1 else 'pages'}"
    tell(said, last=f"kit: {out}", as_json=as_json, quiet=quiet, content=lambda: {"file": out, "pages": made})
