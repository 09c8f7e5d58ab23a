"""Dotted cards alone in random light, each box empty or with some piece of tape: what a reader must tell apart.

    python -m tests.helpers.scenes.dotted_cards FIRST COUNT

draws that many cards and counts what is read of their boxes.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon, box

from calib.card.card_view import CardView
from calib.card.swatch_boxes import read_boxes
from calib.printed import CARD, DOT_DIAMETER, SWATCHES, swatch_dots
from tests.helpers.scenes import printing
from tests.helpers.scenes.card_plane import plane_of
from tests.helpers.scenes.draw import PAPER, draw, to_encoded, to_space
from tests.helpers.scenes.model import Colour, Film, Light, Patch, Print, Scene, Shadow, Strip, Surface, Tape
from tests.helpers.scenes.view import looking

SIZE = (1100, 825)
PLAIN: dict[str, Colour] = {
    "white": (250, 250, 248), "paper": PAPER, "off-white": (234, 231, 222), "masking": (226, 205, 160),
    "kraft": (190, 150, 110), "black": (28, 28, 30),
}  # fmt: skip
SURE = 7
"""Whole dots under one piece of tape, from which on its box must never be taken for empty."""


@dataclass(frozen=True, eq=False)
class Content:
    """What lies in one box: kind of tape ("" for none), the dots (6, 11) that it covers whole, its tape."""

    kind: str
    covered: NDArray[np.bool_]
    tape: Tape | None = None


@dataclass(frozen=True, eq=False)
class DrawnCard:
    """A photo of a card, blue first, and what lies in its boxes 1 to 8; notes say how it was lit and taken."""

    picture: NDArray[np.uint8]
    scene: Scene
    contents: tuple[Content, ...]
    notes: dict[str, float] = field(default_factory=dict)


def drawn_card(seed: int) -> DrawnCard:
    """One card: blur, tilt, light, curl, glare and its boxes' contents drawn by `seed`."""
    random = np.random.default_rng([seed, 16])
    card = Print(0, "card", (20.0, 20.0), float(random.uniform(-0.1, 0.1)), 0.1, dotted=True, filled=())
    filled = random.random()
    tapes: dict[int, Tape] = {}
    strips: list[Strip] = []
    patches: list[Patch] = []
    contents = []
    for number in range(1, len(SWATCHES) + 1):
        if random.random() > filled:
            contents.append(Content("", np.zeros((6, 11), dtype=bool)))
            continue
        kind, tape = _tape(random)
        strip, shape = _piece(random, number, card, tape)
        tapes[number] = tape
        strips.append(strip)
        if kind == "polka":
            patches += _polka(random, shape, card)
        contents.append(Content(kind, _covered(shape, number), tape))
    reach = float(np.exp(random.uniform(np.log(210), np.log(640))))
    around = np.array([[0.0, 0.0], [reach, 0], [reach, 0.75 * reach], [0, 0.75 * reach]])
    view = looking(SIZE, around, tilt=float(random.uniform(0, 38)), azimuth=float(random.uniform(0, 360)))
    film = Film(
        blur=float(random.uniform(0.4, 1.3)), read=0.002, shot=float(random.uniform(0.003, 0.012)), seed=seed,
        motion=tuple(random.uniform(-2, 2, 2)) if random.random() < 0.2 else (0.0, 0.0),
    )  # fmt: skip
    scene = Scene(
        230.0, 170.0, view, tapes, (), (), (card,), board=Surface((150, 130, 105), "noise", 0.03),
        strips=tuple(strips), patches=tuple(patches), light=_light(random), film=film,
    )  # fmt: skip
    curl = float(random.uniform(-1.8, 1.8)) if random.random() < 0.4 else 0.0
    picture = _glare(random, _curled(draw(scene), scene, curl, float(random.uniform(0, 6.28))), scene)
    quality = int(random.integers(60, 96))
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    read = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), dtype=np.uint8)
    return DrawnCard(read, scene, tuple(contents), {"reach": reach, "blur": film.blur, "curl": curl})


def _tape(random: np.random.Generator) -> tuple[str, Tape]:
    kind = str(random.choice([*PLAIN, "grey", "colour", "colour", "striped", "polka", "see-through", "see-through"]))
    width = float(random.choice([3.0, 4.0, 6.0, 9.0, 12.0, 18.0]))
    some: Colour = tuple(int(c) for c in random.integers(20, 256, 3))  # type: ignore[assignment]
    other: Colour = tuple(int(c) for c in random.integers(20, 256, 3))  # type: ignore[assignment]
    grey = int(random.integers(60, 225))
    if kind in PLAIN:
        return kind, Tape(PLAIN[kind], width)
    if kind == "grey":
        return kind, Tape((grey, grey, grey), width)
    if kind == "striped":
        return kind, Tape(some, width, other, float(random.uniform(1.5, 8)))
    if kind == "see-through":
        plain = PLAIN[str(random.choice([p for p in PLAIN if p != "black"]))]
        light = plain if random.random() < 0.7 else tuple(max(90, c) for c in some)
        return kind, Tape(light, width, through=float(random.uniform(0.05, 0.4)))  # type: ignore[arg-type]
    return kind, Tape(some, width)


def _piece(random: np.random.Generator, number: int, card: Print, tape: Tape) -> tuple[Strip, Polygon]:
    """A strip across the box, and its shape on the card."""
    area = SWATCHES[number - 1]
    centre = np.array([area.x + area.width / 2, area.y + area.height / 2])
    centre = centre + random.uniform(-1, 1, 2) * ((3, 1.5) if tape.width > 10 else (6, 5))
    upright = tape.width < 18 and random.random() < 0.15
    length = float(random.uniform(10, 17) if upright else random.uniform(12, 32))
    turn = np.deg2rad(random.uniform(-8, 8) + (90 if upright else 0))
    way = np.array([np.cos(turn), np.sin(turn)]) * length / 2
    ends = np.array([centre - way, centre + way])
    side = np.array([-way[1], way[0]]) / (length / 2) * tape.width / 2
    shape = Polygon([ends[0] - side, ends[1] - side, ends[1] + side, ends[0] + side])
    start, end = printing.placed(card, ends)
    return Strip(start, end, number), shape


def _polka(random: np.random.Generator, shape: Polygon, card: Print) -> list[Patch]:
    """Discs on a tape, in rows that may be as far apart as the card's dots."""
    pitch, radius = float(random.uniform(2.2, 5)), float(random.uniform(0.4, 0.9))
    colour: Colour = tuple(int(c) for c in random.integers(20, 256, 3))  # type: ignore[assignment]
    left, top, right, bottom = shape.bounds
    xs = np.arange(left + random.uniform(0, pitch), right, pitch)
    ys = np.arange(top + random.uniform(0, pitch), bottom, pitch)
    discs = [Point(x, y).buffer(radius, 8).intersection(shape) for x in xs for y in ys]
    rings = [np.asarray(d.exterior.coords)[:-1] for d in discs if d.geom_type == "Polygon" and not d.is_empty]
    return [Patch(printing.placed(card, ring), colour, 0.12, over=True) for ring in rings]


def _covered(shape: Polygon, number: int) -> NDArray[np.bool_]:
    area = SWATCHES[number - 1]
    inside = shape.buffer(-DOT_DIAMETER / 2).intersection(box(area.x, area.y, area.x + 34, area.y + 18))
    dots = swatch_dots(number)
    return np.array([[inside.contains(Point(at)) for at in row] for row in dots])


def _light(random: np.random.Generator) -> Light:
    shadows = []
    for _ in range(int(random.choice([0, 0, 1, 2]))):
        ring = np.array([[-400.0, -400], [400, -400], [400, 400], [-400, 400]])
        turn = float(random.uniform(0, 2 * np.pi))
        c, s = np.cos(turn), np.sin(turn)
        edge = np.array([[0.0, -400], [400, -400], [400, 400], [0, 400]]) if random.random() < 0.7 else ring * 0.1
        place = np.array([20.0, 20.0]) + random.uniform(0, 1, 2) * (CARD.width, CARD.height)
        shadow = edge @ np.array([[c, s], [-s, c]]) + place
        shadows.append(Shadow(shadow, float(random.uniform(0.25, 0.8)), float(np.exp(random.uniform(-1, 3)))))
    return Light(
        float(random.uniform(0.25, 0.95)), tuple(random.uniform(0.85, 1.15, 3)),
        tuple(random.uniform(-0.5, 0.5, 2)), tuple(shadows),
    )  # fmt: skip


def _curled(picture: NDArray[np.uint8], scene: Scene, most: float, way: float) -> NDArray[np.uint8]:
    """The card's right side moved by up to `most` mm, growing with the square of the distance from its black square."""
    if not most:
        return picture
    width, height = scene.view.size
    step = 8
    x, y = np.meshgrid(np.arange(0, width + step, step), np.arange(0, height + step, step))
    places = scene.view.places(np.column_stack([x.ravel(), y.ravel()]).astype(float))
    card = scene.prints[0]
    c, s = np.cos(card.turn), np.sin(card.turn)
    along = (places - card.place) @ np.array([c, s])
    off = most * np.maximum(0, (along - 94) / 86) ** 2
    moved = scene.view.project(places - off[:, None] * (np.cos(way), np.sin(way))).reshape(*x.shape, 2)
    onto = np.array([[1 / step, 0, 0], [0, 1 / step, 0]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    maps = [cv2.warpAffine(moved[..., i].astype(np.float32), onto, (width, height), flags=flags) for i in (0, 1)]
    return np.asarray(cv2.remap(picture, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.uint8)


def _glare(random: np.random.Generator, picture: NDArray[np.uint8], scene: Scene) -> NDArray[np.uint8]:
    """Light mirrored by paper and tape alike, over some part of the card."""
    if random.random() > 0.3:
        return picture
    at = scene.view.project(np.array([[20.0, 20.0]]) + random.uniform(0, 1, 2) * (CARD.width, CARD.height))[0]
    wide = float(random.uniform(0.03, 0.25)) * picture.shape[1]
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]]
    spot = np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * wide**2)).astype(np.float32)
    light = to_space(picture.astype(np.float32) / 255, True) + float(random.uniform(0.05, 0.6)) * spot[..., None]
    return np.asarray(np.clip(to_encoded(np.clip(light, 0, 1)), 0, 1) * 255 + 0.5, dtype=np.uint8)


def wrong(there: Content, state: str) -> bool:
    """Whether a box is said to be filled and is empty, or the other way round; doubt is never wrong."""
    if there.kind == "":
        return state in ("filled", "see-through")
    return state == "empty" and there.covered.sum() >= SURE


def _count(first: int, count: int) -> Counter[tuple[str, str]]:
    """What is read, by what is there."""
    found: Counter[tuple[str, str]] = Counter()
    for seed in range(first, first + count):
        drawn = drawn_card(seed)
        plane = plane_of(drawn.picture)
        if plane is None:
            found["card", "refused"] += 1
            continue
        boxes = read_boxes(CardView(drawn.picture, plane))
        if boxes is None:
            found["card", "no dots"] += 1
            print(seed, "no dots", drawn.notes)
            continue
        for reading, there in zip(boxes, drawn.contents, strict=True):
            whole = int(there.covered.sum())
            truth = there.kind and (there.kind if whole >= SURE else "a little")
            found[truth or "empty", reading.state] += 1
            if wrong(there, reading.state):
                print(seed, reading.number, truth or "empty", whole, there.tape, reading.state, drawn.notes)
    return found


def _main(arguments: list[str]) -> None:
    for (truth, read), count in sorted(_count(int(arguments[0]), int(arguments[1])).items()):
        print(f"{truth:12} {read:12} {count}")


if __name__ == "__main__":
    _main(sys.argv[1:])
