"""The structures that several photos of a model show, as its plat takes them."""

from __future__ import annotations

import numpy as np

from measure.plat.seen_solid import SeenSolid
from measure.quantity import Quantity
from vision.merging import Model
from vision.solids.seen_solids import MeasuredBody, solids_shown


def structures_shown(model: Model, size: tuple[float, float]) -> tuple[SeenSolid, ...]:
    """The structures on a parcel of a size (mm) that the photos of a model show from two or more sides."""
    return tuple(_solid(measured) for measured in solids_shown(model.photos, size))


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
