"""`tapeplat report`: pages for the wall and for the desk, from results that are there."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.filed.district_report import DistrictWishes, TeamResults, district_options, write_district

if TYPE_CHECKING:
    from tapeplat.reports.class_page import ClassContent
    from tapeplat.reports.report_content import TeamContent


@click.command("report", cls=OwnCommand)
@click.argument(
    "results", cls=TeamResults, metavar="RESULT...", type=Given("result", classes=True), nargs=-1, required=True
)
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The file to write: NAME.pdf, or NAME.svg.")
@click.option("--poster", "posters", is_flag=True, help="A poster for each team in place of its exact page.")
@click.option("--words", default="", metavar="TEXT", help="What the team says, printed on its poster; one team's.")
@click.option("--map", "maps", is_flag=True, help="A scale map behind every team's page.")
@click.option("--flow", "flows", is_flag=True, help="A sheet behind every team's page: what flows where, to complete.")
@click.option("--class", "overview", is_flag=True, help="Begin with the class at a glance.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper.")
@district_options
@reporting_options
def report(
    results: tuple[Path, ...],
    out: Path,
    posters: bool,
    words: str,
    maps: bool,
    flows: bool,
    overview: bool,
    paper: str,
    district: bool,
    schools: Path | None,
    database: str | None,
    threshold: int | None,
    school_names: bool,
    key: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Make a poster or an exact page for each team, and the class at a glance.

    RESULT is a team's result.json, its folder, or a class's folder with all its teams. Verdicts that were set by hand
    stand on the pages. With --out NAME.svg the scale map of one team is written as a drawing. With --district there are
    figures of many schools in their place.
    """
    wishes = DistrictWishes(schools, database, threshold, school_names, key)
    if district:
        if posters or words or maps or flows or overview:
            raise click.UsageError("--district goes without --poster, --words, --map, --flow and --class")
        write_district(out, wishes, as_json=as_json, quiet=quiet)
        return
    if wishes.any:
        raise click.UsageError("--schools, --database, --threshold, --school-names and --key go with --district")
    teams = _write_pages(results, out, words, paper, posters=posters, behind=(maps, flows), overview=overview)
    tell(
        f"{len(teams)} {'team' if len(teams) == 1 else 'teams'}",
        last=f"page: {out}" if len(teams) == 1 else f"pages: {out}",
        as_json=as_json,
        quiet=quiet,
        content=lambda: {"file": out, "teams": teams},
    )


def _write_pages(
    results: Sequence[Path], out: Path, words: str, paper: str, *, posters: bool, behind: tuple[bool, bool],
    overview: bool,
) -> list[str]:  # fmt: skip
    """Write the teams' pages, posters, or one team's map; the teams' names. behind: with map, with flow sheet."""
    from tapeplat.output.drawn_file import write_drawn
    from tapeplat.paper.pdf.pdf_canvas import PAPERS
    from tapeplat.reports.map_page import map_svg
    from tapeplat.reports.report_files import lost_on_paper, posters_pdf, read_content, report_pdf

    if out.suffix.casefold() not in (".pdf", ".svg"):
        raise click.UsageError(f"--out {out.name}: the file's name ends in .pdf, or in .svg for one team's map")
    _refuse_what_does_not_go_together(out, posters=posters, words=words, others=any(behind) or overview)
    paths, classes = _expanded(results)
    contents = [read_content(path) for path in paths]
    if out.suffix.casefold() == ".svg":
        if len(contents) != 1:
            raise click.UsageError(f"a drawing shows one team's map, and there are {len(contents)} results; name one")
        made = map_svg(contents[0], PAPERS[paper]).encode("utf-8")
    else:
        warning = lost_on_paper(content.result for content in contents)
        if warning:
            click.echo(f"warning: {warning}", err=True)
        if words and len(contents) > 1:
            raise click.UsageError(f"--words are one team's, and there are {len(contents)} results; name one")
        if posters:
            made = posters_pdf(contents, PAPERS[paper], words)
        else:
            summary = _overview(contents, classes) if overview else None
            made = report_pdf(contents, PAPERS[paper], maps=behind[0], flows=behind[1], overview=summary)
    write_drawn(out, made)
    return [content.result.team for content in contents]


def _refuse_what_does_not_go_together(out: Path, *, posters: bool, words: str, others: bool) -> None:
    if words and not posters:
        raise click.UsageError("--words are printed on a poster: add --poster")
    if posters and others:
        raise click.UsageError("--poster goes without --map, --flow and --class: make two files")
    if posters and out.suffix.casefold() != ".pdf":
        raise click.UsageError(f"--out {out.name}: a poster is a PDF, so the name ends in .pdf")


def _expanded(results: Sequence[Path]) -> tuple[list[Path], list[ClassContent]]:
    """Every team's result, of a class's folder those of its teams in order; and the classes. Raises InputMistakes."""
    from measure.errors import InputMistakes, Mistake
    from tapeplat.classroom.class_outcome import content_of_class
    from tapeplat.classroom.class_record import FILE, damaged_record, read_record
    from tapeplat.classroom.team_names import in_order

    paths, classes = list[Path](), list["ClassContent"]()
    for path in results:
        if not (path.is_dir() and (path / FILE).is_file()):
            paths.append(path)
            continue
        if damaged_record(path):
            do = "run tapeplat class again, or name the teams' folders"
            raise InputMistakes([Mistake(str(path / FILE), "it is damaged and does not say which teams there are", do)])
        record = read_record(path)
        classes.append(content_of_class(record, path))
        teams = sorted((m for m in record.models if m.state == "measured"), key=lambda model: in_order(model.team))
        paths += [path / model.folder for model in teams]
    if not paths:
        raise InputMistakes([Mistake(str(results[0]), "no team of this class is measured", "run tapeplat class again")])
    return paths, classes


def _overview(contents: Sequence[TeamContent], classes: Sequence[ClassContent]) -> ClassContent:
    """The class of all these results, with what its folders could not measure."""
    from tapeplat.reports.class_page import ClassContent

    unmeasured = tuple(photos for known in classes for photos in known.unmeasured)
    return ClassContent(contents[0].title, tuple(content.result for content in contents), unmeasured)
