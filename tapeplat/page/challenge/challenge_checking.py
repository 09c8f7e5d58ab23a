"""A challenge as it is being typed: each rule's reading, and what is wrong, beside the field that it is in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass

from measure.challenge import Challenge, parse_challenge
from measure.challenge.allow_key import allowances, read_allowing
from measure.challenge.line_tables import line_names
from measure.challenge.toml_lines import TomlLines
from measure.errors import InputMistakes, Mistake
from measure.rules.evaluation.rule_advice import rule_advice
from measure.rules.kinds.places.keep_clear import implied_rules
from measure.rules.language.zone_name_checks import name_problem
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.units import UNITS, Unit, parse_number
from tapeplat.page.challenge.challenge_fields import ChallengeFields, ZoneFields
from tapeplat.page.challenge.challenge_writing import written
from tapeplat.wording.sentences import sentence


@dataclass(frozen=True)
class Reading:
    """One rule as it is understood, or what is wrong with it; caret stands under the words that message is about.

    offers are what could be written instead.
    """

    text: str
    reads_as: str = ""
    notes: tuple[str, ...] = ()
    message: str = ""
    caret: str = ""
    offers: tuple[Offer, ...] = ()


@dataclass(frozen=True)
class Checked:
    """A form that was looked through.

    readings are the rules', in the form's order. wrong holds the other mistakes by the name of their field, zones'
    fields as `zone_0_swatch`; those of no field are under an empty name. challenge is None where anything is wrong.
    """

    text: str
    readings: tuple[Reading, ...]
    wrong: dict[str, tuple[str, ...]]
    challenge: Challenge | None
    implied: tuple[str, ...] = ()

    @property
    def mistakes(self) -> int:
        """How many things are to be put right."""
        return sum(map(len, self.wrong.values())) + sum(bool(reading.message) for reading in self.readings)

    @property
    def advice(self) -> tuple[str, ...]:
        """Warnings about the rules together."""
        return self.challenge.notes if self.challenge else ()


def checked(fields: ChallengeFields, before: str = "") -> Checked:
    """Look through a form; before is the text of the file that the form was made from."""
    text = written(fields, before)
    challenge, mistakes = None, tuple[Mistake, ...]()
    try:
        challenge = parse_challenge(text)
    except InputMistakes as found:
        mistakes = found.mistakes
    readings = tuple(_readings(fields, challenge, text))
    wrong: dict[str, list[str]] = {}
    for name, message in (*_own(fields), *_placed(text, mistakes, fields)):
        if not (name and name in wrong):  # one message for a field is enough
            wrong.setdefault(name, []).append(message)
    implied = tuple(rule.reads_as() for rule in implied_rules(challenge)) if challenge else ()
    sound = challenge if not wrong else None
    return Checked(text, readings, {name: tuple(said) for name, said in wrong.items()}, sound, implied)


def _readings(fields: ChallengeFields, challenge: Challenge | None, written_text: str) -> Iterator[Reading]:
    """Every rule by itself, so that one is read while another is still being typed."""
    data = tomllib.loads(written_text)
    allows = allowances(data, lambda *_: None)
    zones = {zone.name: _aliases(zone) for zone in fields.zones if zone.name and not name_problem(zone.name)}
    names = ZoneNames(zones, line_names(data))
    unit: Unit = next((unit for unit in UNITS if unit == fields.unit), "in")
    for text in fields.rules:
        try:
            found = read_allowing(text, names, unit, allows)
        except RuleMistake as wrong:
            line = "".join(letter if letter.isprintable() else " " for letter in wrong.sentence)
            caret = f"{line}\n{' ' * wrong.start}{'^' * (wrong.end - wrong.start)}"
            yield Reading(text, message=wrong.why, caret=caret, offers=wrong.offers)
            continue
        parts = [one.part for one in found]
        odd = tuple(said for part in parts for said in rule_advice(part.rule, challenge.parcel)) if challenge else ()
        notes = tuple(said for part in parts for said in part.warnings)
        yield Reading(text, "; and ".join(map(str, found)), (*notes, *odd))


def _aliases(zone: ZoneFields) -> tuple[str, ...]:
    names = (name.strip() for name in zone.aliases.split(","))
    return tuple(name for name in names if name and not name_problem(name))


_NEEDED = {
    "title": "Give the challenge a name.",
    "width": "Say how wide the parcel is.",
    "depth": "Say how deep the parcel is.",
}
_LENGTHS = ("width", "depth", "thickness", "line_along", "line_up", "touch_gap")
_LINE_NUMBERS = ("height", "cost")
_ZONE_LENGTHS = ("place_x", "place_y", "place_within", "size_x", "size_y", "size_within")


def _own(fields: ChallengeFields) -> Iterator[tuple[str, str]]:
    """Mistakes that a form can have and a file cannot."""
    for name, message in _NEEDED.items():
        if not getattr(fields, name):
            yield name, message
    for name in _LENGTHS:
        yield from _no_number(name, getattr(fields, name))
    for at, zone in enumerate(fields.zones):
        if not zone.name:
            yield f"zone_{at}_name", "Give the zone a name."
        for name in _ZONE_LENGTHS:
            yield from _no_number(f"zone_{at}_{name}", getattr(zone, name))
    for at, line in enumerate(fields.lines):
        if not line.name:
            yield f"line_{at}_name", "Give the line a name."
        for name in _LINE_NUMBERS:
            yield from _no_number(f"line_{at}_{name}", getattr(line, name))
    if not fields.zones:
        yield "zones", "Add at least one zone."


def _no_number(name: str, text: str) -> Iterator[tuple[str, str]]:
    if text:
        try:
            parse_number(text)
        except ValueError as error:
            yield name, _plain(str(error))


_KEYS = {("card", "printed_line"): "line_along", ("card", "surface"): "surface", ("allow", "every"): "allow"}
_CODE = re.compile("`([^`]*)`")
_ROW_KEYS = {"zone": {"place": "place_x", "size": "size_x"}, "line": {"swatch": "told", "colour": "told"}}


def _placed(text: str, mistakes: tuple[Mistake, ...], fields: ChallengeFields) -> Iterator[tuple[str, str]]:
    """The file's mistakes with the field that wrote their line; those of the rules are told beside the rules."""
    if not mistakes:
        return
    field_at = dict(_lines(text))
    for mistake in mistakes:
        name = field_at.get(mistake.number, "") if mistake.number else ""
        if name != "rule" and (name or fields.zones):
            yield name, _plain(f"{mistake.what}; {mistake.do}" if mistake.do else mistake.what)


def _lines(text: str) -> Iterator[tuple[int, str]]:
    """Which field wrote which line."""
    lines, data = TomlLines(text), tomllib.loads(text)
    for key, value in data.items():
        if key == "rules":
            last = lines.of(("rules",)) + len(value) + 1
            yield from ((line, "rule") for line in range(lines.of(("rules",)), last + 1))
        elif key in _ROW_KEYS:
            for at, row in enumerate(value):
                yield lines.of((key, at)), f"{key}_{at}_name"
                for inner in row:
                    yield lines.of((key, at, inner)), f"{key}_{at}_{_ROW_KEYS[key].get(inner, inner)}"
        elif isinstance(value, dict):
            yield from ((lines.of((key, inner)), _KEYS.get((key, str(inner)), str(inner))) for inner in value)
        else:
            yield lines.of((key,)), key


def _plain(text: str) -> str:
    """A sentence for a page, which marks no code; `made_of` is `made of` there."""
    return sentence(_CODE.sub(lambda found: found[1].replace("_", " "), text))
