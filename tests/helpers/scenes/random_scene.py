"""Random scenes with known truth: any table, board, tape, light and layout, and errors drawn from the challenge's
priors.
"""

from __future__ import annotations

import colorsys
from dataclasses import dataclass, field, replace

import cv2
import numpy as np
import shapely
from shapely.geometry import LinearRing, MultiPoint, Polygon, box

from tests.helpers.scenes import laying, leaning, printing
from tests.helpers.scenes.draw import strip_shape
from tests.helpers.scenes.model import (
    Band,
    Block,
    Colour,
    Film,
    Light,
    Patch,
    Print,
    Scene,
    Shadow,
    Strip,
    Surface,
    Tape,
    Thread,
    TruePiece,
    Zone,
)  # fmt: skip
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.view import View, looking

BOARDS = {
    "foam": ((242, 242, 238), "plain", 0.0), "cardboard": ((186, 148, 108), "paper", 0.05),
    "dark felt": ((48, 50, 56), "felt", 0.15), "green felt": ((46, 108, 66), "felt", 0.12),
    "butcher paper": ((206, 184, 150), "paper", 0.06), "noise": ((170, 168, 160), "noise", 0.10),
    "black card": ((40, 40, 42), "plain", 0.0), "blue paper": ((120, 160, 200), "paper", 0.04),
}  # fmt: skip
TABLES = {
    "grey": ((128, 126, 124), "noise", 0.08), "wood": ((160, 118, 78), "wood", 0.08),
    "white": ((226, 224, 220), "plain", 0.0),
    "dark wood": ((84, 58, 40), "wood", 0.12), "green": ((90, 120, 100), "noise", 0.05),
    "black": ((36, 36, 38), "noise", 0.1),
}  # fmt: skip
NAMES = (
    "library", "stables", "market", "meadow", "school", "orchard", "greenhouse", "landing", "cottages", "workshops",
)  # fmt: skip
PARCELS = ((381, 508), (406.4, 406.4), (457.2, 355.6), (508, 381), (300, 240), (558.8, 431.8), (508, 508))
WIDTHS = (6, 9, 12, 15, 18, 19, 24, 25.4, 30, 38, 48, 50)
SHAPES = ("rectangle", "rectangle", "rectangle", "trapezoid", "triangle", "L", "L", "U", "hexagon")
TROUBLES = (
    "abutting", "shared", "same tape", "ring", "pieces", "yarn", "patch", "patch", "roof", "string", "occluder",
    "shadow",
    "gradient", "warm", "dim", "soft", "tilt", "striped", "short", "turned",
)  # fmt: skip
PLACES = ("tiles", "tiles", "tiles", "beside", "on board", "table", "table")


@dataclass
class Making:
    """What is laid on the board so far."""

    random: np.random.Generator
    board: Surface
    width: float
    depth: float
    tapes: dict[int, Tape] = field(default_factory=dict)
    zones: list[Zone] = field(default_factory=list)
    pieces: list[TruePiece] = field(default_factory=list)
    strips: list[Strip] = field(default_factory=list)
    bands: list[Band] = field(default_factory=list)
    patches: list[Patch] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    threads: list[Thread] = field(default_factory=list)
    tiles: list[Print] = field(default_factory=list)
    over: tuple[float, float] = (-1.0, 4.0)

    def tape(self, width: float, *, striped: bool = False, height: float | None = None) -> int:
        number = len(self.tapes) + 1
        others = [t.colour for t in self.tapes.values()] + [self.board.colour]
        colour = far_colour(self.random, others)
        second = far_colour(self.random, [*others, colour]) if striped else None
        height = float(max(0.02, self.random.normal(0.12, 0.05))) if height is None else height
        self.tapes[number] = Tape(colour, width, second, float(self.random.uniform(4, 10)), height)
        return number

    def zone(self, swatch: int, tile: int | None = None, height: float = 0.0) -> str:
        name = NAMES[len(self.zones)]
        self.zones.append(Zone(name, swatch, tile, height))
        return name

    def outline(self, zone: str, tape: int, ring: FloatArray, note: str, sides: tuple[int, ...] | None = None) -> None:
        self.pieces.append(TruePiece(zone, ring, note=note))
        self.strips += laying.lay(ring, tape, self.tapes[tape].width, self.random, over=self.over, sides=sides)


def random_scene(seed: int, *, size: tuple[int, int] = (2400, 1800), place: str | None = None,
                 troubles: tuple[str, ...] | None = None, more: tuple[str, ...] = ()) -> Scene:  # fmt: skip
    """The scene of this seed; place and troubles may be fixed, the rest is drawn.

    more: troubles of scenes.leaning, and "steep" (30 to 40 degrees off), that come before those drawn.
    """
    random = np.random.default_rng(seed)
    drawn_place = PLACES[random.integers(len(PLACES))]
    drawn = tuple(dict.fromkeys(random.choice(TROUBLES, random.integers(1, 5), replace=False)))
    place, troubles = place or drawn_place, tuple(map(str, drawn)) if troubles is None else troubles
    troubles = (*more, *troubles)
    width, depth = PARCELS[random.integers(len(PARCELS))]
    if place == "on board":
        width, depth = max(width, 406.4), max(depth, 406.4)
    board, table = surfaces(random)
    made = Making(random, board, width, depth)
    if "short" in troubles:
        made.over = (-7.0, 2.0)
    card, offcuts, low, high = _card(random, place, width, depth)
    _settle(made, troubles, low, high)
    if "doubled" in troubles:
        leaning.double(made)
    if "crossed" in troubles:
        leaning.cross(made)
    _clutter(made, troubles)
    view = _view(random, size, made, card, offcuts, troubles)
    if "occluder" in troubles:
        _occlude(made, view)
    if "roof" in troubles:
        _roofs(made, view)
    made.pieces = [replace(p, hidden=_hidden(p, made.blocks, view)) for p in made.pieces]
    return _scene(made, seed, place, troubles, view, table, card, offcuts)


def surfaces(random: np.random.Generator) -> tuple[Surface, Surface]:
    """A board and a table that can be told apart."""
    while True:
        names = [list(kind)[random.integers(len(kind))] for kind in (BOARDS, TABLES)]
        board, table = BOARDS[names[0]], TABLES[names[1]]
        if _lab_distance(board[0], table[0]) > 18:
            return Surface(*board), Surface(*table)


def far_colour(random: np.random.Generator, others: list[Colour], least: float = 38.0) -> Colour:
    """A tape's colour that a person would tell from the others and from the board."""
    for attempt in range(400):
        hue, saturation, value = random.uniform(0, 1), random.uniform(0.55, 0.95), random.uniform(0.35, 0.97)
        if random.uniform() < 0.12:
            saturation, value = 0.03, random.uniform(0.1, 0.25)
        red, green, blue = colorsys.hsv_to_rgb(hue, saturation, value)
        colour = (int(255 * red), int(255 * green), int(255 * blue))
        enough = least * (1 - attempt / 600)
        if min(_chroma_distance(colour, other) for other in others) > enough * 0.55 and (
            min(_lab_distance(colour, other) for other in others) > enough
        ):
            return colour
    return colour


def _card(random: np.random.Generator, place: str, width: float, depth: float):
    """The card's print, offcuts under it, and the part of the parcel left for zones (low, high)."""
    margin = 36.0 if place == "tiles" else float(random.uniform(4, 14))
    low, high = np.array([margin, margin]), np.array([width - margin, depth - margin])
    turn = float(np.deg2rad(random.uniform(-12, 12)))
    if place == "on board":
        corner = (float(random.uniform(margin, width - 190 - margin)), depth - margin - 124.0)
        high[1] = depth - margin - 134 - 190 * abs(np.sin(np.deg2rad(2)))
        return Print(0, "card", corner, float(np.deg2rad(random.uniform(-1.5, 1.5)))), (), low, high
    side = random.integers(4)
    along = random.uniform(0.1, 0.7)
    spot = [
        (along * width, -150.0), (width + 30.0, along * depth), (along * width, depth + 30.0), (-220.0, along * depth),
    ][side]  # fmt: skip
    card = Print(0, "card", (float(spot[0]), float(spot[1])), turn)
    if place == "table":
        return card, (), low, high
    rim = random.uniform(5, 12)
    ring = printing.placed(card, np.array([[-rim, -rim], [180 + rim, -rim], [180 + rim, 120 + rim], [-rim, 120 + rim]]))
    return card, (ring,), low, high


def _settle(made: Making, troubles: tuple[str, ...], low: FloatArray, high: FloatArray) -> None:
    """Zones into the cells of a grid."""
    random = made.random
    span = high - low
    columns, rows = (int(np.clip(random.integers(1, 4), 1, max(1, s // 125))) for s in span)
    cuts = [
        np.linspace(0, 1, n + 1) + np.concatenate([[0], random.uniform(-0.04, 0.04, n - 1), [0]])
        for n in (columns, rows)
    ]
    cells = [
        (low + span * (cuts[0][i], cuts[1][j]), low + span * (cuts[0][i + 1], cuts[1][j + 1]))
        for j in range(rows) for i in range(columns)
    ]  # fmt: skip
    cells = cells[: random.integers(max(2, len(cells) - 2), len(cells) + 1)] if len(cells) > 2 else cells
    todo = [t for t in troubles if t in (*leaning.LEANING, "abutting", "shared", "same tape", "ring", "pieces", "yarn")]
    largest = sorted(range(len(cells)), key=lambda i: -float(np.prod(cells[i][1] - cells[i][0])))
    striped = "striped" in troubles
    for i in largest:
        if len(made.tapes) >= 7:
            break
        trouble = todo.pop(0) if todo else None
        _cell(made, *cells[i], trouble, striped and random.uniform() < 0.6)


def _cell(made: Making, low: FloatArray, high: FloatArray, trouble: str | None, striped: bool) -> None:
    random = made.random
    low, high = low + random.uniform(3, 8, 2), high - random.uniform(3, 8, 2)
    room = float((high - low).min())
    fitting = [
        w
        for w in WIDTHS
        if w <= room / (7.5 if trouble in ("lent", "abutting", "shared", "ring", "same tape", "pieces") else 4.5)
    ]
    width = float(random.choice(fitting or [6]))
    if trouble == "yarn":
        tape = made.tape(4.0, height=1.2)
        radii = (high - low) / 2 - 10
        ring = laying.pond((low + high) / 2, np.minimum(radii, 1.6 * radii.min()) * 0.85, random)
        made.pieces.append(TruePiece(made.zone(tape, height=1.2), ring, note="yarn"))
        made.bands.append(Band(ring, tape))
        return
    # Room for half the tape, what is laid over, and the corners' jitter.
    low, high = low + width / 2 + 5, high - width / 2 - 5
    tape = made.tape(width, striped=striped)
    if trouble in leaning.LEANING and leaning.lay_leaning(made, low, high, tape, trouble):
        return
    if trouble in ("abutting", "shared", "same tape", "pieces"):
        _two(made, low, high, tape, trouble)
        return
    kind = "rectangle" if trouble == "ring" else str(random.choice(SHAPES))
    zone = made.zone(tape)
    ring = laying.shape(kind, low, high, random)
    if not _roomy(ring, width):
        ring = laying.shape("rectangle", low, high, random)
        kind = "rectangle"
    inner = low + (high - low) * 0.25 + width / 2, high - (high - low) * 0.25 - width / 2
    if trouble == "ring" and (inner[1] - inner[0] > width + 14).all():
        hole = laying.shape("rectangle", *inner, random)
        made.pieces.append(TruePiece(zone, ring, (hole,), note=f"ring in ring, {width:g} mm"))
        for r in (ring, hole):
            made.strips += laying.lay(r, tape, width, random, over=made.over)
        return
    made.outline(zone, tape, ring, f"{kind}, {width:g} mm{', striped' if striped else ''}")


def _two(made: Making, low: FloatArray, high: FloatArray, tape: int, trouble: str) -> None:
    """Two rectangles side by side: abutting, sharing a strip, of one tape with tiles, or one zone's two pieces."""
    random, width = made.random, made.tapes[tape].width
    apart = width + float(random.uniform(10, 20))
    other = tape
    if trouble in ("abutting", "shared"):
        other = made.tape(
            width if trouble == "shared" else float(random.choice([w for w in WIDTHS if w <= max(6, width)]))
        )
    if trouble == "abutting":
        apart = (width + made.tapes[other].width) / 2 + float(random.uniform(0.05, 0.5))
    if trouble == "shared":
        apart = 0.0
    at = low[0] + (high[0] - low[0]) * random.uniform(0.4, 0.6)
    jitter = random.uniform(-1.5, 1.5, (6, 2))
    lean = random.uniform(-1.5, 1.5)
    left = np.array([low, (at - apart / 2 + lean, low[1]), (at - apart / 2 - lean, high[1]), (low[0], high[1])])
    right = np.array([(at + apart / 2 + lean, low[1]), (high[0], low[1]), high, (at + apart / 2 - lean, high[1])])
    left[[0, 3]] += jitter[:2]
    right[[1, 2]] += jitter[2:4]
    tile = trouble == "same tape" or (trouble == "shared" and random.uniform() < 0.5)
    note = f"{trouble}, {width:g} mm"
    if trouble == "pieces":
        zone = made.zone(tape)
        made.outline(zone, tape, left, note)
        made.outline(zone, tape, right, note)
        return
    if tile and trouble == "shared":
        made.tapes.pop(other)
        other = tape
    free = 50 + len(made.tiles)
    first = made.zone(tape, free if tile else None)
    second = made.zone(other, free + 1 if tile else None)
    made.outline(first, tape, left, note + (", tiles" if tile else ""))
    made.outline(second, other, right, note + (", tiles" if tile else ""), (0, 1, 2) if trouble == "shared" else None)
    if tile:
        for number, ring in ((free, left), (free + 1, right)):
            centre = ring.mean(axis=0) + random.uniform(-3, 3, 2)
            made.tiles.append(Print(number, "zone", tuple(map(float, centre - 12)), float(random.uniform(-0.1, 0.1))))


def _roomy(ring: FloatArray, width: float) -> bool:
    """Whether every arm leaves 16 mm clear inside the tape, and every notch 10 mm outside it."""
    polygon = Polygon(ring)
    if not polygon.is_valid:
        return False
    inside = polygon.buffer(-width / 2 - 8, join_style="mitre")
    opened = inside.buffer(width / 2 + 8, join_style="mitre", mitre_limit=20)
    notched = polygon.buffer(width / 2 + 5, join_style="mitre").buffer(-width / 2 - 5, join_style="mitre")
    one = inside.geom_type == "Polygon" and not inside.is_empty
    return one and opened.area > 0.97 * polygon.area and notched.area < 1.01 * polygon.area


def _clutter(made: Making, troubles: tuple[str, ...]) -> None:
    random = made.random
    prints = [box(*printing.paper(t).min(axis=0), *printing.paper(t).max(axis=0)) for t in made.tiles]
    if "patch" in troubles:
        for piece in made.pieces:
            tape = next(z.swatch for z in made.zones if z.name == piece.zone)
            if random.uniform() < 0.7 and not piece.holes:
                _patch(made, piece, tape, prints)
    if "string" in troubles:
        for _ in range(random.integers(1, 3)):
            line = random.uniform((10, 10), (made.width - 10, made.depth - 10), (4, 2))
            curve = _smooth(line)
            colour = tuple(int(c) for c in random.integers(20, 240, 3))
            made.threads.append(Thread(curve, float(random.uniform(0.8, 1.8)), colour))  # type: ignore[arg-type]


def _patch(made: Making, piece: TruePiece, tape: int, prints: list[Polygon]) -> None:
    """Paper of a tape's own colour inside an outline; sometimes under its inner edge."""
    random, width = made.random, made.tapes[tape].width
    touching = random.uniform() < 0.4
    inside = Polygon(piece.ring).buffer(-width / 2 - (0 if touching else 3))
    if inside.is_empty or inside.area < 900:
        return
    centre = np.array(inside.representative_point().coords[0])
    radii = np.sqrt(inside.area) * random.uniform(0.18, 0.4, 2)
    blob = Polygon(laying.pond(centre, radii, random, 60)).buffer(0).intersection(inside)
    for paper in prints:
        blob = blob.difference(paper.buffer(2))
    if blob.geom_type != "Polygon" or blob.area < 200:
        return
    if random.uniform() < 0.75:
        colour = tuple(int(np.clip(c * random.uniform(0.92, 1.05), 0, 255)) for c in made.tapes[tape].colour)
    else:
        colour = made.tapes[int(random.choice(list(made.tapes)))].colour
    made.patches.append(Patch(np.asarray(blob.exterior.coords)[:-1], colour))  # type: ignore[arg-type]


def _smooth(line: FloatArray) -> FloatArray:
    t = np.linspace(0, 1, 60)[:, None]
    a, b, c, d = line
    return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d


def _view(random: np.random.Generator, size: tuple[int, int], made: Making, card: Print, offcuts, troubles) -> View:
    corners = np.array([[0, 0], [made.width, 0], [made.width, made.depth], [0, made.depth]], float)
    at = np.concatenate([corners, printing.paper(card), *offcuts])
    quarter = int(random.integers(1, 4)) * 90 if "turned" in troubles else 0
    span = np.ptp(at, axis=0)
    portrait = (span[1] > span[0]) != (quarter in (90, 270))
    size = (size[1], size[0]) if portrait else size
    diagonal = float(np.hypot(*size))
    return looking(
        size, at,
        tilt=_tilt(random, troubles),
        azimuth=float(random.uniform(0, 360)),
        roll=float(quarter + random.normal(0, 3)),
        focal=26 / float(np.hypot(36, 24)) * diagonal * float(1 + random.normal(0, 0.012)),
        fill=float(random.uniform(0.78, 0.95)),
        k1=float(random.normal(0, 0.012)), k2=float(random.normal(0, 0.003)),
        off_centre=tuple(random.normal(0, 0.0025 * diagonal, 2)),
    )  # fmt: skip


def _tilt(random: np.random.Generator, troubles: tuple[str, ...]) -> float:
    if "steep" in troubles:
        return float(random.uniform(30, 40))
    return float(random.uniform(15, 38) if "tilt" in troubles else random.uniform(0, 8))


def _shade_of(block: Block, view: View) -> Polygon:
    both = np.concatenate([view.project(block.ring, 0.0), view.project(block.ring, block.height)])
    return MultiPoint(both).convex_hull


def _hidden(piece: TruePiece, blocks: list[Block], view: View) -> float:
    """Share of an outline's length behind blocks."""
    rings = [LinearRing(r) for r in (piece.ring, *piece.holes)]
    points = np.concatenate([
        shapely.get_coordinates(shapely.line_interpolate_point(r, np.arange(0.5, r.length, 1.0))) for r in rings
    ])  # fmt: skip
    seen = shapely.points(view.project(points))
    behind = np.zeros(len(seen), bool)
    for block in blocks:
        behind |= shapely.contains(_shade_of(block, view), seen)
    return float(behind.mean())


def _occlude(made: Making, view: View) -> None:
    """A tall block beside one outline that hides 5 to 25 % of it and little of the others."""
    random = made.random
    for _ in range(60):
        piece = made.pieces[random.integers(len(made.pieces))]
        ring = LinearRing(piece.ring)
        at = shapely.get_coordinates(ring.interpolate(random.uniform(0, ring.length)))[0]
        inward = np.array(Polygon(piece.ring).representative_point().coords[0]) - at
        at = at + inward * random.uniform(0.0, 0.3)
        block = _block(random, at, random.uniform(20, 55, 2), float(random.uniform(20, 90)))
        hidden = [_hidden(p, [block], view) for p in made.pieces]
        if (
            0.05 < max(hidden) < 0.25
            and sorted(hidden)[-2 if len(hidden) > 1 else -1] < 0.25
            and _on_free_board(made, block, view)
            and all(_sides_show(p, block, view) for p in made.pieces)
        ):
            made.blocks.append(block)
            return


def _sides_show(piece: TruePiece, block: Block, view: View) -> bool:
    """Whether a third of every side shows: what is hidden whole could lie anywhere."""
    shade, t = _shade_of(block, view), (np.arange(40) + 0.5)[:, None] / 40
    if len(piece.ring) > 20:
        return True
    for ring in (piece.ring, *piece.holes):
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            if shapely.contains(shade, shapely.points(view.project(start + t * (end - start)))).mean() > 0.67:
                return False
    return True


def _roofs(made: Making, view: View) -> None:
    """Solids painted like a tape that hide no tape."""
    random = made.random
    for piece in made.pieces:
        tape = made.tapes[next(z.swatch for z in made.zones if z.name == piece.zone)]
        for _ in range(30):
            inside = Polygon(piece.ring).buffer(-tape.width / 2 - 4)
            if inside.is_empty or piece.holes:
                break
            low, high = np.array(inside.bounds[:2]), np.array(inside.bounds[2:])
            block = _block(
                random, random.uniform(low, high), random.uniform(12, 40, 2), float(random.uniform(8, 50)), tape.colour
            )
            if inside.contains(Polygon(block.ring)) and _apart(made, block, view) and _on_free_board(made, block, view):
                made.blocks.append(block)
                break


def _apart(made: Making, block: Block, view: View) -> bool:
    """Whether a block's picture keeps off all tape."""
    shade = _shade_of(block, view)
    for strip in made.strips:
        ring = np.asarray(strip_shape(strip, made.tapes[strip.tape].width).exterior.coords)[:-1]
        if shade.intersects(Polygon(view.project(ring))):
            return False
    return True


def _on_free_board(made: Making, block: Block, view: View) -> bool:
    """Whether a block stands on the board, and its picture keeps off all printed tiles."""
    foot, shade = Polygon(block.ring), _shade_of(block, view)
    if not box(0, 0, made.width, made.depth).contains(foot):
        return False
    corners = [
        np.array(c, float)
        for c in ((0, 0), (made.width - 34, 0), (made.width - 34, made.depth - 34), (0, made.depth - 34))
    ]
    papers = [printing.paper(t) for t in made.tiles] + [laying.box(*c, 34, 34) for c in corners]
    if any(shade.intersects(Polygon(view.project(p))) for p in papers):
        return False
    return not any(shade.intersects(_shade_of(b, view)) for b in made.blocks)


def _block(
    random: np.random.Generator, at: FloatArray, size: FloatArray, height: float, colour: Colour | None = None
) -> Block:
    turn = random.uniform(0, np.pi)
    c, s = np.cos(turn), np.sin(turn)
    ring = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size / 2 @ np.array([[c, s], [-s, c]]) + at
    top = colour or tuple(int(v) for v in random.integers(50, 230, 3))
    return Block(ring, height, top, tuple(int(0.7 * v) for v in top))  # type: ignore[arg-type]


def _scene(made, seed, place, troubles, view, table, card, offcuts) -> Scene:
    random, width, depth = made.random, made.width, made.depth
    thickness = float(random.uniform(3, 6))
    scale = tuple(map(float, random.uniform(0.985, 1.015, 2)))
    line = tuple(float(s * n + random.normal(0, 0.15)) for s, n in zip(scale, (100, 80), strict=True))
    lift = float(random.normal(0, 0.3))
    card = replace(card, scale=scale, height=0.1 + lift - (thickness if place == "table" else 0.0))
    tiles = _tiles(random, width, depth, scale) if place == "tiles" else []
    return Scene(
        width, depth, view, made.tapes, tuple(made.zones), tuple(made.pieces),
        (card, *tiles, *(replace(t, scale=scale) for t in made.tiles)), thickness, made.board, table, offcuts,
        tuple(made.strips), tuple(made.bands), tuple(made.patches), tuple(made.blocks), tuple(made.threads),
        _light(random, troubles, width, depth), _film(random, troubles, seed),
        stated_size=(width + float(random.normal(0, 0.5)), depth + float(random.normal(0, 0.5))),
        stated_thickness=thickness + float(random.normal(0, 0.2)), stated_line=line, on_table=place == "table",
        notes=(place, *troubles),
    )  # fmt: skip


def _tiles(random: np.random.Generator, width: float, depth: float, scale: tuple[float, float]) -> list[Print]:
    """Corner tiles, each laid by hand: off by about 0.3 mm."""
    tiles = []
    for tag, (right, bottom) in zip((1, 2, 3, 4), ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
        turn = float(random.normal(0, 0.3 / 32))
        c, s = np.cos(turn), np.sin(turn)
        local = np.array([32.0 * right * scale[0], 32.0 * bottom * scale[1]])
        corner = np.array([width * right, depth * bottom]) + random.normal(0, 0.3, 2)
        place = corner - local @ np.array([[c, s], [-s, c]])
        tiles.append(Print(tag, "corner", (float(place[0]), float(place[1])), turn, scale=scale))
    return tiles


def _light(random: np.random.Generator, troubles: tuple[str, ...], width: float, depth: float) -> Light:
    exposure = float(random.uniform(0.6, 0.95))
    if "dim" in troubles:
        exposure = float(random.uniform(0.15, 0.3))
    colour = (1.0, 1.0, 1.0)
    if "warm" in troubles:
        warmth = float(random.uniform(0.3, 0.6))
        colour = (1.0, 1 - 0.45 * warmth, 1 - 1.1 * warmth)
    gradient = tuple(map(float, random.uniform(-0.15, 0.15, 2)))
    if "gradient" in troubles:
        gradient = tuple(map(float, random.choice([-1, 1], 2) * random.uniform(0.3, 0.7, 2)))
    shadows = []
    if "shadow" in troubles:
        turn = random.uniform(0, np.pi)
        way, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
        soft, light = float(random.uniform(0.5, 6)), float(random.uniform(0.25, 0.6))
        at = random.uniform(-60, 0)
        for _ in range(random.integers(1, 5)):
            thick = random.uniform(20, 120)
            middle = np.array([width, depth]) / 2 + (at - 100) * across
            ring = np.array(
                [
                    middle - 1500 * way,
                    middle + 1500 * way,
                    middle + 1500 * way + thick * across,
                    middle - 1500 * way + thick * across,
                ]
            )
            shadows.append(Shadow(ring, light, soft))
            at += thick + random.uniform(30, 150)
    return Light(exposure, colour, gradient, tuple(shadows))  # type: ignore[arg-type]


def _film(random: np.random.Generator, troubles: tuple[str, ...], seed: int) -> Film:
    soft, dim = "soft" in troubles, "dim" in troubles
    return Film(
        blur=float(random.uniform(1.1, 1.6) if soft else random.uniform(0.45, 0.9)),
        linear=bool(random.uniform() < 0.75),
        vignette=float(random.uniform(0.05, 0.25)),
        read=0.003 if dim else 0.0016, shot=0.012 if dim else 0.007,
        quality=int(random.integers(86, 96)), seed=seed,
    )  # fmt: skip


def _lab(colour: Colour) -> FloatArray:
    pixel = np.array([[colour[::-1]]], np.float32) / 255
    return np.asarray(cv2.cvtColor(pixel, cv2.COLOR_BGR2LAB)[0, 0], float)


def _lab_distance(one: Colour, other: Colour) -> float:
    return float(np.linalg.norm(_lab(one) - _lab(other)))


def _chroma_distance(one: Colour, other: Colour) -> float:
    """As Lab, with lightness counted a little, since light varies over a board."""
    return float(np.linalg.norm((_lab(one) - _lab(other)) * (0.5, 1, 1)))
