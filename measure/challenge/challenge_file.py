"""Reading and checking a challenge file."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass, field, replace
from typing import Any

from measure.challenge.allow_key import allowances, read_allowing
from measure.challenge.challenge_keys import (
    CardKeys,
    Found,
    Model,
    ParcelKeys,
    PriorKeys,
    StructureKeys,
    TopKeys,
    ZoneKeys,
    checked,
)
from measure.challenge.challenge_model import TOUCH_GAP, Card, Challenge, Parcel, Priors, StructuresSaid, Zone
from measure.challenge.line_tables import lines_in
from measure.challenge.toml_lines import Path as TomlPath
from measure.challenge.toml_lines import TomlLines
from measure.challenge.typing_slips import DOUBLE, comma_slip, syntax_mistake
from measure.content_kinds import WORDS, kind_of
from measure.errors import InputMistakes, Mistake
from measure.file_content import Readable, bytes_of
from measure.name_folding import folded
from measure.rules.evaluation.rule_advice import challenge_advice, rule_advice
from measure.rules.language.zone_name_checks import name_problem, name_warning
from measure.rules.language.zone_names import ZoneNames, forms
from measure.rules.rule import RuleLine
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.units import UNITS, Unit, to_mm

LARGEST_FILE = 1_000_000
"""Bytes: a challenge is a page of text."""
ALONG, UP = 100.0, 80.0
"""mm: the card's check lines as designed."""
_STEERING = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_LEAST_SIDE = 10.0
"""mm of a parcel: tapes are about as broad."""
_PLAUSIBLE = (0.8, 1.25)
"""A print scaled by more than this does not fit its page, or is no print of the card: the number is a slip."""


def read_challenge(file: Readable) -> Challenge:
    """The challenge in a file. Raises InputMistakes with everything that is wrong with it, each with its line."""
    return parse_challenge(_text(file), file.name)


def parse_challenge(text: str, name: str = "the challenge") -> Challenge:
    """The challenge in a file's text; messages call the file by its name. Raises InputMistakes as read_challenge."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputMistakes([syntax_mistake(name, text, str(error))]) from None
    except ValueError:  # a whole number of thousands of digits
        raise InputMistakes([Mistake(name, "a number in it has thousands of digits", "write it shorter")]) from None
    reader = _Reader(data, TomlLines(text))
    challenge = reader.challenge()
    if challenge is None:
        found = sorted(dict.fromkeys(reader.wrong), key=lambda wrong: wrong.line)
        raise InputMistakes(wrong.mistake(name) for wrong in found)
    return challenge


def _text(file: Readable) -> str:
    """The file's text, its lines ending as this program's do."""
    try:
        data = bytes_of(file, LARGEST_FILE)
        if data is None:
            raise InputMistakes([Mistake(file.name, "this is too large for a challenge file", "name a TOML file")])
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputMistakes([Mistake(str(file), f"cannot be read: {reason}", "check the file's name")]) from None
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        kind = kind_of(error.object)
        if kind in ("photo", "document", "office", "film"):
            what = f"this is {WORDS[kind]}, and no challenge"
            raise InputMistakes([Mistake(file.name, what, "name the challenge's TOML file")]) from None
        word = _word_at(error.object, error.start)
        what = f"{word} is not written as UTF-8 text" if word else "this is not plain text (UTF-8)"
        raise InputMistakes([Mistake(f"{file.name}, line {line}", what, "save the file as UTF-8 text")]) from None


def _word_at(content: bytes, at: int) -> str:
    """The word around a byte that is no UTF-8, as most editors mean it (Windows-1252); empty where it is none."""
    start = max((content.rfind(mark, 0, at) for mark in b" \"'\n\t"), default=-1) + 1
    found = re.match(r"[\w-]{2,40}", content[start : start + 60].decode("cp1252", "replace"))
    return found[0] if found else ""


@dataclass
class _Reader:
    """Builds the challenge and collects what is wrong; later checks go on with what earlier ones found sound."""

    data: dict[str, Any]
    lines: TomlLines
    wrong: list[Found] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def challenge(self) -> Challenge | None:
        """The challenge, or None where something is wrong."""
        unit: Unit = next((unit for unit in UNITS if unit == self.data.get("unit")), "in")
        for table in ("zone", "line"):
            if isinstance(self.data.get(table), dict):
                self._add((table,), DOUBLE.replace("zone", table), f"write [[{table}]] in place of [{table}]")
                return None
        self._check_letters()
        top = checked(TopKeys, self.data, (), self.lines, self.wrong)
        parcel_keys = self._table(ParcelKeys, "parcel")
        card = self._card(self._table(CardKeys, "card", {}))
        priors = self._table(PriorKeys, "priors", {})
        built = self._table(StructureKeys, "structures", {})
        parcel = self._parcel(parcel_keys, unit) if parcel_keys else None
        zones = self._zones(unit, parcel)
        lines = lines_in(self.data, unit, self.lines, self.wrong)
        rules = self._rules(self._names(), unit, parcel)
        if self.wrong or top is None or parcel is None or card is None or priors is None or built is None:
            return None
        made = Challenge(
            title=top.title,
            unit=unit,
            parcel=parcel,
            zones=zones,
            rules=rules,
            tape_edge=top.tape_edge,
            touch_gap=TOUCH_GAP if top.touch_gap is None else to_mm(top.touch_gap, unit),
            numbers=top.numbers,
            shapes=top.shapes,
            card=card,
            priors=Priors(**priors.model_dump()),
            lines=lines,
            structures=StructuresSaid(**built.model_dump()),
        )
        return replace(made, notes=(*self.notes, *challenge_advice(made)))

    def _add(self, path: TomlPath, what: str, do: str = "") -> None:
        self.wrong.append(Found(self.lines.of(path), what, do))

    def _table(self, model: type[Model], name: str, default: dict[str, Any] | None = None) -> Model | None:
        """A table's keys; a table that is missing, or is no table, is TopKeys' to report."""
        data = self.data.get(name, default)
        return checked(model, data, (name,), self.lines, self.wrong) if isinstance(data, dict) else None

    def _card(self, keys: CardKeys | None) -> Card | None:
        if keys is None:
            return None
        parcel = self.data.get("parcel")
        if keys.surface == "table" and isinstance(parcel, dict) and "thickness" not in parcel:
            do = "measure the board's thickness and add it under [parcel]"
            self._add(("card", "surface"), "a card on the table needs the parcel's `thickness`", do)
        measured = keys.printed_line if isinstance(keys.printed_line, list) else [keys.printed_line]
        if keys.printed_line is None:
            return Card(keys.surface)
        slip = comma_slip(keys.printed_line)
        if slip or not 1 <= len(measured) <= 2 or not all(_is_number(length) for length in measured):
            do = slip or "such as [100.0, 80.0], or one number where only one line was measured"
            self._add(("card", "printed_line"), "`printed_line` is the length in mm of the lines along and up", do)
            return None
        for length, designed in zip(measured, (ALONG, UP), strict=False):
            if not _PLAUSIBLE[0] <= length / designed <= _PLAUSIBLE[1]:
                what = f"`printed_line` is {length:g}, and that line is near {designed:g} mm on every usable print"
                self._add(("card", "printed_line"), what, "measure it again, in mm")
                return None
        return Card(keys.surface, float(measured[0]), float(measured[1]) if len(measured) == 2 else None)

    def _parcel(self, keys: ParcelKeys, unit: Unit) -> Parcel | None:
        width, depth = to_mm(keys.width, unit), to_mm(keys.depth, unit)
        thin = [name for name, side in (("width", width), ("depth", depth)) if side < _LEAST_SIDE]
        for name in thin:
            what = f"`{name}` of [parcel] is {getattr(keys, name):g} {unit}, and no tape fits into that"
            self._add(("parcel", name), what, "give the parcel's sides in the challenge's unit")
        thickness = None if keys.thickness is None else to_mm(keys.thickness, unit)
        return None if thin else Parcel(width, depth, thickness, keys.north)

    def _check_letters(self) -> None:
        """Title and rules are shown as they are typed, so they hold nothing that steers a terminal."""
        rules = self.data.get("rules", [])
        stated = [(("rules", at), text) for at, text in enumerate(rules if isinstance(rules, list) else [])]
        for path, text in [(("title",), self.data.get("title")), *stated]:
            if isinstance(text, str) and _STEERING.search(text):
                self._add(path, "this text holds characters that steer a terminal, and no letters", "type it anew")

    # ---- zones

    def _raw_zones(self) -> list[tuple[int, dict[str, Any]]]:
        return self._raw_tables("zone")

    def _raw_tables(self, name: str) -> list[tuple[int, dict[str, Any]]]:
        given = self.data.get(name)
        return [(at, raw) for at, raw in enumerate(given) if isinstance(raw, dict)] if isinstance(given, list) else []

    def _zones(self, unit: Unit, parcel: Parcel | None) -> tuple[Zone, ...]:
        made = []
        for at, raw in self._raw_zones():
            keys = checked(ZoneKeys, raw, ("zone", at), self.lines, self.wrong)
            if keys is not None:
                self._check_zone(at, keys, unit, parcel)
                made.append(_zone(keys, unit))
        self._check_tiles()
        return tuple(made)

    def _check_zone(self, at: int, keys: ZoneKeys, unit: Unit, parcel: Parcel | None) -> None:
        for where, within in (("place", "place_within"), ("size", "size_within")):
            there, tolerance = getattr(keys, where) is not None, getattr(keys, within) is not None
            if there != tolerance:
                missing, given = (within, where) if there else (where, within)
                self._add(("zone", at, given), f"`{given}` of zone {keys.name} needs `{missing}` beside it")
            if there and keys.kind != "keep-clear":
                do = 'add kind = "keep-clear", or leave it out'
                self._add(("zone", at, where), f"`{where}` is for keep-clear zones, and {keys.name} is not one", do)
        if parcel is None:
            return
        sides = (parcel.width, parcel.depth)
        for key, pair in (("place", keys.place), ("size", keys.size)):
            if pair is not None and any(to_mm(side, unit) > most for side, most in zip(pair, sides, strict=True)):
                self._add(
                    ("zone", at, key),
                    f"`{key}` of zone {keys.name} reaches beyond the parcel",
                    "lengths are in the challenge's unit",
                )

    def _check_tiles(self) -> None:
        """A tape that several zones share names only one of them by itself; a tile names one zone."""
        without: dict[int, str] = {}
        tiles: dict[int, str] = {}
        for at, raw in self._raw_zones():
            swatch, tile, name = raw.get("swatch"), raw.get("tile"), str(raw.get("name", f"number {at + 1}"))
            if isinstance(tile, int) and not isinstance(tile, bool):
                if tile in tiles:
                    self._add(
                        ("zone", at, "tile"),
                        f"tile {tile} already names zone {tiles[tile]}",
                        f"give {name} another tile, 50 to 89",
                    )
                tiles.setdefault(tile, name)
            elif isinstance(swatch, int) and not isinstance(swatch, bool) and tile is None:
                if swatch in without:
                    what = f"zones {without[swatch]} and {name} have the same tape, swatch {swatch}"
                    self._add(("zone", at, "swatch"), what, f"give {name} a `tile`, or a tape of its own")
                without.setdefault(swatch, name)

    def _names(self) -> ZoneNames:
        """Every name and alias, each used once."""
        owners: dict[str, str] = {}
        names: dict[str, tuple[str, ...]] = {}
        lines: dict[str, tuple[str, ...]] = {}
        given = [("zone", at, raw, names) for at, raw in self._raw_zones()]
        given += [("line", at, raw, lines) for at, raw in self._raw_tables("line")]
        for table, at, raw, found in given:
            name, aliases = raw.get("name"), raw.get("aliases")
            if not isinstance(name, str):
                continue
            said: list[tuple[str, TomlPath]] = [(name, (table, at, "name"))]
            if isinstance(aliases, list):
                said += [
                    (alias, (table, at, "aliases", i)) for i, alias in enumerate(aliases) if isinstance(alias, str)
                ]
            sound = [form for form, path in said if self._usable(form, path, str(name), owners)]
            if name in sound and name not in found:
                found[name] = tuple(form for form in sound if form != name)
        return ZoneNames(names, lines)

    def _usable(self, form: str, path: TomlPath, name: str, owners: dict[str, str]) -> bool:
        """Whether sentences may use the name; one used twice may, so that no further mistakes follow from it."""
        problem = name_problem(form)
        if problem:
            self._add(path, f'"{form}" cannot be a {path[0]}\'s name', problem)
            return False
        taken = next((owners[other] for other in sorted(forms(folded(form))) if other in owners), None)
        if taken is not None and (taken != name or folded(form) in owners):
            do = f"every {path[0]} needs names of its own, singular and plural too"
            self._add(path, f'the name "{form}" is used twice', do)
            return True
        owners.setdefault(folded(form), name)
        note = name_warning(form) if path[0] == "zone" else None
        self.notes += [note] if note else []
        return True

    # ---- rules

    def _rules(self, names: ZoneNames, unit: Unit, parcel: Parcel | None) -> tuple[RuleLine, ...]:
        given = self.data.get("rules", [])
        allows = allowances(self.data, self._add)
        made = []
        for at, text in enumerate(given if isinstance(given, list) else []):
            if not isinstance(text, str):
                continue
            try:
                found = read_allowing(text, names, unit, allows)
            except RuleMistake as mistake:
                self._add(("rules", at), mistake.shown())
                continue
            for one in found:
                part, line = one.part, self.lines.of(("rules", at))
                odd = rule_advice(part.rule, parcel) if parcel else ()
                made.append(RuleLine(part.text, part.rule, line, (*part.warnings, *odd), one.allowance))
        return tuple(made)


def _zone(keys: ZoneKeys, unit: Unit) -> Zone:
    def length(value: float | None) -> float | None:
        return None if value is None else to_mm(value, unit)

    def pair(values: list[float] | None) -> tuple[float, float] | None:
        return None if values is None else (to_mm(values[0], unit), to_mm(values[1], unit))

    return Zone(
        name=keys.name,
        swatch=keys.swatch,
        aliases=tuple(keys.aliases),
        tile=keys.tile,
        kind=keys.kind,
        tape_height=to_mm(keys.tape_height, unit),
        place=pair(keys.place),
        place_within=length(keys.place_within),
        size=pair(keys.size),
        size_within=length(keys.size_within),
        subtract_inside=keys.inside == "subtract",
    )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
