"""How a result file holds structures: those of a table and those that photos show in one list, told by `from`."""

from __future__ import annotations

from typing import Any

ORIGINS = ("photos", "marked photo")
"""What `from` says of a structure that photos show."""


def parted(parsed: dict[str, Any]) -> dict[str, Any]:
    """A file's content with the structures that photos show, as `seen`, apart from those of a table."""
    there = parsed.get("structures", [])
    if not isinstance(there, list):
        return {**parsed, "seen": []}
    seen = [isinstance(one, dict) and one.get("from") in ORIGINS for one in there]
    table, photos = (
        [one for is_seen, one in zip(seen, there, strict=True) if is_seen is wanted] for wanted in (False, True)
    )
    return {**parsed, "structures": table, "seen": [{**one, "origin": one["from"]} for one in photos]}


def joined(table: list[Any], seen: list[dict[str, Any]]) -> list[Any]:
    """Both in one list, those of the table first."""
    return [*table, *({"from": one.pop("origin"), **one} for one in seen)]


def joined_form(schema: dict[str, Any]) -> dict[str, Any]:
    """The JSON Schema of a result, whose `seen` are apart, as that of a file."""
    schema["properties"].pop("seen")
    photos = schema["$defs"]["SeenStructure"]
    photos["properties"] = {"from": {"enum": list(ORIGINS)}, **photos["properties"]}
    photos["properties"].pop("origin")
    photos["required"] = ["from", *photos["required"]]
    structures = schema["properties"]["structures"]
    structures["items"] = {"anyOf": [structures["items"], {"$ref": "#/$defs/SeenStructure"}]}
    return schema
