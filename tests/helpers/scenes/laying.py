"""Outlines as children lay them: shapes, strips along their sides, neighbours."""

from __future__ import annotations

import numpy as np

from tests.helpers.scenes.model import Strip
from tests.helpers.scenes.raster import FloatArray


def box(x: float, y: float, width: float, depth: float) -> FloatArray:
    return np.array([[x, y], [x + width, y], [x + width, y + depth], [x, y + depth]], float)


def shape(kind: str, low: FloatArray, high: FloatArray, random: np.random.Generator, jitter: float = 2.0) -> FloatArray:
    """A ring of this kind that fills the rectangle from low to high, its corners off by up to `jitter` mm."""
    (x0, y0), (x1, y1) = low, high
    w, h = x1 - x0, y1 - y0
    a, b = random.uniform(0.35, 0.6, 2)
    rings = {
        "rectangle": [(x0, y0), (x1, y0), (x1, y1), (x0, y1)],
        "trapezoid": [(x0 + 0.25 * w * a, y0), (x1 - 0.3 * w * b, y0), (x1, y1), (x0, y1)],
        "triangle": [(x0 + a * w, y0), (x1, y1), (x0, y1)],
        "L": [(x0, y0), (x0 + a * w, y0), (x0 + a * w, y0 + b * h), (x1, y0 + b * h), (x1, y1), (x0, y1)],
        "U": [
            (x0, y0), (x0 + 0.34 * w, y0), (x0 + 0.34 * w, y0 + b * h), (x1 - 0.34 * w, y0 + b * h),
            (x1 - 0.34 * w, y0), (x1, y0), (x1, y1), (x0, y1),
        ],
        "hexagon": [
            (x0 + 0.25 * w, y0), (x1 - 0.25 * w, y0), (x1, y0 + h / 2), (x1 - 0.25 * w, y1), (x0 + 0.25 * w, y1),
            (x0, y0 + h / 2),
        ],
    }  # fmt: skip
    ring = np.array(rings[kind], float)
    return ring + random.uniform(-jitter, jitter, ring.shape)


def pond(centre: FloatArray, radii: FloatArray, random: np.random.Generator, points: int = 240) -> FloatArray:
    """A smooth closed curve about `centre`."""
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    reach = 1 + sum(random.uniform(0, 0.16 / k) * np.cos(k * angle + random.uniform(0, 2 * np.pi)) for k in (2, 3, 4))
    return np.asarray(centre + np.column_stack([np.cos(angle), np.sin(angle)]) * radii * np.asarray(reach)[:, None])


def lay(
    ring: FloatArray, tape: int, width: float, random: np.random.Generator | None = None, *,
    over: tuple[float, float] = (-1.0, 4.0), sides: tuple[int, ...] | None = None, shades: float = 0.05,
) -> list[Strip]:  # fmt: skip
    """A strip along every side (or those named), each end laid on half a width and `over` mm more.

    At a corner that turns inwards or sharply the strip goes on to where the neighbour's far edge is covered.
    """
    count, strips = len(ring), []
    for i in range(count) if sides is None else sides:
        start, end = ring[i], ring[(i + 1) % count]
        ends = [width / 2] * 2
        if random is not None:
            ends = [width / 2 + random.uniform(*over) for _ in range(2)]
        shade = 1.0 if random is None else float(random.uniform(1 - shades, 1 + shades))
        strips.append(Strip(start, end, tape, ends[0], ends[1], shade))
    return strips
