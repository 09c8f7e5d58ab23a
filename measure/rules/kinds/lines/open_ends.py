"""Ends of lines that something hides: there a line may go on, and what it then is, reaches or crosses nobody sees."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely

from measure.conformity import chance_all
from measure.lines.net import Net
from measure.plat.plat import LinePiece
from measure.rules.kinds.lines.line_words import net_in
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Unknown, verdict_of

GOES_ON = 120.0
"""How far beyond a hidden end a line may go on unseen, mm: as far as photos are followed across what hides a line."""
_WHY = "an end of {} is hidden, so it may go on from there"


def open_ends(line: str, context: Context) -> list[tuple[int, int]]:
    """The ends of a line (piece from 1, 0 or 1) that are hidden, but for those of which all ways on are known.

    A piece whose middle somebody drew or moved ends where it was put.
    """
    net, plat = net_in(context), context.measures.plat
    known = {(id(plat.lines[at]), which) for doubt in plat.line_doubts for at, which in doubt.ends}
    return [
        (number, which)
        for number, piece in enumerate(net.pieces(line), 1)
        if not (piece.closed or _by_hand(piece))
        for which in (0, 1)
        if piece.ends[which] == "hidden" and (id(piece), which) not in known
    ]  # fmt: skip


def _by_hand(piece: LinePiece) -> bool:
    return piece.repaired is not None and bool({"middle", "drawn"} & set(piece.repaired.changes))


def open_towards_zone(line: str, zones: Iterable[str], within: float, context: Context) -> bool:
    """Whether a line may go on from a hidden end to within so many mm of one of the zones."""
    net = net_in(context)
    gaps = (net.end_gaps(line, number, z)[which:][:1] for z in zones for number, which in open_ends(line, context))
    return any(near.gap.value - GOES_ON <= within for found in gaps for near in found)


def open_towards_line(line: str, other: str, context: Context) -> bool:
    """Whether a line may go on from a hidden end to the other line."""
    net = net_in(context)
    shapes = shapely.MultiLineString([track.shape for track in net.tracks(other)])
    return any(
        shapes.distance(shapely.points(_end(net, line, number, which))) <= GOES_ON
        for number, which in open_ends(line, context)
    )


def _end(net: Net, line: str, number: int, which: int) -> Sequence[float]:
    point = net.tracks(line)[number - 1].end(which).point
    return [float(point[0]), float(point[1])]


def less_if_open(claim: Claim | Unknown, lines: Sequence[str], context: Context) -> Claim | Unknown:
    """may_be_less where a line may go on from a hidden end to anywhere."""
    going_on = [line for line in lines if open_ends(line, context)]
    return may_be_less(claim, going_on) if going_on and isinstance(claim, Claim) else claim


def more_if_open(claim: Claim, lines: Sequence[str], context: Context) -> Claim | Unknown:
    """may_be_more where a line may go on from a hidden end to anywhere."""
    going_on = [line for line in lines if open_ends(line, context)]
    return may_be_more(claim, going_on) if going_on else claim


def may_be_less(claim: Claim, lines: Sequence[str]) -> Claim | Unknown:
    """The claim about a number that is smaller if the lines go on, where its verdict is the same then."""
    return _kept(claim, lines, ahead=claim.low, behind=claim.high)


def may_be_more(claim: Claim, lines: Sequence[str]) -> Claim | Unknown:
    """The claim about a number that is larger if the lines go on, where its verdict is the same then."""
    return _kept(claim, lines, ahead=claim.high, behind=claim.low)


def _kept(claim: Claim, lines: Sequence[str], *, ahead: float | None, behind: float | None) -> Claim | Unknown:
    """ahead, behind: the limits on the side to which the number moves if the lines go on, and on the other one."""
    verdict = verdict_of(chance_all([claim.event]))
    value = claim.smallest
    past = ahead is not None and (behind is None or abs(value - ahead) < abs(value - behind))
    kept = (verdict == "met" and ahead is None) or (verdict == "not met" and past)
    return claim if kept else Unknown(_WHY, tuple(lines))
