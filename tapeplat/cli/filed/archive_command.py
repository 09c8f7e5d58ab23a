"""`tapeplat archive`: what is filed, what changed, handing on, checking, removing."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import click

import tapeplat
from tapeplat.cli.common.archive_options import archive_at, archive_folder_option
from tapeplat.cli.common.attempt_lines import agreed, attempt_lines, counted, deleted, filed_on, say_unreadable
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnGroup
from tapeplat.cli.common.telling import json_text, reporting_options, tell
from tapeplat.cli.filed.index_command import index, statistics
from tapeplat.cli.filed.judge_command import judge
from tapeplat.cli.filed.listing_commands import compare, list_

_DAYS = {"day": 1, "week": 7, "month": 30, "year": 365}
_DAMAGED = 2


def _age(text: str) -> timedelta:
    """`1 year`, `18 months`, `90d`."""
    found = re.fullmatch(r"\s*(\d{1,5})\s*(d|w|m|y|days?|weeks?|months?|years?)\s*", text.casefold())
    if found is None:
        raise click.BadParameter(f'"{text}" is no age; write it as 1 year, 18 months or 90 days')
    return timedelta(days=int(found[1]) * next(n for word, n in _DAYS.items() if word.startswith(found[2][0])))


_YES = click.option("--yes", is_flag=True, help="Do not ask first.")
_IDS = click.argument("names", metavar="ATTEMPT...", nargs=-1, required=True)


@click.group(cls=OwnGroup)
def archive() -> None:
    """List, compare, hand on, check and remove what is filed.

    ATTEMPT is an attempt's id as `list` shows it, or the end of it: quarry-lake-village.team-3.2 or team-3.2.
    """


archive.add_command(list_)
archive.add_command(compare)
archive.add_command(index)
archive.add_command(statistics)


@archive.command()
@click.argument("name", metavar="ATTEMPT")
@archive_folder_option
@reporting_options
def show(name: str, archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Show one attempt: its verdicts, its files, what was not kept."""
    from measure.result.result import read_result
    from tapeplat.archive.archive_pages import day, verdicts_said
    from tapeplat.reports.report_content import content_of

    entry = archive_at(archive_folder).entry(name)
    content = content_of(read_result(entry.folder))
    lines = [f"{entry.title}, {entry.name}, {day(entry.taken)}: {verdicts_said(entry)}"]
    lines += [f"  {rule.number:2}  {rule.word:18} {rule.text}  {rule.detail}".rstrip() for rule in content.rules]
    lines += [f"  {zone.name}: {zone.area}{f' ({zone.share})' if zone.share else ''}" for zone in content.zones]
    lines += [f"  {line.name}: {line.brief}" for line in content.lines]
    lines += [f"  note: {remark}" for remark in entry.remarks]
    lines.append(f"files: {', '.join(entry.files)}")
    last = f"page: {entry.folder / 'index.html'}"
    tell("\n".join(lines), last=last, as_json=as_json, quiet=quiet, content=lambda: entry)


@archive.command()
@click.option("--challenge", metavar="TITLE", help="Of this challenge; needed where several are filed.")
@click.option("--team", help="All attempts of this team; without it a chart of all teams.")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The PDF file to write.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper.")
@archive_folder_option
@reporting_options
def progress(
    challenge: str | None,
    team: str | None,
    out: Path,
    paper: str,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Print how a team's attempts, or those of all teams, went on: outlines that moved, rules won and lost."""
    from tapeplat.archive.class_progress import class_progress_pdf, steps_from
    from tapeplat.archive.team_progress import attempts_from, team_progress_pdf
    from tapeplat.classroom.team_names import in_order
    from tapeplat.output.drawn_file import write_drawn
    from tapeplat.paper.pdf.pdf_canvas import PAPERS

    if out.suffix.casefold() != ".pdf":
        raise click.UsageError(f"--out {out.name}: it is a PDF, so the name ends in .pdf")
    entries = sorted(archive_at(archive_folder).entries(challenge, team), key=lambda e: (in_order(e.team), e.attempt))
    titles = list(dict.fromkeys(entry.title for entry in entries))
    if not entries:
        raise click.UsageError("no such attempt is filed; tapeplat archive list shows what there is")
    if len(titles) > 1:
        raise click.UsageError(f"several challenges are filed; name one: --challenge {' or '.join(map(repr, titles))}")
    if team:
        content = team_progress_pdf(attempts_from(entries), PAPERS[paper])
    else:
        content = class_progress_pdf(titles[0], steps_from(entries), PAPERS[paper])
    write_drawn(out, content)
    tell(
        counted(len(entries)),
        last=f"page: {out}",
        as_json=as_json,
        quiet=quiet,
        content=lambda: {"file": out, "attempts": entries},
    )


@archive.command()
@_IDS
@click.option(
    "--out", required=True, type=click.Path(path_type=Path), help="A new folder, or a file that ends in .zip."
)
@click.option("--what", metavar="PARTS", help="Comma-separated; page,annotated,plat where it is not given.")
@click.option("--blackout", is_flag=True, help="Black out what lies around the model in photos that were kept with it.")
@click.option("--replace", is_flag=True, help="Write over a file of that name.")
@archive_folder_option
@reporting_options
def export(
    names: tuple[str, ...],
    out: Path,
    what: str | None,
    blackout: bool,
    replace: bool,
    archive_folder: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Hand attempts on: a folder or ZIP with what you ask for and nothing else.

    PARTS are page, annotated, plat, result, photos, corrected, challenge, notes, hand, revisions. Photos' originals are
    never exported.
    """
    from tapeplat.archive.export import USUAL
    from tapeplat.archive.export import export as exported

    kept = archive_at(archive_folder)
    entries = list(dict.fromkeys(kept.entry(name) for name in names))
    parts = USUAL if what is None else tuple(part.strip().casefold() for part in what.split(",") if part.strip())
    files = exported(entries, out, parts, blackout=blackout, replace=replace)
    content = {"exported": out, "files": files}
    tell("\n".join(files), last=f"exported to {out}", as_json=as_json, quiet=quiet, content=lambda: content)


@archive.command()
@click.argument("name", metavar="ATTEMPT")
@click.option("--notes", help="Text that stands in place of the former notes.")
@click.option("--hand", type=Given("hand"), help="CSV file with the team's hand measurements.")
@archive_folder_option
@reporting_options
def add(
    name: str, notes: str | None, hand: Path | None, archive_folder: Path | None, as_json: bool, quiet: bool
) -> None:
    """Add notes or hand measurements to an attempt; what they replace is kept in its `revisions`."""
    if notes is None and hand is None:
        raise click.UsageError("give --notes or --hand")
    kept = archive_at(archive_folder)
    entry = kept.entry(name)
    warnings = () if hand is None else tapeplat.compare_hand(entry.folder, hand).warnings
    files = {} if notes is None else {"notes.txt": f"{notes}\n".encode()}
    if hand is not None:
        files["hand.csv"] = hand.read_bytes()
    changed = kept.replace_result(entry, files, f"added: {', '.join(files)}")
    said = f"filed with {entry.id}: {', '.join(files)}"
    tell(said, warnings=warnings, as_json=as_json, quiet=quiet, content=lambda: changed)


archive.add_command(judge)


@archive.command()
@archive_folder_option
@reporting_options
def verify(archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Compare every file with its checksum. Exit code 2 where something is missing, changed or unreadable."""
    kept = archive_at(archive_folder)
    damage = kept.verify()
    say_unreadable(kept, "")
    for item in () if as_json else damage:
        click.echo(str(item), err=True)
    if as_json:
        click.echo(json_text(damage))
    if damage:
        do = "put these files back from a copy of the archive, or let tapeplat archive repair take away what is damaged"
        click.echo(f"{do}; everything else is as it was filed", err=True)
        raise SystemExit(_DAMAGED)
    if not (as_json or quiet):
        click.echo(f"{counted(len(kept.entries()))}: every file is as it was filed")


@archive.command()
@archive_folder_option
@reporting_options
def rebuild(archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Make the index and the list of all attempts anew from the files."""
    kept = archive_at(archive_folder)
    entries = kept.rebuild()
    tell(f"{counted(len(entries))} listed anew", as_json=as_json, quiet=quiet, content=lambda: entries)
    say_unreadable(kept)


@archive.command()
@_YES
@archive_folder_option
@reporting_options
def repair(yes: bool, archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Take away what is damaged: attempts that cannot be read go to the trash folder, damaged files out of others.

    Put back from a copy of the archive what you can before: there is no way back for a damaged file.
    """
    from tapeplat.archive.damaged_attempts import broken_said

    kept = archive_at(archive_folder)
    found = kept.broken()
    if not found and not kept.verify():
        tell("nothing is damaged", as_json=as_json, quiet=quiet, content=tuple)
        return
    lines = [f"{broken_said(one)}  ({'to the trash folder' if one.wholly else 'these files'})" for one in found]
    agreed(lines, "take this away", yes=yes, as_json=as_json, quiet=quiet)
    done = kept.repair()
    last = "tapeplat archive empty-trash deletes for good what lies in the trash"
    tell(f"repaired: {counted(len(done))}; {last}", as_json=as_json, quiet=quiet, content=lambda: done)


@archive.command()
@_IDS
@_YES
@archive_folder_option
@reporting_options
def remove(names: tuple[str, ...], yes: bool, archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Move attempts to the archive's trash folder."""
    kept = archive_at(archive_folder)
    entries = list({entry.folder: entry for entry in map(kept.listed, names)}.values())
    agreed(attempt_lines(entries), "move to the trash folder", yes=yes, as_json=as_json, quiet=quiet)
    moved = [kept.remove(entry.id) for entry in entries]
    text = "\n".join(f"moved to {folder}" for folder in moved)
    tell(text, as_json=as_json, quiet=quiet, content=lambda: moved)


@archive.command("empty-trash")
@_YES
@archive_folder_option
@reporting_options
def empty_trash(yes: bool, archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Delete for good what was removed."""
    kept = archive_at(archive_folder)
    lines = attempt_lines(kept.in_trash())
    deleted(lines, kept.empty_trash, yes=yes, as_json=as_json, quiet=quiet)


@archive.command()
@click.option("--older-than", required=True, type=_age, metavar="AGE", help="1 year, 18 months, 90 days.")
@_YES
@archive_folder_option
@reporting_options
def expire(older_than: timedelta, yes: bool, archive_folder: Path | None, as_json: bool, quiet: bool) -> None:
    """Delete for good what was filed longer ago than your school keeps pupils' work, in the trash folder, too."""
    kept = archive_at(archive_folder)
    lines = attempt_lines(kept.due(older_than), filed_on)
    deleted(lines, lambda: kept.expire(older_than), yes=yes, as_json=as_json, quiet=quiet)
    say_unreadable(kept)
