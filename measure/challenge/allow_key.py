"""`allow` in a challenge file: for every rule, for the rules of a kind, or for single ones; and rules read with it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from measure.challenge.toml_lines import Path
from measure.rules.allowance import Allowance, allowance_of
from measure.rules.amounts import Amount
from measure.rules.evaluation.allowed import Allowances, can_be_allowed, key_of
from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.units import Unit

EVERY, RULE = "every", "rule"
KINDS = (
    "share",
    "size",
    "comparison",
    "distance",
    "place",
    "structures",
    "volume",
    "surface",
    "people",
    "empty land",
    "formula",
)
"""The kinds, by their names in results, whose rules have a measured number."""
_EXAMPLE = 'such as allow = "1/16 in" or allow = "2%"'
_TRIAL = Amount(Fraction(2), "percent")
_EXACTLY = re.compile(r"\bexact(?:ly)?\b|\bsame\b|\bequal|\bas\s+\w+\s+as\b", re.IGNORECASE)
Add = Callable[[Path, str, str], None]


def allowances(data: dict[str, Any], add: Add) -> Allowances:
    """What a challenge's data allow; add is told of what is wrong, with its path."""
    given = data.get("allow")
    if given is None:
        return Allowances()
    if not isinstance(given, dict):
        return Allowances(_said(given, ("allow",), "`allow`", add))
    kinds, every = {}, None
    for key, value in given.items():
        said = None if key == RULE else _said(value, ("allow", key), f"`{key}` of [allow]", add)
        if key == EVERY:
            every = said
        elif key in KINDS and said is not None:
            kinds[key] = said
        elif key != RULE and key not in KINDS:
            add(("allow", key), f"`{key}` is no kind of rule here", _nearest(key))
    return Allowances(every, kinds, dict(_single(given.get(RULE, {}), data, add)))


def _said(value: object, path: Path, label: str, add: Add) -> Allowance | None:
    if not isinstance(value, str):
        add(path, f"{label} is a text", f"write a length with its unit or a per cent, {_EXAMPLE}")
        return None
    try:
        return allowance_of(value)
    except ValueError as error:
        add(path, f'{label} is "{value[:40]}"', str(error))
        return None


def _single(given: object, data: dict[str, Any], add: Add) -> Iterator[tuple[str, Allowance]]:
    """Those of [allow.rule], by their sentences."""
    if not isinstance(given, dict):
        add(("allow", RULE), "[allow.rule] is a table", 'write one line a rule: "SENTENCE" = "1/16 in"')
        return
    rules = data.get("rules", [])
    known = {key_of(text): text for text in rules if isinstance(text, str)} if isinstance(rules, list) else {}
    for sentence, value in given.items():
        path: Path = ("allow", RULE, sentence)
        if key_of(sentence) not in known:
            near = difflib.get_close_matches(key_of(sentence), known, 1)
            do = f'did you mean "{known[near[0]]}"?' if near else "write the rule's sentence as it stands under rules"
            add(path, f'no rule says "{sentence}"', do)
            continue
        said = _said(value, path, "what is allowed of the rule", add)
        if said is not None:
            yield key_of(sentence), said


def _nearest(key: str) -> str:
    options = (EVERY, RULE, *KINDS)
    near = difflib.get_close_matches(key.lower(), options, 1)
    return f"did you mean `{near[0]}`?" if near else f"the keys here are {', '.join(options)}"


@dataclass(frozen=True)
class Allowed:
    """A rule as it is read, and what is allowed beside its limit."""

    part: ReadRule
    allowance: Allowance | None

    def __str__(self) -> str:
        reading = self.part.rule.reads_as()
        return f"{reading} ({self.allowance.words})" if self.allowance else reading


def read_allowing(text: str, names: ZoneNames, unit: Unit, allows: Allowances) -> tuple[Allowed, ...]:
    """The rules that a sentence states; `exactly` needs no `within` where something is allowed. Raises RuleMistake."""
    try:
        found = read_rules(text, names, unit)
    except RuleMistake:
        exact = None if allows.none else _exact(text, names, unit)
        if exact is None or allows.of(text, exact.rule) is None:
            raise
        found = (exact,)
    made = tuple(Allowed(part, allows.of(text, part.rule)) for part in found)
    own = allows.rules.get(key_of(text))
    if own is not None and not any(can_be_allowed(own, part.rule) for part in found):
        raise RuleMistake(text, 0, len(text), f"`{own.text}` cannot be allowed here: {_why(found[0])}")
    return made


def _why(part: ReadRule) -> str:
    limit = part.rule.limit
    if part.rule.kind.name == "formula":
        return "nothing in the rule is measured that it could widen"
    if limit is not None and limit.tolerance is not None:
        return "the rule's own `within` says how near is near enough"
    if limit is None or part.rule.kind.counted or part.rule.kind.by_eye or not part.rule.kind.number_said(part.rule):
        return "the rule has no measured number"
    return "a length says nothing of a volume or of people; write a per cent"


def _exact(text: str, names: ZoneNames, unit: Unit) -> ReadRule | None:
    """`exactly` without `within`, read as if there were one; None where the sentence says something else."""
    if not _EXACTLY.search(text):
        return None
    try:
        found = read_rules(f"{text.rstrip(' .!')}, within 2%", names, unit)
    except RuleMistake:
        return None
    limit = found[0].rule.limit
    if len(found) > 1 or limit is None or limit.relation != "exactly" or limit.tolerance != _TRIAL:
        return None
    return replace(found[0], text=text, rule=replace(found[0].rule, limit=replace(limit, tolerance=None)))
