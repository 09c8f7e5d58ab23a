"""`tapeplat rules` and `tapeplat check`: how the rules are understood, and what they say of outlines from a file."""

from __future__ import annotations

import shutil
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from measure.challenge import Challenge

_FILE = click.Path(path_type=Path)
_WIDTHS = (60, 110)
"""The narrowest and the widest report, in letters."""


@click.command("rules")
@click.argument("challenge", type=_FILE)
def rules(challenge: Path) -> None:
    """Show how the rules of CHALLENGE are understood, before a single photo is taken.

    Every rule is printed as it is read, with warnings about rules that contradict each other, say nothing, or are finer
    than a photo can tell. Mistakes in the file are all listed at once.
    """
    from measure.challenge import read_challenge
    from measure.errors import InputMistakes

    try:
        read = read_challenge(challenge)
    except InputMistakes as mistakes:
        raise _Refused(str(mistakes)) from None
    click.echo(rules_report(read, _width()))


def rules_report(challenge: Challenge, width: int = 100) -> str:
    """Every rule with its number, as stated and as read, and every warning; plain text."""
    from measure.rules.keepclear import implied_rules

    count = len(challenge.rules)
    lines = [f"{challenge.title}: {count} {'rule' if count == 1 else 'rules'}"]
    for number, line in enumerate(challenge.rules, start=1):
        lines += ["", *_wrapped(f"{number:>2}  ", line.text, width)]
        lines += _wrapped("    reads as: ", line.rule.reads_as(), width)
        for warning in line.warnings:
            lines += _wrapped("    warning: ", warning, width)
    implied = [rule.reads_as() for rule in implied_rules(challenge)]
    if implied:
        lines += ["", "Checked too, because of the keep-clear zones:"]
        lines += [line for text in implied for line in _wrapped("    ", text, width)]
    lines += [""] if challenge.notes else []
    lines += [line for note in challenge.notes for line in _wrapped("warning: ", note, width)]
    return "\n".join(lines)


class _Refused(click.ClickException):
    """An input file is wrong."""

    exit_code = 2

    def show(self, file: object = None) -> None:
        click.echo(self.message, err=True)


def _width() -> int:
    return max(_WIDTHS[0], min(_WIDTHS[1], shutil.get_terminal_size((100, 24)).columns))


def _wrapped(before: str, text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=before, subsequent_indent=" " * len(before)) or [before.rstrip()]
