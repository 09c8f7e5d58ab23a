"""A command whose line is looked at again where it cannot be read: what is nearly right is answered with what is."""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

_SWITCH, _FOLDER = "--archive", "--archive-folder"


class OwnCommand(click.Command):
    """A command of ours. Every command is one, so that all answer mistakes in one manner."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the line. Raises click.UsageError, with the line that was probably meant where one can be told."""
        given = list(args)
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as error:
            meant = next((line for line in _with_archive_folder(given) if self._reads(ctx, line)), None)
            if meant is None:
                raise
            said = f"{_SWITCH} is a plain switch now; {_FOLDER} names the archive's folder"
            raise click.UsageError(f"{said}. Did you mean:\n  {typed([ctx.command_path, *meant])}", ctx) from error

    def _reads(self, ctx: click.Context, line: Sequence[str]) -> bool:
        """Whether this line can be read."""
        again = self.context_class(self, parent=ctx.parent, info_name=ctx.info_name, **self.context_settings)
        try:
            with again.scope(cleanup=False):
                super().parse_args(again, list(line))
        except click.UsageError:
            return False
        return True


class OwnGroup(click.Group):
    """A group of our commands."""

    command_class = OwnCommand


def typed(words: Sequence[str]) -> str:
    """Words as they are typed behind each other; the first may be several."""
    quoted = subprocess.list2cmdline(words[1:]) if os.name == "nt" else shlex.join(words[1:])
    return f"{words[0]} {quoted}".rstrip()


def _with_archive_folder(args: Sequence[str]) -> Iterator[list[str]]:
    """The line with the former `--archive DIR` written as it is now, where there is one."""
    for at, word in enumerate(args):
        if word == "--":
            return
        if word.startswith(f"{_SWITCH}="):
            yield [*args[:at], _FOLDER, word.removeprefix(f"{_SWITCH}="), *args[at + 1 :]]
        if word == _SWITCH and at + 1 < len(args) and _may_be_folder(args[at + 1]):
            yield [*args[:at], _FOLDER, *args[at + 1 :]]


def _may_be_folder(word: str) -> bool:
    return not word.startswith("-") and not Path(word).is_file()
