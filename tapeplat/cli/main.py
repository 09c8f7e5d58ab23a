"""The command line: a group whose commands are imported when they are called, so that help comes at once.

Exit codes: 0 measured, whatever the verdicts; 2 the command line or an input file is wrong; 3 the photo is refused.
"""

from __future__ import annotations

import errno
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any, NoReturn

import click

from calib.photo_refused import PhotoRefused
from measure.errors import InputMistakes
from tapeplat.cli.common.own_command import OwnGroup
from tapeplat.cli.common.terminal_streams import lost_output, steady
from tapeplat.output.result_folder import FolderNotWritable

NOT_AGREED = 1
WRONG_INPUT = 2
PHOTO_REFUSED = 3
INTERRUPTED = 130
"""128 and the number of the signal that Ctrl-C sends (POSIX shells)."""
THE_DISKS = frozenset(
    {errno.EACCES, errno.EPERM, errno.ENAMETOOLONG, errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}
)
"""Faults that are no program's: a place that may not be entered, a name that is too long, a disk full or broken."""


@dataclass(frozen=True)
class Entry:
    """Where a command lives, and its line in the list of commands."""

    module: str
    attribute: str
    summary: str


COMMANDS: Mapping[str, Entry] = {
    "demo": Entry("tapeplat.cli.demo_command", "demo", "Measure the sample photos and say where the pictures are."),
    "sheets": Entry(
        "tapeplat.cli.sheets_command",
        "sheets",
        "Print what CHALLENGE needs on paper, as a PDF at true size.",
    ),
    "kit": Entry(
        "tapeplat.cli.kit_command",
        "kit",
        "Make the unit kit of CHALLENGE: lists, plans, children's pages, marks",
    ),
    "rules": Entry(
        "tapeplat.cli.rules_command",
        "rules",
        "Show how the rules of CHALLENGE are understood, before a single photo is taken.",
    ),
    "tapes": Entry(
        "tapeplat.cli.tapes_command",
        "tapes",
        "Say whether the tapes can be told apart, before anybody builds.",
    ),
    "solvable": Entry(
        "tapeplat.cli.solvable_command",
        "solvable",
        "Say whether the rules can all be met, how tight they are, or which fight.",
    ),
    "measure": Entry(
        "tapeplat.cli.measure_command", "measure", "Measure a model from one or more photos and check its rules."
    ),
    "class": Entry(
        "tapeplat.cli.class_command", "classroom", "Measure the photos of a whole class, found in a folder."
    ),
    "report": Entry(
        "tapeplat.cli.report_command",
        "report",
        "Make a poster or an exact page for each team, and the class at a glance.",
    ),
    "lens": Entry("tapeplat.cli.lens_command", "lens", "Learn a phone camera's lens from photos of the lens sheet."),
    "selfcheck": Entry(
        "tapeplat.cli.selfcheck_command",
        "selfcheck",
        "Say how far to trust results, from a photo of the self-check sheet.",
    ),
    "check": Entry("tapeplat.cli.rules_command", "check", "Check the rules of CHALLENGE on outlines from a file."),
    "verify": Entry(
        "tapeplat.cli.verify_command",
        "verify",
        "Compare what children measured by hand with the photo; find likely mistakes.",
    ),
    "archive": Entry(
        "tapeplat.cli.filed.archive_command", "archive", "List, compare, hand on, check and remove what is filed."
    ),
    "people": Entry("tapeplat.cli.people_command", "people", "Say how many people the structures in each zone hold."),
    "serve": Entry(
        "tapeplat.cli.serve_command", "serve", "Open the page in the browser, for the teacher and the students."
    ),
}


JOBS: Mapping[str, tuple[str, ...]] = {
    "Try it": ("demo",),
    "Before the lesson": ("rules", "solvable", "tapes", "sheets", "kit", "lens", "selfcheck"),
    "Measure": ("measure", "class", "check"),
    "Look, compare, hang up": ("verify", "people", "report", "archive"),
    "All of it in the browser": ("serve",),
}
"""The commands by what they are for, in the order of a teacher's work."""

OTHERS: Mapping[str, str] = {
    **dict.fromkeys(("photo", "analyse", "analyze", "run", "scan"), "measure"),
    **dict.fromkeys(("print", "card", "pdf", "tiles", "sheet"), "sheets"),
    **dict.fromkeys(("validate", "lint", "challenge", "read"), "rules"),
    **dict.fromkeys(("camera", "profile", "profiles"), "lens --list"),
    **dict.fromkeys(("web", "page", "browser", "start", "gui", "open"), "serve"),
    **dict.fromkeys(("help", "commands"), "--help"),
    **dict.fromkeys(("version",), "--version"),
    **{word: f"archive {word}" for word in ("list", "compare", "export", "show", "add", "remove", "expire", "rebuild")},
    "repair": "serve",
    "hand": "verify",
    "pages": "report",
    "example": "demo",
}
"""Words that people look for where the command has another name."""


class Commands(OwnGroup):
    """The group of all commands; turns what a teacher can put right into one message and an exit code."""

    others = OTHERS

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, in the order of a teacher's work."""
        return [name for names in JOBS.values() for name in names]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command."""
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        command = getattr(import_module(entry.module), entry.attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{entry.module}.{entry.attribute} is no command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        width = max(map(len, COMMANDS))
        for job, names in JOBS.items():
            with formatter.section(job):
                formatter.write_dl([(name.ljust(width), COMMANDS[name].summary) for name in names])

    def main(self, *args: Any, **extra: Any) -> Any:
        """Run the whole line, printing to streams that cannot end it half way."""
        steady()
        return super().main(*args, **extra)

    def invoke(self, ctx: click.Context) -> object:
        """Run the command that was asked for."""
        try:
            done = super().invoke(ctx)
            if lost := lost_output():
                _stop(f"what was printed is lost ({_said(lost)}); everything else is done", WRONG_INPUT)
            return done
        except PhotoRefused as refusal:
            _stop(str(refusal), PHOTO_REFUSED)
        except (InputMistakes, FolderNotWritable) as mistake:
            _stop(str(mistake), WRONG_INPUT)
        except OSError as error:
            if error.errno not in THE_DISKS:
                raise
            _stop(f"{error.filename or 'the disk'} cannot be used: {_said(error)}; choose another place", WRONG_INPUT)
        except click.Abort:  # the answer to a question was no, or there was none
            _stop("\nnothing was changed", NOT_AGREED)
        except KeyboardInterrupt:
            _stop("\nstopped; what was finished before is kept", INTERRUPTED)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="tapeplat")
def main() -> None:
    """Measure the taped outlines of model settlements from a photo and check them against a class's rules.

    Try `tapeplat demo` first. `tapeplat COMMAND --help` says more about one command.
    """


def _said(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _stop(message: str, code: int) -> NoReturn:
    click.echo(message, err=True)
    raise SystemExit(code)
