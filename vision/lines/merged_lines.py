"""Lines that several photos of one model show, each taken from the photo that shows it best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calib.edges import FloatArray
from vision.fit.source_columns import line_over
from vision.lines.meetings import meetings_of
from vision.picture.traced_lines import TracedLine, TracedLines, TwoWays

SHORTER = 0.98
"""A photo that shows less than this share of what another shows of a line is not taken, however little it bridges."""


def merged_lines(views: Sequence[TracedLines], columns: Sequence[Sequence[int]], total: int) -> TracedLines:
    """All lines in one frame; columns: where each view's sources stand among `total`."""
    names = list(dict.fromkeys(p.name for view in views for p in view.pieces))
    pieces: list[TracedLine] = []
    two_ways: list[TwoWays] = []
    for name in names:
        best = _best(views, name)
        numbers = [i for i, p in enumerate(views[best].pieces) if p.name == name]
        place = {old: len(pieces) + new for new, old in enumerate(numbers)}
        pieces += [line_over(views[best].pieces[i], columns[best], total) for i in numbers]
        two_ways += [
            replace(w, ends=tuple((place[p], side) for p, side in w.ends))
            for w in views[best].two_ways if w.name == name
        ]  # fmt: skip
    found = {p.name for p in pieces}
    unread = dict.fromkeys(n for view in views for n in view.unread if all(n in v.unread for v in views))
    thin = dict.fromkeys(n for view in views for n in view.too_thin if n not in found)
    return TracedLines(tuple(pieces), meetings_of(pieces), tuple(two_ways), tuple(unread), tuple(thin))


def moved_lines(lines: TracedLines, axes: FloatArray, move: FloatArray) -> TracedLines:
    """Lines turned by axes (2, 2) and moved by (2,) mm."""
    pieces = tuple(
        replace(p, points=p.points @ axes + move, sensitivity=np.einsum("nik,ij->njk", p.sensitivity, axes))
        for p in lines.pieces
    )
    return replace(lines, pieces=pieces)


def _best(views: Sequence[TracedLines], name: str) -> int:
    """The view that shows most of a line, and of those that show as much the one that bridges least."""
    shown = [sum(p.length * (1 - p.bridged) for p in view.pieces if p.name == name) for view in views]
    bridged = [sum(p.length * p.bridged for p in view.pieces if p.name == name) for view in views]
    near = [i for i, own in enumerate(shown) if own >= SHORTER * max(shown)]
    return min(near, key=lambda i: bridged[i])
