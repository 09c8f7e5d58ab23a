"""The tapes' colours, read from the swatches on the card in the same photo.

Colours are compared as log ratios in linear light: log(R/G), log(B/G) and the mean log, so that dimmer light moves
only the last of the three.  The card's white beside each swatch says how much light fell there.  Which boxes hold
tape, and where, a dotted card's dots tell; on an older card whatever is not white is tape.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.card_view import CardView
from calib.card.swatch_boxes import BoxReading, read_boxes, tape_mask
from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.printed import CARD, CARD_SQUARE, SWATCHES, Box

DARKEST = 0.006
"""Linear light added before the logarithm: below it a phone's noise rules."""
PX_PER_MM = 2.0
"""Resolution of the corrected card."""
MARGIN = 2.0
"""Swatch boxes are read this far inside their printed frame, mm."""
LEAST_COVER = 0.08
"""Share of a box that tape must cover for the box to count as filled."""
AROUND = 2.5
"""The paper around a box that tells of its light, mm."""
SMOOTH = 0.4
"""Standard deviation, mm, of the blur that colours are read with."""
ON_LINE, PALEST, NEARLY_PAPER = 0.12, 90, 0.8
"""How far a mixed colour lies off the line between what it is mixed of, over that line's length; percentile of a box's
pixels, and the share of paper in them below which the paler colour is mixed and not a pattern's white.
"""
SECOND_COLOUR = 0.2
"""Share of a swatch that a second colour must cover to make the tape a striped one."""
RIM = (1.5, 0.5)
"""From how far to how near a box's printed frame the card around it is looked at, mm."""
SAME_RATIO, SAME_LIGHT, IN_RIM = 0.25, 0.35, 0.08
"""Log colour ratios and log lightness within which a colour is another, and the share of the paper around a box from
which it lies there, too.
"""


@dataclass(frozen=True, eq=False)
class Swatch:
    """One tape's colour: tones (1 or 2, 3) as log ratios and log lightness against the white of the card.

    patterned: the two tones are a pattern's, and the paler is not the other one mixed with the box's paper.
    """

    number: int
    tones: FloatArray
    patterned: bool = False


@dataclass(frozen=True, eq=False)
class TapeColours:
    """The filled swatches, and the card's white as log ratios (2,) and log lightness.

    boxes: what was read of a dotted card's boxes, those asked for; none on an older card.
    """

    swatches: tuple[Swatch, ...]
    white: FloatArray
    boxes: tuple[BoxReading, ...] = ()

    @property
    def doubtful(self) -> tuple[int, ...]:
        """The boxes of which cannot be said whether they hold tape."""
        return tuple(box.number for box in self.boxes if box.state == "doubtful")

    def only(self, numbers: Iterable[int]) -> TapeColours:
        """What is known of these boxes alone."""
        asked = set(numbers)
        swatches = tuple(s for s in self.swatches if s.number in asked)
        return TapeColours(swatches, self.white, tuple(box for box in self.boxes if box.number in asked))

    def of(self, number: int) -> Swatch | None:
        """The swatch in box `number`, None where the box is empty or doubtful."""
        return next((s for s in self.swatches if s.number == number), None)


def log_colour(bgr: NDArray[np.uint8]) -> NDArray[np.float32]:
    """(..., 3) sRGB bytes, blue first, to log(R/G), log(B/G), log mean of linear light (IEC 61966-2-1)."""
    logs = _LOG_LINEAR[bgr]
    blue, green, red = logs[..., 0], logs[..., 1], logs[..., 2]
    return np.stack([red - green, blue - green, (red + green + blue) / 3], axis=-1)


def read_colours(
    bgr: NDArray[np.uint8], plane: Plane, numbers: Iterable[int], view: CardView | None = None
) -> TapeColours:
    """Read the swatch boxes `numbers` (1 to 8) of the card; boxes with no tape in them are left out.

    view: the card's in this plane, where somebody has made it already.
    """
    asked = sorted(set(numbers))
    card = card_picture(bgr, plane)
    colours = log_colour(np.asarray(cv2.GaussianBlur(card, (0, 0), SMOOTH * PX_PER_MM), dtype=np.uint8))
    white = _white(colours)
    view = view or CardView(bgr, plane)
    boxes = read_boxes(view)
    if boxes is None:
        found = (_swatch(colours, white, number) for number in asked)
        return TapeColours(tuple(s for s in found if s is not None), white)
    wanted = tuple(box for box in boxes if box.number in asked)
    tones = log_colour(view.smooth(SMOOTH))
    swatches = tuple(_under_dots(view, tones, white, box) for box in wanted if box.state in ("filled", "see-through"))
    return TapeColours(swatches, white, wanted)


def card_picture(bgr: NDArray[np.uint8], plane: Plane) -> NDArray[np.uint8]:
    """The card seen from straight above at PX_PER_MM."""
    x, y, turn = (plane.value(f"card {part}") for part in ("x", "y", "turn"))
    scale = np.array([plane.value("scale along"), plane.value("scale up")])
    c, s = np.cos(turn), np.sin(turn)
    corners = (CARD.corners * scale) @ np.array([[c, s], [-s, c]]) + (x, y)
    pixels = plane.camera.project(corners, plane.value("card height")).astype(np.float32)
    size = (round(CARD.width * PX_PER_MM), round(CARD.height * PX_PER_MM))
    target = (CARD.corners * PX_PER_MM - 0.5).astype(np.float32)
    matrix = cv2.getPerspectiveTransform(pixels, target)
    return np.asarray(cv2.warpPerspective(bgr, matrix, size, flags=cv2.INTER_AREA), dtype=np.uint8)


def _white(colours: NDArray[np.float32]) -> FloatArray:
    """The paper beside the black square: its brighter half, median."""
    strip = _cut(colours, Box(CARD_SQUARE.x + CARD_SQUARE.width + 3, 26, 6, 80)).reshape(-1, 3)
    bright = strip[strip[:, 2] >= np.median(strip[:, 2])]
    return np.median(bright, axis=0).astype(np.float64)


def _swatch(colours: NDArray[np.float32], white: FloatArray, number: int) -> Swatch | None:
    box = SWATCHES[number - 1]
    inside = _cut(colours, _grown(box, -MARGIN))
    around = _cut(colours, _grown(box, AROUND)).reshape(-1, 3)
    light = _light(around, white)
    relative = inside - np.array([white[0], white[1], light], dtype=np.float32)
    coloured = (np.abs(relative[..., :2]).max(axis=-1) > 0.35) | (relative[..., 2] < -0.9)
    solid = cv2.erode(coloured.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    if solid.mean() < LEAST_COVER:
        return None
    pixels = inside[solid].astype(np.float32)
    pixels[:, 2] -= light
    return _without_shade(_read(number, pixels, white), white, _rim(colours, box) - np.array([0.0, 0.0, light]))


def _rim(colours: NDArray[np.float32], box: Box) -> FloatArray:
    """Log colours (n, 3) of the card close around a box, clear of its printed frame."""
    around, frame = (_grown(box, by) for by in RIM)
    width, height = around.width, around.y + around.height - frame.y - frame.height
    beside = frame.x - around.x
    sides = (
        Box(around.x, around.y, width, height), Box(around.x, frame.y + frame.height, width, height),
        Box(around.x, frame.y, beside, frame.height), Box(frame.x + frame.width, frame.y, beside, frame.height),
    )  # fmt: skip
    return np.concatenate([_cut(colours, side).reshape(-1, 3) for side in sides]).astype(np.float64)


def _without_shade(swatch: Swatch, white: FloatArray, rim: FloatArray) -> Swatch:
    """The swatch without a second tone that is paper in a shadow: the rim (n, 3) around the box has it, too.

    Patterned tape that sticks out of its box has both its colours there.
    """
    if len(swatch.tones) < 2:
        return swatch
    dark, pale = swatch.tones[np.argsort(swatch.tones[:, 2])]
    shares = [
        float((np.abs(rim - tone) < (SAME_RATIO, SAME_RATIO, SAME_LIGHT)).all(axis=1).mean()) for tone in (dark, pale)
    ]
    is_paper = bool((np.abs(pale[:2] - white[:2]) < SAME_RATIO).all())
    return Swatch(swatch.number, dark[None]) if is_paper and shares[1] > IN_RIM > shares[0] else swatch


def _under_dots(view: CardView, tones: NDArray[np.float32], white: FloatArray, box: BoxReading) -> Swatch:
    """The colour of what covers a dotted box's dots; tones: the whole view's log colours."""
    taped = tape_mask(view, box)
    window = view.window(_grown(SWATCHES[box.number - 1], AROUND))
    bare = cv2.dilate(taped[window].astype(np.uint8), np.ones((9, 9), np.uint8)) == 0
    pixels = tones[taped]
    pixels[:, 2] -= _light(tones[window][bare], white)
    return _read(box.number, pixels, white)


def _light(around: NDArray[np.float32], white: FloatArray) -> float:
    """Log lightness of the paper among the colours (n, 3) in and around a box."""
    paper = around[(np.abs(around[:, :2] - white[:2]) < 0.25).all(axis=1)]
    light = np.percentile(paper[:, 2], 90) if len(paper) > 40 else white[2]
    # Where a shadow's edge or a whole-box piece leaves no paper in sight, the card's own white has to do.
    return float(light if light > white[2] - 2.0 else white[2])


def _read(number: int, pixels: NDArray[np.float32], white: FloatArray) -> Swatch:
    """The swatch of a box's taped pixels (n, 3), lightness against the paper's; white: the card's."""
    tones = _tones(pixels)
    return Swatch(number, tones, len(tones) > 1 and not _is_mixed(tones, pixels, np.array([white[0], white[1], 0.0])))


def _is_mixed(tones: FloatArray, pixels: NDArray[np.float32], paper: FloatArray) -> bool:
    """Whether the paler of two tones (2, 3) is the darker one with paper (3,) shining in, as at the ends of strips."""
    dark, pale = _linear(tones[np.argsort(tones[:, 2])])
    to_paper = _linear(paper) - dark
    size = float(to_paper @ to_paper)
    share = float((pale - dark) @ to_paper) / size
    aside = float(np.linalg.norm(pale - dark - share * to_paper))
    shares = (_linear(pixels) - dark) @ to_paper / size
    return aside < ON_LINE * size**0.5 and float(np.percentile(shares, PALEST)) < NEARLY_PAPER


def _linear(logs: FloatArray | NDArray[np.float32]) -> FloatArray:
    """Log ratios and log lightness (..., 3) as linear light, red first."""
    green = logs[..., 2] - (logs[..., 0] + logs[..., 1]) / 3
    return np.exp(np.stack([green + logs[..., 0], green, green + logs[..., 1]], axis=-1)).astype(np.float64)


def _tones(pixels: NDArray[np.float32]) -> FloatArray:
    """One median colour, or two where the tape is striped."""
    rough = pixels[:: max(1, len(pixels) // 800)]
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 20, 0.01)
    cv2.setRNGSeed(1)
    _, labels, centres = cv2.kmeans(rough, 2, np.empty(0, np.int32), criteria, 2, cv2.KMEANS_PP_CENTERS)
    share = float(labels.mean())
    apart = np.abs(centres[0] - centres[1])
    if min(share, 1 - share) >= SECOND_COLOUR and (apart[:2].max() > 0.7 or apart[2] > 1.2):
        return np.stack([np.median(rough[labels.ravel() == i], axis=0) for i in (0, 1)]).astype(np.float64)
    return np.median(pixels, axis=0)[None].astype(np.float64)


def _grown(box: Box, by: float) -> Box:
    return Box(box.x - by, box.y - by, box.width + 2 * by, box.height + 2 * by)


def _cut(picture: NDArray[np.float32], box: Box) -> NDArray[np.float32]:
    y0, y1 = round(box.y * PX_PER_MM), round((box.y + box.height) * PX_PER_MM)
    x0, x1 = round(box.x * PX_PER_MM), round((box.x + box.width) * PX_PER_MM)
    return picture[max(0, y0) : y1, max(0, x0) : x1]


def _log_linear() -> NDArray[np.float32]:
    value = np.arange(256) / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return np.log(linear + DARKEST).astype(np.float32)


_LOG_LINEAR = _log_linear()
