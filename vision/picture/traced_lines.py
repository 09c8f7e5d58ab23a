"""What vision hands on of lines: their middles with sensitivities, where they meet, what nobody sees."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from calib.edges import FloatArray

Material = Literal["string", "pipe cleaner", "yarn", "tape strip", "drawn stroke"]
LineEndKind = Literal["free", "hidden", "edge", "joined"]
FLAT_MATERIALS: tuple[Material, ...] = ("tape strip", "drawn stroke")


@dataclass(frozen=True)
class LineSpec:
    """A line as the challenge names it.

    Its colour is that of swatch box `swatch` or, without one, the word `colour` of `colour_words`.  made_of: what it
    may consist of, anything where empty.  height: of its middle above the board, mm; None where it lies on it.
    """

    name: str
    swatch: int | None = None
    colour: str | None = None
    made_of: tuple[Material, ...] = ()
    height: float | None = None


@dataclass(frozen=True, eq=False)
class TracedLine:
    """One piece of a line: points (n, 2) mm along its middle, sensitivity (n, 2, k), the centreline's length in mm and
    its width, each with its sensitivity (k,).

    inferred: (segment from 0, from, to), stretches that the photo does not show; bridged: their share of the length.
    ends at the first and the last point: free, hidden below something, at the parcel's or the picture's edge, joined to
    another piece.  A closed piece repeats its first point and has joined ends.
    """

    name: str
    points: FloatArray
    sensitivity: FloatArray
    length: float
    length_sensitivity: FloatArray
    width: float
    width_sensitivity: FloatArray
    inferred: tuple[tuple[int, float, float], ...]
    bridged: float
    ends: tuple[LineEndKind, LineEndKind]
    closed: bool = False


@dataclass(frozen=True)
class LineMeeting:
    """Where two pieces meet, by their numbers from 0: both go on, or the first one ends on the second (a branch)."""

    pieces: tuple[int, int]
    at: tuple[float, float]
    kind: Literal["crossing", "branch"]


@dataclass(frozen=True)
class TwoWays:
    """Hidden ends (piece, 0 or 1) of a line that could be joined in several ways, each pairs of indices into ends."""

    name: str
    ends: tuple[tuple[int, int], ...]
    ways: tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True, eq=False)
class TracedLines:
    """All lines of one photo, in the order in which they are declared.

    unread: names of lines of which nothing is known; too_thin: of those that show, but thinner than can be measured.
    """

    pieces: tuple[TracedLine, ...] = ()
    meetings: tuple[LineMeeting, ...] = ()
    two_ways: tuple[TwoWays, ...] = ()
    unread: tuple[str, ...] = ()
    too_thin: tuple[str, ...] = ()


NO_LINES = TracedLines()
