"""The verdicts' signs as vector shapes, the same as on the annotated picture: each has a shape of its own."""

from __future__ import annotations

import numpy as np
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from measure.quantity import FloatArray
from measure.rules.verdict import Verdict
from tapeplat.annotate.palette import VERDICT_COLOURS

_WHITE, _BLACK = Color(1, 1, 1), Color(0.08, 0.08, 0.08)
_ROUND = np.linspace(0, 2 * np.pi, 49)
_DISC = np.column_stack([np.cos(_ROUND), np.sin(_ROUND)])
_SQUARE = 0.88 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
_DIAMOND = 1.1 * np.array([[0, -1], [1, 0], [0, 1], [-1, 0]])
_LID = np.linspace(-1.15, 1.15, 17)
_RISE = 0.72 * (1 - (_LID / 1.15) ** 2)
_EYE = np.vstack([np.column_stack([_LID, _RISE]), np.column_stack([_LID, -_RISE])[::-1]])


LETTERS: dict[Verdict, str] = {
    "met": "+",
    "not met": "x",
    "too close to call": "~",
    "not measured": "?",
    "by eye": "o",
}
"""The signs in letters that every terminal has."""


class Sign(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A verdict's sign, of that height in points, in a line of text or a table's cell."""

    def __init__(self, verdict: Verdict, height: float, *, drop: float = 0.0, grey: bool = False) -> None:
        super().__init__()
        self.verdict, self.height, self.drop, self.grey = verdict, height, drop, grey

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height in points."""
        return 1.15 * self.height, self.height + self.drop

    def draw(self) -> None:
        """Draw it with its left bottom corner at the origin."""
        draw_sign(self.canv, (0.575 * self.height, self.height / 2), self.height / 2, self.verdict, grey=self.grey)


def draw_sign(
    canvas: Canvas, centre: tuple[float, float], radius: float, verdict: Verdict, *, grey: bool = False
) -> None:
    """Draw a verdict's sign; centre and radius in points, y up.

    met: a disc with a tick; not met: a square with a cross; too close to call: a diamond with two level bars; not
    measured: an empty ring with a bar; by eye: an eye.
    """
    canvas.saveState()
    canvas.translate(*centre)
    blue, green, red = VERDICT_COLOURS[verdict]
    colour = Color(red / 255, green / 255, blue / 255)
    if grey:  # as a grey print shows it (ITU-R BT.601)
        level = (0.299 * red + 0.587 * green + 0.114 * blue) / 255
        colour = Color(level, level, level)
    pen = _Pen(canvas, radius, colour)
    {
        "met": _met,
        "not met": _not_met,
        "too close to call": _too_close,
        "not measured": _not_measured,
        "by eye": _by_eye,
    }[verdict](pen)
    canvas.restoreState()


class _Pen:
    """Draws in radii about the sign's centre."""

    def __init__(self, canvas: Canvas, radius: float, colour: Color) -> None:
        self.canvas, self.radius, self.colour = canvas, radius, colour
        canvas.setLineCap(1)
        canvas.setLineJoin(1)

    def shape(
        self, points: FloatArray, *, fill: Color | None = None, line: Color | None = None, width: float = 0.2
    ) -> None:
        """A closed shape."""
        self._path(points, fill, line, width, closed=True)

    def stroke(self, points: list[list[float]], colour: Color, width: float = 0.28) -> None:
        """An open line."""
        self._path(np.array(points), None, colour, width, closed=False)

    def _path(self, points: FloatArray, fill: Color | None, line: Color | None, width: float, *, closed: bool) -> None:
        path = self.canvas.beginPath()
        path.moveTo(*(self.radius * points[0]))
        for point in points[1:]:
            path.lineTo(*(self.radius * point))
        if closed:
            path.close()
        if fill is not None:
            self.canvas.setFillColor(fill)
        if line is not None:
            self.canvas.setStrokeColor(line)
            self.canvas.setLineWidth(width * self.radius)
        self.canvas.drawPath(path, stroke=int(line is not None), fill=int(fill is not None))


def _met(pen: _Pen) -> None:
    pen.shape(_DISC, fill=pen.colour)
    pen.stroke([[-0.5, -0.05], [-0.12, -0.42], [0.5, 0.38]], _WHITE)


def _not_met(pen: _Pen) -> None:
    pen.shape(_SQUARE, fill=pen.colour)
    pen.stroke([[-0.45, -0.45], [0.45, 0.45]], _WHITE)
    pen.stroke([[-0.45, 0.45], [0.45, -0.45]], _WHITE)


def _too_close(pen: _Pen) -> None:
    pen.shape(_DIAMOND, fill=pen.colour, line=_BLACK, width=0.1)
    for level in (-0.22, 0.22):
        pen.stroke([[-0.42, level], [0.42, level]], _BLACK, 0.18)


def _not_measured(pen: _Pen) -> None:
    pen.shape(0.88 * _DISC, fill=_WHITE, line=pen.colour, width=0.24)
    pen.stroke([[-0.4, 0], [0.4, 0]], pen.colour, 0.24)


def _by_eye(pen: _Pen) -> None:
    pen.shape(_EYE, fill=_WHITE, line=pen.colour, width=0.18)
    pen.shape(0.38 * _DISC, fill=pen.colour)


def sign_height(size: float) -> float:
    """The height in points of a sign beside text of a size."""
    return 0.95 * size
