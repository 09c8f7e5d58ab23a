"""Solids on a drawn board: meshes written apart from the measuring ones, each face lit by how it is turned."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.helpers.scenes.raster import FloatArray

SIDES = 90
"""Flat sides of a round solid."""
KINDS = ("box", "prism", "pyramid", "cylinder", "cone")


@dataclass(frozen=True)
class Solid:
    """A solid that stands on the board: the centre of its footprint, length along its axis and width across, height,
    mm; turn, radians; colour (red, green, blue) and what is printed on it: plain, striped, or bricks.

    A round one has its diameter for length and width; a prism's ridge runs along its length.
    """

    kind: str
    centre: tuple[float, float]
    length: float
    width: float
    height: float
    turn: float
    colour: tuple[int, int, int]
    printed: str = "plain"

    @property
    def volume(self) -> float:
        full = self.length * self.width * self.height
        return full * {"box": 1.0, "prism": 0.5, "pyramid": 1 / 3, "cylinder": np.pi / 4, "cone": np.pi / 12}[self.kind]

    @property
    def floor(self) -> float:
        return self.length * self.width * (np.pi / 4 if self.kind in ("cylinder", "cone") else 1.0)

    @property
    def foot(self) -> FloatArray:
        """The ring (n, 2) that it stands on."""
        return self.placed(_ring(self.kind))

    def placed(self, unit: FloatArray) -> FloatArray:
        c, s = np.cos(self.turn), np.sin(self.turn)
        return unit * (self.length, self.width) @ np.array([[c, s], [-s, c]]) + self.centre

    def faces(self) -> list[FloatArray]:
        """Every face but the foot, as corners (m, 3): place and height, anticlockwise seen from outside."""
        foot = np.column_stack([self.foot, np.zeros(len(self.foot))])
        after = np.roll(foot, -1, axis=0)
        up = np.array([0, 0, self.height])
        if self.kind in ("box", "cylinder"):
            walls = [np.array([a, b, b + up, a + up]) for a, b in zip(foot, after, strict=True)]
            return [*walls, foot + up]
        if self.kind == "prism":
            ridge = np.column_stack([self.placed(np.array([[-0.5, 0], [0.5, 0]])), [self.height] * 2])
            a, b, c, d = foot
            faces = ((a, b, ridge[1], ridge[0]), (b, c, ridge[1]), (c, d, ridge[0], ridge[1]), (d, a, ridge[0]))
            return [np.array(face) for face in faces]
        top = np.array([*self.centre, self.height])
        return [np.array([a, b, top]) for a, b in zip(foot, after, strict=True)]


def normal_of(face: FloatArray) -> FloatArray:
    """The outward normal (3,) of a face, heights upwards."""
    normal = np.cross(face[1] - face[0], face[2] - face[0])
    return np.asarray(normal / np.linalg.norm(normal))


def marks_on(solid: Solid, face: FloatArray) -> list[FloatArray]:
    """Dark lines printed on a face of four corners, as thin quadrilaterals (4, 3)."""
    if solid.printed == "plain" or len(face) != 4 or solid.kind == "cylinder":
        return []
    a, b, c, d = face
    courses = max(2, int(np.linalg.norm(d - a) / 7))
    lines = [(a + (d - a) * t, b + (c - b) * t) for t in np.arange(1, courses) / courses]
    if solid.printed == "bricks":
        count = max(2, int(np.linalg.norm(b - a) / 12))
        for row in range(courses):
            for k in (np.arange(count) + 0.5 * (row % 2)) / count:
                if 0 < k < 1:
                    foot, top = a + (b - a) * k, d + (c - d) * k
                    lines.append((foot + (top - foot) * row / courses, foot + (top - foot) * (row + 1) / courses))
    along, up = (b - a) / np.linalg.norm(b - a), (d - a) / np.linalg.norm(d - a)
    return [_thick(p, q, along, up) for p, q in lines]


def _thick(start: FloatArray, end: FloatArray, along: FloatArray, up: FloatArray) -> FloatArray:
    across = up if abs((end - start) @ along) > abs((end - start) @ up) else along
    return np.array([start - 0.4 * across, end - 0.4 * across, end + 0.4 * across, start + 0.4 * across])


def _ring(kind: str) -> FloatArray:
    if kind in ("cylinder", "cone"):
        angle = np.arange(SIDES) * 2 * np.pi / SIDES
        return np.column_stack([np.cos(angle), np.sin(angle)]) / 2
    return np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
