"""What a result file says of the structures, for `people`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from measure.errors import InputMistakes, Mistake
from measure.quantity import Quantity
from measure.structures.people import Building, Housing, Settlement, from_u95
from measure.structures.solid_volumes import SolidName
from measure.units import Unit, area_to_mm2, to_mm, volume_to_mm3

_FORMAT = "tapeplat/result-1"
_Value = Annotated[float, Field(ge=0, allow_inf_nan=False)]


class _Part(BaseModel):
    """A part of a result file: what is not needed here is passed over."""

    model_config = ConfigDict(extra="ignore")


class _Measured(_Part):
    value: _Value
    u95: _Value


class _Structure(_Part):
    row: int = 0
    zone: str
    solid: SolidName
    count: Annotated[int, Field(ge=1)]
    volume: _Measured | None = None
    height: _Measured | None = None
    floor: _Measured | None = None


class _Zone(_Part):
    name: str
    kind: str = "zone"
    volume: _Measured | None = None


class _Result(_Part):
    format: Literal["tapeplat/result-1"]
    title: str = ""
    team: str = ""
    unit: Unit
    zones: list[_Zone]
    structures: list[_Structure]


def read_settlement(path: Path) -> Settlement:
    """The structures in a result file, or in the result.json of a folder.

    Raises InputMistakes where there is no result file, or none with structures.
    """
    file = path / "result.json" if path.is_dir() else path
    result = _result(file)
    if not result.structures:
        do = "measure or check the model again with `--structures FILE.csv`"
        raise InputMistakes([Mistake(file.name, "there are no structures in this result", do)])
    zones = tuple(_housing(zone, result) for zone in result.zones if zone.kind == "zone" or _built(zone.name, result))
    return Settlement(result.title, result.team, result.unit, zones)


def _result(file: Path) -> _Result:
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputMistakes([Mistake(str(file), f"cannot be read: {reason}", "name a result.json")]) from None
    except ValueError:
        raise InputMistakes([Mistake(file.name, "this is no result file", "name the result.json of a model")]) from None
    if not isinstance(content, dict) or content.get("format") != _FORMAT:
        raise InputMistakes([Mistake(file.name, "this is no result file", "name the result.json of a model")])
    try:
        return _Result.model_validate(content)
    except ValidationError as error:
        places = {".".join(map(str, problem["loc"])): problem["msg"].lower() for problem in error.errors()}
        do = "measure the model again to make the file anew"
        raise InputMistakes(Mistake(f"{file.name}, {at}", what, do) for at, what in places.items()) from None


def _built(zone: str, result: _Result) -> list[_Structure]:
    return [structure for structure in result.structures if structure.zone == zone]


def _housing(zone: _Zone, result: _Result) -> Housing:
    unit = result.unit
    buildings = tuple(_building(structure, unit) for structure in _built(zone.name, result))
    return Housing(zone.name, _quantity(zone.volume, volume_to_mm3(1.0, unit)), buildings)


def _building(structure: _Structure, unit: Unit) -> Building:
    return Building(
        structure.row,
        structure.solid,
        structure.count,
        _quantity(structure.volume, volume_to_mm3(1.0, unit)),
        _quantity(structure.height, to_mm(1.0, unit)),
        _quantity(structure.floor, area_to_mm2(1.0, unit)),
    )


def _quantity(measured: _Measured | None, scale: float) -> Quantity | None:
    return None if measured is None else from_u95(measured.value * scale, measured.u95 * scale)
