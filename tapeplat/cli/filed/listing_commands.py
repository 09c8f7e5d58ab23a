"""`tapeplat archive list` and `compare`: of one archive, or of many schools'."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import click

from tapeplat.cli.common.archive_options import archive_at, archive_folder_option
from tapeplat.cli.common.attempt_lines import attempt_lines, counted, say_unreadable
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.schools_options import chosen_options, schools_at, schools_options
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.whole_number import WholeNumber

if TYPE_CHECKING:
    from tapeplat.archive.attempt_comparison import Comparison
    from tapeplat.archive.storage.entry import Entry
    from tapeplat.archive.store import Archive
    from tapeplat.district.filed_attempt import Choice

_MOST = 200
"""Lines of many schools, where no other number is asked for."""


class _Named(Protocol):
    """Whatever knows an attempt by its name."""

    def entry(self, name: str) -> Entry:
        """The attempt. Raises InputMistakes."""


@click.command("list", cls=OwnCommand)
@click.option("--challenge", metavar="TITLE", help="Only this challenge.")
@click.option("--team", help="Only this team.")
@chosen_options
@click.option("--most", type=WholeNumber(0, 10**7), help=f"Lines of many schools; {_MOST} without it, all for 0.")
@schools_options
@archive_folder_option
@reporting_options
def list_(
    challenge: str | None,
    team: str | None,
    school: str | None,
    year: int | None,
    most: int | None,
    schools: Path | None,
    database: str | None,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """List what is filed, in one archive or in many schools' ones."""
    if schools is not None or database is not None:
        from tapeplat.district.filed_attempt import Choice

        choice = Choice(school, year, challenge, team)
        _list_schools(schools, database, choice, _MOST if most is None else most, as_json=as_json, quiet=quiet)
        return
    if school is not None or year is not None or most is not None:
        raise click.UsageError("--school, --year and --most go with --schools DIR or --database URL")
    kept = archive_at(archive_folder)
    entries = kept.entries(challenge, team)
    if entries or as_json:
        tell("\n".join(attempt_lines(entries)), as_json=as_json, quiet=quiet, content=lambda: entries)
    say_unreadable(kept)
    if not (as_json or quiet):
        where = f"{counted(len(entries))} in {kept.root}; {kept.root / 'index.html'} opens in a browser"
        click.echo(where if entries else _nothing(kept))


def _list_schools(
    schools: Path | None, database: str | None, choice: Choice, most: int, *, as_json: bool, quiet: bool
) -> None:
    with schools_at(schools, database) as known:
        found, damaged, where, root = known.listed(choice, most), known.damaged(), known.where, known.root
    if found.entries or as_json:
        text, content = "\n".join(attempt_lines(found.entries)), _of_schools(found.entries, root)
        tell(text, as_json=as_json, quiet=quiet, content=lambda: content)
    if damaged:
        click.echo(f"{damaged} more cannot be read; tapeplat archive verify says what is wrong in a school's", err=True)
    if len(found.entries) < found.count:
        click.echo(f"the first {len(found.entries)} of {found.count}: --most 0 lists all", err=True)
    if not (as_json or quiet):
        click.echo(f"{counted(found.count)} in {where}" if found.count else f"nothing of that is filed in {where}")


def _of_schools(entries: Iterable[Entry], root: Path) -> list[dict[str, object]]:
    """Each attempt with its school: the folder, in that of all schools, in which it lies."""
    return [{"school": entry.folder.relative_to(root).parts[0], **vars(entry)} for entry in entries]


@click.command(cls=OwnCommand)
@click.argument("before", metavar="ATTEMPT")
@click.argument("after", metavar="ATTEMPT")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for compare.html and overlay.svg."
)
@schools_options
@archive_folder_option
@reporting_options
def compare(
    before: str,
    after: str,
    out: Path | None,
    schools: Path | None,
    database: str | None,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Show what changed from one attempt to another: rules won and lost, areas, gaps, the outlines over each other."""
    from tapeplat.archive.attempt_comparison import compare as compared
    from tapeplat.archive.comparison_words import comparison_page, comparison_text
    from tapeplat.output.result_folder import write_folder

    with _named_in(schools, database, archive_folder) as kept:
        found = compared(kept.entry(before), kept.entry(after))
    if out is not None:
        files = {"compare.html": comparison_page(found).encode("utf-8")}
        if found.overlay:
            files = {"overlay.svg": found.overlay.encode("utf-8"), **files}
        write_folder(out, files)
    last = "" if out is None else f"page: {out / 'compare.html'}"
    tell(comparison_text(found), last=last, as_json=as_json, quiet=quiet, content=lambda: _changes(found))


@contextmanager
def _named_in(schools: Path | None, database: str | None, folder: Path | None) -> Iterator[_Named]:
    """Where attempts are known by name."""
    if schools is None and database is None:
        yield archive_at(folder)
        return
    with schools_at(schools, database) as known:
        yield known


def _changes(found: Comparison) -> dict[str, object]:
    """A comparison as JSON has it: all but the drawing."""
    rest = {name: value for name, value in vars(found).items() if name not in ("before", "after", "overlay")}
    return {"before": found.before.id, "after": found.after.id, **rest}


def _nothing(kept: Archive) -> str:
    return f"nothing of that is filed in {kept.root}; tapeplat measure --archive files an attempt"
