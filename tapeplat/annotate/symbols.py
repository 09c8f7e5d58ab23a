"""The verdicts' symbols: a shape of its own for each, so that none depends on colour."""

from __future__ import annotations

import numpy as np

from measure.quantity import FloatArray
from measure.rules.verdict import Verdict
from tapeplat.annotate.palette import PAPER, TEXT, VERDICT_COLOURS
from tapeplat.annotate.picture_canvas import Canvas, Point


def draw_symbol(canvas: Canvas, centre: Point, radius: float, verdict: Verdict) -> None:
    """Draw a verdict's symbol.

    met: a disc with a tick; not met: a square with a cross; too close to call: a diamond with two level bars (about
    equal); not measured: an empty ring with a bar; by eye: an eye.
    """
    {
        "met": _met,
        "not met": _not_met,
        "too close to call": _too_close,
        "not measured": _not_measured,
        "by eye": _by_eye,
    }[verdict](canvas, np.array(centre), radius)


def _stroke(radius: float) -> int:
    return max(1, round(radius / 4))


def _met(canvas: Canvas, centre: FloatArray, radius: float) -> None:
    canvas.disc((centre[0], centre[1]), radius, VERDICT_COLOURS["met"])
    tick = np.array([[-0.5, 0.05], [-0.12, 0.42], [0.5, -0.38]])
    canvas.line(centre + radius * tick, PAPER, _stroke(radius))


def _not_met(canvas: Canvas, centre: FloatArray, radius: float) -> None:
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 0.92
    canvas.polygon(centre + radius * square, VERDICT_COLOURS["not met"])
    for arm in ([[-0.5, -0.5], [0.5, 0.5]], [[-0.5, 0.5], [0.5, -0.5]]):
        canvas.line(centre + radius * np.array(arm), PAPER, _stroke(radius))


def _too_close(canvas: Canvas, centre: FloatArray, radius: float) -> None:
    diamond = np.array([[0, -1], [1, 0], [0, 1], [-1, 0]]) * 1.15
    canvas.polygon(centre + radius * diamond, VERDICT_COLOURS["too close to call"])
    canvas.line(centre + radius * diamond, TEXT, 1, closed=True)
    for level in (-0.22, 0.22):
        canvas.line(centre + radius * np.array([[-0.42, level], [0.42, level]]), TEXT, max(1, _stroke(radius) - 1))


def _not_measured(canvas: Canvas, centre: FloatArray, radius: float) -> None:
    colour, stroke = VERDICT_COLOURS["not measured"], _stroke(radius)
    canvas.disc((centre[0], centre[1]), radius, PAPER)
    canvas.disc((centre[0], centre[1]), radius - stroke / 2, colour, stroke)
    canvas.line(centre + radius * np.array([[-0.45, 0], [0.45, 0]]), colour, stroke)


def _by_eye(canvas: Canvas, centre: FloatArray, radius: float) -> None:
    colour = VERDICT_COLOURS["by eye"]
    x = np.linspace(-1.15, 1.15, 17)
    lid = 0.72 * (1 - (x / 1.15) ** 2)
    eye = np.vstack([np.column_stack([x, -lid]), np.column_stack([x, lid])[::-1]])
    canvas.polygon(centre + radius * eye, PAPER)
    canvas.line(centre + radius * eye, colour, max(1, _stroke(radius) - 1), closed=True)
    canvas.disc((centre[0], centre[1]), 0.38 * radius, colour)
