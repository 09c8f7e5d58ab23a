"""What the terminal shows while a class is measured: a bar where somebody looks on, lines where it goes to a file."""

from __future__ import annotations

import shutil
import sys
import textwrap
from types import TracebackType
from typing import TYPE_CHECKING

import click

from tapeplat.archive.storage.entry import team_name

if TYPE_CHECKING:
    from click._termui_impl import ProgressBar

    from tapeplat.classroom.class_run import Finished


class Teller:
    """Tells of finished models. Use it in a `with`; in a bar's way, warnings wait until it is closed."""

    def __init__(self, total: int, *, quiet: bool) -> None:
        self._total, self._quiet, self._count = total, quiet, 0
        self._waiting: list[str] = []
        self._bar: ProgressBar[int] | None = None
        if not quiet and total and sys.stdout.isatty():
            self._bar = click.progressbar(length=total, label="measuring", show_pos=True)

    def hear(self, finished: Finished) -> None:
        """Tell of one model."""
        self._count += 1
        team = team_name(finished.job.team)
        said = [f"{team}: {warning}" for warning in finished.answer.warnings]
        if self._bar is not None:
            self._bar.update(1)
            self._waiting += said
            return
        if not self._quiet:
            click.echo(f"[{self._count}/{self._total}] {team}: {_outcome(finished)}")
        for warning in said:
            warn(warning)

    def __enter__(self) -> Teller:
        if self._bar is not None:
            self._bar.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.__exit__(kind, error, trace)
        for warning in self._waiting:
            warn(warning)


def warn(text: str) -> None:
    """A warning on standard error."""
    click.echo(wrapped(f"warning: {text}"), err=True)


def wrapped(text: str) -> str:
    """A text in lines of the terminal's width."""
    return textwrap.fill(text, width(), subsequent_indent="   ", break_long_words=False, break_on_hyphens=False)


def width() -> int:
    """Letters in a line."""
    return max(60, min(160, shutil.get_terminal_size((100, 24)).columns))


def _outcome(finished: Finished) -> str:
    answer = finished.answer
    if answer.measured:
        left_out = len(answer.refusals)
        more = f", {left_out} photo{'s' if left_out > 1 else ''} left out" if left_out else ""
        return f"{answer.tally}{more} ({answer.seconds:.1f} s)"
    if answer.refusals:
        return f"photo refused ({answer.refusals[0].reason})"
    return f"not measured: {answer.problem}"
