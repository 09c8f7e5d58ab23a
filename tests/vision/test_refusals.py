"""Photos that cannot be measured, each refused for its reason."""

from __future__ import annotations

import io
import struct
import zlib
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from calib.camera import Camera
from calib.estimate.plane import Plane
from calib.photo_refused import PhotoRefused
from calib.photo_setup import Priors
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Print, Scene
from tests.helpers.scenes.view import looking
from tests.helpers.scenes.village import DEPTH, WIDTH, village, without
from vision.cut_square import shows_cut_square
from vision.merging import model_from
from vision.picture.photo import photo_from_bytes, read_photo
from vision.tracing import trace
from vision.unfit_pictures import check_not_ours, check_picture

EXACT = Priors(0, 0, 0, 0, 0)


@cache
def picture() -> NDArray[np.uint8]:
    return draw(village())


def refusal(bgr: NDArray[np.uint8], scene: Scene | None = None) -> PhotoRefused:
    scene = scene or village()
    with pytest.raises(PhotoRefused) as refused:
        trace(photo_from_bytes(encoded(bgr), "photo.jpg"), photo_setup_of(scene, EXACT), tapes_of(scene))
    assert str(refused.value) == f"photo refused ({refused.value.reason}): {refused.value.advice}"
    return refused.value


def seen_from(left: float, top: float, right: float, bottom: float) -> Scene:
    """The village with a picture that shows only this part of the plane."""
    part = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    return replace(village(), view=looking((1600, 1200), part, tilt=3.0))


def bent() -> NDArray[np.uint8]:
    """The card's rows shifted in waves of 4 px, as a crumpled sheet would show."""
    bgr = picture()
    card = next(p for p in village().prints if p.kind == "card")
    low = village().view.project(np.array([card.place]) - 5)[0].astype(int)
    rows, columns = np.indices(bgr.shape[:2], dtype=np.float32)
    wave = 4.0 * np.sin(rows / 25.0) * (columns > low[0])
    return np.asarray(cv2.remap(bgr, columns + wave.astype(np.float32), rows, cv2.INTER_LINEAR), dtype=np.uint8)


def two_cards() -> NDArray[np.uint8]:
    scene = village(tiles=False)
    return draw(replace(scene, strips=(), prints=(*scene.prints, Print(0, "card", (60.0, 60.0)))))


def lit(by: float) -> NDArray[np.uint8]:
    """The village exposed for so many times the light, in linear light (IEC 61966-2-1)."""
    linear = ((picture() / 255 + 0.055) / 1.055) ** 2.4 * by
    return np.asarray(np.clip((1.055 * linear ** (1 / 2.4) - 0.055) * 255, 0, 255), dtype=np.uint8)


def toned(colour: tuple[float, float, float]) -> NDArray[np.uint8]:
    """The village without its colours, printed in one."""
    grey = cv2.cvtColor(picture(), cv2.COLOR_BGR2GRAY)[..., None]
    return np.asarray(grey * np.array(colour), dtype=np.uint8)


CASES = {
    "no-card": lambda: draw(without(village(), "card")),
    "two-cards": two_cards,
    "blurred": lambda: np.asarray(cv2.GaussianBlur(picture(), (0, 0), 7.0), dtype=np.uint8),
    "card-bent": bent,
    "too-small": lambda: np.asarray(cv2.resize(picture(), (520, 390), interpolation=cv2.INTER_AREA), dtype=np.uint8),
    "too-tilted": lambda: draw(village(tilt=52.0)),
    "parcel-cut-off": lambda: draw(seen_from(60, -20, WIDTH + 220, DEPTH + 20)),
    "card-cut-off": lambda: draw(seen_from(-20, -20, WIDTH + 150, DEPTH + 20)),
    "no-tape": lambda: draw(replace(village(), strips=())),
    "too-dark": lambda: lit(0.03),
    "too-bright": lambda: lit(14.0),
    "no-colour": lambda: toned((1.0, 1.0, 1.0)),
    "mirrored": lambda: np.ascontiguousarray(picture()[:, ::-1]),
}


@pytest.mark.parametrize("reason", CASES)
def test_each_reason(reason: str) -> None:
    assert refusal(CASES[reason]()).reason == reason


@pytest.mark.parametrize(("tiles", "by", "said"), [(False, 0.75, "25% too narrow"), (True, 1.1, "10% too wide")])
def test_a_squeezed_or_stretched_photo(tiles: bool, by: float, said: str) -> None:
    """Its tiles were said not to fit, also where there were none."""
    scene = village(tiles=tiles)
    off = refusal(cv2.resize(draw(scene), None, fx=by, fy=1).astype(np.uint8), scene)
    assert off.reason == "damaged"
    assert said in off.advice


@pytest.mark.parametrize(("across", "below"), [(60.0, -40.0), (-40.0, 30.0)])
def test_a_board_without_tiles_that_the_edge_cuts(across: float, below: float) -> None:
    """Three of its sides show; they were not looked for, and what was left of the model was measured."""
    scene = village(tiles=False)
    x, y = scene.view.project(np.array([[across, below]]))[0].astype(int).clip(0)
    assert refusal(draw(scene)[y:, x:].copy(), scene).reason == "parcel-cut-off"


def test_a_photo_through_a_brown_filter_has_no_colour() -> None:
    assert refusal(toned((0.6, 0.8, 1.0))).reason == "no-colour"


@pytest.mark.parametrize("by", [0.6, 1.5])
def test_half_a_stop_off_is_still_measured(by: float) -> None:
    scene = village()
    assert trace(photo_from_bytes(encoded(lit(by)), "photo.jpg"), photo_setup_of(scene, EXACT), tapes_of(scene)).pieces


@pytest.mark.parametrize("side", ["left", "top", "bottom"])
def test_a_card_whose_square_is_cut_is_said_to_be_cut_off(side: str) -> None:
    """Two thirds of the square are in the picture; what is left of the card alone, the board away, tells as well."""
    card = next(p for p in village().prints if p.kind == "card")
    low, high = village().view.project(np.add(card.place, [[14, 26], [94, 106]]))
    x, y = (low + (high - low) / 3).astype(int)
    cut = {"left": picture()[:, x:], "top": picture()[y:], "bottom": picture()[: int(low[1] + (high - low)[1] / 1.5)]}
    assert refusal(np.ascontiguousarray(cut[side])).reason == "card-cut-off"


@pytest.mark.parametrize("turned", range(4))
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_third_of_the_square_tells_that_the_card_is_cut_off(side: str, turned: int) -> None:
    card = next(p for p in village().prints if p.kind == "card")
    low, high = village().view.project(np.add(card.place, [[14, 26], [94, 106]]))
    third = int((high - low)[0] / 3)
    cut = picture()[:, int(high[0]) - third :] if side == "left" else picture()[:, : int(low[0]) + third]
    assert refusal(np.ascontiguousarray(np.rot90(cut, turned))).reason == "card-cut-off"


@pytest.mark.parametrize("share", [0.5, 0.7])
def test_a_tile_that_the_edge_cuts_is_no_card(share: float) -> None:
    """The corner tile fills as much of the picture as a card would."""
    scene = without(village(), "card")
    tile = next(p for p in scene.prints if p.tag == 1)
    low, high = np.add(tile.place, [[4, 4], [28, 28]])
    left = high[0] - share * (high[0] - low[0])
    part = np.array([[left, low[1] - 20], [left + 120, low[1] - 20], [left + 120, low[1] + 70], [left, low[1] + 70]])
    seen = draw(replace(scene, view=looking((1600, 1200), part, tilt=3.0)))
    assert not shows_cut_square(np.asarray(cv2.cvtColor(seen, cv2.COLOR_BGR2GRAY), dtype=np.uint8))
    assert refusal(seen).reason == "no-card"


@pytest.mark.parametrize("turned", range(4))
@pytest.mark.parametrize("tiles", [True, False])
def test_a_part_that_was_lost_and_saved_as_one_colour_is_damaged(tiles: bool, turned: int) -> None:
    """Whichever way the phone was held; the same photo with a grey bar beside the model is measured."""
    bgr = draw(village(tiles=tiles))
    lost = bgr.copy()
    lost[-len(lost) // 3 :] = 128
    assert refusal(np.ascontiguousarray(np.rot90(lost, turned)), village(tiles=tiles)).reason == "damaged"
    barred = cv2.copyMakeBorder(bgr, 0, 90, 0, 0, cv2.BORDER_CONSTANT, value=(128, 128, 128))
    scene = village(tiles=tiles)
    if tiles and turned == 0:
        traced = trace(photo_from_bytes(encoded(barred), "p.jpg"), photo_setup_of(scene, EXACT), tapes_of(scene))
        assert traced.pieces


def test_a_black_bar_over_the_parcel_is_no_damage() -> None:
    barred = picture().copy()
    barred[-len(barred) // 3 :] = 0
    assert refusal(barred).reason == "parcel-cut-off"


def with_drawn_tag(share: float) -> NDArray[np.uint8]:
    """The village with the tag of annotated pictures in a corner, so many times as large as the card's square."""
    card = next(p for p in village().prints if p.kind == "card")
    low, high = village().view.project(np.add(card.place, [[14, 26], [94, 106]]))
    side = round(share * (high - low)[0])
    tag = cv2.aruco.generateImageMarker(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), 199, side)
    copy = picture().copy()
    copy[: side + 40, -side - 40 :] = 255
    copy[20 : side + 20, -side - 20 : -20] = tag[..., None]
    return copy


def test_the_tag_of_annotated_pictures_tells_them_from_a_print_beside_the_card() -> None:
    """In an annotated picture card and tag are drawn alike large; on a page that hangs there the tag is small."""
    assert refusal(with_drawn_tag(0.4)).reason == "our-own-picture"
    photo = photo_from_bytes(encoded(with_drawn_tag(0.15)), "photo.jpg")
    assert trace(photo, photo_setup_of(village(), EXACT), tapes_of(village())).pieces


def test_empty_swatch_boxes() -> None:
    """The same card before anybody has stuck tape on it."""
    scene = village()
    bare = draw(replace(scene, tapes={n: replace(t, colour=(250, 250, 250)) for n, t in scene.tapes.items()}))
    assert refusal(bare).reason in ("no-swatches", "no-tape")


def test_another_model(tmp_path: Path) -> None:
    other = village()
    moved = {z.name: p for z, p in zip(other.zones, reversed([s.ring for s in other.pieces]), strict=True)}
    assert moved
    turned = replace(
        other,
        strips=tuple(
            replace(s, start=np.array([WIDTH, DEPTH]) - s.start, end=np.array([WIDTH, DEPTH]) - s.end)
            for s in other.strips
        ),
    )
    for name, scene in (("a.jpg", other), ("b.jpg", turned)):
        (tmp_path / name).write_bytes(encoded(draw(scene)))
    with pytest.raises(PhotoRefused) as refused:
        model_from([tmp_path / "a.jpg", tmp_path / "b.jpg"], read_photo, photo_setup_of(other, EXACT), tapes_of(other))
    assert refused.value.reason == "other-model"


def test_two_photos_of_one_model_are_no_less_certain(tmp_path: Path) -> None:
    scenes = (village(tilt=6.0), village(tilt=14.0, seed=2))
    strips = scenes[0].strips
    for name, scene in zip(("a.jpg", "b.jpg"), scenes, strict=True):
        (tmp_path / name).write_bytes(encoded(draw(replace(scene, strips=strips))))
    files = [tmp_path / "a.jpg", tmp_path / "b.jpg"]
    one, both = (
        model_from(files[:n], read_photo, photo_setup_of(scenes[0], EXACT), tapes_of(scenes[0])) for n in (1, 2)
    )
    assert [p.zone for p in both.traced.pieces] == [p.zone for p in one.traced.pieces]
    for single, merged in zip(one.traced.pieces, both.traced.pieces, strict=True):
        assert np.linalg.norm(merged.ring.sensitivity) <= 1.05 * np.linalg.norm(single.ring.sensitivity)
        assert np.abs(merged.ring.points - single.ring.points).max() < 0.5
    assert len(both.photos) == 2


def bomb() -> bytes:
    """A PNG of a few hundred bytes that says it has 30 000 x 30 000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def one_pixel() -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (1, 1)).save(buffer, "PNG")
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no JPEG, PNG or HEIC"),
        (b"hello", "no JPEG, PNG or HEIC"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG, PNG or HEIC"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "no JPEG, PNG or HEIC"),
        (b"\xff\xd8\xff\xe0 not really", ""),
        (bomb(), "megapixels"),
        (one_pixel(), "too few"),
    ],
    ids=["empty", "text", "svg", "gif", "false jpeg", "bomb", "one pixel"],
)
def test_files_that_are_no_photo(data: bytes, said: str) -> None:
    with pytest.raises(PhotoRefused) as refused:
        photo_from_bytes(data, "photo.jpg")
    assert refused.value.reason == "unreadable"
    assert said in refused.value.advice


@pytest.mark.parametrize("share", [0.02, 0.3, 0.9])
def test_a_truncated_photo(share: float) -> None:
    data = encoded(picture())
    with pytest.raises(PhotoRefused) as refused:
        photo_from_bytes(data[: int(len(data) * share)], "photo.jpg")
    assert refused.value.reason == "damaged"


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "none.jpg", tmp_path):
        with pytest.raises(PhotoRefused) as refused:
            read_photo(path)
        assert refused.value.reason == "unreadable"


def test_a_photo_of_another_parcel() -> None:
    """The corner tiles of a parcel that is not the challenge's: no traceback, no measurement."""
    scene = replace(village(), stated_size=(WIDTH * 1.3, DEPTH * 0.8))
    assert refusal(picture(), scene).reason == "other-model"


def test_a_camera_on_a_stand_takes_no_picture_of_ours() -> None:
    """It sees the plane from straight above and in line, as a corrected picture does; but its file names a camera."""
    size = (4000, 3000)
    straight = np.array([0, 0, 0, -100, -80, 400, np.log(3000), 1999.5, 1499.5, *np.zeros(5)])
    plane = cast("Plane", SimpleNamespace(camera=Camera(straight, size)))
    setup = photo_setup_of(village())
    with pytest.raises(PhotoRefused) as refused:
        check_not_ours(plane, None, size, setup, parcel=False)
    assert refused.value.reason == "our-own-picture"
    check_not_ours(plane, "Quarry Phone 3", size, setup, parcel=False)


@pytest.mark.parametrize("turned", [0, 1])
def test_a_corrected_picture_saved_anew_that_shows_no_card(turned: int) -> None:
    """It has the parcel's shape with the rim around it, and edges where the parcel's lie in it."""
    setup = photo_setup_of(village())
    ours = np.full((round(3 * setup.depth) + 72, round(3 * setup.width) + 72, 3), 90, np.uint8)
    ours[36:-36, 36:-36] = 180
    with pytest.raises(PhotoRefused) as refused:
        check_picture(np.rot90(ours, turned), [], setup)
    assert refused.value.reason == "our-own-picture"
    check_picture(np.rot90(ours, turned), [], None)
    check_picture(np.rot90(np.roll(ours, 30, axis=(0, 1)), turned), [], setup)


def test_a_corrected_picture_that_lost_its_mark_and_shows_the_card_askew() -> None:
    """Saved anew as PNG it is told by its shape: the parcel's with the rim around it, as no camera takes pictures."""
    setup = photo_setup_of(village())
    size = (1500, round(1500 * (setup.depth + 24) / (setup.width + 24)))
    seen = np.array([0, 0, 0.04, -100, -80, 400, np.log(3000), 749.5, 499.5, *np.zeros(5)])
    with pytest.raises(PhotoRefused) as refused:
        check_not_ours(cast("Plane", SimpleNamespace(camera=Camera(seen, size))), None, size, setup, parcel=False)
    assert refused.value.reason == "our-own-picture"
    taken = (1500, 1125)
    check_not_ours(cast("Plane", SimpleNamespace(camera=Camera(seen, taken))), None, taken, setup, parcel=False)
