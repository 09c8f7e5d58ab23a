"""The lines of a model in a result file: pipes, cables, roads and rails, piece by piece."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import with_config

from measure.plat.plat import LineEndKind, RepairKind
from measure.result.result_values import FINITE, Moves, Place, Steps, Stretch, Value


@with_config(FINITE)
@dataclass(frozen=True)
class LineEndResult:
    """An end of a piece: where it is, the zones that it surely reaches, and those of which it cannot be told.

    how: it ends there for all to see (free), goes under something (hidden), ends at the edge, or on its own line.
    """

    at: Place
    reaches: tuple[str, ...] = ()
    may_reach: tuple[str, ...] = ()
    how: LineEndKind = "free"


@with_config(FINITE)
@dataclass(frozen=True)
class LineWasResult:
    """A piece of a line before it was repaired: its line, and the middles of all pieces that it was made of."""

    line: str
    centrelines: tuple[tuple[Place, ...], ...]


@with_config(FINITE)
@dataclass(frozen=True)
class LineRepairedResult:
    """What somebody changed of a piece of a line; points (from 1) are those of its middle that were placed by hand.

    was is how it was measured; None where it was drawn by hand.
    """

    by: Literal["hand"]
    changes: tuple[RepairKind, ...]
    points: tuple[int, ...] = ()
    was: LineWasResult | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class LinePieceResult:
    """One piece of a line: its middle, the zones that it reaches; closed is true where its ends are one place.

    inferred lists what no photo shows, (segment from 0, from, to), and bridged is its share.
    """

    centreline: tuple[Place, ...]
    length: Value
    width: Value
    bridged: float = 0.0
    ends: tuple[LineEndResult, ...] = ()
    reaches: tuple[str, ...] = ()
    may_reach: tuple[str, ...] = ()
    inferred: tuple[Stretch, ...] = ()
    closed: bool | None = None
    repaired: LineRepairedResult | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class LineDoubtResult:
    """Where a line goes under something it could go on in more than one way.

    ends are (piece from 1, 0 at its start and 1 at its end); each of the ways joins pairs of them, by their place in
    `ends` from 0.
    """

    ends: tuple[tuple[int, Literal[0, 1]], ...]
    ways: tuple[tuple[tuple[int, int], ...], ...]


@with_config(FINITE)
@dataclass(frozen=True)
class LineResult:
    """One declared line; length is of all its pieces, None where it has none.

    unread is true where nothing is known of it: it may be there or not. cost is of its length, as the challenge says.
    """

    name: str
    pieces: tuple[LinePieceResult, ...] = ()
    length: Value | None = None
    cost: Value | None = None
    two_ways: tuple[LineDoubtResult, ...] = ()
    unread: bool | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class LineMoves:
    """How one piece (from 1) of a line moves: its middle, its length and its width."""

    line: str
    piece: int
    centreline: tuple[Moves, ...]
    length: Steps = ()
    width: Steps = ()
