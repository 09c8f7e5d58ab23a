"""What is wrong with a line that cannot be read, in words that say what belongs there, with the line that does it."""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import click

from tapeplat.cli.common.given_files import Placed, in_order, problems

_OUT, _FOLDER = "--out", "--archive-folder"
_PLACES = {"sheets": "sheets.pdf", "kit": "kit.docx", "report": "wall.pdf", "export": "attempts.zip"}
"""What a file is called that a command writes where others write a folder of results."""
_BEGINS = "something is missing. The line begins so:"
_MEANINGS = {
    "CHALLENGE": "the challenge's file",
    "PHOTO": "a photo, or several with spaces between them",
    "FOLDER": "the folder with the class's photos",
    "RESULT": "a result.json, or the folder that it is in",
    "PLAT": "a result, or outlines as GeoJSON or CSV",
    "HAND": "the table of hand measurements",
    "ATTEMPT": "an attempt's id, as tapeplat archive list shows it",
}

Trial = Callable[[Sequence[str]], "Sequence[Placed] | None"]
"""What a line would give, each path in its place; None where it cannot be read either."""


def in_own_words(ctx: click.Context, given: Sequence[str], error: click.UsageError, trial: Trial) -> click.UsageError:
    """The mistake as a teacher can mend it; as it is where nothing better is known."""
    said = ""
    if isinstance(error, click.NoSuchOption):
        said = _hyphen_in_front(ctx, given)
    elif isinstance(error, click.BadOptionUsage):
        said = _nothing_behind(ctx, error)
    elif isinstance(error, click.MissingParameter):
        said = _missing(ctx, given, error, trial)
    elif isinstance(error, click.BadParameter):
        said = _file_for_folder(error, given)
    else:
        said = _folder_of_archive(ctx, given, trial)
    return click.UsageError(said, ctx) if said else error


def typed(words: Sequence[str]) -> str:
    """Words as they are typed behind each other; the first may be several."""
    quoted = subprocess.list2cmdline(words[1:]) if os.name == "nt" else shlex.join(words[1:])
    return f"{words[0]} {quoted}".rstrip()


def replaced(line: Sequence[str], before: Sequence[str], after: Sequence[Path]) -> list[str]:
    """The line with its arguments, which stand in it as they were typed, in another order."""
    changed, waiting = list(line), dict(enumerate(before))
    for at, word in enumerate(line):
        first = next((n for n, path in waiting.items() if Path(word) == Path(path)), None)
        if first is not None:
            changed[at] = str(after[first])
            del waiting[first]
    return changed


def _hyphen_in_front(ctx: click.Context, given: Sequence[str]) -> str:
    """Where a file's name begins with a hyphen."""
    named = next((word for word in given if word.startswith("-") and os.path.exists(word)), None)
    if named is None:
        return ""
    line = typed([ctx.command_path, *(f"./{word}" if word == named else word for word in given)])
    return f"{named} begins with a hyphen as options do, and there is a file of that name. Did you mean:\n  {line}"


def _nothing_behind(ctx: click.Context, error: click.BadOptionUsage) -> str:
    """Where an option stands at the end, and what it is to be set to is missing."""
    for param in ctx.command.params:
        if isinstance(param, click.Option) and error.option_name in param.opts and not param.is_flag:
            wanted = f" What belongs there: {param.help}" if param.help else ""
            return f"nothing stands behind {error.option_name}.{wanted}"
    return ""


def _missing(ctx: click.Context, given: Sequence[str], error: click.MissingParameter, trial: Trial) -> str:
    """Where the place for the results is missing, the line with one; where an argument is, what belongs there."""
    if error.param is None or isinstance(error.param, click.Argument):
        return _too_few(ctx)
    if _OUT not in error.param.opts:
        return ""
    lines = list(_with_out(ctx, given))
    line = next((better for better in (_whole(line, trial) for line in lines) if better), lines[-1])
    said = f"{_OUT} is missing, which says where to write"
    return f"{said}. Did you mean:\n  {typed([ctx.command_path, *line])}"


def _with_out(ctx: click.Context, given: Sequence[str]) -> Iterator[list[str]]:
    """The line with a place for the results: a folder that was named last, else one of our own naming."""
    if ctx.info_name not in _PLACES and given and os.path.isdir(given[-1]):
        yield [*given[:-1], _OUT, given[-1]]
    yield [*given, _OUT, _PLACES.get(ctx.info_name or "", "results")]


def _whole(line: list[str], trial: Trial) -> list[str] | None:
    """The line, its files put in order where that is all that is wrong with it; None where more is."""
    paths = trial(line)
    if paths is None:
        return None
    if not problems(paths):
        return line
    order = in_order(paths)
    return None if order is None else replaced(line, [str(one.path) for one in paths if one.argument], order)


def _too_few(ctx: click.Context) -> str:
    """What a command takes, all of it."""
    names = [param.make_metavar(ctx) for param in ctx.command.params if isinstance(param, click.Argument)]
    plain = dict.fromkeys(name.strip("[].") for name in names)
    meanings = [f"{name} is {_MEANINGS[name]}" for name in plain if name in _MEANINGS]
    if not meanings:
        return ""
    several = f"{len(names)} are wanted; " if len(names) > len(plain) else ""
    return f"{_BEGINS}\n  {ctx.command_path} {' '.join(names)}\n{several}{'; '.join(meanings)}"


def _file_for_folder(error: click.BadParameter, given: Sequence[str]) -> str:
    """Where results are to be written into something that is a file."""
    if error.param is None or not isinstance(error.param.type, click.Path) or error.param.type.file_okay:
        return ""
    name = max(error.param.opts, key=len)
    behind = [word for before, word in pairwise(given) if before == name]
    behind += [word.partition("=")[2] for word in given if word.startswith(f"{name}=")]
    file = next((word for word in behind if os.path.isfile(word)), None)
    return f"{name} {file}: that is a file, and a folder belongs there; name a new one or one of yours" if file else ""


def _folder_of_archive(ctx: click.Context, given: Sequence[str], trial: Trial) -> str:
    """Where the archive's folder stands alone, and the option that names it is missing."""
    for at, word in enumerate(given):
        line = [*given[:at], _FOLDER, *given[at:]]
        if not word.startswith("-") and os.path.isdir(word) and trial(line) is not None:
            return f"{_FOLDER} names the archive's folder. Did you mean:\n  {typed([ctx.command_path, *line])}"
    return ""
