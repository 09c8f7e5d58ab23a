"""What of a challenge rules are judged by: its parcel, zones, unit and form of numbers. The challenge itself is one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from measure.numbers import NumberStyle
from measure.rules.compass import Top
from measure.units import Unit

KEEP_CLEAR = "keep-clear"
"""The kind of the zones that a team does not lay out."""


class SettingParcel(Protocol):
    """The parcel as stated; lengths in mm, the area in mm2; north is the side that is north."""

    @property
    def width(self) -> float: ...  # noqa: D102
    @property
    def depth(self) -> float: ...  # noqa: D102
    @property
    def area(self) -> float: ...  # noqa: D102
    @property
    def north(self) -> Top: ...  # noqa: D102


class SettingZone(Protocol):
    """A zone: kind is "zone" or "keep-clear"; the others say where in mm a keep-clear zone belongs, as stated."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def kind(self) -> str: ...  # noqa: D102
    @property
    def place(self) -> tuple[float, float] | None: ...  # noqa: D102
    @property
    def place_within(self) -> float | None: ...  # noqa: D102
    @property
    def size(self) -> tuple[float, float] | None: ...  # noqa: D102
    @property
    def size_within(self) -> float | None: ...  # noqa: D102


class SettingLine(Protocol):
    """A line: its name, and what a unit of its length costs where the challenge says so."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def cost(self) -> float | None: ...  # noqa: D102


class Setting(Protocol):
    """touch_gap is in mm, unit and numbers are those in which values are said."""

    @property
    def parcel(self) -> SettingParcel: ...  # noqa: D102
    @property
    def zones(self) -> Sequence[SettingZone]: ...  # noqa: D102
    @property
    def lines(self) -> Sequence[SettingLine]: ...  # noqa: D102
    @property
    def unit(self) -> Unit: ...  # noqa: D102
    @property
    def touch_gap(self) -> float: ...  # noqa: D102
    @property
    def numbers(self) -> NumberStyle: ...  # noqa: D102


def zones_laid_out(setting: Setting) -> tuple[str, ...]:
    """The zones that a team lays out, in the challenge's order."""
    return tuple(zone.name for zone in setting.zones if zone.kind != KEEP_CLEAR)
