"""`tapeplat class`: a folder of photos of a whole class to results, tables and pages."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.archive_options import archive_wanted, filing_options
from tapeplat.cli.common.earlier_result import replace_option
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.job_pools import cluster_option, pools_of
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell
from tapeplat.cli.common.usage_words import typed
from tapeplat.cli.common.whole_number import WholeNumber

if TYPE_CHECKING:
    from tapeplat.archive import Archive
    from tapeplat.classroom.class_record import ClassRecord, ModelRecord
    from tapeplat.classroom.class_run import ClassTask, Finished, Plan
    from tapeplat.workers.carrying import Pools

PHOTO_REFUSED = 3
NOT_DONE = 2
"""Something could not be measured or filed through no fault of a photo: a full disk, a lack of memory."""
INTERRUPTED = 130
"""128 and the number of the signal that Ctrl-C sends (POSIX shells)."""


@dataclass(frozen=True)
class _Done:
    """What is known of the class after a run, how many models were filed by it, and what is to be told."""

    record: ClassRecord
    filed: int
    not_filed: tuple[str, ...]
    warnings: tuple[str, ...]


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
@cluster_option
@click.option("--structures", type=Given("structures"), help="A CSV file with the sizes of all teams' structures.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Of the pages.")
@click.option("--again", is_flag=True, help="Measure again what more photos of the same phone make surer by now.")
@replace_option
@reporting_options
def classroom(
    challenge: Path,
    folder: Path,
    out: Path | None,
    archive: bool,
    archive_folder: Path | None,
    jobs: int | None,
    cluster: str | None,
    structures: Path | None,
    paper: str,
    again: bool,
    replace: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Measure the photos of a whole class, found in a folder.

    CHALLENGE is the challenge file. In FOLDER every team's photos lie in a subfolder with the team's name, or the
    files' names say the team (team-3.jpg, 3a.jpg, Blue Herons 1.jpg), or the team's printed label is in the photo.
    Run it again to measure only what is new or changed; Ctrl-C keeps what is finished.
    """
    from tapeplat.classroom.class_run import ClassTask

    whole = folder.resolve()
    task = ClassTask(challenge, folder, out or whole.parent / f"{whole.name}-results", structures, paper)
    kept = archive_wanted(archive, archive_folder)
    with pools_of(jobs, cluster) as pools:
        code = measure_class(task, kept, pools, again=again, replace=replace, quiet=quiet, as_json=as_json)
    if code:
        raise SystemExit(code)


def measure_class(
    task: ClassTask,
    archive: Archive | None,
    pools: Pools,
    *,
    again: bool = False,
    replace: bool = False,
    quiet: bool = False,
    as_json: bool = False,
) -> int:
    """Plan, measure, write the class's files, say what came of it; returns the exit code."""
    from tapeplat.classroom.class_run import plan_class
    from tapeplat.classroom.one_run import only_run

    plan = plan_class(task, pools, again=again, replace=replace)
    silent = quiet or as_json
    _say_plan(plan, quiet=silent)
    with only_run(task.out):
        with interruptions() as asked:
            done = _measured(plan, task, archive, pools, asked, quiet=silent)
        record, renewed = done.record, _written(task, done, quiet=quiet, as_json=as_json)
    if not silent:
        _say_end(plan, task, done, renewed, archive)
    missing = plan.total - len(record.models)
    if missing:
        click.echo(f"stopped: {missing} of {plan.total} models are not measured. Run it again to go on.", err=True)
        return INTERRUPTED
    if done.not_filed or any(model.state == "failed" for model in record.models):
        return NOT_DONE
    return PHOTO_REFUSED if any(model.refusals for model in record.models) else 0


def _written(task: ClassTask, done: _Done, *, quiet: bool, as_json: bool) -> list[str]:
    """Write the class's tables and pages, say what came of it; the teams whose pages were made anew."""
    from tapeplat.classroom.class_outcome import class_files, content_of_class, renew_pages
    from tapeplat.classroom.class_table import class_table, refusal_said
    from tapeplat.classroom.progress import warn, width
    from tapeplat.output.result_folder import write_folder
    from tapeplat.reports.report_files import lost_on_paper

    content = content_of_class(done.record, task.out)
    try:
        renewed = renew_pages(done.record, task.out, task.paper)
        write_folder(task.out, class_files(content, task.paper))
    finally:  # what was measured is said even where the class's own pages cannot be written
        tell(class_table(content, width()), as_json=as_json, quiet=quiet, content=lambda: done.record)
        unsaid = [refusal_said(photos) for photos in content.unmeasured] if quiet or as_json else []
        for warning in filter(None, [*unsaid, *done.warnings, *done.not_filed, lost_on_paper(content.results)]):
            warn(warning)
    return renewed


def _say_end(plan: Plan, task: ClassTask, done: _Done, renewed: list[str], archive: Archive | None) -> None:
    """What else could be surer, what was filed and written, and what is next."""
    from tapeplat.archive.storage.entry import team_name
    from tapeplat.classroom.better_results import offers
    from tapeplat.classroom.progress import wrapped

    measured = {job.folder.name for job in plan.jobs}
    unchanged = [model for model in done.record.models if model.folder not in measured]
    for offer in offers(task.challenge, task.out, unchanged):
        click.echo(wrapped(offer))
    if renewed:
        click.echo(f"pages made anew, as results were changed by hand: {', '.join(map(team_name, renewed))}")
    if archive is not None:
        known = sum(bool(model.archived) for model in done.record.models) - done.filed
        before = f"; {known} filed before" if known else ""
        click.echo(f"filed: {models(done.filed)} in {archive.root}{before}")
    click.echo(f"results: {task.out}; {task.out / 'class.pdf'} shows the class at a glance")
    if any(model.refusals for model in done.record.models):
        click.echo("next: do what stands beside each photo above, then run the same line again; it measures only those")
    else:
        click.echo(f"next: {typed(['tapeplat report', str(task.out)])} --out wall.pdf makes the pages for the wall")


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
    plan: Plan, task: ClassTask, archive: Archive | None, pools: Pools, asked: Callable[[], int], *, quiet: bool
) -> _Done:
    """Measure and file; what is known now, and what could not be filed."""
    from tapeplat.classroom.class_filing import Filer
    from tapeplat.classroom.class_run import run_class
    from tapeplat.classroom.lens_pass import keep_lenses, lens_pass
    from tapeplat.classroom.progress import Teller, wrapped

    filer = Filer(archive, task.challenge, task.out, plan.title)
    record = filer.file_known(plan.record, plan.photos)
    with pools(len(plan.jobs)) as workers, TemporaryDirectory(prefix="tapeplat-") as aside:
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
    return _Done(record, filer.filed, tuple(filer.warnings), (warning,))


def _say_plan(plan: Plan, *, quiet: bool) -> None:
    from tapeplat.classroom.progress import warn, wrapped

    for warning in plan.warnings:
        warn(warning)
    if not quiet:
        for note in plan.notes:
            click.echo(wrapped(f"note: {note}"))
        known = f", {plan.total - len(plan.jobs)} unchanged" if len(plan.jobs) < plan.total else ""
        click.echo(f"{plan.title}: {models(plan.total)}, {len(plan.jobs)} to measure{known}")


def models(number: int) -> str:
    """`1 model`, `3 models`."""
    return f"{number} model{'' if number == 1 else 's'}"
