"""Drawing a scene: layers of exactly covered pixels, then light, lens blur, noise and encoding, as a phone does it.

Blur in linear light (as a real lens) moves every edge towards its dark side; on encoded values edges stay put.
Layers are
therefore laid together in the space in which the blur is put on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

from calib.printed import DOT_GREY
from tests.helpers.scenes import printing
from tests.helpers.scenes.model import Block, Colour, Print, Scene, Strip, Surface, Thread
from tests.helpers.scenes.raster import Cover, FloatArray, coverage
from tests.helpers.scenes.solids import Solid, marks_on, normal_of
from tests.helpers.scenes.view import View

INK: Colour = (38, 38, 40)
PAPER: Colour = (246, 246, 244)
SHADE: Colour = (12, 12, 14)
DOT: Colour = (DOT_GREY, DOT_GREY, DOT_GREY)
Picture = NDArray[np.float32]


def draw(scene: Scene) -> NDArray[np.uint8]:
    """The photo, (h, w, 3), blue first."""
    canvas = _Canvas(scene)
    canvas.table()
    canvas.board()
    for patch in (p for p in scene.patches if not p.over):
        canvas.fill([patch.ring], patch.colour, patch.height)
    for printed in scene.prints:
        canvas.printed(printed)
    canvas.tapes()
    for patch in (p for p in scene.patches if p.over):
        canvas.fill([patch.ring], patch.colour, patch.height)
    for thread in scene.threads:
        canvas.thread(thread)
    for block in scene.blocks:
        canvas.block(block)
    for solid in farthest_first(scene):
        canvas.solid(solid)
    return _developed(scene, canvas.picture * canvas.light())


class _Canvas:
    """Layers in the space of the blur: linear light or encoded values, 0 to 1, red first."""

    def __init__(self, scene: Scene) -> None:
        self.scene, self.view, self.size = scene, scene.view, scene.view.size
        self.picture = np.zeros((self.size[1], self.size[0], 3), np.float32)
        self.random = np.random.default_rng(scene.film.seed)
        self._map: tuple[Picture, Picture] | None = None

    def tone(self, colour: Colour) -> Picture:
        return to_space(np.array(colour, np.float32) / 255, self.scene.film.linear)

    def table(self) -> None:
        surface = self.scene.table
        self.picture[:] = self.tone(surface.colour)
        if surface.texture != "plain":
            self.picture *= self.texture(surface, 11)[..., None]

    def board(self) -> None:
        scene = self.scene
        slabs = [scene.corners, *scene.offcuts]
        wall = tuple(int(0.55 * c) for c in scene.board.colour)
        texture = self.texture(scene.board, 23) if scene.board.texture != "plain" else None
        for ring in slabs:
            if scene.thickness > 0:
                self._fill_px(_solid(self.view, ring, -scene.thickness, 0.0), self.tone(wall))  # type: ignore[arg-type]
            self._fill_px([self.view.rings(ring)], self.tone(scene.board.colour), texture)

    def printed(self, printed: Print) -> None:
        self.fill([printing.paper(printed)], PAPER, printed.height)
        for ring in printing.lines(printed):
            self.fill([ring], (150, 150, 150), printed.height)
        self.fill(printing.black(printed), INK, printed.height)
        if printed.kind == "card":
            for ring in printing.dots(printed):
                self.fill([ring], DOT, printed.height)
            random = np.random.default_rng(5)
            for number, tape in self.scene.tapes.items():
                ring = printing.swatch(printed, number, tape.width, random)
                if printed.filled is not None and number not in printed.filled:
                    continue
                self.taped(Polygon(ring), number, printed.height, ring[1] - ring[0], 1.0)

    def tapes(self) -> None:
        for strip in self.scene.strips:
            tape = self.scene.tapes[strip.tape]
            self.taped(strip_shape(strip, tape.width), strip.tape, tape.height, strip.end - strip.start, strip.shade)
        for band in self.scene.bands:
            tape = self.scene.tapes[band.tape]
            line = LineString([*band.middle, band.middle[0]])
            for share, shade in ((1.0, 0.8), (0.82, 0.92), (0.6, 1.0)) if band.round else ((1.0, 1.0),):
                shape = line.buffer(share * tape.width / 2)
                self.polygon(shape, tuple(int(shade * c) for c in tape.colour), tape.height)  # type: ignore[arg-type]

    def taped(self, shape: Polygon, number: int, height: float, along: FloatArray, shade: float) -> None:
        """Tape, plain or striped across its length."""
        tape = self.scene.tapes[number]
        first: Colour = tuple(int(min(255, shade * c)) for c in tape.colour)  # type: ignore[assignment]
        if tape.second is None:
            self.polygon(shape, first, height, tape.through)
            return
        way = along / np.linalg.norm(along)
        slant = np.array([way[0] - way[1], way[0] + way[1]]) / np.sqrt(2)
        middle, reach = np.array(shape.centroid.coords[0]), 1000.0
        across = np.array([-slant[1], slant[0]])
        count = int(np.linalg.norm(np.ptp(np.asarray(shape.exterior.coords), axis=0)) / tape.stripe / 2) + 2
        stripes = [
            Polygon(
                [
                    middle + a * across + b * reach * slant
                    for a, b in ((s, -1), (s + tape.stripe, -1), (s + tape.stripe, 1), (s, 1))
                ]
            )
            for s in 2 * tape.stripe * np.arange(-count, count + 1)
        ]
        striped = unary_union(stripes)
        self.polygon(shape.difference(striped) if tape.through else shape, first, height, tape.through)
        self.polygon(shape.intersection(striped), tape.second, height, tape.through)

    def thread(self, thread: Thread) -> None:
        """A string; a named one is cut straight, a round one darker along its borders and with a shadow."""
        line, cap = LineString(thread.line), "flat" if thread.name else "round"
        if thread.round:
            away = 0.35 * thread.width
            self.polygon(translate(line.buffer(thread.width / 2, cap_style=cap), away, away), SHADE, 0.0, 0.6)
        for share, shade in ((1.0, 0.75), (0.8, 0.9), (0.5, 1.0)) if thread.round else ((1.0, 1.0),):
            band = line.buffer(share * thread.width / 2, cap_style=cap)
            self.polygon(band, tuple(int(shade * c) for c in thread.colour), thread.height)  # type: ignore[arg-type]

    def block(self, block: Block) -> None:
        self._fill_px(_solid(self.view, block.ring, 0.0, block.height), self.tone(block.wall))
        self._fill_px([self.view.rings(block.ring, block.height)], self.tone(block.top))

    def solid(self, solid: Solid) -> None:
        """Its faces that the camera sees, each lit by how it is turned to a lamp up on the left."""
        eye, lamp = self.view.place * (1, 1, -1), np.array([-0.45, -0.35, 0.82])
        faces = [face for face in solid.faces() if normal_of(face) @ (eye - face[0]) > 0]
        rings = [self.view.rings(face[:, :2], face[:, 2]) for face in faces]
        whole = coverage(rings_of(unary_union([Polygon(ring).buffer(0.01) for ring in rings])), self.size)
        if whole is None:
            return
        tones = [self.tone(solid.colour) * (0.5 + 0.5 * max(0.0, float(normal_of(face) @ lamp))) for face in faces]
        paint, share = np.zeros_like(self.picture[whole.window]), np.full(whole.share.shape, 1e-6, np.float32)
        # Where two faces meet, each covers a part of a pixel, and the solid covers its border's pixels only once.
        for ring, tone in zip(rings, tones, strict=True):
            part = _within([ring], whole)
            paint, share = paint + part[..., None] * tone, share + part
        paint /= share[..., None]
        for face, tone in zip(faces, tones, strict=True):
            for mark in marks_on(solid, face):
                part = _within([self.view.rings(mark[:, :2], mark[:, 2])], whole)
                paint += part[..., None] * (0.55 * tone - paint)
        self.picture[whole.window] += whole.share[..., None] * (paint - self.picture[whole.window])

    def polygon(self, shape: Polygon, colour: Colour, height: float, through: float = 0.0) -> None:
        if not shape.is_empty:
            self.fill(rings_of(shape), colour, height, through)

    def fill(self, rings: Sequence[FloatArray], colour: Colour, height: float, through: float = 0.0) -> None:
        self._fill_px([self.view.rings(r, height) for r in rings], self.tone(colour), through=through)

    def _fill_px(
        self, rings: Sequence[FloatArray], tone: Picture, texture: Picture | None = None, through: float = 0.0
    ) -> None:
        cover = coverage(rings, self.size)
        if cover is None:
            return
        part = self.picture[cover.window]
        paint = tone if texture is None else tone * texture[cover.window][..., None]
        part += (1 - through) * cover.share[..., None] * (paint - part)

    def texture(self, surface: Surface, seed: int) -> Picture:
        """A factor about 1 for every pixel, fixed to the plane."""
        x, y = self._plane_map()
        random = np.random.default_rng(seed)
        pattern = _PATTERNS[surface.texture](random).astype(np.float32)
        size = pattern.shape[0]
        # One texture pixel is a millimetre; the pattern repeats.
        read = cv2.remap(
            pattern, np.mod(x, size - 1), np.mod(y, size - 1), cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP
        )
        contrast = surface.contrast if self.scene.film.linear else surface.contrast / 2.2
        return np.clip(1 + contrast * read, 0.05, 2).astype(np.float32)

    def _plane_map(self) -> tuple[Picture, Picture]:
        if self._map is None:
            step = 16
            w, h = self.size
            x, y = np.meshgrid(np.arange(-(-w // step) + 1) * step, np.arange(-(-h // step) + 1) * step)
            places = self.view.places(np.column_stack([x.ravel(), y.ravel()]).astype(float)).reshape(*x.shape, 2)
            matrix = np.array([[1 / step, 0, 0], [0, 1 / step, 0]])
            flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
            parts = [cv2.warpAffine(places[..., i].astype(np.float32), matrix, (w, h), flags=flags) for i in (0, 1)]
            self._map = (parts[0], parts[1])
        return self._map

    def light(self) -> Picture:
        """Gain of every pixel, in the space of the blur."""
        light, film, (w, h) = self.scene.light, self.scene.film, self.size
        x, y = np.linspace(-0.5, 0.5, w, dtype=np.float32)[None], np.linspace(-0.5, 0.5, h, dtype=np.float32)[:, None]
        gain = light.exposure * (1 + light.gradient[0] * x + light.gradient[1] * y)
        gain = gain * (1 - film.vignette * (x**2 + y**2) * 2)
        for shadow in light.shadows:
            ring = self.view.in_front(shadow.ring)
            cover = coverage([self.view.rings(ring)], self.size) if len(ring) else None
            if cover is not None:
                shade = np.zeros((h, w), np.float32)
                shade[cover.window] = cover.share
                gain *= (
                    1 - (1 - shadow.light) * cv2.GaussianBlur(shade, (0, 0), shadow.soft)
                    if shadow.soft > 0.2
                    else 1 - (1 - shadow.light) * shade
                )
        gains = np.maximum(gain, 1e-4)[..., None] * np.array(light.colour, np.float32)
        return np.asarray(gains if film.linear else gains ** (1 / 2.2), np.float32)


def farthest_first(scene: Scene) -> list[Solid]:
    """The solids in the order in which they are drawn, so that what stands nearer hides what is behind it."""
    eye = scene.view.place[:2]
    return sorted(scene.solids, key=lambda s: -float(np.linalg.norm(np.array(s.centre) - eye)))


def strip_shape(strip: Strip, width: float) -> Polygon:
    """The rectangle of tape that a strip is."""
    way = (strip.end - strip.start) / np.linalg.norm(strip.end - strip.start)
    normal = np.array([-way[1], way[0]]) * width / 2
    a, b = strip.start - strip.before * way, strip.end + strip.after * way
    return Polygon([a - normal, b - normal, b + normal, a + normal])


def rings_of(shape: Polygon) -> list[FloatArray]:
    """Outer rings and holes of a polygon or several, each turned as the coverage wants it."""
    parts = [g for g in getattr(shape, "geoms", [shape]) if g.geom_type == "Polygon" and not g.is_empty]
    rings = []
    for part in (orient(p) for p in parts):
        rings += [np.asarray(r.coords)[:-1] for r in (part.exterior, *part.interiors)]
    return rings


def to_space(encoded: Picture, linear: bool) -> Picture:
    """sRGB values 0 to 1 as they are, or in linear light (IEC 61966-2-1)."""
    if not linear:
        return encoded
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _developed(scene: Scene, picture: Picture) -> NDArray[np.uint8]:
    film = scene.film
    if film.blur > 0:
        picture = cv2.GaussianBlur(picture, (0, 0), film.blur)
    if any(film.motion):
        picture = cv2.filter2D(picture, -1, _smear(film.motion))
    random = np.random.default_rng(film.seed + 1000)
    noise = random.standard_normal(picture.shape, dtype=np.float32)
    if film.linear:
        picture = picture + noise * np.sqrt(film.read**2 + film.shot**2 * np.maximum(picture, 0))
        table = to_encoded(np.arange(65536, dtype=np.float32) / 65535)
        picture = table[(np.clip(picture, 0, 1) * 65535 + 0.5).astype(np.uint16)]
    else:
        picture = picture + noise * (film.read + 0.7 * film.shot)
    return np.ascontiguousarray((np.clip(picture, 0, 1) * 255 + 0.5).astype(np.uint8)[..., ::-1])


def to_encoded(linear: Picture) -> Picture:
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055).astype(
        np.float32
    )


def _smear(way: tuple[float, float]) -> Picture:
    reach = int(np.ceil(max(abs(way[0]), abs(way[1])) / 2)) + 1
    kernel = np.zeros((2 * reach + 1,) * 2, np.float32)
    for t in np.linspace(-0.5, 0.5, 60):
        x, y = reach + t * way[0], reach + t * way[1]
        i, j = int(np.floor(x)), int(np.floor(y))
        for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1)):
            kernel[j + dy, i + dx] += abs(1 - dx - (x - i)) * abs(1 - dy - (y - j))
    return kernel / kernel.sum()


def _within(rings: Sequence[FloatArray], whole: Cover) -> Picture:
    """How much of every pixel of a covered window some rings cover (h, w)."""
    share = np.zeros(whole.share.shape, np.float32)
    height, width = share.shape
    cover = coverage([ring - (whole.left, whole.top) for ring in rings], (width, height))
    if cover is not None:
        share[cover.window] = cover.share
    return share


def _solid(view: View, ring: FloatArray, low: float, high: float) -> list[FloatArray]:
    """What a straight-walled solid covers in the photo: foot, top and every wall, their edges bent by the lens."""
    foot, top = view.rings(ring, low), view.rings(ring, high)
    parts = [Polygon(foot), Polygon(top)]
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        t = np.linspace(0, 1, 40)[:, None]
        side = start + t * (end - start)
        parts.append(Polygon(np.concatenate([view.project(side, low), view.project(side[::-1], high)])).buffer(0))
    return rings_of(unary_union(parts))


def _noise(random: np.random.Generator, *grains: float) -> FloatArray:
    total = np.zeros((512, 512))
    for grain in grains:
        part = cv2.GaussianBlur(random.standard_normal((512, 512)), (0, 0), grain, borderType=cv2.BORDER_REFLECT)
        total += part / part.std()
    return total / np.sqrt(len(grains))


def _wood(random: np.random.Generator) -> FloatArray:
    streaks = cv2.GaussianBlur(random.standard_normal((512, 512)), (0, 0), sigmaX=60, sigmaY=1.2)
    planks = np.repeat(random.uniform(-1, 1, 8), 64)[:, None] * np.ones((1, 512))
    return streaks / streaks.std() + planks


_PATTERNS: dict[str, Callable[[np.random.Generator], FloatArray]] = {
    "noise": lambda r: _noise(r, 1.0, 6.0),
    "felt": lambda r: _noise(r, 0.7),
    "paper": lambda r: _noise(r, 0.7, 2.0, 30.0),
    "wood": _wood,
}
