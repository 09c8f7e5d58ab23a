"""Which boxes of a dotted card hold tape, whatever its colour, and what colour is read where tape covers the dots."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from calib.card.card_view import PX_PER_MM, CardView
from calib.card.colours import TapeColours, read_colours
from calib.card.swatch_boxes import BoxReading, read_boxes, tape_mask
from calib.estimate.plane import Plane
from calib.printed import CARD_MARK, DOT_COLUMNS, DOT_ROWS, SWATCHES, swatch_dots
from tests.helpers.scenes import printing
from tests.helpers.scenes.card_plane import plane_of
from tests.helpers.scenes.dotted_cards import drawn_card, wrong
from tests.helpers.scenes.draw import PAPER, draw
from tests.helpers.scenes.model import Film, Light, Print, Scene, Shadow, Strip, Surface, Tape
from tests.helpers.scenes.view import looking
from tests.helpers.scenes.village import village
from vision.picture.remarks import remark
from vision.refusals import no_swatches, unread_box

Picture = NDArray[np.uint8]
WHITE = (250, 250, 248)
TAPES = {
    "white": WHITE, "the paper's own": PAPER, "masking": (226, 205, 160), "light grey": (190, 190, 190),
    "grey": (120, 120, 120), "black": (28, 28, 30), "red": (188, 33, 26),
}  # fmt: skip
CARD = Print(0, "card", (20.0, 20.0), 0.04, 0.1, dotted=True, filled=())


def card(
    tapes: dict[int, Tape], *, size: tuple[float, float] = (27.0, 13.0), tilt: float = 12.0, blur: float = 0.7,
    reach: float = 300.0, light: Light | None = None, printed: Print = CARD,
) -> Scene:  # fmt: skip
    """A card with a piece of tape of this size (or the tape's width, if less) in the middle of some boxes."""
    around = np.array([[0.0, 0.0], [reach, 0], [reach, 0.75 * reach], [0, 0.75 * reach]])
    strips = []
    for number, tape in tapes.items():
        box = SWATCHES[number - 1]
        # Off the rows by a little, as hands lay it.
        y = box.y + box.height / 2 + 0.4
        ends = np.array([[box.x + (box.width + s * size[0]) / 2, y + 0.3 * s] for s in (-1, 1)])
        start, end = printing.placed(printed, ends)
        strips.append(Strip(start, end, number))
        tapes = {**tapes, number: replace(tape, width=min(tape.width, size[1]))}
    return Scene(
        230.0, 170.0, looking((1100, 825), around, tilt=tilt, azimuth=50), tapes, (), (), (printed,),
        board=Surface((150, 130, 105), "noise", 0.03), strips=tuple(strips),
        light=light or Light(), film=Film(blur=blur),
    )  # fmt: skip


def read(picture: Picture) -> tuple[BoxReading, ...] | None:
    return read_boxes(CardView(picture, seen(picture)))


def seen(picture: Picture) -> Plane:
    plane = plane_of(picture)
    assert plane is not None
    return plane


def colours(picture: Picture) -> TapeColours:
    return read_colours(picture, seen(picture), range(1, 9))


def states(scene: Scene) -> list[str]:
    boxes = read(draw(scene))
    assert boxes is not None
    return [box.state for box in boxes]


def test_the_dots_lie_inside_their_boxes() -> None:
    for number, box in enumerate(SWATCHES, start=1):
        dots = swatch_dots(number)
        assert dots.shape == (DOT_ROWS, DOT_COLUMNS, 2)
        assert tuple(dots[0, 0]) == (box.x + 2.0, box.y + 1.5)
        assert tuple(dots[-1, -1]) == (box.x + 32.0, box.y + 16.5)
    assert CARD_MARK[0] == (150, 112)
    assert CARD_MARK[-1] == (162, 112)


def test_a_card_without_dots_is_none() -> None:
    picture = draw(village(tiles=False))
    assert read(picture) is None
    assert colours(picture).boxes == ()
    assert [s.number for s in colours(picture).swatches] == [1, 2, 3]


@pytest.mark.parametrize("name", TAPES)
def test_tape_of_any_colour_fills_its_box(name: str) -> None:
    scene = card({2: Tape(TAPES[name], 13.0), 7: Tape(TAPES[name], 18.0)})
    assert states(scene) == ["empty", "filled", "empty", "empty", "empty", "empty", "filled", "empty"]


@pytest.mark.parametrize("name", TAPES)
def test_its_colour_is_read_where_it_covers_dots(name: str) -> None:
    found = colours(draw(card({3: Tape(TAPES[name], 13.0)})))
    swatch = found.of(3)
    assert swatch is not None
    assert len(swatch.tones) == 1
    linear = [((c / 255 + 0.055) / 1.055) ** 2.4 + 0.006 for c in TAPES[name]]
    red, green, blue = np.log(np.array(linear) / [((p / 255 + 0.055) / 1.055) ** 2.4 + 0.006 for p in PAPER])
    truth = np.array([red - green, blue - green, (red + green + blue) / 3])
    # Black drowns in the light that the lens spreads over it.
    assert np.abs(swatch.tones[0] - truth).max() < (0.35 if name == "black" else 0.1)


@pytest.mark.parametrize("through", [0.05, 0.1, 0.2, 0.3, 0.4])
@pytest.mark.parametrize("name", ["white", "masking", "light grey", "red"])
def test_see_through_tape_fills_its_box(name: str, through: float) -> None:
    found = states(card({4: Tape(TAPES[name], 13.0, through=through)}))
    assert found[3] in (("see-through", "filled") if through < 0.1 else ("see-through",))
    assert found.count("empty") == 7


def test_what_hardly_hides_the_dots_is_asked_for() -> None:
    """Film that lets three quarters of the light pass is neither tape nor bare paper: its box is named."""
    found = colours(draw(card({4: Tape(WHITE, 13.0, through=0.68), 6: Tape(TAPES["red"], 13.0)})))
    assert found.doubtful == (4,)
    assert found.of(4) is None
    assert found.of(6) is not None
    assert unread_box(found, 4, "library") == remark("doubtful-swatch", "library", swatch=4)
    assert unread_box(found, 1, "library") == remark("empty-swatch", "library", swatch=1)


def test_boxes_that_tell_nothing_are_named_in_the_refusal() -> None:
    found = colours(draw(card({4: Tape(WHITE, 13.0, through=0.68)})))
    assert found.swatches == ()
    assert "4" in no_swatches(found, found).advice
    none = colours(draw(card({})))
    assert no_swatches(none, none).reason == "no-swatches"
    others = colours(draw(card({6: Tape(TAPES["red"], 13.0)})))
    assert "6" in no_swatches(others.only([7, 8]), others).advice


@pytest.mark.parametrize("width", [4.0, 6.0])
@pytest.mark.parametrize("name", ["white", "grey", "red", "black"])
def test_narrow_tape_is_read_where_it_covers(name: str, width: float) -> None:
    scene = card({5: Tape(TAPES[name], width)}, reach=240.0)
    picture = draw(scene)
    boxes = read(picture)
    assert boxes is not None
    assert boxes[4].state == "filled"
    assert boxes[4].covered.sum() <= 20
    view = CardView(picture, seen(picture))
    rows, columns = np.nonzero(tape_mask(view, boxes[4]))
    middle = view.pixels(np.array([[SWATCHES[4].x + 17.0, SWATCHES[4].y + 9.4]]))[0]
    away = np.abs(rows - middle[1] - 0.6 / 27 * (columns - middle[0])) / PX_PER_MM
    assert np.mean(away < width / 2) > 0.85
    swatch = read_colours(picture, seen(picture), [5]).of(5)
    assert swatch is not None


def test_tape_of_two_colours_keeps_both() -> None:
    found = colours(draw(card({1: Tape((233, 200, 57), 13.0, second=(28, 28, 30), stripe=5.0)}, reach=240.0))).of(1)
    assert found is not None
    assert len(found.tones) == 2


@given(
    through=st.floats(0.05, 0.4), blur=st.floats(0.4, 1.2), tilt=st.floats(0, 38), exposure=st.floats(0.3, 0.9),
    slope=st.floats(-0.5, 0.5), length=st.floats(12, 31), width=st.floats(6.5, 17), name=st.sampled_from(sorted(TAPES)),
)  # fmt: skip
@settings(max_examples=12, deadline=None, derandomize=True)
def test_filled_is_never_empty_nor_empty_filled(
    through: float, blur: float, tilt: float, exposure: float, slope: float, length: float, width: float, name: str
) -> None:
    light = Light(exposure=exposure, gradient=(slope, -slope / 2))
    opaque, thin = Tape(TAPES[name], width), Tape(TAPES["masking"], width, through=through)
    found = states(card({1: opaque, 6: thin}, size=(length, width), tilt=tilt, blur=blur, light=light))
    assert found[0] != "empty"
    assert found[5] != "empty"
    assert not {"filled", "see-through"} & {*found[1:5], *found[6:]}


@pytest.mark.parametrize("seed", range(401, 413))
def test_random_cards(seed: int) -> None:
    """Blur, tilt, light, shadows, glare, curl, noise; tape of every kind, cut and laid anyhow."""
    drawn = drawn_card(seed)
    plane = plane_of(drawn.picture)
    boxes = None if plane is None else read_boxes(CardView(drawn.picture, plane))
    if boxes is None:
        pytest.skip("the photo is refused, or too coarse for the card's mark")
    said = [(b.number, there.kind, b.state) for b, there in zip(boxes, drawn.contents, strict=True)]
    assert not [s for s, there in zip(said, drawn.contents, strict=True) if wrong(there, s[2])]


@pytest.mark.parametrize("soft", [0.3, 4.0])
@pytest.mark.parametrize("left", [0.3, 0.6])
def test_a_shadows_edge_is_no_tape(left: float, soft: float) -> None:
    for x in (135.0, 142.0, 186.0):
        ring = np.array([[x, -300.0], [500, -300], [500, 400], [x + 6, 400]])
        scene = card({1: Tape(WHITE, 13.0)}, light=Light(shadows=(Shadow(ring, left, soft),)))
        found = states(scene)
        assert found[0] in ("filled", "see-through")
        assert not {"filled", "see-through"} & set(found[1:])


def test_glare_that_washes_dots_out_is_no_tape() -> None:
    scene = card({1: Tape((188, 33, 26), 13.0)})
    picture = draw(scene).astype(np.float64)
    at = scene.view.project(printing.placed(CARD, np.array([[159.0, 55.0]])))[0]
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]]
    spot = np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * 45.0**2))
    washed = np.clip(picture + 400 * spot[..., None], 0, 255).astype(np.uint8)
    boxes = read(washed)
    assert boxes is not None
    assert boxes[0].state == "filled"
    assert not {"filled", "see-through"} & {b.state for b in boxes[1:]}
    assert "doubtful" in {b.state for b in boxes[1:]}


def test_curl_is_followed() -> None:
    """The dots of a card whose right side stands up lie up to 2 mm off their places."""
    scene = card({8: Tape(WHITE, 13.0)})
    picture = draw(scene)
    height, width = picture.shape[:2]
    x, y = np.meshgrid(np.arange(width, dtype=np.float64), np.arange(height, dtype=np.float64))
    places = scene.view.places(np.column_stack([x.ravel(), y.ravel()]))
    along = (places - CARD.place) @ np.array([np.cos(CARD.turn), np.sin(CARD.turn)])
    off = 2.0 * np.maximum(0, (along - 94) / 86) ** 2
    moved = scene.view.project(places - off[:, None] * (1.0, 0.3)).reshape(height, width, 2).astype(np.float32)
    curled = np.asarray(cv2.remap(picture, moved[..., 0], moved[..., 1], cv2.INTER_LINEAR), dtype=np.uint8)
    boxes = read(curled)
    assert boxes is not None
    assert [b.state for b in boxes] == ["empty"] * 7 + ["filled"]
    assert np.abs(boxes[5].places - swatch_dots(6)).max() > 1.0
