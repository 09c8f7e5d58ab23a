"""A first guess for the joint estimate: poses by PnP with the expected camera, the parcel by its found sides."""

from __future__ import annotations

import cv2
import numpy as np

from calib.camera import Camera
from calib.edges import FloatArray
from calib.estimate.adjustment import INDEX, Adjustment, StraightLine
from calib.printed import CARD_SQUARE, CARD_TAG, CORNER_TAGS, CORNER_TILE
from calib.prints.tags import TagSquare

SIZE_UNKNOWN = 20.0
"""Standard uncertainty of the parcel's size, mm, beyond which the card tells it better than what is stated."""


def first_guess(adjustment: Adjustment) -> FloatArray:
    """A parameter vector close enough for Gauss-Newton, in the frame that the observations will tie."""
    vector = adjustment.prior.expected.copy()
    card = next(t for t in adjustment.known_tags if t.tag == CARD_TAG)
    tiles = [t for t in adjustment.known_tags if t.tag in CORNER_TAGS]
    if tiles:
        return _from_tiles(adjustment, vector, tiles, card)
    height = float(vector[INDEX["card height"]])
    vector[:6] = _pose(CARD_SQUARE.corners, card.corners, adjustment.camera(vector), height)
    sides = {i.parcel_side: i for i in adjustment.lines if i.parcel_side is not None}
    return _turned_to_parcel(adjustment, vector, sides) if sides else vector


def _from_tiles(adjustment: Adjustment, vector: FloatArray, tiles: list[TagSquare], card: TagSquare) -> FloatArray:
    if adjustment.setup.priors.parcel > SIZE_UNKNOWN:
        vector[[INDEX["parcel width"], INDEX["parcel depth"]]] = _size_by_card(adjustment, vector, tiles, card)
    world = np.concatenate([adjustment.tag_corners(t.tag, vector) for t in tiles])
    vector[:6] = _pose(world, np.concatenate([t.corners for t in tiles]), adjustment.camera(vector))
    height = float(vector[INDEX["card height"]])
    place = _rigid(CARD_SQUARE.corners, adjustment.camera(vector).locate(card.corners, height))
    vector[INDEX["card x"] : INDEX["card x"] + 3] = place
    return vector


def _size_by_card(
    adjustment: Adjustment, vector: FloatArray, tiles: list[TagSquare], card: TagSquare
) -> tuple[float, float]:
    """Width and depth of the parcel as the tiles lie in the card's plane; as stated where they mark no such side.

    From a size that is far off, Gauss-Newton ends in a plane that is bent and tilted to suit it.
    """
    seen, height = vector.copy(), float(vector[INDEX["card height"]])
    seen[:6] = _pose(CARD_SQUARE.corners, card.corners, adjustment.camera(vector), height)
    corners = {t.tag: adjustment.camera(seen).locate(t.corners) for t in tiles}
    tops = np.mean([(c[1] - c[0]) / np.linalg.norm(c[1] - c[0]) for c in corners.values()], axis=0)
    x, y = tops / np.linalg.norm(tops)
    middles = {tag: np.array([[x, y], [-y, x]]) @ c.mean(axis=0) for tag, c in corners.items()}
    sides = (((1, 4), (2, 3), CORNER_TILE.width), ((1, 2), (4, 3), CORNER_TILE.height))
    size = [adjustment.setup.width, adjustment.setup.depth]
    for axis, (low, high, tile) in enumerate(sides):
        ends = [[middles[tag][axis] for tag in end if tag in middles] for end in (low, high)]
        if all(ends) and np.isfinite(ends[0] + ends[1]).all():
            size[axis] = float(np.mean(ends[1]) - np.mean(ends[0])) + tile
    return size[0], size[1]


def _turned_to_parcel(adjustment: Adjustment, vector: FloatArray, sides: dict[int, StraightLine]) -> FloatArray:
    """Move the world frame from the card's to the parcel's, as the found sides show it."""
    camera = adjustment.camera(vector)
    ends = {side: camera.locate(line.points[[0, -1]]) for side, line in sides.items()}
    middle = np.mean([e.mean(axis=0) for e in ends.values()], axis=0)
    turns = [np.arctan2(*(e[1] - e[0])[::-1]) - side * np.pi / 2 for side, e in ends.items()]
    turn = float(np.angle(np.mean(np.exp(1j * np.array(turns)))))
    c, s = np.cos(turn), np.sin(turn)
    axes = np.array([[c, s], [-s, c]])
    size = np.array([adjustment.setup.width, adjustment.setup.depth])
    low = -size / 2
    for side, e in ends.items():
        axis = 1 if side in (0, 2) else 0
        low[axis] = ((e - middle) @ axes.T)[:, axis].mean() - (0.0 if side in (0, 3) else size[axis])
    origin = middle + low @ axes
    rotation = camera.rotation
    moved = vector.copy()
    moved[3:6] = vector[3:6] + rotation[:, :2] @ origin
    onto = np.eye(3)
    onto[:2, :2] = axes.T
    moved[:3] = cv2.Rodrigues(rotation @ onto)[0].ravel()
    moved[INDEX["card x"] : INDEX["card x"] + 3] = [*(axes @ -origin), -turn]
    return moved


def _pose(world: FloatArray, pixels: FloatArray, camera: Camera, height: float = 0.0) -> FloatArray:
    """Rotation vector and translation (6,) by PnP with the expected camera, of two mirrored poses the better one."""
    focal, (cx, cy) = float(np.exp(camera.vector[6])), camera.vector[7:9]
    matrix = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    spatial = np.column_stack([world, np.full(len(world), -height)]).astype(np.float64)
    _, rotations, translations, _ = cv2.solvePnPGeneric(spatial, pixels, matrix, None, flags=cv2.SOLVEPNP_IPPE)
    return np.concatenate([rotations[0].ravel(), translations[0].ravel()])


def _rigid(local: FloatArray, world: FloatArray) -> FloatArray:
    """(x, y, turn) that moves local points onto world points best (Procrustes)."""
    a, b = local - local.mean(axis=0), world - world.mean(axis=0)
    turn = float(np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b)))
    c, s = np.cos(turn), np.sin(turn)
    moved = local @ np.array([[c, s], [-s, c]])
    return np.array([*(world.mean(axis=0) - moved.mean(axis=0)), turn])
