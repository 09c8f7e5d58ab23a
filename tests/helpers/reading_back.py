"""Reading outlines back from an annotated picture and from a drawing, knowing only what they are said to look like."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np

from measure.quantity import FloatArray
from tapeplat.annotate.palette import INK

SVG = "{http://www.w3.org/2000/svg}"
REACH = 12
"""How far (px) to either side of where a line should be it is looked for."""


def read_back(image: np.ndarray, line_px: FloatArray) -> FloatArray:
    """How far off (px, signed, to the right of the walk) the drawn line's middle is at points along a given line.

    A line is a run of exact outline ink with white on either side; NaN where there is not exactly one (a label, a gap).
    """
    offsets = np.arange(-REACH, REACH + 0.25, 0.25)
    found = []
    for a, b in pairwise(line_px):
        length = np.hypot(*(b - a))
        u = (b - a) / length
        normal = np.array([-u[1], u[0]])
        for s in np.arange(min(REACH, length / 2), max(length - REACH, length / 2) + 1e-6, 4):
            at = np.rint(a + s * u + offsets[:, None] * normal).astype(int)
            lines = cased_lines(image[at[:, 1], at[:, 0]])
            found.append(offsets[lines[0]].mean() if len(lines) == 1 else np.nan)
    return np.array(found)


def cased_lines(profile: np.ndarray) -> list[np.ndarray]:
    """The runs (indices) of outline ink, at most 6 px wide, that have white within 2 px of both ends."""
    ink = np.flatnonzero((profile == INK).all(axis=1))
    runs = np.split(ink, np.flatnonzero(np.diff(ink) > 1) + 1) if len(ink) else []
    white = (profile > 175).all(axis=1)
    sides = [(white[max(0, run[0] - 8) : run[0]], white[run[-1] + 1 : run[-1] + 9]) for run in runs]
    return [run for run, (a, b) in zip(runs, sides, strict=True) if len(run) < 24 and a.any() and b.any()]


def svg_rings(text: str) -> dict[tuple[str, int, str], FloatArray]:
    """Every ring's points in mm, by zone, piece and ring, read from a drawing."""
    found = {}
    for path in ET.fromstring(text).iter(f"{SVG}path"):
        if path.get("class") == "ring":
            match = re.fullmatch(r"M([^MZ]*)Z", path.get("d", ""))
            points = np.array([[float(n) for n in pair.split(",")] for pair in match[1].split()])
            found[path.get("data-zone"), int(path.get("data-piece")), path.get("data-ring")] = points
    return found
