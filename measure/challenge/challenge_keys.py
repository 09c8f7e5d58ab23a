"""The keys of a challenge file, their types and ranges: the only place where pydantic is used for it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from measure.challenge.challenge_model import LineColour, LineMaterial
from measure.challenge.toml_lines import Path, TomlLines
from measure.errors import Mistake
from measure.numbers import NumberStyle
from measure.units import Unit

Length = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Side = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
"""A side of a parcel, in whatever unit: beyond this nothing could be drawn or measured."""
Pair = Annotated[list[Positive], Field(min_length=2, max_length=2)]
Place = Annotated[list[Length], Field(min_length=2, max_length=2)]


class Keys(BaseModel):
    """Unknown keys are refused, and text is no number."""

    model_config = ConfigDict(extra="forbid", strict=True)


class TopKeys(Keys):
    """The keys before the first table."""

    title: str
    unit: Unit
    tape_edge: Literal["middle", "inner", "outer"] = "middle"
    touch_gap: Length | None = None
    numbers: NumberStyle = "percent"
    shapes: Literal["inclusive", "exclusive"] = "inclusive"
    rules: list[str] = []
    allow: Any = None
    parcel: dict[str, Any]
    card: dict[str, Any] = {}
    priors: dict[str, Any] = {}
    structures: dict[str, Any] = {}
    zone: list[dict[str, Any]] = Field(min_length=1)
    line: list[dict[str, Any]] = []


class ParcelKeys(Keys):
    """[parcel]"""

    width: Side
    depth: Side
    thickness: Positive | None = None
    north: Literal["top", "right", "bottom", "left"] = "top"


class CardKeys(Keys):
    """[card]"""

    surface: Literal["parcel", "table"] = "parcel"
    printed_line: Any = None


class PriorKeys(Keys):
    """[priors]"""

    printed_line: Length = 0.15
    tile: Length = 0.3
    parcel: Length = 0.5
    thickness: Length = 0.2
    flatness: Length = 0.3


class StructureKeys(Keys):
    """[structures]"""

    judge: Literal["hand", "photos"] = "hand"
    photos_show_all: bool = False


class ZoneKeys(Keys):
    """[[zone]]"""

    name: str
    swatch: Annotated[int, Field(ge=1, le=8)]
    aliases: list[str] = []
    tile: Annotated[int, Field(ge=50, le=89)] | None = None
    kind: Literal["zone", "keep-clear"] = "zone"
    tape_height: Length = 0.0
    place: Place | None = None
    place_within: Positive | None = None
    size: Pair | None = None
    size_within: Positive | None = None
    inside: Literal["subtract"] | None = None


class LineKeys(Keys):
    """[[line]]"""

    name: str
    aliases: list[str] = []
    swatch: Annotated[int, Field(ge=1, le=8)] | None = None
    colour: LineColour | None = None
    made_of: list[LineMaterial] = []
    height: Length | None = None
    cost: Positive | None = None


Model = TypeVar("Model", bound=Keys)


@dataclass(frozen=True)
class Found:
    """A mistake and the line of the file that it is in."""

    line: int
    what: str
    do: str = ""

    def mistake(self, file: str) -> Mistake:
        """As the teacher sees it."""
        return Mistake(f"{file}, line {self.line}", self.what, self.do, self.line)


def checked(model: type[Model], data: dict[str, Any], base: Path, lines: TomlLines, wrong: list[Found]) -> Model | None:
    """The keys of one table; None, and its mistakes added to `wrong`, where it has any."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        meant = {_nearest(str(key), model.model_fields) for key in data if key not in model.model_fields}
        for detail in error.errors():
            key = str(detail["loc"][0])
            if detail["type"] == "missing" and key in meant:
                continue  # the misspelled key is reported, and is enough
            path = tuple(part for part in detail["loc"] if isinstance(part, int) or part in (key,))
            wrong.append(_found(model, key, path, detail, lines.of((*base, *path)), base))
        return None


def _found(model: type[Keys], key: str, path: Path, detail: ErrorDetails, line: int, base: Path) -> Found:
    kind, given, context = detail["type"], detail["input"], detail.get("ctx", {})
    label = f"`{key}`" + (f" of [{base[0]}]" if base and base[0] not in _SEVERAL else "")
    if kind == "extra_forbidden":
        near = _nearest(key, model.model_fields)
        known = ", ".join(model.model_fields)
        return Found(
            line, f"`{key}` is no key here", f"did you mean `{near}`?" if near else f"the keys here are {known}"
        )
    if kind == "missing":
        return Found(line, f"{label} is missing", _missing(key, base))
    if kind == "literal_error":
        options = get_args(_literal(model, key)) or ()
        near = _nearest(str(given), options)
        choice = " or ".join(f'"{option}"' for option in options)
        return Found(
            line, f"{label} is {_shown(given)}, and must be {choice}", f'did you mean "{near}"?' if near else ""
        )
    if base[:1] in (("zone",), ("line",)) and key in _SPANS and kind in _RANGES:
        return Found(line, f"{label} is {_shown(given)}, and must be {_SPANS[key]}")
    if kind in _RANGES:
        return Found(line, f"{label} is {_shown(given)}, and must be {_RANGES[kind].format(**context)}")
    if kind in ("too_short", "too_long"):
        if key == "zone":
            return Found(line, "the challenge has no zone", "add one under a line [[zone]]")
        return Found(line, f"{label} must hold two numbers", "such as [4, 3]")
    wanted = _TYPES.get(kind, "something else")
    tip = "leave out the quotation marks" if isinstance(given, str) and "number" in wanted else ""
    return Found(line, f"{label} is {_shown(given)}, and must be {wanted}", tip)


_SEVERAL = ("zone", "line")
"""Tables of which there are several: their mistakes are told by line alone."""
_MISSING = {
    "title": 'give the challenge a name, such as title = "Quarry Lake Village"',
    "unit": 'add unit = "in", "cm" or "mm"',
    "parcel": "add a line [parcel] with width and depth below it",
    "zone": "add at least one zone under a line [[zone]]",
    "name": 'give the zone a name, such as name = "library"',
    "swatch": "say in which box of the card its tape is, from 1 to 8",
    "width": "say how wide the parcel is, in the challenge's unit",
    "depth": "say how deep the parcel is, in the challenge's unit",
}
_MISSING_OF_LINE = {"name": 'give the line a name, such as name = "road"'}
_SPANS = {"swatch": "a box of the card, 1 to 8", "tile": "a zone tile, 50 to 89"}
_RANGES = {
    "greater_than": "more than {gt:g}",
    "greater_than_equal": "at least {ge:g}",
    "less_than_equal": "at most {le:g}",
    "finite_number": "a number",
}
_TYPES = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text in quotation marks",
    "bool_type": "true or false",
    "list_type": "a list in square brackets",
    "dict_type": "a table of its own, under a line in square brackets",
}


def _missing(key: str, base: Path) -> str:
    """What to do about a key that is missing."""
    return _MISSING_OF_LINE.get(key, "") if base[:1] == ("line",) else _MISSING.get(key, "")


def _shown(given: object) -> str:
    """A value as the file has it, shortened."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, str):
        return f'"{given[:40]}"'
    if isinstance(given, dict):
        return "a table"
    return f"{given}"[:60]


def _nearest(word: str, options: Iterable[str]) -> str | None:
    return next(iter(difflib.get_close_matches(word.lower(), list(options), 1, 0.6)), None)


def _literal(model: type[Keys], key: str) -> Any:
    """The annotation that lists the options of a key, without `| None`."""
    annotation = model.model_fields[key].annotation
    inner = [part for part in get_args(annotation) if get_args(part)]
    return inner[0] if inner else annotation
