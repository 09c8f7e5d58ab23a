"""Lines between the challenge, the imaging and the measuring: what is looked for, and what was seen of it."""

from __future__ import annotations

from measure.challenge import Challenge
from measure.plat.plat import LineDoubt, LinePiece
from measure.quantity import Quantity
from vision.picture.traced_lines import LineSpec, TracedLine, TracedLines


def lines_of(challenge: Challenge) -> tuple[LineSpec, ...]:
    """Every declared line, as the imaging takes it."""
    return tuple(LineSpec(line.name, line.swatch, line.colour, line.made_of, line.height) for line in challenge.lines)


def line_pieces(traced: TracedLines) -> tuple[LinePiece, ...]:
    """The pieces that photos show, as a plat has them."""
    return tuple(map(_piece, traced.pieces))


def line_doubts(traced: TracedLines) -> tuple[LineDoubt, ...]:
    """Where lines could go on in more than one way."""
    return tuple(LineDoubt(doubt.name, doubt.ends, doubt.ways) for doubt in traced.two_ways)


def unread_lines(traced: TracedLines) -> tuple[str, ...]:
    """The lines of which nothing is known, or which show and are too thin: they may be there or not."""
    return tuple(dict.fromkeys((*traced.unread, *traced.too_thin)))


def _piece(traced: TracedLine) -> LinePiece:
    return LinePiece(
        line=traced.name,
        points=traced.points,
        sensitivity=traced.sensitivity,
        length=Quantity(traced.length, traced.length_sensitivity),
        width=Quantity(traced.width, traced.width_sensitivity),
        inferred=traced.inferred,
        bridged=traced.bridged,
        ends=traced.ends,
        closed=traced.closed,
    )
