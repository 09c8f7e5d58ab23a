"""From the form's fields to the challenge's file: what the form does not know, comments and order stay as they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

import tomlkit
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from measure.challenge.allow_key import EVERY
from measure.units import parse_number
from tapeplat.page.challenge.challenge_fields import ChallengeFields, LineFields, ZoneFields, told_by


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
    _put_rows(document, "zone", [_with_former_name(zone, fields.zones) for zone in fields.zones], _put_zone)
    _put_rows(document, "line", [_with_former_name(line, fields.lines) for line in fields.lines], _put_line)
    return tomlkit.dumps(document)


Value = str | float | int | list[Any]
Row = TypeVar("Row", ZoneFields, LineFields)


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


def _put_rows(document: TOMLDocument, key: str, rows: Sequence[Row], put: Callable[[Table, Row], None]) -> None:
    """The zones, or the lines, in the form's order, each with what its table already held."""
    given = document.get(key)
    known = {str(table.get("name", "")): table for table in given} if isinstance(given, AoT) else {}
    if [row.was for row in rows] == list(known):
        for row, table in zip(rows, known.values(), strict=True):
            put(table, row)
        return
    array = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        table.update(known.get(row.was, {}) if row.was else {})
        put(table, row)
        array.append(table)
    document.pop(key, None)
    if rows:
        document[key] = array


def _with_former_name(row: Row, rows: Sequence[Row]) -> Row:
    """The former name of a renamed zone or line becomes another name of it: models are filed under it."""
    taken = {name.strip().casefold() for other in rows for name in _names(other)}
    if not row.was or row.was.casefold() in taken:
        return row
    return replace(row, aliases=", ".join(filter(None, (row.aliases, row.was))))


def _names(row: ZoneFields | LineFields) -> list[str]:
    return [row.name, *_parts(row.aliases)]


def _put_zone(table: Table, zone: ZoneFields) -> None:
    _put(table, "name", zone.name, None)
    _put(table, "aliases", _parts(zone.aliases), [])
    _put(table, "swatch", _whole(zone.swatch))
    _put(table, "tile", _whole(zone.tile))
    _put(table, "kind", zone.kind, "zone")
    _put(table, "place", _pair(zone.place_x, zone.place_y))
    _put(table, "place_within", _number(zone.place_within))
    _put(table, "size", _pair(zone.size_x, zone.size_y))
    _put(table, "size_within", _number(zone.size_within))


def _put_line(table: Table, line: LineFields) -> None:
    _put(table, "name", line.name, None)
    _put(table, "aliases", _parts(line.aliases), [])
    if line.told != told_by(table):  # a file's mistake of having both stays until one is chosen
        in_box = line.told.isdigit()
        _put(table, "swatch", _whole(line.told) if in_box else "")
        _put(table, "colour", "" if in_box else line.told)
    _put(table, "made_of", _parts(line.made_of), [])
    _put(table, "height", _number(line.height))
    _put(table, "cost", _number(line.cost))


def _parts(text: str) -> list[str]:
    """What stands between commas."""
    return [part for piece in text.split(",") if (part := piece.strip())]


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
