"""Volume, lateral and total surface, height and base of the solids that stand in a zone.

Every size is a Quantity in mm, so the uncertainty of the readings is carried through the formulas to first order
(JCGM 100:2008, 5.2.2); a size that a formula uses twice counts as one reading.  The formulas are those of school books
(OpenStax Prealgebra 2e, 9.5 and 9.6; Machinery's Handbook, 31st ed., pages 88 to 93): a prism's or cylinder's volume is
base times height, a pyramid's or cone's a third of that, a sphere's two thirds of its cylinder's.  The total surface
counts the base, as the nets of grade 6 do.

How solids lie:
- A cylinder or half cylinder with a `height` stands on its end; with a `length` it lies, as tall as its diameter, or,
  flat side down, as half of it.
- A triangular prism lies like a tent: `width` is the triangle's base, `height` its height, `length` the ridge.  The
  ridge is taken to be above the middle of the base; only the surface depends on that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from measure.quantity import COVERAGE_FACTOR, Quantity

SolidName = Literal[
    "box",
    "cube",
    "cylinder",
    "half cylinder",
    "triangular prism",
    "square pyramid",
    "cone",
    "hemisphere",
    "prism on outline",
    "cubes",
]
SOLIDS: tuple[SolidName, ...] = get_args(SolidName)
Size = Literal["length", "width", "height", "diameter"]
SIZES: tuple[Size, ...] = get_args(Size)
Sizes = Mapping[Size, Quantity]
"""The sizes that were read, in mm."""


@dataclass(frozen=True, eq=False)
class Footprint:
    """What a solid covers: its area in mm2, the widest disc that fits on it and its longest extent, both in mm."""

    area: Quantity
    disc: Quantity
    longest: Quantity


@dataclass(frozen=True, eq=False)
class Solid:
    """One solid: volume in mm3, lateral and total surface in mm2, height in mm.

    footprint is None for solids whose base is not among their sizes; lateral, surface and height are None where
    counting cubes does not tell them.  floor is the area in mm2 of every storey, of solids whose storeys are alike.
    """

    volume: Quantity
    lateral: Quantity | None
    surface: Quantity | None
    height: Quantity | None
    footprint: Footprint | None = None
    floor: Quantity | None = None


@dataclass(frozen=True)
class Pose:
    """One way to give a solid's sizes: those needed, and those that follow, as (needed size, factor)."""

    needs: tuple[Size, ...]
    follows: Mapping[Size, tuple[Size, float]]


_ROUND: Mapping[Size, tuple[Size, float]] = {"length": ("diameter", 1.0), "width": ("diameter", 1.0)}
POSES: Mapping[SolidName, tuple[Pose, ...]] = {
    "box": (Pose(("length", "width", "height"), {}),),
    "cube": tuple(Pose((side,), {other: (side, 1.0) for other in SIZES[:3] if other != side}) for side in SIZES[:3]),
    "cylinder": (
        Pose(("diameter", "height"), _ROUND),
        Pose(("diameter", "length"), {"width": ("diameter", 1.0), "height": ("diameter", 1.0)}),
    ),
    "half cylinder": (
        Pose(("diameter", "length"), {"width": ("diameter", 1.0), "height": ("diameter", 0.5)}),
        Pose(("diameter", "height"), {"length": ("diameter", 1.0), "width": ("diameter", 0.5)}),
    ),
    "triangular prism": (Pose(("length", "width", "height"), {}),),
    "square pyramid": (
        Pose(("length", "height"), {"width": ("length", 1.0)}),
        Pose(("width", "height"), {"length": ("width", 1.0)}),
    ),
    "cone": (Pose(("diameter", "height"), _ROUND),),
    "hemisphere": (Pose(("diameter",), {**_ROUND, "height": ("diameter", 0.5)}),),
    "prism on outline": (Pose(("height",), {}),),
    "cubes": (Pose((), {}),),
}
"""Every way to give each solid's sizes, the usual one first."""


def pose_of(name: SolidName, sizes: Sizes) -> Pose:
    """The way in which the sizes are given.

    Raises ValueError, saying what would be right, where a size is missing or two sizes of one solid contradict each
    other beyond the uncertainty of their readings.
    """
    complete = [pose for pose in POSES[name] if all(size in sizes for size in pose.needs)]
    if not complete:
        needed = " or ".join(_listed(pose.needs) for pose in POSES[name])
        raise ValueError(f"a {name} needs its {needed}")
    for pose in complete:
        if _contradiction(pose, sizes) is None:
            return pose
    wrong, other, factor = _contradiction(complete[0], sizes) or ("", "", 1.0)
    share = "half its" if factor == 0.5 else "equal to its"
    given = _listed(complete[0].needs)
    raise ValueError(f"a {name} given by its {given} has a {wrong} {share} {other}; leave the wrong one empty")


def solid_of(name: SolidName, sizes: Sizes) -> Solid:
    """A solid from its sizes; for `prism on outline` see `prism_on`, for `cubes` `unit_cube`.

    Raises ValueError like `pose_of`.
    """
    pose = pose_of(name, sizes)
    make = _LYING.get(name) if "length" in pose.needs else None
    return (make or _MAKERS[name])(*(sizes[size] for size in pose.needs))


def prism_on(base: Quantity, outline: Quantity, height: Quantity) -> Solid:
    """The prism on a measured outline: its base in mm2 and the outline's length in mm are the photo's."""
    lateral = outline * height
    return Solid(base * height, lateral, lateral + base * 2.0, height, floor=base)


def unit_cube(edge: Quantity) -> Solid:
    """One of several counted cubes: how they are stacked, and so surface and height, is not known."""
    return Solid(edge * edge * edge, None, None, None)


def _contradiction(pose: Pose, sizes: Sizes) -> tuple[str, str, float] | None:
    """A size that does not follow from the others as it must."""
    for size, (source, factor) in pose.follows.items():
        if size not in sizes:
            continue
        off = sizes[size] - sizes[source] * factor
        if abs(off.value) > max(COVERAGE_FACTOR * off.u, 1e-6 * sizes[source].value):
            return size, source, factor
    return None


def _listed(sizes: tuple[Size, ...]) -> str:
    *first, last = sizes
    return f"{', '.join(first)} and {last}" if first else last


# ---- one maker a solid: the sizes come in the order of the pose's needs


def _box(length: Quantity, width: Quantity, height: Quantity) -> Solid:
    base = length * width
    lateral = (length + width) * height * 2.0
    return Solid(base * height, lateral, lateral + base * 2.0, height, _rectangle(length, width), base)


def _cube(side: Quantity) -> Solid:
    return _box(side, side, side)


def _cylinder(diameter: Quantity, along: Quantity) -> Solid:
    end = diameter * diameter * (math.pi / 4)
    lateral = diameter * along * math.pi
    return Solid(end * along, lateral, lateral + end * 2.0, along, Footprint(end, diameter, diameter), end)


def _lying_cylinder(diameter: Quantity, along: Quantity) -> Solid:
    return replace(_cylinder(diameter, along), height=diameter, footprint=_rectangle(diameter, along), floor=None)


def _half_cylinder(diameter: Quantity, along: Quantity) -> Solid:
    """Lateral: the round side and the flat one; the total has the two half discs too."""
    end = diameter * diameter * (math.pi / 8)
    lateral = diameter * along * (math.pi / 2 + 1)
    return Solid(end * along, lateral, lateral + end * 2.0, along, Footprint(end, diameter * 0.5, diameter), end)


def _lying_half_cylinder(diameter: Quantity, along: Quantity) -> Solid:
    standing = _half_cylinder(diameter, along)
    return replace(standing, height=diameter * 0.5, footprint=_rectangle(diameter, along), floor=None)


def _triangular_prism(length: Quantity, width: Quantity, height: Quantity) -> Solid:
    """Lateral: the three rectangles; the total has the two triangles too."""
    end = width * height * 0.5
    slope = _hypot(width * 0.5, height)
    lateral = (width + slope * 2.0) * length
    return Solid(end * length, lateral, lateral + end * 2.0, height, _rectangle(length, width))


def _square_pyramid(side: Quantity, height: Quantity) -> Solid:
    base = side * side
    lateral = side * _hypot(side * 0.5, height) * 2.0
    footprint = Footprint(base, side, side * math.sqrt(2.0))
    return Solid(base * height * (1 / 3), lateral, lateral + base, height, footprint)


def _cone(diameter: Quantity, height: Quantity) -> Solid:
    base = diameter * diameter * (math.pi / 4)
    lateral = diameter * _hypot(diameter * 0.5, height) * (math.pi / 2)
    return Solid(base * height * (1 / 3), lateral, lateral + base, height, Footprint(base, diameter, diameter))


def _hemisphere(diameter: Quantity) -> Solid:
    base = diameter * diameter * (math.pi / 4)
    volume = diameter * diameter * diameter * (math.pi / 12)
    return Solid(volume, base * 2.0, base * 3.0, diameter * 0.5, Footprint(base, diameter, diameter))


def _rectangle(length: Quantity, width: Quantity) -> Footprint:
    shorter = min(length, width, key=lambda side: side.value)
    return Footprint(length * width, shorter, _hypot(length, width))


def _hypot(a: Quantity, b: Quantity) -> Quantity:
    """The hypotenuse over two legs."""
    long = math.hypot(a.value, b.value)
    moves = (a * a.value + b * b.value) / long
    return Quantity(long, moves.sensitivity)


_MAKERS: Mapping[SolidName, Callable[..., Solid]] = {
    "box": _box,
    "cube": _cube,
    "cylinder": _cylinder,
    "half cylinder": _half_cylinder,
    "triangular prism": _triangular_prism,
    "square pyramid": _square_pyramid,
    "cone": _cone,
    "hemisphere": _hemisphere,
}
_LYING: Mapping[SolidName, Callable[..., Solid]] = {
    "cylinder": _lying_cylinder,
    "half cylinder": _lying_half_cylinder,
}
"""Makers of the solids that a `length` lays down."""
