"""Random scenes with lines of known course: curves, bends, crossings and branches, over tape and under blocks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
import shapely

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box, lay
from tests.helpers.scenes.model import (
    Block,
    Colour,
    Film,
    Light,
    Print,
    Scene,
    Shadow,
    Surface,
    Tape,
    Thread,
    TruePiece,
    Zone,
)
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.view import looking
from vision.picture.traced import Traced
from vision.picture.traced_lines import LineSpec, Material, TracedLine
from vision.tracing import trace

WIDTH, DEPTH = 330.0, 250.0
NAMES = ("power line", "water pipe", "road")
COLOURS: dict[str, Colour] = {
    "black": (28, 28, 30), "white": (236, 236, 232), "red": (190, 34, 40), "blue": (40, 84, 176),
    "green": (40, 130, 66), "yellow": (236, 200, 50), "orange": (232, 120, 36), "brown": (104, 68, 40),
    "purple": (112, 62, 150),
}  # fmt: skip
BOARDS = {
    "foam": ((240, 240, 236), "plain", 0.0), "cardboard": ((186, 148, 108), "paper", 0.05),
    "green felt": ((46, 108, 66), "felt", 0.10), "grey": ((170, 168, 160), "noise", 0.08),
    "wood": ((200, 168, 124), "wood", 0.05), "blue paper": ((120, 160, 200), "paper", 0.04),
}  # fmt: skip
UNLIKE = 34.0
"""Colours nearer than this in CIELAB are not laid together: nobody would tell them apart."""
LONGEST_OVER = 0.1
"""Share of a line that may lie over others, besides crossings."""
ON_LINE = 2.5
"""What lies no further off a true line, mm, follows it."""


@dataclass(frozen=True)
class LineScore:
    """One true piece: its name, length mm and width px; of the piece found for it the relative error of its length and
    its expanded uncertainty; how many pieces lie on it.
    """

    name: str
    length: float
    px: float
    error: float | None
    u95: float
    pieces: int


@dataclass(frozen=True)
class LineResult:
    """A scene's scores, and the pieces that lie on nothing."""

    scores: tuple[LineScore, ...]
    invented: tuple[TracedLine, ...]


def line_scene(seed: int, size: tuple[int, int] = (2000, 1500)) -> tuple[Scene, tuple[LineSpec, ...]]:
    """A scene and its declared lines."""
    random = np.random.default_rng(seed)
    board = list(BOARDS.values())[random.integers(len(BOARDS))]
    taken: list[Colour] = [board[0]]
    tapes = {
        1: Tape(_colour(random, taken)[1], 12.0),
        2: Tape(_colour(random, taken)[1], float(random.choice([6, 18]))),
    }
    rings = {"library": box(44, 40, 80, 62), "stables": np.array([[190.0, 50], [282, 44], [286, 128], [196, 132]])}
    strips = [s for i, r in enumerate(rings.values(), 1) for s in lay(r, i, tapes[i].width, random, over=(0.5, 3.0))]
    threads: list[Thread] = []
    specs = []
    for number in range(int(random.integers(1, 4))):
        word, colour = _colour(random, taken)
        width, cord = float(np.exp(random.uniform(np.log(0.9), np.log(9.0)))), bool(random.random() < 0.5)
        made: tuple[Material, ...] = ("string", "pipe cleaner", "yarn") if cord else ("drawn stroke",)
        boxed = bool(random.random() < 0.5 and word != "white")
        if boxed:
            tapes[number + 3] = Tape(colour, max(6.0, width))
        specs.append(LineSpec(NAMES[number], number + 3 if boxed else None, None if boxed else word, made))
        for line in _apart_from(threads, width, random):
            height = width / 2 if cord else 0.05
            threads.append(Thread(line, width, colour, height, NAMES[number], cord))
    around = np.array([[-8.0, -8], [WIDTH + 215, -8], [WIDTH + 215, DEPTH + 8], [-8, DEPTH + 8]])
    tilt, azimuth = float(random.uniform(0, 18)), float(random.uniform(0, 360))
    blocks, shadows = _blocks(random, threads), _shadows(random)
    corners = ((0.0, 0.0), (WIDTH - 32, 0.0), (WIDTH - 32, DEPTH - 32), (0.0, DEPTH - 32))
    prints = (Print(0, "card", (WIDTH + 20, 50.0), 0.04), *(Print(i + 1, "corner", c) for i, c in enumerate(corners)))
    scene = Scene(
        WIDTH, DEPTH, looking(size, around, tilt=tilt, azimuth=azimuth), tapes,
        (Zone("library", 1), Zone("stables", 2)), tuple(TruePiece(n, r) for n, r in rings.items()), prints, 0.0,
        Surface(*board), Surface((126, 120, 116), "noise", 0.05), (box(WIDTH + 12, 40, 200, 142),), tuple(strips),
        blocks=blocks, threads=tuple(threads), light=Light(float(random.uniform(0.6, 0.85)), shadows=shadows),
        film=Film(float(random.uniform(0.5, 0.9)), seed=seed),
    )  # fmt: skip
    return scene, tuple(specs)


def line_views(seed: int, size: tuple[int, int] = (2000, 1500)) -> tuple[Scene, Scene, tuple[LineSpec, ...]]:
    """Two photos of one scene from different sides, with buildings that hide parts and ends of its lines in either."""
    scene, specs = line_scene(seed, size)
    random = np.random.default_rng([seed, 1])
    tilts, azimuth = random.uniform(12, 32, 2), float(random.uniform(0, 360))
    turns = (azimuth, azimuth + float(random.uniform(90, 270)))
    around = np.array([[-8.0, -8], [WIDTH + 215, -8], [WIDTH + 215, DEPTH + 8], [-8, DEPTH + 8]])
    views = [looking(size, around, tilt=float(t), azimuth=a) for t, a in zip(tilts, turns, strict=True)]
    blocks = tuple(block for _ in range(3) if (block := _block_beside(random, scene.threads)) is not None)
    films = [replace(scene.film, seed=2 * seed + i, blur=float(random.uniform(0.5, 0.9))) for i in (0, 1)]
    one, other = (replace(scene, view=v, film=f, blocks=blocks) for v, f in zip(views, films, strict=True))
    return one, other, specs


def without_lines(scene: Scene) -> Scene:
    """The same scene with nothing on it that is declared."""
    return replace(scene, threads=())


def traced_lines(scene: Scene, specs: tuple[LineSpec, ...]) -> Traced:
    """The scene's photo, traced with these lines declared."""
    return trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene), lines=specs)


def compared(scene: Scene, traced: Traced) -> LineResult:
    """Every true piece with the found one that follows most of it."""
    scores, used = [], set()
    found = [(i, p, shapely.LineString(p.points)) for i, p in enumerate(traced.lines.pieces)]
    for thread in scene.threads:
        true = shapely.LineString(thread.line)
        near = true.buffer(ON_LINE)
        on = {i: s.intersection(near).length for i, p, s in found if p.name == thread.name}
        own = [i for i, length in on.items() if length > 0.5 * found[i][2].length]
        used |= set(own)
        best = max(own, key=lambda i: on[i], default=None)
        error, u95 = None, 0.0
        if best is not None:
            piece = found[best][1]
            error = (piece.length - true.length) / true.length
            u95 = 2 * float(np.linalg.norm(piece.length_sensitivity)) / true.length
        scores.append(LineScore(thread.name, true.length, thread.width / traced.mm_per_px, error, u95, len(own)))
    return LineResult(tuple(scores), tuple(p for i, p, _ in found if i not in used))


def _colour(random: np.random.Generator, taken: list[Colour]) -> tuple[str, Colour]:
    """A colour that is told from those taken, and its word; it is taken from then on."""
    names = [n for n, c in COLOURS.items() if all(_apart(c, other) > UNLIKE for other in taken)]
    name = names[random.integers(len(names))]
    taken.append(COLOURS[name])
    return name, COLOURS[name]


def _apart(one: Colour, other: Colour) -> float:
    lab = [cv2.cvtColor(np.array([[c]], np.float32) / 255, cv2.COLOR_RGB2Lab)[0, 0] for c in (one, other)]
    return float(np.linalg.norm((lab[0] - lab[1]) * (0.6, 1, 1)))


def _lines(random: np.random.Generator) -> list[FloatArray]:
    """One line's pieces: a curve, now and then a bent one, with a branch, or in two pieces."""
    kind = random.choice(["curve", "curve", "bent", "branch", "two"])
    if kind == "bent":
        x = np.sort(random.uniform(45, 290, 3))
        return [np.column_stack([x, random.uniform(50, 210, 3)])]
    curve = _curve(random)
    if kind == "branch":
        middle = curve[len(curve) // 2]
        away = middle + (curve[len(curve) // 2 + 1] - curve[len(curve) // 2 - 1])[::-1] * (-1, 1) * 12
        end = np.clip(away, (45, 45), (285, 205))
        return [curve, np.linspace(middle, end, 20)] if np.linalg.norm(end - middle) > 25 else [curve]
    return [curve, _curve(random)] if kind == "two" else [curve]


def _apart_from(threads: list[Thread], width: float, random: np.random.Generator) -> list[FloatArray]:
    """As _lines, but such that none lies on another for long: hands lay lines across each other, not onto."""
    while True:
        lines = _lines(random)
        others = [(shapely.LineString(t.line), t.width) for t in threads]
        shapes = [shapely.LineString(line) for line in lines]
        over = sum(s.intersection(o.buffer(width + w)).length / s.length for s in shapes for o, w in others)
        if over < LONGEST_OVER + 0.02 * (width + sum(w for _, w in others)):
            return lines


def _curve(random: np.random.Generator) -> FloatArray:
    """A smooth line across the parcel, clear of its corner tiles."""
    upright = random.random() < 0.5
    along = np.linspace(42, 208 if upright else 288, 5)
    across = np.clip(random.uniform(60, 200) + np.cumsum(random.uniform(-26, 26, 5)), 42, 288 if upright else 208)
    fine = np.linspace(0, 1, 160)
    from scipy.interpolate import CubicSpline

    at = np.linspace(0, 1, 5)
    line = np.column_stack([CubicSpline(at, along)(fine), CubicSpline(at, across)(fine)])
    return line[:, ::-1] if upright else line


def _blocks(random: np.random.Generator, threads: list[Thread]) -> tuple[Block, ...]:
    """A block now and then, which hides no line's end."""
    ends = shapely.MultiPoint([end for t in threads for end in (*t.line[[0, -1]], *t.line[[0, -1]])])
    for _ in range(20 if random.random() < 0.6 else 0):
        x, y, w, d = random.uniform(50, 250), random.uniform(60, 180), random.uniform(14, 40), random.uniform(14, 40)
        ring, height, tone = box(x, y, w, d), float(random.uniform(8, 40)), int(random.integers(110, 200))
        if shapely.Polygon(ring).distance(ends) > 8.0 + 0.5 * height:
            return (Block(ring, height, (tone, tone - 10, tone - 24), (tone // 2,) * 3),)
    return ()


def _block_beside(random: np.random.Generator, threads: tuple[Thread, ...]) -> Block | None:
    """A building over or next to a line, which stands on no line's end; None where there is no room."""
    ends = shapely.MultiPoint([end for t in threads for end in t.line[[0, -1]]])
    for _ in range(20):
        line = threads[random.integers(len(threads))].line
        x, y = line[random.integers(len(line))] + random.uniform(-25, 15, 2)
        w, d, height = random.uniform(14, 36), random.uniform(14, 36), float(random.uniform(15, 45))
        ring, tone = box(float(x), float(y), float(w), float(d)), int(random.integers(110, 200))
        inside = shapely.box(36, 36, WIDTH - 36, DEPTH - 36).contains(shapely.Polygon(ring))
        if inside and shapely.Polygon(ring).distance(ends) > 6.0:
            return Block(ring, height, (tone, tone - 10, tone - 24), (tone // 2,) * 3)
    return None


def _shadows(random: np.random.Generator) -> tuple[Shadow, ...]:
    if random.random() < 0.5:
        return ()
    x = float(random.uniform(40, 220))
    ring = np.array([[x, -50.0], [x + 60, -50], [x + 110, 300], [x + 40, 300]])
    return (Shadow(ring, float(random.uniform(0.35, 0.7)), float(random.uniform(0.5, 4.0))),)
