"""`tapeplat rules` and `tapeplat check`: how the rules are understood, and what they say of outlines from a file."""

from __future__ import annotations

import dataclasses
import shutil
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

import tapeplat
from tapeplat.cli.common.earlier_result import check_earlier, replace_option
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

if TYPE_CHECKING:
    from measure.challenge import Challenge
    from measure.result.result import Result

_PICTURES = ("annotated.png", "corrected.jpg", "plat.svg")
"""Of a result, as `measure` writes them."""
_WIDTHS = (60, 110)
"""The narrowest and the widest report, in letters."""


@click.command("rules", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@reporting_options
def rules(challenge: Path, as_json: bool, quiet: bool) -> None:
    """Show how the rules of CHALLENGE are understood, before a single photo is taken.

    Every rule is printed as it is read, with warnings about rules that contradict each other, say nothing, or are finer
    than a photo can tell. Mistakes in the file are all listed at once.
    """
    read = tapeplat.read_challenge(challenge)
    tell(
        rules_report(read, _width()),
        as_json=as_json,
        quiet=quiet,
        content=lambda: {
            "title": read.title,
            "rules": [
                {"text": line.text, "reads_as": line.reads_as(), "warnings": line.warnings} for line in read.rules
            ],
            "warnings": read.notes,
        },
        warnings=read.warnings if quiet or as_json else (),
    )


@click.command("check", cls=OwnCommand)
@click.argument("challenge", type=Given("challenge"))
@click.argument("plat", type=Given("plat"))
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for result.json.")
@click.option("--team", default="", help="The team's name or number, for the reports.")
@click.option("--structures", type=Given("structures"), help="A CSV file with the sizes of the structures.")
@replace_option
@reporting_options
def check(
    challenge: Path,
    plat: Path,
    out: Path | None,
    team: str,
    structures: Path | None,
    replace: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Check the rules of CHALLENGE on outlines from a file.

    PLAT holds outlines in the parcel's frame and the challenge's unit: GeoJSON features with a property "zone", a CSV
    table with WKT, or a result.json. Prints the verdicts; with --out it writes result.json into that folder.
    """
    from measure.result.result import result_text
    from tapeplat.wording.verdict_table import verdict_table

    checked = tapeplat.check(challenge, plat, team=team, structures=structures)
    check_earlier(out, checked.team, replace=replace)
    removed = [] if out is None else _write(checked.result, plat, out)
    tell(
        f"{checked.notes.title}\n{verdict_table(checked.notes.rules, _width())}",
        warnings=checked.warnings,
        last="" if out is None else "\n".join([*_said_of(removed), f"result: {out / 'result.json'}"]),
        as_json=as_json,
        quiet=quiet,
        content=lambda: result_text(checked.result),
    )


def _said_of(removed: list[str]) -> list[str]:
    """What became of an earlier result's pictures, in words."""
    return [f"removed: {', '.join(removed)} of the result that was here before"] if removed else []


def _write(result: Result, plat: Path, out: Path) -> list[str]:
    """The result alone; it names its corrected picture only where that lies beside it.

    Pictures of another result that it takes the place of are removed, and named.
    """
    from measure.result.result import result_text
    from tapeplat.output.result_folder import write_folder

    folder = plat if plat.is_dir() else plat.parent
    stays = out.resolve() == folder.resolve()
    written = result if stays else dataclasses.replace(result, corrected=None)
    stale = [] if stays or not (out / "result.json").is_file() else [n for n in _PICTURES if (out / n).is_file()]
    write_folder(out, {"result.json": result_text(written).encode("utf-8")})
    for name in stale:
        (out / name).unlink(missing_ok=True)
    return stale


def rules_report(challenge: Challenge, width: int = 100) -> str:
    """Every rule with its number, as stated and as read, and every warning; plain text."""
    from measure.rules.kinds.places.keep_clear import implied_rules

    count = len(challenge.rules)
    lines = [f"{challenge.title}: {count} {'rule' if count == 1 else 'rules'}"]
    for number, line in enumerate(challenge.rules, start=1):
        lines += ["", *_wrapped(f"{number:>2}  ", line.text, width)]
        lines += _wrapped("    reads as: ", line.reads_as(), width)
        for warning in line.warnings:
            lines += _wrapped("    warning: ", warning, width)
    implied = [rule.reads_as() for rule in implied_rules(challenge)]
    if implied:
        lines += ["", "Checked too, because of the keep-clear zones:"]
        lines += [line for text in implied for line in _wrapped("    ", text, width)]
    lines += [""] if challenge.notes else []
    lines += [line for note in challenge.notes for line in _wrapped("warning: ", note, width)]
    return "\n".join(lines)


def _width() -> int:
    return max(_WIDTHS[0], min(_WIDTHS[1], shutil.get_terminal_size((100, 24)).columns))


def _wrapped(before: str, text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=before, subsequent_indent=" " * len(before)) or [before.rstrip()]
