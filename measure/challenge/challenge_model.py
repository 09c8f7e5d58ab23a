"""The teacher's task: the parcel, its zones and its rules.

The file speaks the challenge's unit; everything here is in mm.  Exceptions are the card's check lines and the priors,
which the file gives in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from measure.numbers import NumberStyle
from measure.plat.measures import Measures
from measure.plat.offset import TapeEdge
from measure.plat.plat import Plat
from measure.rules.compass import Top
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import RuleLine
from measure.units import Unit

Surface = Literal["parcel", "table"]
Judge = Literal["hand", "photos"]
ZoneKind = Literal["zone", "keep-clear"]
Shapes = Literal["inclusive", "exclusive"]
LineColour = Literal[
    "black", "white", "grey", "gray", "red", "orange", "yellow", "green", "blue", "purple", "pink", "brown"
]
LineMaterial = Literal["string", "pipe cleaner", "yarn", "tape strip", "drawn stroke"]
TOUCH_GAP = 3.0
"""mm: the default of `touch_gap`."""


@dataclass(frozen=True)
class Parcel:
    """The board or sheet as stated; thickness is None where the file does not say; north is the side that is north."""

    width: float
    depth: float
    thickness: float | None = None
    north: Top = "top"

    @property
    def area(self) -> float:
        """mm2; what shares are of."""
        return self.width * self.depth


@dataclass(frozen=True)
class Card:
    """Where the card lies, and how long its check lines are on the print: along (100 as designed) and up (80).

    A line that was not measured is None.
    """

    surface: Surface = "parcel"
    along: float | None = None
    up: float | None = None


@dataclass(frozen=True)
class StructuresSaid:
    """Whose value counts of a structure that is measured by hand and by photos; whether photos show all that stand."""

    judge: Judge = "hand"
    photos_show_all: bool = False


@dataclass(frozen=True)
class Priors:
    """Standard uncertainties in mm: of the check lines as read, a tile's place, the parcel's real size, and so on."""

    printed_line: float = 0.15
    tile: float = 0.3
    parcel: float = 0.5
    thickness: float = 0.2
    flatness: float = 0.3


@dataclass(frozen=True)
class Zone:
    """A land use and how it is marked. place is its centre, size its width and depth; both for keep-clear zones."""

    name: str
    swatch: int
    aliases: tuple[str, ...] = ()
    tile: int | None = None
    kind: ZoneKind = "zone"
    tape_height: float = 0.0
    place: tuple[float, float] | None = None
    place_within: float | None = None
    size: tuple[float, float] | None = None
    size_within: float | None = None
    subtract_inside: bool = False


@dataclass(frozen=True)
class Line:
    """A pipe, cable, road or railway, and how it is marked: by the box that holds a piece of it, or by its colour.

    made_of is empty where it may be anything; height is that of its middle above the parcel, None where it lies on
    it; cost is of one unit of length, in the challenge's unit.
    """

    name: str
    swatch: int | None = None
    colour: LineColour | None = None
    aliases: tuple[str, ...] = ()
    made_of: tuple[LineMaterial, ...] = ()
    height: float | None = None
    cost: float | None = None


@dataclass(frozen=True)
class Challenge:
    """The teacher's task. Lengths are in mm; notes are warnings about the challenge as a whole."""

    title: str
    unit: Unit
    parcel: Parcel
    zones: tuple[Zone, ...]
    rules: tuple[RuleLine, ...]
    tape_edge: TapeEdge = "middle"
    touch_gap: float = TOUCH_GAP
    numbers: NumberStyle = "percent"
    shapes: Shapes = "inclusive"
    card: Card = field(default_factory=Card)
    priors: Priors = field(default_factory=Priors)
    structures: StructuresSaid = field(default_factory=StructuresSaid)
    notes: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()

    @property
    def warnings(self) -> tuple[str, ...]:
        """All warnings: about single rules (`rule 3: ...`), then about the whole."""
        single = (f"rule {n}: {said}" for n, line in enumerate(self.rules, 1) for said in line.warnings)
        return (*single, *self.notes)

    @property
    def surface(self) -> Surface:
        """Where the card lies."""
        return self.card.surface

    @property
    def subtract(self) -> frozenset[str]:
        """The zones from which zones wholly inside them are taken off."""
        return frozenset(zone.name for zone in self.zones if zone.subtract_inside)

    def measures(self, plat: Plat) -> Measures:
        """The measures of a plat along this challenge's line of the tape, with its touch gap and its holes."""
        return Measures(plat, self.tape_edge, self.touch_gap, self.subtract)

    def zone(self, name: str) -> Zone:
        """The zone of this name. Raises KeyError where there is none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    @property
    def names(self) -> ZoneNames:
        """The names by which rules call its zones and its lines."""
        lines = {line.name: line.aliases for line in self.lines}
        return ZoneNames({zone.name: zone.aliases for zone in self.zones}, lines)
