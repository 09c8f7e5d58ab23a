"""What somebody may change of a plat's lines, and what is wrong with such changes.

All changes are of the plat as it was: a piece is named by its line and number there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from measure.errors import Mistake
from measure.plat.outline import norms
from measure.plat.plat import LinePiece, Plat
from measure.quantity import FloatArray
from measure.repair.pointing import PictureExtent, place_said
from measure.units import Unit

Places = tuple[tuple[float, float], ...]
LEAST_LENGTH = 3.0
"""mm: a shorter line is a slip of the hand."""
MOST_POINTS, MOST_LINES = 2000, 200
WIDEST = 100.0
"""mm: what is wider is no line."""


@dataclass(frozen=True)
class ReshapeLine:
    """A piece (from 1 of its line) gets another middle, in mm; what the pieces in `joined` were is part of it now.

    Without a middle it is joined with them at the ends that are nearest. closed: its end is its start.
    """

    line: str
    piece: int
    centreline: Places = ()
    joined: tuple[int, ...] = ()
    closed: bool = False


@dataclass(frozen=True)
class AddLine:
    """A piece that was missed; width in mm, None where it is as wide as the line's other pieces."""

    line: str
    centreline: Places
    closed: bool = False
    width: float | None = None


@dataclass(frozen=True)
class RemoveLine:
    """A piece that is none."""

    line: str
    piece: int


@dataclass(frozen=True)
class RenameLine:
    """A piece that is another line's."""

    line: str
    piece: int
    to: str


LineEdit = ReshapeLine | AddLine | RemoveLine | RenameLine


def joined_points(first: FloatArray, second: FloatArray) -> FloatArray:
    """Two middles (n, 2) as one, by a straight stretch between the two ends that are nearest to each other."""
    ways = [(a, b) for a in (first, first[::-1]) for b in (second, second[::-1])]
    before, after = min(ways, key=lambda way: float(np.hypot(*(way[0][-1] - way[1][0]))))
    touching = np.hypot(*(before[-1] - after[0])) == 0
    made = np.concatenate([before, after[1:] if touching else after])
    return made if (before is first) else made[::-1]


def pieces_of_line(plat: Plat, line: str) -> list[LinePiece]:
    """The pieces of a line, in the plat's order."""
    return [piece for piece in plat.lines if piece.line == line]


def line_mistakes(
    plat: Plat, edits: Sequence[tuple[int, LineEdit]], lines: Collection[str], shown: PictureExtent, unit: Unit
) -> Iterator[Mistake]:
    """Everything that is wrong with changes, each with its number; lines are those of the challenge."""
    done: set[tuple[type, str, int]] = set()
    for number, edit in edits:
        target = edit.to if isinstance(edit, RenameLine) else edit.line
        if target not in lines:
            do = f"the lines are {', '.join(lines)}" if lines else "declare it in the challenge first"
            yield Mistake(f"change {number}", f"{target} is no line of this challenge", do)
            continue
        yield from _wrong_pieces(plat, edit, number, done)
        if isinstance(edit, AddLine):
            yield from _wrong_width(plat, edit)
        if isinstance(edit, AddLine) or (isinstance(edit, ReshapeLine) and edit.centreline):
            problem = _middle_problem(edit, shown, unit)
            if problem:
                yield Mistake(named(edit, plat), *problem)
    if len(plat.lines) + sum(isinstance(edit, AddLine) for _, edit in edits) > MOST_LINES:
        yield Mistake("", f"there are more than {MOST_LINES} pieces of lines", "draw fewer")


def named(edit: LineEdit, plat: Plat) -> str:
    """The piece that an edit is about, with its number where its line has several."""
    if isinstance(edit, AddLine):
        return f"the new piece of {edit.line}"
    several = len(pieces_of_line(plat, edit.line)) > 1
    return f"piece {edit.piece} of {edit.line}" if several else edit.line


def _wrong_pieces(plat: Plat, edit: LineEdit, number: int, done: set[tuple[type, str, int]]) -> Iterator[Mistake]:
    """Pieces that are not there, and those of which two changes are made that cannot both be."""
    if isinstance(edit, AddLine):
        return
    count = len(pieces_of_line(plat, edit.line))
    gone = edit.joined if isinstance(edit, ReshapeLine) else ()
    for piece in (edit.piece, *gone):
        if not 1 <= piece <= count:
            what = f"there is no piece {piece} of {edit.line}: it has {count}"
            yield Mistake(f"change {number}", what, "look at the lines as they are now, and name one of them")
            return
    kind = type(edit)
    own = {(kind, edit.line, edit.piece), *((RemoveLine, edit.line, piece) for piece in gone)}
    every = {(k, line, piece) for _, line, piece in own for k in (ReshapeLine, RemoveLine, RenameLine)}
    taken = {(k, line, piece) for k, line, piece in every if piece in gone}
    rivals = every if kind is RemoveLine else own | taken | {(RemoveLine, edit.line, edit.piece)}
    if rivals & done or len(set(gone)) < len(gone) or edit.piece in gone:
        yield Mistake(named(edit, plat), "it is changed twice", "make one change of it")
    done |= own


def _wrong_width(plat: Plat, edit: AddLine) -> Iterator[Mistake]:
    name = named(edit, plat)
    if edit.width is None and not pieces_of_line(plat, edit.line):
        yield Mistake(name, "nothing tells how wide it is", "say its width")
    elif edit.width is not None and not 0 < edit.width <= WIDEST:
        yield Mistake(name, "its width is none of a line", f"give a width of up to {WIDEST / 10:g} cm")


def _middle_problem(edit: ReshapeLine | AddLine, shown: PictureExtent, unit: Unit) -> tuple[str, str] | None:
    points = np.array(edit.centreline, dtype=np.float64).reshape(-1, 2)
    if len(points) > MOST_POINTS:
        return f"it has {len(points)} points", f"draw it with at most {MOST_POINTS}"
    if len(points) < (3 if edit.closed else 2):
        few = f"it has {len(points)} point{'s' if len(points) != 1 else ''}"
        return few, f"set {'three' if edit.closed else 'two'} points or more"
    if not np.isfinite(points).all():
        return "a point's place is no number", "give two numbers for every point"
    beyond = ((points < [shown.left, shown.top]) | (points > [shown.right, shown.bottom])).any(axis=1)
    if beyond.any():
        at = int(np.flatnonzero(beyond)[0])
        return f"point {at + 1} at {place_said(points[at], unit)} lies outside the picture", "move it into the picture"
    lengths = norms(np.diff(points, axis=0))
    if lengths.min() == 0 and not (edit.closed and len(points) > 3 and (lengths[:-1] > 0).all()):
        at = int(np.argmin(lengths))
        what = f"points {at + 1} and {at + 2} at {place_said(points[at], unit)} are one place"
        return what, "take one of them out"
    if lengths.sum() < LEAST_LENGTH:
        return f"it is too short to be a line at {place_said(points[0], unit)}", "remove it, or draw it longer"
    return None
