"""The archive's own pages, which open from the disk in any browser: one for each attempt, one that lists all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from measure.result.result import parse_result
from tapeplat.archive.storage.entry import RESULT, Entry, Record, team_name
from tapeplat.output.plain_page import Cell, Row, bullets, heading, page, para, table

if TYPE_CHECKING:
    from tapeplat.reports.report_content import TeamContent

PAGE, README = "index.html", "README.txt"
_ANNOTATED = "annotated.png"
_KINDS = {
    _ANNOTATED: "the photo seen straight from above, with outlines, areas and verdicts",
    "corrected.jpg": "the photo seen straight from above, with nothing drawn on it",
    "plat.svg": "the outlines as a drawing at true scale",
    RESULT: "every number with its uncertainty, for programs",
    "challenge.toml": "the challenge with its rules, as it was used",
    "notes.txt": "notes",
    "hand.csv": "what the children measured by hand",
    "attempt.json": "what this folder is, for programs",
    "SHA256SUMS": "checksums, which tell whether a file is still as it was filed",
}
_PHOTO = "the photo, without anything that its file told of place, time and camera"
_README = """\
Tapeplat's archive: results of design challenges
================================================

Open index.html in a browser: it lists everything that is here.
No program is needed for that, and no internet.

Each challenge has a folder, in it each team, in it each attempt:

  quarry-lake-village / team-3 / attempt-001-2026-11-25

An attempt's folder holds

  index.html      a page about it; open it in a browser
  annotated.png   the photo seen straight from above, with outlines and verdicts
  photo-1.jpg     the photo, black around board and card if not asked otherwise;
                  place, time and camera are taken out of the file
  corrected.jpg   the photo seen straight from above
  plat.svg        the outlines as a drawing at true scale (any browser shows it)
  result.json     every number, for programs; plain text
  challenge.toml  the challenge with its rules; plain text
  notes.txt       notes, where there are any
  hand.csv        measurements by hand, where there are any; any spreadsheet opens it
  revisions       what was replaced later, and why
  SHA256SUMS      checksums (SHA-256), which tell whether a file is still as it
                  was filed

The folder `trash` holds what was removed. To get an attempt back, move its
folder to where it was: its name says challenge, team and attempt.
index.sqlite may be deleted at any time; it is made anew from the folders.
To make a copy of the archive, copy this whole folder.

Whether and how long pupils' work may be kept is decided by your school's and
local rules; they come first.
"""


def attempt_page(record: Record, result: bytes, files: Mapping[str, bytes], *, in_archive: bool = True) -> bytes:
    """The page of one attempt, which shows and links only the given files.

    in_archive: the page that lists all attempts is three folders up. Raises InputMistakes where the result is none.
    """
    from tapeplat.reports.report_content import (
        content_of,  # reports name teams as this package does, and import it first
    )

    title = f"{record.title}: {team_name(record.team)}, attempt {record.attempt}"
    content = content_of(parse_result(result, RESULT))
    done = "Filed" if record.taken == record.filed else "Photographed"
    parts = [
        *(['<p><a href="../../../index.html">All attempts</a></p>'] if in_archive else []),
        para(f"{done} on {day(record.taken)}. {_tally(content)}."),
        *(_picture(_ANNOTATED, f"Annotated picture of {title}") if _ANNOTATED in files else []),
        *_tables(content),
        *_notes(files),
        *(_kept(record) if in_archive else []),
        *_photos(files),
        *([heading("Files"), _listing(files)] if files else []),
    ]
    return page(title, parts, "Filed by Tapeplat. This page and its files open without it.").encode("utf-8")


def root_page(entries: Sequence[Entry], root: Path) -> bytes:
    """The page that lists all attempts, the newest challenge first."""
    parts = [] if entries else [para("Nothing is filed here yet.")]
    by_challenge: dict[str, list[Entry]] = {}
    for entry in entries:
        by_challenge.setdefault(entry.folder.parent.parent.name, []).append(entry)
    for group in sorted(by_challenge.values(), key=lambda g: max(e.taken for e in g), reverse=True):
        rows = [Row(_line(entry, root)) for entry in group]
        parts += [heading(group[-1].title), table(["Team", "Attempt", "Date", "Rules"], rows)]
    return page("Archive of results", parts, "README.txt says what this folder holds.").encode("utf-8")


def readme() -> bytes:
    """What the folder is, for somebody who finds it without the program."""
    return _README.encode("utf-8")


def day(when: datetime) -> str:
    """`25 November 2026`."""
    return f"{when.day} {when:%B %Y}"


def verdicts_said(entry: Entry) -> str:
    """`6 of 10 rules met, 2 not met, ...`."""
    from tapeplat.reports.report_content import tally

    return tally(list(Counter(entry.verdicts).elements()))


def _line(entry: Entry, root: Path) -> list[Cell | str]:
    link = quote(f"{entry.folder.relative_to(root).as_posix()}/{PAGE}")
    return [team_name(entry.team), Cell(f"attempt {entry.attempt}", link=link), day(entry.taken), verdicts_said(entry)]


def _tally(content: TeamContent) -> str:
    from tapeplat.reports.report_content import tally

    said = tally([rule.verdict for rule in content.rules])
    return said[:1].upper() + said[1:]


def _tables(content: TeamContent) -> Iterator[str]:
    """Rules and areas, in the words of the class's reports."""
    rules = [Row([str(r.number), Cell(r.word, "mark"), r.text, r.detail]) for r in content.rules]
    zones = [Row([z.name, Cell(z.area, "number"), Cell(z.share, "number"), str(z.pieces)]) for z in content.zones]
    yield heading("Rules")
    yield table(["No.", "Verdict", "Rule", "Measured"], rules)
    yield heading("Areas")
    yield table(["Zone", "Area", "Share of the parcel", "Pieces"], zones)
    if content.lines:
        lines = [Row([n.name, Cell(n.length, "number"), str(n.pieces), ", ".join(n.reaches)]) for n in content.lines]
        yield heading("Lines")
        yield table(["Line", "Length", "Pieces", "Reaches"], lines)
    if content.result.warnings:
        yield heading("Warnings")
        yield bullets(content.result.warnings)


def _notes(files: Mapping[str, bytes]) -> Iterator[str]:
    if "notes.txt" in files:
        yield heading("Notes")
        yield f'<p style="white-space: pre-wrap">{escape(files["notes.txt"].decode("utf-8", "replace").strip())}</p>'
    changes = {name.split("/")[1]: text for name, text in sorted(files.items()) if name.endswith("/why.txt")}
    if changes:
        yield heading("Changed since it was filed")
        yield bullets([f"{at[4:]}: {why.decode('utf-8', 'replace').strip()}" for at, why in changes.items()])


def _kept(record: Record) -> Iterator[str]:
    if record.remarks:
        yield heading("Not kept")
        yield bullets(record.remarks)


def _photos(files: Mapping[str, bytes]) -> Iterator[str]:
    names = sorted(name for name in files if name.startswith("photo-"))
    if names:
        yield heading("Photos")
    for name in names:
        yield from _picture(name, name)


def _picture(name: str, said: str) -> Iterator[str]:
    source, style = quote(name), "max-width: 100%; max-height: 60rem; height: auto"
    yield f'<p><a href="{source}"><img src="{source}" alt="{escape(said)}" style="{style}"></a></p>'


def _listing(files: Mapping[str, bytes]) -> str:
    names = sorted({*files, *(["SHA256SUMS"] if "attempt.json" in files else [])} - {PAGE})
    return (
        "<ul>"
        + "".join(f'<li><a href="{quote(name)}">{escape(name)}</a>{_said(name)}</li>' for name in names)
        + "</ul>"
    )


def _said(name: str) -> str:
    kind = _KINDS.get(name, _PHOTO if name.startswith("photo-") else "")
    return f": {kind}" if kind else ""
