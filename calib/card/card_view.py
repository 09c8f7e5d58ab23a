"""The swatch side of the card seen from straight above, in linear light, finely enough for its dots."""

from __future__ import annotations

from functools import reduce

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.printed import DOT_PITCH, Box

PX_PER_MM = 6
"""A whole number of pixels for half a dot's pitch."""
PART = Box(100, 20, 81, 101)
"""What is looked at of the card, mm."""
GRID = 18
"""The map from the view to the photo is exact on every GRID-th pixel and linear between."""
CORE, BESIDE = 0.5, 0.6
"""Radii, mm, in which a dot and the paper half a pitch beside it are averaged."""
SLACK = 0.2
"""A dot is looked for this far around its place, mm."""
NOISE = 0.01
"""Share of the white's light added to paper before contrast is taken: black tape has noise and no paper."""
_NO_LIGHT = 1e-9
_CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1))
_OPPOSITE = (((-1, -1), (1, 1)), ((1, -1), (-1, 1)), ((-1, 0), (1, 0)), ((0, -1), (0, 1)))
"""Ways from a dot: to its four corners, and each with its opposite."""


class CardView:
    """The card's swatches in linear light: bgr (h, w, 3) bytes and light (h, w, 3); places are mm on the card."""

    def __init__(self, bgr: NDArray[np.uint8], plane: Plane) -> None:
        map_x, map_y = _maps(plane)
        picture = cv2.remap(bgr, map_x, map_y, cv2.INTER_LINEAR)
        self.bgr = np.asarray(picture, dtype=np.uint8)
        self.light = np.asarray(cv2.LUT(self.bgr, _LINEAR), dtype=np.float32)
        self._plain = _disc_mean(self.light, BESIDE)
        around = _around(self._plain)
        self._paper = np.asarray(sum(around[way] for way in _CORNERS) / len(_CORNERS), dtype=np.float32)
        core = _disc_mean(_sum(self.light), CORE)
        noise = NOISE * np.percentile(_sum(self._paper), 90)
        # A dot is darker than the paper on every two opposite sides; a dark line is as dark on two of them.
        sums = _around(_sum(self._plain))
        paper = reduce(np.minimum, (sums[a] + sums[b] for a, b in _OPPOSITE)) / 2
        self._contrast = np.asarray((paper - core) / np.maximum(paper + noise, _NO_LIGHT), dtype=np.float32)
        reach = 2 * round(SLACK * PX_PER_MM) + 1
        disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
        self._best = np.asarray(cv2.dilate(self._contrast, disc), dtype=np.float32)

    def contrast_at(self, places: FloatArray) -> FloatArray:
        """1 - light of a dot over that of the paper around it, at places (..., 2)."""
        return self._read(self._contrast, places)

    def contrast_near(self, places: FloatArray) -> FloatArray:
        """The largest contrast within SLACK of places (..., 2)."""
        return self._read(self._best, places)

    def peaks_near(self, places: FloatArray, reach: float) -> tuple[FloatArray, FloatArray]:
        """Where (n, 2) contrast is largest within `reach` mm of places (n, 2), and that contrast (n,).

        NaN where it is largest at the window's border: there no dot is centred.
        """
        step = 1 / PX_PER_MM
        ticks = np.arange(-round(reach / step), round(reach / step) + 1) * step
        dx, dy = np.meshgrid(ticks, ticks)
        offsets = np.stack([dx, dy], axis=-1)
        read = self.contrast_at(places[:, None, None] + offsets)
        flat = read.reshape(len(places), -1)
        row, column = np.divmod(flat.argmax(axis=1), len(ticks))
        inner = (np.minimum(row, column) > 0) & (np.maximum(row, column) < len(ticks) - 1)
        found = places + np.stack([ticks[column], ticks[row]], axis=-1)
        found[~inner] = np.nan
        return found, flat.max(axis=1)

    def paper_at(self, places: FloatArray) -> FloatArray:
        """Linear light (..., 3), blue first, of the paper half a pitch beside places (..., 2)."""
        return self._read_light(self._paper, places)

    def plain_at(self, places: FloatArray) -> FloatArray:
        """Linear light (..., 3), blue first, at places (..., 2) themselves."""
        return self._read_light(self._plain, places)

    def pixels(self, places: FloatArray) -> FloatArray:
        """Pixels (..., 2) of the view at places (..., 2)."""
        return (places - (PART.x, PART.y)) * PX_PER_MM - 0.5

    def smooth(self, sigma: float) -> NDArray[np.uint8]:
        """The view in bytes, blue first, blurred by `sigma` mm."""
        return np.asarray(cv2.GaussianBlur(self.bgr, (0, 0), sigma * PX_PER_MM), dtype=np.uint8)

    def cut(self, box: Box) -> NDArray[np.float32]:
        """Linear light (h, w, 3) inside a box on the card."""
        return self.light[self.window(box)]

    def window(self, box: Box) -> tuple[slice, slice]:
        """Rows and columns of the view that a box on the card covers."""
        x, y = box.x - PART.x, box.y - PART.y
        rows = slice(max(0, round(y * PX_PER_MM)), round((y + box.height) * PX_PER_MM))
        return rows, slice(max(0, round(x * PX_PER_MM)), round((x + box.width) * PX_PER_MM))

    def _read_light(self, light: NDArray[np.float32], places: FloatArray) -> FloatArray:
        return np.stack([self._read(np.ascontiguousarray(light[..., i]), places) for i in range(3)], axis=-1)

    def _read(self, values: NDArray[np.float32], places: FloatArray) -> FloatArray:
        x, y = np.moveaxis(self.pixels(places).astype(np.float32).reshape(len(places), -1, 2), -1, 0)
        read = cv2.remap(values, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(read, dtype=np.float64).reshape(places.shape[:-1])


def _maps(plane: Plane) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Photo coordinates of every pixel of the view."""
    width, height = round(PART.width * PX_PER_MM), round(PART.height * PX_PER_MM)
    columns, rows = -(-width // GRID) + 1, -(-height // GRID) + 1
    x, y = np.meshgrid(np.arange(columns) * GRID, np.arange(rows) * GRID)
    local = np.column_stack([x.ravel() + 0.5, y.ravel() + 0.5]) / PX_PER_MM + (PART.x, PART.y)
    photo = card_pixels(plane, local).reshape(rows, columns, 2).astype(np.float32)
    # An affine warp puts node i exactly on pixel i * GRID, where a plain resize would put it half a cell off.
    onto = np.array([[1 / GRID, 0, 0], [0, 1 / GRID, 0]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    maps = [cv2.warpAffine(photo[..., i], onto, (width, height), flags=flags) for i in (0, 1)]
    return np.asarray(maps[0], dtype=np.float32), np.asarray(maps[1], dtype=np.float32)


def card_pixels(plane: Plane, places: FloatArray) -> FloatArray:
    """Pixels (n, 2) in the photo of places (n, 2), mm on the card, as if it were flat."""
    left, top, turn = (plane.value(f"card {part}") for part in ("x", "y", "turn"))
    c, s = np.cos(turn), np.sin(turn)
    scale = np.array([plane.value("scale along"), plane.value("scale up")])
    world = (places * scale) @ np.array([[c, s], [-s, c]]) + (left, top)
    return plane.camera.project(world, plane.value("card height"))


def _around(light: NDArray[np.float32]) -> dict[tuple[int, int], NDArray[np.float32]]:
    """Light (h, w) or (h, w, 3) half a pitch away from every pixel, by the way (-1, 0 or 1 along x, y)."""
    half = round(DOT_PITCH / 2 * PX_PER_MM)
    framed = np.asarray(cv2.copyMakeBorder(light, half, half, half, half, cv2.BORDER_REPLICATE), dtype=np.float32)
    h, w = light.shape[:2]
    return {
        (i, j): framed[half + j * half : half + j * half + h, half + i * half : half + i * half + w]
        for i in (-1, 0, 1)
        for j in (-1, 0, 1)
    }


def _sum(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """Light (h, w, 3) of all three colours together (h, w)."""
    return np.asarray(light[..., 0] + light[..., 1] + light[..., 2])


def _disc_mean(values: NDArray[np.float32], radius: float) -> NDArray[np.float32]:
    reach = int(np.ceil(radius * PX_PER_MM))
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    disc = (x**2 + y**2 <= (radius * PX_PER_MM) ** 2).astype(np.float32)
    return np.asarray(cv2.filter2D(values, -1, disc / disc.sum()), dtype=np.float32)


def _linear() -> NDArray[np.float32]:
    """sRGB bytes to linear light (IEC 61966-2-1)."""
    value = np.arange(256) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(np.float32)


_LINEAR = _linear()
