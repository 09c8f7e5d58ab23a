"""The fields of the form in which a challenge is edited, as texts: from a file, and from what the browser sends."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from werkzeug.datastructures import MultiDict

from measure.challenge.allow_key import EVERY
from measure.units import format_number
from tapeplat.page.base.form_rows import rows_of

SWATCHES = 8
MOST_ROWS = 60
"""Of zones, and of rules: more is no challenge for a class."""


@dataclass(frozen=True)
class ZoneFields:
    """One zone's row; `was` is the name under which the file has it, empty for a new one."""

    name: str = ""
    swatch: str = ""
    kind: str = "zone"
    tile: str = ""
    aliases: str = ""
    place_x: str = ""
    place_y: str = ""
    place_within: str = ""
    size_x: str = ""
    size_y: str = ""
    size_within: str = ""
    was: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing was entered."""
        return not self.name and not self.tile and not self.aliases


@dataclass(frozen=True)
class LineFields:
    """One line's row; `told` is its box of the card (`3`) or its colour in a word, `was` as a zone's."""

    name: str = ""
    told: str = ""
    aliases: str = ""
    made_of: str = ""
    height: str = ""
    cost: str = ""
    was: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing was entered."""
        return not any((self.name, self.told, self.aliases, self.made_of, self.height, self.cost))


@dataclass(frozen=True)
class ChallengeFields:
    """The whole form."""

    title: str = ""
    unit: str = "in"
    width: str = ""
    depth: str = ""
    thickness: str = ""
    surface: str = "parcel"
    line_along: str = ""
    line_up: str = ""
    tape_edge: str = "middle"
    numbers: str = "percent"
    touch_gap: str = ""
    allow: str = ""
    judge: str = "hand"
    photos_show_all: str = "no"
    zones: tuple[ZoneFields, ...] = ()
    lines: tuple[LineFields, ...] = ()
    rules: tuple[str, ...] = ()

    def with_room(self, *, zone: bool = False, line: bool = False, rule: bool = False) -> ChallengeFields:
        """With one more empty row, for browsers without script; a form without rows gets some to begin with."""
        zones = self.zones or (ZoneFields(swatch="1"), ZoneFields(swatch="2"))
        if zone:
            zones += (ZoneFields(swatch=str(min(len(zones) + 1, SWATCHES))),)
        rules = self.rules or ("",)
        lines = (*self.lines, LineFields()) if line else self.lines
        return replace(self, zones=zones, lines=lines, rules=(*rules, "") if rule else rules)


_TOP = [field.name for field in fields(ChallengeFields) if field.name not in ("zones", "lines", "rules")]
_ZONE = [field.name for field in fields(ZoneFields)]
_LINE = [field.name for field in fields(LineFields)]


def from_browser(form: MultiDict[str, str]) -> ChallengeFields:
    """What the browser sent; empty rows are dropped. Rows send every field, so that they belong together by place."""
    top = {name: form.get(name, "").strip() for name in _TOP if name in form}
    zones = [ZoneFields(**row) for row in rows_of(form, "zone_", _ZONE, MOST_ROWS)]
    lines = [LineFields(**row) for row in rows_of(form, "line_", _LINE, MOST_ROWS)]
    rules = [" ".join(rule.split()) for rule in form.getlist("rule")[:MOST_ROWS]]
    return ChallengeFields(
        **top,
        zones=tuple(zone for zone in zones if not zone.blank),
        lines=tuple(line for line in lines if not line.blank),
        rules=tuple(filter(None, rules)),
    )


def from_text(text: str) -> ChallengeFields:
    """What a challenge's file says, also where some of it is wrong. Raises ValueError where it is no TOML."""
    data = tomllib.loads(text)
    parcel, card, built = (_table(data.get(name)) for name in ("parcel", "card", "structures"))
    printed = card.get("printed_line")
    along, up = (*printed, None, None)[:2] if isinstance(printed, list) else (printed, None)
    rules, allow = data.get("rules"), data.get("allow")
    return ChallengeFields(
        title=_said(data.get("title")),
        unit=_said(data.get("unit")) or "in",
        width=_said(parcel.get("width")),
        depth=_said(parcel.get("depth")),
        thickness=_said(parcel.get("thickness")),
        surface=_said(card.get("surface")) or "parcel",
        line_along=_said(along),
        line_up=_said(up),
        tape_edge=_said(data.get("tape_edge")) or "middle",
        numbers=_said(data.get("numbers")) or "percent",
        touch_gap=_said(data.get("touch_gap")),
        allow=_said(allow.get(EVERY) if isinstance(allow, dict) else allow),
        judge=_said(built.get("judge")) or "hand",
        photos_show_all="yes" if built.get("photos_show_all") is True else "no",
        zones=tuple(map(_zone, _tables(data.get("zone")))),
        lines=tuple(map(_line, _tables(data.get("line")))),
        rules=tuple(map(_said, rules)) if isinstance(rules, list) else (),
    )


def _zone(zone: dict[str, Any]) -> ZoneFields:
    place_x, place_y = _pair(zone.get("place"))
    size_x, size_y = _pair(zone.get("size"))
    return ZoneFields(
        name=_said(zone.get("name")),
        swatch=_said(zone.get("swatch")),
        kind=_said(zone.get("kind")) or "zone",
        tile=_said(zone.get("tile")),
        aliases=_listed(zone.get("aliases")),
        place_x=place_x,
        place_y=place_y,
        place_within=_said(zone.get("place_within")),
        size_x=size_x,
        size_y=size_y,
        size_within=_said(zone.get("size_within")),
        was=_said(zone.get("name")),
    )


def _line(line: dict[str, Any]) -> LineFields:
    return LineFields(
        name=_said(line.get("name")),
        told=told_by(line),
        aliases=_listed(line.get("aliases")),
        made_of=_listed(line.get("made_of")),
        height=_said(line.get("height")),
        cost=_said(line.get("cost")),
        was=_said(line.get("name")),
    )


def told_by(line: Mapping[str, Any]) -> str:
    """The box or the colour of a line's table; empty where it has none, or both, which is a mistake."""
    given = [_said(line.get(key)) for key in ("swatch", "colour")]
    return "" if all(given) else "".join(given)


def _pair(values: object) -> tuple[str, str]:
    if not isinstance(values, Sequence) or isinstance(values, str) or len(values) != 2:
        return "", ""
    return _said(values[0]), _said(values[1])


def _table(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _tables(value: object) -> list[dict[str, Any]]:
    return [table for table in value if isinstance(table, dict)] if isinstance(value, list) else []


def _listed(value: object) -> str:
    return ", ".join(map(_said, value)) if isinstance(value, list) else ""


def _said(value: object) -> str:
    """A value as a text for a field."""
    if isinstance(value, float):
        return format_number(value) if value == round(value, 4) else repr(value)
    return "" if value is None else str(value)
