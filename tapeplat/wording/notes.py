"""What picture, drawing and table are to say, in words and places: no measuring happens past this point."""

from __future__ import annotations

from dataclasses import dataclass

from measure.quantity import FloatArray
from measure.rules.verdict import Verdict

Ends = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class GapMark:
    """A distance to draw as a dimension line between two points (mm), with its value in words."""

    ends: Ends
    text: str


@dataclass(frozen=True, eq=False)
class OverlapMark:
    """An area to hatch: polygons, each a list of rings (n, 2) in mm, the first the outside."""

    polygons: tuple[tuple[FloatArray, ...], ...]
    text: str


@dataclass(frozen=True)
class ZoneMark:
    """A zone, or one piece of it (index from 1), that a rule finds too large, too small or amiss, with words for it."""

    zone: str
    text: str
    piece: int | None = None


@dataclass(frozen=True, eq=False)
class LineMark:
    """A piece of a line that a rule finds amiss: points (n, 2) in mm along its middle, with words for it."""

    points: FloatArray
    text: str


Mark = GapMark | OverlapMark | ZoneMark | LineMark


@dataclass(frozen=True)
class PieceNote:
    """The words on one piece: its name (and number where the zone has several) and its area."""

    zone: str
    name: str
    area: str
    keep_clear: bool = False


@dataclass(frozen=True)
class RuleNote:
    """One line of the rule list, and where on the picture the rule is broken or in doubt."""

    number: int
    text: str
    verdict: Verdict
    detail: str = ""
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, eq=False)
class SolidNote:
    """A structure that photos show: the ring (n, 2) in mm that it stands on, what it is and how tall, in words."""

    footprint: FloatArray
    text: str


@dataclass(frozen=True, eq=False)
class LineNote:
    """One piece of a line: points (n, 2) in mm along its middle, the stretches (segment, from, to) that no photo shows,
    and the words on it, its line's name and its length.
    """

    line: str
    points: FloatArray
    inferred: tuple[tuple[int, float, float], ...]
    text: str


@dataclass(frozen=True)
class ScaleNote:
    """The scale bar: its length in mm and in words."""

    length: float
    text: str


@dataclass(frozen=True)
class Notes:
    """All that the picture says. pieces are in the plat's order."""

    title: str
    pieces: tuple[PieceNote, ...]
    rules: tuple[RuleNote, ...]
    scale: ScaleNote
    remarks: tuple[str, ...] = ()
    solids: tuple[SolidNote, ...] = ()
    lines: tuple[LineNote, ...] = ()
