"""`tapeplat class`: a folder of photos of a whole class to results, tables and pages."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.archive_options import archive_wanted, filing_options
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.whole_number import WholeNumber

if TYPE_CHECKING:
    from tapeplat.archive import Archive
    from tapeplat.classroom.class_record import ClassRecord, ModelRecord
    from tapeplat.classroom.class_run import ClassTask, Finished, Plan

PHOTO_REFUSED = 3
INTERRUPTED = 130
"""128 and the number of the signal that Ctrl-C sends (POSIX shells)."""


@click.command("class", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.argument("folder", type=Given("photos"))
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the results; without it beside FOLDER, named FOLDER-results.",
)
@filing_options
@click.option("--jobs", type=WholeNumber(1, 64), help="Photos to measure at once; without it one a core, at most 8.")
@click.option("--structures", type=Given("structures"), help="A CSV file with the sizes of all teams' structures.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Of the pages.")
@click.option("--again", is_flag=True, help="Measure again what more photos of the same phone make surer by now.")
@reporting_options
def classroom(
    challenge: Path,
    folder: Path,
    out: Path | None,
    archive: bool,
    archive_folder: Path | None,
    jobs: int | None,
    structures: Path | None,
    paper: str,
    again: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Measure the photos of a whole class, found in a folder.

    CHALLENGE is the challenge file. In FOLDER every team's photos lie in a subfolder with the team's name, or the
    files' names say the team (team-3.jpg, 3a.jpg, Blue Herons 1.jpg), or the team's printed label is in the photo.
    Run it again to measure only what is new or changed; Ctrl-C keeps what is finished.
    """
    from tapeplat.classroom.class_run import ClassTask, cores

    whole = folder.resolve()
    task = ClassTask(challenge, folder, out or whole.parent / f"{whole.name}-results", structures, paper)
    code = measure_class(
        task, archive_wanted(archive, archive_folder), jobs or cores(), again=again, quiet=quiet, as_json=as_json
    )
    if code:
        raise SystemExit(code)


def measure_class(
    task: ClassTask,
    archive: Archive | None,
    jobs: int,
    *,
    again: bool = False,
    quiet: bool = False,
    as_json: bool = False,
) -> int:
    """Plan, measure, write the class's files, say what came of it; returns the exit code."""
    from tapeplat.archive.storage.entry import team_name
    from tapeplat.classroom.better_results import offers
    from tapeplat.classroom.class_outcome import class_files, content_of_class, renew_pages
    from tapeplat.classroom.class_run import plan_class
    from tapeplat.classroom.class_table import class_table
    from tapeplat.classroom.progress import warn, width, wrapped
    from tapeplat.output.result_folder import write_folder
    from tapeplat.reports.report_files import lost_on_paper

    plan = plan_class(task, jobs, again=again)
    silent = quiet or as_json
    _say_plan(plan, quiet=silent)
    with interruptions() as asked:
        record, warnings = _measured(plan, task, archive, jobs, asked, quiet=silent)
    renewed = renew_pages(record, task.out, task.paper)
    content = content_of_class(record, task.out)
    write_folder(task.out, class_files(content, task.paper))
    tell(class_table(content, width()), as_json=as_json, quiet=quiet, content=lambda: record)
    for warning in filter(None, [*warnings, lost_on_paper(content.results)]):
        warn(warning)
    unchanged = [model for model in record.models if model.folder not in {job.folder.name for job in plan.jobs}]
    if not silent:
        for offer in offers(task.challenge, task.out, unchanged):
            click.echo(wrapped(offer))
    if renewed and not silent:
        click.echo(f"pages made anew, as results were changed by hand: {', '.join(map(team_name, renewed))}")
    if not silent:
        click.echo(f"results: {task.out}")
    missing = plan.total - len(record.models)
    if missing:
        click.echo(f"stopped: {missing} of {plan.total} models are not measured. Run it again to go on.", err=True)
        return INTERRUPTED
    return PHOTO_REFUSED if any(model.refusals for model in record.models) else 0


@contextmanager
def interruptions() -> Iterator[Callable[[], int]]:
    """Counts how often Ctrl-C was pressed, in place of being stopped by it; in the main thread alone."""
    count = 0

    def heard(*_: object) -> None:
        nonlocal count
        count += 1
        if count == 1:
            click.echo("\nstopping: the models in hand are finished first; Ctrl-C again stops at once", err=True)

    if threading.current_thread() is not threading.main_thread():
        yield lambda: 0
        return
    before = signal.signal(signal.SIGINT, heard)
    try:
        yield lambda: count
    finally:
        signal.signal(signal.SIGINT, before)


def _measured(
    plan: Plan, task: ClassTask, archive: Archive | None, jobs: int, asked: Callable[[], int], *, quiet: bool
) -> tuple[ClassRecord, list[str]]:
    """Measure and file; the record of what is known now, and warnings of the archive."""
    from tapeplat.classroom.class_filing import Filer
    from tapeplat.classroom.class_run import run_class
    from tapeplat.classroom.lens_pass import keep_lenses, lens_pass
    from tapeplat.classroom.progress import Teller, wrapped
    from tapeplat.workers.worker_pool import WorkerPool

    filer = Filer(archive, task.challenge, task.out, plan.title)
    record = filer.file_known(plan.record, plan.photos)
    with WorkerPool(min(jobs, len(plan.jobs))) as workers, TemporaryDirectory(prefix="tapeplat-") as aside:
        looked = lens_pass(plan.jobs, workers, Path(aside), stop=asked)
        if not quiet:
            for note in looked.notes:
                click.echo(wrapped(note))
        with Teller(len(plan.jobs), quiet=quiet) as teller:

            def finished(done: Finished) -> ModelRecord:
                teller.hear(done)
                return filer.file(done.record, done.job.photos)

            record = run_class(looked.jobs, record, task.out, workers, finished=finished, stop=asked)
    warning = keep_lenses(plan.jobs, task.out)
    return record, [*filer.warnings, warning]


def _say_plan(plan: Plan, *, quiet: bool) -> None:
    from tapeplat.classroom.progress import warn, wrapped

    for warning in plan.warnings:
        warn(warning)
    if not quiet:
        for note in plan.notes:
            click.echo(wrapped(f"note: {note}"))
        known = f", {plan.total - len(plan.jobs)} unchanged" if len(plan.jobs) < plan.total else ""
        models = "1 model" if plan.total == 1 else f"{plan.total} models"
        click.echo(f"{plan.title}: {models}, {len(plan.jobs)} to measure{known}")
