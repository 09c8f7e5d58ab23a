"""The structures that several photos of a model show, as its plat takes them, and what is to be said of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from measure.notices import Fact, Notice, Subject
from measure.plat.seen_solid import SeenSolid
from measure.quantity import Quantity
from measure.structures.built_structures import NO_MORE
from measure.units import LengthUnit
from vision.merging import Model

if TYPE_CHECKING:
    from vision.solids.body import Body
    from vision.solids.seen_solids import DoubtfulPlace, MeasuredBody, SolidsShown
    from vision.solids.wanted_views import WantedView
    from vision.solids.whole_land import OpenPlace


@dataclass(frozen=True)
class StructuresShown:
    """The structures on a model, and notices on those that its photos do not measure and on what each photo added.

    whole: whether the photos leave no doubt that no others stand there.
    """

    solids: tuple[SeenSolid, ...]
    notices: tuple[Notice, ...]
    whole: bool


def structures_shown(model: Model, size: tuple[float, float], unit: LengthUnit) -> StructuresShown:
    """The structures on a parcel of a size (mm) that the photos of a model show from two or more sides."""
    if len(model.photos) < 2:  # one photo shows no heights
        return StructuresShown((), (), False)
    from vision.solids.seen_solids import solids_shown

    shown = solids_shown(model.photos, size)
    return StructuresShown(tuple(_solid(m) for m in shown.bodies), tuple(_notices(shown, model, unit)), shown.whole)


def _notices(shown: SolidsShown, model: Model, unit: LengthUnit) -> Iterator[Notice]:
    """How many there are, which are not measured, and, where there are more than two photos, what each added."""
    if shown.bodies:
        yield Notice("structures-shown", facts={"count": len(shown.bodies)})
    for measured in shown.bodies:
        if measured.wanted is not None:
            yield _wanted("structure-not-measured", measured.body, measured.wanted, unit)
    for place in shown.doubtful:
        yield _wanted("doubtful-structure", place, place.wanted, unit)
    if shown.whole and shown.bodies:
        yield Notice(NO_MORE, facts={"count": len(shown.bodies)})
    if shown.open is not None and shown.bodies:
        yield _wanted(f"land-{shown.open.place.why}", shown.open.place, shown.open.wanted, unit)
    if shown.bodies and len(shown.photos) > 2:
        for (photo, _), use in zip(model.photos, shown.photos, strict=True):
            sharper = round(min(use.sharper, 99.0), 2)
            yield Notice("photo-added", Subject(photo=photo.file), {"count": use.bodies, "sharper": sharper})


def _wanted(code: str, at: Body | DoubtfulPlace | OpenPlace, wanted: WantedView, unit: LengthUnit) -> Notice:
    degrees = round(float(np.rad2deg(wanted.tilt)))
    facts: dict[str, Fact] = {"x": at.x, "y": at.y, "width": at.width, "unit": unit}
    return Notice(code, facts={**facts, "side": wanted.side, "degrees": degrees})


def _solid(measured: MeasuredBody) -> SeenSolid:
    body, spread = measured.body, measured.spread

    def known(value: float, u: float) -> Quantity | None:
        return _quantity(value, u) if measured.height_known else None

    return SeenSolid(
        kind=body.kind,
        footprint=body.footprint,
        floor=_quantity(body.floor, spread.floor),
        height=known(body.height, spread.height),
        volume=known(body.volume, spread.volume),
        surface=known(body.surface, spread.surface),
        side_surface=known(body.side_surface, spread.side_surface),
    )


def _quantity(value: float, u: float) -> Quantity:
    return Quantity(value, np.array([u]))
