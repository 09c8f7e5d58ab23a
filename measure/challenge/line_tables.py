"""The lines of a challenge file: pipes, cables, roads and rails, each told from the others by its box or its colour."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from measure.challenge.challenge_keys import Found, LineKeys, checked
from measure.challenge.challenge_model import Line
from measure.challenge.toml_lines import TomlLines
from measure.name_folding import folded
from measure.rules.language.zone_name_checks import name_problem
from measure.units import Unit, to_mm

_OWN_WORDS = {"line", "lines"}
_NEITHER = (
    'say which box of the card holds a piece of it (swatch = 3), or where no box is left its colour (colour = "black")'
)


def lines_in(data: dict[str, Any], unit: Unit, places: TomlLines, wrong: list[Found]) -> tuple[Line, ...]:
    """The lines that a file's data declare; what is wrong with them is added to `wrong`, each with its line."""
    given = data.get("line", [])
    tables = [(at, raw) for at, raw in enumerate(given) if isinstance(raw, dict)] if isinstance(given, list) else []
    found = [(at, checked(LineKeys, raw, ("line", at), places, wrong)) for at, raw in tables]
    sound = [(at, keys) for at, keys in found if keys is not None]
    for at, what, do in _told_apart(sound, data.get("zone")):
        wrong.append(Found(places.of(("line", *at)), what, do))
    return tuple(_line(keys, unit) for _, keys in sound)


def line_names(data: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    """Every line's name with its aliases, of a file's data that may have mistakes; what is no text is left out."""
    given = data.get("line", [])
    tables = [raw for raw in given if isinstance(raw, dict)] if isinstance(given, list) else []
    named = [(raw["name"], raw.get("aliases")) for raw in tables if isinstance(raw.get("name"), str)]
    return {
        name: tuple(alias for alias in aliases if isinstance(alias, str)) if isinstance(aliases, list) else ()
        for name, aliases in named
        if not name_problem(name)
    }


def _told_apart(lines: list[tuple[int, LineKeys]], zones: object) -> Iterator[tuple[tuple[int | str, ...], str, str]]:
    """What leaves a line without a colour of its own: the place below `line`, what is wrong, what to do."""
    boxes = _tapes(zones)
    colours: dict[str, str] = {}
    for at, keys in lines:
        if {folded(name) for name in (keys.name, *keys.aliases)} & _OWN_WORDS:
            yield (at, "name"), "the rules use `line` for every line", "call it by what it is, such as road or pipe"
        colour = _plain(keys.colour)
        if keys.swatch is None and colour is None:
            yield (at, "name"), f"line {keys.name} has neither a swatch nor a colour", _NEITHER
        elif keys.swatch is not None and colour is not None:
            do = "leave `colour` out: the piece in the box tells it better"
            yield (at, "colour"), f"line {keys.name} has a swatch and a colour", do
        if keys.swatch in boxes:
            do = f"give {keys.name} a box of its own, or say its `colour` instead"
            yield (at, "swatch"), f"box {keys.swatch} holds the tape or piece of {boxes[keys.swatch]}", do
        elif keys.swatch is not None:
            boxes[keys.swatch] = f"line {keys.name}"
        if colour in colours:
            do = "give one of them another colour, or a box of the card"
            yield (at, "colour"), f"lines {colours[colour]} and {keys.name} are both {colour}", do
        elif colour is not None:
            colours[colour] = keys.name


def _tapes(zones: object) -> dict[int | None, str]:
    """Whose tape is in which box, of the zones as the file has them."""
    raw = [zone for zone in zones if isinstance(zone, dict)] if isinstance(zones, list) else []
    return {zone["swatch"]: f"zone {zone.get('name')}" for zone in raw if isinstance(zone.get("swatch"), int)}


def _plain(colour: str | None) -> str | None:
    return "grey" if colour == "gray" else colour


def _line(keys: LineKeys, unit: Unit) -> Line:
    return Line(
        name=keys.name,
        swatch=keys.swatch,
        colour="grey" if keys.colour == "gray" else keys.colour,
        aliases=tuple(keys.aliases),
        made_of=tuple(keys.made_of),
        height=None if keys.height is None else to_mm(keys.height, unit),
        cost=keys.cost,
    )
