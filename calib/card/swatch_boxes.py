"""Which swatch boxes of a dotted card hold tape: every box is printed with dots, and tape hides or weakens them.

A dot's contrast against the paper around it says how much of it shows, whatever the light there; the five dots of the
card's mark, which nothing covers, say how strong a bare dot looks in this photo at its blur and resolution.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.card_view import PX_PER_MM, CardView
from calib.card.dot_places import Mark, dot_places, find_mark
from calib.edges import FloatArray
from calib.printed import SWATCHES, Box

State = Literal["empty", "filled", "see-through", "doubtful"]
BARE = 0.72
"""Contrast of a dot over that of a bare one, from which on nothing lies over it."""
OWN, OWN_LEAST = 85, 0.5
"""Percentile of a box's contrasts that stands for its bare dots where glare weakens all of them, and how weak those may
be.
"""
JUMP = 0.66
"""Contrast of covered dots over that of the bare ones beside them, at most: tape has an edge, glare has none."""
THIN = 0.35
"""The same of a single row of dots, over that of the mark's."""
CALM, RESTLESS = 0.05, 2.0
"""Noise of a dot's contrast that JUMP stands for, and what JUMP is lowered by for noise beyond it, over that."""
PASSED, PASSED_MARK = 0.50, 0.60
"""Share of a dot's darkness that see-through tape lets pass at most, in the box's light and in the mark's."""
COLOURED = 0.35
"""Log colour ratio against the card's white from which on paper is no bare paper in any light."""
TINTED = 0.22
"""The same where its dots are weak, too."""
FILM = 0.9
"""Contrast over the bare dots' up to which coloured paper has see-through tape on it, and no coloured light."""
FILM_TINT, FILM_LIGHT = 0.07, 0.94
"""Log colour ratio from which on, and light over that around its box and contrast of dots over that of bare ones up to
which, paper may lie under clear film.
"""
VISIBLE = 0.3
"""Contrast over the mark's from which a dot is not hidden."""
STRONG, SHADED = 0.85, 0.65
"""Paper darker than this share of the paper around its box is in a shadow or under a dark film.  A shadow leaves dots
this strong at least, and it reaches beyond the box.
"""
GLARE, CLIPPED = 1.6, 0.94
"""Paper brighter than this many times the paper around its box; linear light of a channel that may be clipped."""
GONE = 0.12
"""Contrast over that of bare dots, up to which dots on clipped paper are hidden and not washed out."""
SEE_THROUGH, STRAY = 0.03, 20
"""Dots show through tape whose contrast over that of bare ones is more than this, but for so many per cent of them."""
FILLED, SPECK = 5, 2
"""Neighbouring dots that tape covers at least, and that dirt or a hair may cover."""
TAPED, SHOWN_DOT = 0.5, 0.9
"""Around a covered dot's middle all is tape; around a dot that shows through not all is its colour, mm."""
SHADOW_BEYOND = 2
"""Places beyond a box's dots, a pitch apart, that a shadow darkens at least."""
MARGIN = 2.5
"""The paper around a box that tells of its light, mm."""


@dataclass(frozen=True, eq=False)
class BoxReading:
    """One swatch box: its dots' places (6, 11, 2) mm on the card as the photo shows it, and which are covered (6, 11).

    strength is the contrast of dots well under the tape over that of bare ones, 0 where no dot is.
    """

    number: int
    state: State
    places: FloatArray
    covered: NDArray[np.bool_]
    strength: float


def read_boxes(view: CardView) -> tuple[BoxReading, ...] | None:
    """Every swatch box in the order of its number, or None where the card has no dots."""
    mark = find_mark(view)
    if mark is None:
        return None
    places = dot_places(view, mark)
    noise = _noise(view.contrast_near(places) / mark.contrast)
    return tuple(_reading(view, mark, n, own, noise) for n, own in enumerate(places, start=1))


def _noise(share: FloatArray) -> float:
    """Standard deviation of the contrast of dots that show, of contrasts (8, 6, 11), from how neighbours differ."""
    low = np.minimum(np.minimum(share[..., :-2], share[..., 1:-1]), share[..., 2:])
    apart = np.abs(share[..., 1:-1] - (share[..., :-2] + share[..., 2:]) / 2)[low > VISIBLE]
    return float(np.median(apart) / (0.6745 * np.sqrt(1.5))) if len(apart) else 0.0


def tape_mask(view: CardView, box: BoxReading) -> NDArray[np.bool_]:
    """Where in the view (h, w) a box's tape lies for sure: at and between covered dots; dots that show are left out."""
    mask = np.zeros(view.bgr.shape[:2], np.uint8)
    rows, columns = box.covered.shape
    at = np.rint(view.pixels(box.places)).astype(np.int32)
    thick = round(2 * TAPED * PX_PER_MM)
    # A dark square of a pattern in the place of a single dot looks like one that shows.
    beside = np.array([[0, 1, 0], [1, 0, 1], [0, 1, 0]], np.uint8)
    covered = box.covered | (cv2.erode(box.covered.astype(np.uint8), beside, borderValue=1) > 0)
    for i, j in np.argwhere(covered):
        cv2.circle(mask, tuple(map(int, at[i, j])), thick // 2, 1, cv2.FILLED)
        block = covered[i : i + 2, j : j + 2]
        if i + 1 < rows and block[-1, 0]:
            cv2.line(mask, tuple(map(int, at[i, j])), tuple(map(int, at[i + 1, j])), 1, thick)
        if j + 1 < columns and block[0, -1]:
            cv2.line(mask, tuple(map(int, at[i, j])), tuple(map(int, at[i, j + 1])), 1, thick)
        if block.shape == (2, 2) and block.all():
            cv2.fillConvexPoly(mask, np.array([at[i, j], at[i, j + 1], at[i + 1, j + 1], at[i + 1, j]]), 1)
    if box.state == "see-through":
        for x, y in at[box.covered]:
            cv2.circle(mask, (int(x), int(y)), round(SHOWN_DOT * PX_PER_MM), 0, cv2.FILLED)
    return mask > 0


def _reading(view: CardView, mark: Mark, number: int, places: FloatArray, noise: float) -> BoxReading:
    paper = view.paper_at(places)
    light = _light(view, number, mark.paper)
    dots = _Dots(
        view.contrast_near(places) / mark.contrast, paper / mark.paper, light, paper.min(axis=-1) > CLIPPED,
        _darker_around(view, places, mark.paper, light),
    )  # fmt: skip
    covered = _covered(dots)
    groups = [g for g in _groups(covered) if g.sum() >= FILLED]
    sure = [g for g in groups if _has_edge(dots, g, covered, JUMP - RESTLESS * max(0.0, noise - CALM))]
    strength, through = _shown(view.contrast_at(places) / mark.contrast, covered)
    state: State = "empty"
    if sure:
        covered = np.asarray(np.any(sure, axis=0))
        state = "see-through" if through else "filled"
    elif (
        groups
        or dots.own < BARE
        or _is_filmed(dots)
        or max((int(g.sum()) for g in _groups(~_bare(dots))), default=0) > SPECK
    ):
        state = "doubtful"
    return BoxReading(number, state, places, covered, strength)


def _shown(contrast: FloatArray, covered: NDArray[np.bool_]) -> tuple[float, bool]:
    """How strongly dots well under the tape show, of their exact places' contrasts (6, 11), and whether they all do."""
    inner = cv2.erode(covered.astype(np.uint8), np.ones((3, 3), np.uint8), borderValue=1) > 0
    if not inner.any():
        return 0.0, False
    return float(np.median(contrast[inner])), bool(np.percentile(contrast[inner], STRAY) > SEE_THROUGH)


@dataclass(frozen=True, eq=False)
class _Dots:
    """A box's dots: share (6, 11) of their contrast over that of bare ones, paper (6, 11, 3) between them over the
    mark's, light around the box over the mark's, where the paper is clipped (6, 11), and where it is dark (8, 13), read
    a pitch beyond the outer dots, too.
    """

    share: FloatArray
    paper: FloatArray
    light: float
    clipped: NDArray[np.bool_]
    dark: NDArray[np.bool_]

    @property
    def own(self) -> float:
        """Contrast of the box's own bare dots over that of the mark's."""
        return float(np.clip(np.percentile(self.share, OWN), OWN_LEAST, 1.0))

    @property
    def bright(self) -> FloatArray:
        """Paper between the dots over the paper around the box."""
        return np.asarray(self.paper.mean(axis=-1) / self.light)

    @property
    def tint(self) -> FloatArray:
        """Largest log colour ratio against the card's white."""
        logs = np.log(np.maximum(self.paper, 0.01))
        return np.asarray(np.abs(logs - logs[..., 1:2]).max(axis=-1))


def _covered(dots: _Dots) -> NDArray[np.bool_]:
    """Which dots (6, 11) look covered."""
    # Tape's own light goes with the box's; glare is added to the light that the mark has, too, and keeps this product.
    passed = dots.share * np.maximum(dots.bright, PASSED / PASSED_MARK * dots.paper.mean(axis=-1))
    covered = (dots.share < BARE * dots.own) & (passed < PASSED)
    covered |= (dots.share < FILM * dots.own) & (dots.tint > COLOURED) | (dots.share < PASSED) & (dots.tint > TINTED)
    fading = dots.clipped & (dots.share < BARE) & (dots.share > GONE)
    beside = cv2.dilate(fading.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    return np.asarray(covered & ~(dots.clipped & beside) & (dots.bright < GLARE))


def _has_edge(dots: _Dots, group: NDArray[np.bool_], covered: NDArray[np.bool_], jump: float) -> bool:
    """Whether a group of dots is weaker than those beside it by a step; where there are none, whether it is weak."""
    share = float(np.median(dots.share[group]))
    tinted = float(np.median(dots.tint[group])) > COLOURED
    near = cv2.dilate(group.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    beside = near & ~covered
    # The edge of a shadow along a row weakens that row's dots.
    thin = not cv2.erode(group.astype(np.uint8), np.ones((2, 2), np.uint8), borderValue=0).any()
    if thin and share > THIN and not tinted:
        return False
    clipped = float(dots.clipped[group].mean()) > 0.5
    if beside.sum() >= FILLED:
        # Where glare has washed dots out, those around fade; around tape they stand out.
        washed = clipped and float((dots.share[beside] < BARE * dots.own).mean()) > 0.5
        return tinted or (not washed and share < jump * float(np.percentile(dots.share[beside], OWN)))
    even = float(dots.paper[group].mean()) < GLARE
    return tinted or (not clipped and (share < GONE or (even and share < PASSED)))


def _is_filmed(dots: _Dots) -> bool:
    """Whether most of a box is tinted, darker than the paper around it and with weaker dots, as under clear film."""
    middle = [float(np.median(of)) for of in (dots.tint, dots.bright, dots.share)]
    return middle[0] > FILM_TINT and max(middle[1:]) < FILM_LIGHT


def _bare(dots: _Dots) -> NDArray[np.bool_]:
    """Which dots (6, 11) nothing covers for sure."""
    dark = dots.dark
    beyond = np.ones_like(dark)
    beyond[1:-1, 1:-1] = False
    shadows = [g for g in _groups(dark) if (beyond & g).sum() >= SHADOW_BEYOND]
    shadow = np.any([np.zeros_like(dark), *shadows], axis=0)[1:-1, 1:-1] & (dots.share >= STRONG * dots.own)
    strong = (dots.share >= BARE * dots.own) & (dots.tint <= COLOURED)
    return np.asarray(strong & (~dark[1:-1, 1:-1] | shadow))


def _darker_around(view: CardView, places: FloatArray, white: FloatArray, light: float) -> NDArray[np.bool_]:
    """Where (8, 13) paper is darker than around the box: between its dots, and a pitch beyond its outer dots."""
    rows = np.concatenate([2 * places[:1] - places[1:2], places, 2 * places[-1:] - places[-2:-1]])
    grid = np.concatenate([2 * rows[:, :1] - rows[:, 1:2], rows, 2 * rows[:, -1:] - rows[:, -2:-1]], axis=1)
    paper = view.plain_at(grid)
    paper[1:-1, 1:-1] = view.paper_at(places)
    return np.asarray((paper / white).mean(axis=-1) < SHADED * light)


def _light(view: CardView, number: int, white: FloatArray) -> float:
    """Light on the paper just outside a box's frame, over `white`."""
    box = SWATCHES[number - 1]
    around = np.concatenate([view.cut(part).reshape(-1, 3) for part in _rim(box)])
    against = around / white
    logs = np.log(np.maximum(against, 0.01))
    plain = (np.abs(logs - logs[:, 1:2]).max(axis=1) < COLOURED) & (against.mean(axis=1) > 0.1)
    if plain.sum() < 0.1 * len(plain):
        return 1.0
    return float(np.percentile(against[plain].mean(axis=1), 85))


def _rim(box: Box) -> list[Box]:
    """The strips of paper along a box, just outside its frame."""
    gap, deep = 0.6, MARGIN - 0.6
    right, bottom = box.x + box.width, box.y + box.height
    return [
        Box(box.x, box.y - MARGIN, box.width, min(deep, 1.0)), Box(box.x, bottom + gap, box.width, min(deep, 1.0)),
        Box(box.x - 1.6, box.y, 1.0, box.height), Box(right + gap, box.y, 1.0, box.height),
    ]  # fmt: skip


def _groups(mask: NDArray[np.bool_]) -> list[NDArray[np.bool_]]:
    """Groups of neighbours, diagonals counted."""
    count, labels = cv2.connectedComponents(mask.astype(np.uint8), connectivity=8)
    return [np.asarray(labels == i) for i in range(1, count)]
