"""A command whose line is looked at again where it cannot be used: what is nearly right is answered with what is."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import click

from tapeplat.cli.common.given_files import Placed, in_order, placed, problems
from tapeplat.cli.common.usage_words import in_own_words, replaced, typed

_SWITCH, _FOLDER = "--archive", "--archive-folder"
_STEERING = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_LONG_DASHES = re.compile(r"(?:-?[–—−‐]{1,2}-?)(?=[a-z])")


class WrongFiles(click.UsageError):
    """Files that are not what belongs in their places; how the command is used is no help with that."""

    def show(self, file: object = None) -> None:
        """What is wrong alone."""
        click.echo(self.message, err=True)


class OwnCommand(click.Command):
    """A command of ours. Every command is one, so that all answer mistakes in one manner."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the line. Raises click.UsageError, with the line that was probably meant where one can be told."""
        given = list(args)
        try:
            rest = super().parse_args(ctx, args)
        except click.UsageError as error:
            raise self._better(ctx, given, error) from error
        if not ctx.resilient_parsing:
            self._check_texts(ctx)
            self._check_files(ctx, given)
        return rest

    def _check_texts(self, ctx: click.Context) -> None:
        """Raise click.UsageError for a text that could not be written down, or would steer the terminals of readers."""
        for param in self.params:
            text = ctx.params.get(param.name or "")
            shown = text.encode("utf-8", "replace").decode("utf-8") if isinstance(text, str) else text
            if isinstance(text, str) and _STEERING.search(text):
                what = "holds characters that steer a terminal, and no letters"
                raise click.UsageError(f"{max(param.opts, key=len)} {what}; type it anew")
            if shown != text:
                what = "holds bytes that are no letters in this terminal's encoding"
                raise click.UsageError(f"{max(param.opts, key=len)} {shown} {what}; type it anew, or without accents")

    def _better(
        self, ctx: click.Context, given: Sequence[str], error: click.UsageError, known: Sequence[str] | None = None
    ) -> click.UsageError:
        """The mistake in other words where the line shows what was meant, else as it is.

        known are the problems with the line's files, None where it could not be read.
        """
        plain = [_LONG_DASHES.sub("--", word, count=1) if _LONG_DASHES.match(word) else word for word in given]
        if plain != list(given):
            dashed = next(word for word in given if _LONG_DASHES.match(word))
            said = f"{dashed} begins with a long dash, which a word processor made of two hyphens"
            return click.UsageError(f"{said}. Did you mean:\n  {typed([ctx.command_path, *plain])}", ctx)
        names = {name for param in self.params for name in param.opts}
        for word in given:
            if re.match(r"-[a-z][a-z-]+", word) and f"-{word.partition('=')[0]}" in names:
                doubled = [f"-{one}" if one == word else one for one in given]
                said = f"{word} has one hyphen, and options have two"
                return click.UsageError(f"{said}. Did you mean:\n  {typed([ctx.command_path, *doubled])}", ctx)
        meant = next((line for line in _with_archive_folder(given) if self._reads(ctx, line, known)), None)
        if meant is None:
            return in_own_words(ctx, given, error, lambda line: self._paths(ctx, line)) if known is None else error
        said = f"{_SWITCH} is a plain switch now; {_FOLDER} names the archive's folder"
        return click.UsageError(f"{said}. Did you mean:\n  {typed([ctx.command_path, *meant])}", ctx)

    def _reads(self, ctx: click.Context, line: Sequence[str], known: Sequence[str] | None) -> bool:
        """Whether this line can be read, and has fewer problems with its files than are known."""
        paths = self._paths(ctx, line)
        return paths is not None and (known is None or len(problems(paths)) < len(known))

    def _paths(self, ctx: click.Context, line: Sequence[str]) -> list[Placed] | None:
        """The paths of this line; None where it cannot be read."""
        again = self.context_class(self, parent=ctx.parent, info_name=ctx.info_name, **self.context_settings)
        try:
            with again.scope(cleanup=False):
                super().parse_args(again, list(line))
        except click.UsageError:
            return None
        return placed(self, again.params)

    def _check_files(self, ctx: click.Context, line: Sequence[str]) -> None:
        """Raise click.UsageError where a file is not what belongs in its place."""
        given = placed(self, ctx.params)
        wrong = problems(given)
        if not wrong:
            return
        said = "\n".join(wrong)
        former = self._better(ctx, line, WrongFiles(said), wrong)
        order = in_order(given)
        if order is not None:
            before = [str(one.path) for one in given if one.argument]
            said = f"{said}\nDid you mean:\n  {typed([ctx.command_path, *replaced(line, before, order)])}"
        raise former if former.message != "\n".join(wrong) else WrongFiles(said)


class OwnGroup(click.Group):
    """A group of our commands; `others` are words that people look for, with the line that does it."""

    command_class = OwnCommand
    others: Mapping[str, str] = {}

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that a line names. Raises click.UsageError with the one that was probably meant."""
        if args[0] == "help" and len(args) > 1 and self.get_command(ctx, args[1]) is not None:
            raise click.UsageError(
                f"help stands behind a command. Did you mean {ctx.command_path} {args[1]} --help?", ctx
            )
        if self.get_command(ctx, args[0]) is None and not args[0].startswith("-"):
            raise click.UsageError(f'there is no command "{args[0]}"{self._meant(ctx, args[0])}', ctx)
        return super().resolve_command(ctx, args)

    def _meant(self, ctx: click.Context, word: str) -> str:
        known, low = self.list_commands(ctx), word.casefold()
        near = [name for name in known if name == low] or difflib.get_close_matches(low, known, 2, 0.6)
        if low in self.others:
            near = [self.others[low]]
        if near:
            return f". Did you mean {' or '.join(f'{ctx.command_path} {name}' for name in near)}?"
        if Path(word).exists():
            return ": a command comes first, as in tapeplat measure CHALLENGE PHOTO --out FOLDER"
        return f"; {ctx.command_path} --help lists them"


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
