"""From the form's fields to the challenge's file: what the form does not know, comments and order stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from measure.challenge.allow_key import EVERY
from measure.units import parse_number
from tapeplat.page.challenge.challenge_fields import ChallengeFields, ZoneFields


def written(fields: ChallengeFields, before: str = "") -> str:
    """The file's text after the form was filled in; before is the text that the form was made from.

    What is no number is written as it was typed: the challenge's own checks then say so, and nothing is lost.
    """
    document = tomlkit.parse(before) if before else tomlkit.document()
    for key, value, default in (
        ("title", fields.title, None),
        ("unit", fields.unit, None),
        ("tape_edge", fields.tape_edge, "middle"),
        ("numbers", fields.numbers, "percent"),
        ("touch_gap", _number(fields.touch_gap), ""),
    ):
        _put(document, key, value, default)
    _put_allow(document, fields.allow)
    _put_rules(document, fields.rules)
    _put_parcel(document, fields)
    _put_card(document, fields)
    _put_structures(document, fields)
    _put_zones(document, [_with_former_name(zone, fields.zones) for zone in fields.zones])
    return tomlkit.dumps(document)


Value = str | float | int | list[Any]


def _put(table: TOMLDocument | Table, key: str, value: Value, default: Value | None = "") -> None:
    """Set a key, or take it out where it has its default and was not there."""
    if value == table.get(key):
        return
    if value == default and default == "":
        table.pop(key, None)
    elif value != default or key in table:
        table[key] = value


def _put_allow(document: TOMLDocument, allow: str) -> None:
    """For every rule; what a file allows of kinds and of single rules stays."""
    given = document.get("allow")
    if isinstance(given, Table):
        _put(given, EVERY, allow)
    else:
        _put(document, "allow", allow)


def _put_rules(document: TOMLDocument, rules: Sequence[str]) -> None:
    if list(rules) == document.get("rules", []):
        return
    array = tomlkit.array()
    array.extend(rules)
    document["rules"] = array.multiline(bool(rules))


def _put_parcel(document: TOMLDocument, fields: ChallengeFields) -> None:
    parcel = _own_table(document, "parcel")
    _put(parcel, "width", _number(fields.width))
    _put(parcel, "depth", _number(fields.depth))
    _put(parcel, "thickness", _number(fields.thickness))


def _put_card(document: TOMLDocument, fields: ChallengeFields) -> None:
    along, up = _number(fields.line_along), _number(fields.line_up)
    if "card" not in document and fields.surface == "parcel" and along == "" and up == "":
        return
    card = _own_table(document, "card")
    _put(card, "surface", fields.surface, "parcel")
    _put(card, "printed_line", [along, up] if up != "" else along)


def _put_structures(document: TOMLDocument, fields: ChallengeFields) -> None:
    if "structures" not in document and fields.judge == "hand" and fields.photos_show_all != "yes":
        return
    built = _own_table(document, "structures")
    _put(built, "judge", fields.judge, "hand")
    _put(built, "photos_show_all", fields.photos_show_all == "yes", False)


def _put_zones(document: TOMLDocument, zones: Sequence[ZoneFields]) -> None:
    """The zones in the form's order, each with what its table already held."""
    given = document.get("zone")
    known = {str(table.get("name", "")): table for table in given} if isinstance(given, AoT) else {}
    if [zone.was for zone in zones] == list(known):
        for zone, table in zip(zones, known.values(), strict=True):
            _put_zone(table, zone)
        return
    array = tomlkit.aot()
    for zone in zones:
        table = tomlkit.table()
        table.update(known.get(zone.was, {}) if zone.was else {})
        _put_zone(table, zone)
        array.append(table)
    document.pop("zone", None)
    if zones:
        document["zone"] = array


def _with_former_name(zone: ZoneFields, zones: Sequence[ZoneFields]) -> ZoneFields:
    """The former name of a renamed zone becomes another name of it: models are filed under it."""
    taken = {name.strip().casefold() for other in zones for name in (other.name, *other.aliases.split(","))}
    if not zone.was or zone.was.casefold() in taken:
        return zone
    return replace(zone, aliases=", ".join(filter(None, (zone.aliases, zone.was))))


def _put_zone(table: Table, zone: ZoneFields) -> None:
    _put(table, "name", zone.name, None)
    _put(table, "aliases", [name for part in zone.aliases.split(",") if (name := part.strip())], [])
    _put(table, "swatch", _whole(zone.swatch))
    _put(table, "tile", _whole(zone.tile))
    _put(table, "kind", zone.kind, "zone")
    _put(table, "place", _pair(zone.place_x, zone.place_y))
    _put(table, "place_within", _number(zone.place_within))
    _put(table, "size", _pair(zone.size_x, zone.size_y))
    _put(table, "size_within", _number(zone.size_within))


def _own_table(document: TOMLDocument, name: str) -> Table:
    table = document.get(name)
    if not isinstance(table, Table):
        table = tomlkit.table()
        document[name] = table
    return table


def _pair(first: str, second: str) -> Value:
    return [_number(first), _number(second)] if first or second else ""


def _number(text: str) -> float | int | str:
    """What was typed as a number, `4 1/2` too; as typed where it is none, empty where nothing was."""
    try:
        number = parse_number(text)
    except ValueError:
        return text
    return int(number) if number.denominator == 1 else round(float(number), 6)


def _whole(text: str) -> int | str:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else text
