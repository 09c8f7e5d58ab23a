"""`tapeplat archive judge`: filed attempts judged again by a challenge that was changed."""

from __future__ import annotations

from pathlib import Path

import click

from tapeplat.cli.common.archive_options import archive_at, archive_folder_option
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.job_pools import cluster_option, pools_of
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

_NOT_JUDGED = 2


@click.command(cls=OwnCommand)
@click.argument("challenge", metavar="CHALLENGE", type=Given("challenge"))
@click.argument("names", metavar="[ATTEMPT...]", nargs=-1)
@cluster_option
@archive_folder_option
@reporting_options
def judge(
    challenge: Path,
    names: tuple[str, ...],
    cluster: str | None,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Judge filed attempts again by CHALLENGE, after its rules, tolerances, aliases or zones changed.

    Without ATTEMPT those of the challenge's title. Outlines stay as they were measured, verdicts by hand stay; what was
    said before is kept in `revisions`. Exit code 2 where an attempt could not be judged.
    """
    from measure.challenge import read_challenge
    from measure.file_content import FileContent
    from tapeplat.archive.comparison_words import judged_text
    from tapeplat.archive.judging import is_judged_by, judge_all

    kept = archive_at(archive_folder)
    text = challenge.read_text(encoding="utf-8-sig", errors="replace")
    named = [kept.entry(name) for name in names] or kept.entries(read_challenge(challenge).title)
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
