"""What a drawn scene consists of.  Lengths in mm in the parcel's frame, colours sRGB bytes (red, green, blue)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import Polygon

from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.solids import Solid
from tests.helpers.scenes.view import View

Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Surface:
    """A table or board: colour, kind of texture (plain, wood, noise, felt, paper) and its contrast."""

    colour: Colour
    texture: str = "plain"
    contrast: float = 0.05


@dataclass(frozen=True)
class Tape:
    """A roll of tape: colour, width, the second colour of a striped one and the stripes' length, height of its face.

    through: the share of the light from below that see-through tape lets pass.
    """

    colour: Colour
    width: float
    second: Colour | None = None
    stripe: float = 8.0
    height: float = 0.12
    through: float = 0.0


@dataclass(frozen=True, eq=False)
class Strip:
    """One piece of tape from start to end (2,), laid on by `before` and `after` mm at its ends (negative: short)."""

    start: FloatArray
    end: FloatArray
    tape: int
    before: float = 0.0
    after: float = 0.0
    shade: float = 1.0


@dataclass(frozen=True, eq=False)
class Band:
    """A closed band of tape or yarn about its middle line (n, 2); round: lit like a cord."""

    middle: FloatArray
    tape: int
    round: bool = True


@dataclass(frozen=True, eq=False)
class Patch:
    """Flat paper or felt: ring (n, 2), colour, height; over: above the tape."""

    ring: FloatArray
    colour: Colour
    height: float = 0.1
    over: bool = False
    texture: str = "plain"


@dataclass(frozen=True, eq=False)
class Block:
    """A solid that stands on the board: convex footprint (n, 2), height, colours of its top and its walls."""

    ring: FloatArray
    height: float
    top: Colour
    wall: Colour


@dataclass(frozen=True, eq=False)
class Thread:
    """A string across the model: line (n, 2), thickness, colour, height.

    name: of the line that it is a piece of, cut straight at its ends; round: lit like a cord, with a shadow beside it.
    """

    line: FloatArray
    width: float
    colour: Colour
    height: float = 1.0
    name: str = ""
    round: bool = False


@dataclass(frozen=True, eq=False)
class Print:
    """A printed reference: its tag, kind (card, corner, zone), where its top-left corner lies, turn (rad), height,
    scale; of a card whether its boxes are dotted, and which of them hold a piece of their tape (None: all that have
    one).
    """

    tag: int
    kind: str
    place: tuple[float, float]
    turn: float = 0.0
    height: float = 0.1
    scale: tuple[float, float] = (1.0, 1.0)
    dotted: bool = False
    filled: tuple[int, ...] | None = None


@dataclass(frozen=True, eq=False)
class Shadow:
    """A shadow on the board: ring (n, 2), the share of light left, and its soft edge's standard deviation in px."""

    ring: FloatArray
    light: float
    soft: float


@dataclass(frozen=True)
class Light:
    """Exposure, colour (gain of each channel), a linear gradient over the picture, shadows."""

    exposure: float = 0.8
    colour: tuple[float, float, float] = (1.0, 1.0, 1.0)
    gradient: tuple[float, float] = (0.0, 0.0)
    shadows: tuple[Shadow, ...] = ()


@dataclass(frozen=True)
class Film:
    """Blur in px, put on linear light or on encoded values; motion (px along x, y); vignetting; noise; JPEG quality."""

    blur: float = 0.6
    linear: bool = True
    motion: tuple[float, float] = (0.0, 0.0)
    vignette: float = 0.0
    read: float = 0.0015
    shot: float = 0.006
    quality: int = 93
    seed: int = 1


@dataclass(frozen=True, eq=False)
class TruePiece:
    """One outline of a zone as its tape's middle runs: ring (n, 2) and holes; hidden: share of its length not shown."""

    zone: str
    ring: FloatArray
    holes: tuple[FloatArray, ...] = ()
    hidden: float = 0.0
    note: str = ""

    @property
    def polygon(self) -> Polygon:
        return Polygon(self.ring, self.holes)


@dataclass(frozen=True)
class Zone:
    """A zone as the challenge names it."""

    name: str
    swatch: int
    tile: int | None = None
    height: float = 0.0


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything in one photo, and the truth about it; stated_* is what the challenge says, which may be a little
    off.
    """

    width: float
    depth: float
    view: View
    tapes: Mapping[int, Tape]
    zones: tuple[Zone, ...]
    pieces: tuple[TruePiece, ...]
    prints: tuple[Print, ...]
    thickness: float = 0.0
    board: Surface = Surface((240, 240, 236))
    table: Surface = Surface((128, 126, 124))
    offcuts: tuple[FloatArray, ...] = ()
    strips: tuple[Strip, ...] = ()
    bands: tuple[Band, ...] = ()
    patches: tuple[Patch, ...] = ()
    blocks: tuple[Block, ...] = ()
    threads: tuple[Thread, ...] = ()
    light: Light = Light()
    film: Film = Film()
    stated_size: tuple[float, float] | None = None
    stated_thickness: float | None = None
    stated_line: tuple[float | None, float | None] = (None, None)
    on_table: bool = False
    equivalent: int | None = 26
    notes: tuple[str, ...] = field(default=())
    solids: tuple[Solid, ...] = ()

    @property
    def corners(self) -> FloatArray:
        """The parcel's corners (4, 2)."""
        return np.array([[0, 0], [self.width, 0], [self.width, self.depth], [0, self.depth]], float)

    def of(self, zone: str) -> list[TruePiece]:
        return [p for p in self.pieces if p.zone == zone]
