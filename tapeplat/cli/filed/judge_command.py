"""`tapeplat archive judge`: filed attempts judged again by a challenge that was changed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.archive_options import archive_at, archive_folder_option
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.job_pools import cluster_option, pools_of
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

if TYPE_CHECKING:
    from tapeplat.archive import Archive, Entry

_NOT_JUDGED = 2


@click.command(cls=OwnCommand)
@click.argument("challenge", metavar="CHALLENGE", type=Given("challenge"))
@click.argument("names", metavar="[ATTEMPT...]", nargs=-1)
@click.option("--class-of", metavar="ATTEMPT", help="All attempts of the class that this one belongs to.")
@cluster_option
@archive_folder_option
@reporting_options
def judge(
    challenge: Path,
    names: tuple[str, ...],
    class_of: str | None,
    cluster: str | None,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Judge filed attempts again by CHALLENGE, after its rules, tolerances, aliases or zones changed.

    Without ATTEMPT those of the class that works on a challenge of this title, also those filed when it was called
    otherwise; of several such classes say which by --class-of. Outlines stay as they were measured, verdicts by hand
    stay; what was said before is kept in `revisions`. Exit code 2 where an attempt could not be judged.
    """
    from measure.challenge import read_challenge
    from measure.file_content import FileContent
    from tapeplat.archive.comparison_words import judged_text
    from tapeplat.archive.judging import is_judged_by, judge_all

    kept = archive_at(archive_folder)
    text = challenge.read_text(encoding="utf-8-sig", errors="replace")
    title = read_challenge(challenge).title
    named = [kept.entry(name) for name in names] or (_beside(kept, class_of) if class_of else _of_class(kept, title))
    stale = [entry for entry in dict.fromkeys(named) if not is_judged_by(entry, text)]
    content = FileContent(challenge.name, challenge.read_bytes())
    with pools_of(None, cluster) as pools, pools(len(stale)) as pool:
        judged = judge_all(kept, stale, content, pool)
    for model in judged:
        if model.problem or not (as_json or quiet):
            click.echo(judged_text(model.name, model.changes, model.remarks, model.problem), err=bool(model.problem))
    left = sum(bool(model.problem) for model in judged)
    said = f"{len(judged) - left} judged again; {len(named) - len(stale)} were judged by this challenge already"
    tell(said, as_json=as_json, quiet=quiet, content=lambda: judged)
    if left:
        raise SystemExit(_NOT_JUDGED)


def _beside(kept: Archive, name: str) -> Sequence[Entry]:
    """All attempts of the class that owns one; where none does, those of its title that no class owns."""
    entry = kept.entry(name)
    return kept.of_class(entry.class_id) if entry.class_id else [e for e in kept.entries(entry.title) if not e.class_id]


def _of_class(kept: Archive, title: str) -> Sequence[Entry]:
    """All attempts of the one class that has some of this title. Raises UsageError where several have."""
    of_title = kept.entries(title)
    owners = dict.fromkeys(entry.class_id for entry in of_title)
    if len(owners) < 2:
        return kept.of_class(of_title[0].class_id) if of_title and of_title[0].class_id else of_title
    first = {entry.class_id: entry for entry in reversed(of_title)}
    choices = ", or ".join(f"--class-of {first[owner].id}" for owner in owners)
    raise click.UsageError(f'attempts of "{title}" belong to {len(owners)} classes; say which: {choices}')
