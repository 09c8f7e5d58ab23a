"""A sentence as teachers say it, as the grammar's own sentences: by its mould, all of it or not at all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from measure.rules.language.everyday_words import plainly
from measure.rules.language.limits_said import with_limits
from measure.rules.language.masked import Masked, masked
from measure.rules.language.people_said import with_subjects
from measure.rules.language.zone_names import ZoneNames

_FILE = Path(__file__).with_name("rewordings.txt")
_SLOT = re.compile(r"\{(g|G?)([A-Z])(\d)\}")
_SHARES = "[PF]"
_TIMES = "[XN]"


@dataclass(frozen=True)
class Reworded:
    """What the grammar is to read; offered: only to be offered, since a guess would be in it."""

    sentences: tuple[str, ...]
    offered: bool = False


@dataclass(frozen=True)
class _Mould:
    pattern: re.Pattern[str]
    made: str
    offered: bool
    groups: bool
    """Whether it is of whoever (W), or of zones one by one (Z)."""


def reworded(sentence: str, zones: ZoneNames) -> Reworded | None:
    """The grammar's sentence for a plain() one; None where no mould fits the whole of it."""
    single, grouped = _prepared(sentence, zones)
    return _fitted(single, grouped) or _listed(single) or _parted(grouped)


def _fitted(single: Masked, grouped: Masked) -> Reworded | None:
    for mould in _moulds():
        made = grouped if mould.groups else single
        found = mould.pattern.fullmatch(made.text)
        if found is not None:
            return _filled(mould, found, made)
    return None


_ITEM = r"(?:an? |one |some )?(?:G?N\d+ )?Z\d+"
_NEEDED = re.compile(
    rf"(?:you |parcel |model |settlement |we |every team |every settlement )?(?:have|include|build|there be) "
    rf"(?P<items>{_ITEM}(?:(?:, and |, | and ){_ITEM})+)"
)


def _listed(made: Masked) -> Reworded | None:
    """`you must have a school, a lake and at least 4 homes`."""
    found = _NEEDED.fullmatch(made.text)
    if found is None:
        return None
    said = []
    for item in re.findall(r"(G?N\d+ )?(Z\d+)", found["items"]):
        zone = made.said(item[1])
        said.append(f"there are {made.said(item[0].strip())} pieces of {zone}" if item[0] else f"there is a {zone}")
    return Reworded(tuple(said))


_PARTS = re.compile(r"(?:, and |, but |; | and | but )(?:it |they )?(?:also )?")
_VERB = re.compile(r"(?:be|touch|cover|not|have|overlap|within|larger|smaller|closer|farther|G?[LSPF]\d+)\b")


_NOT_EACH = re.compile(r"(?:no |nothing|neither|at |¤|\^|~|exactly|between|more|less)")
"""What holds of none or of some twice over need not hold of the same ones."""


def _parted(made: Masked) -> Reworded | None:
    """`the park must touch the school, and it must be at least 30 sq in`: each part is a rule of the same subject."""
    subject = re.match(r"W\d+ ", made.text)
    if subject is None or re.match(
        r"(?:no |nothing|neither|at |¤|\^|~|exactly|between|more|less)", made.said(subject[0])
    ):
        return None
    for cut in _PARTS.finditer(made.text):
        rest = made.text[cut.end() :]
        if not _VERB.match(rest):
            continue
        second = rest if re.match(r"(?:be|touch|cover|not|have|overlap)\b", rest) else f"be {rest}"
        halves = [_part(made, made.text[: cut.start()]), _part(made, f"{subject[0]}{second}")]
        if all(half is not None and not half.offered for half in halves):
            return Reworded(tuple(text for half in halves if half is not None for text in half.sentences))
    return None


def _part(made: Masked, text: str) -> Reworded | None:
    part = Masked(text.strip(" ,"), made.meant, made.plural, made.values)
    return _fitted(Masked(), part) or _parted(part)


def mould_of(sentence: str, zones: ZoneNames) -> Masked:
    """The sentence in signs, for who looks for what a mould lacks."""
    return _prepared(sentence, zones)[1]


def _prepared(sentence: str, zones: ZoneNames) -> tuple[Masked, Masked]:
    """The mould with zones one by one, and with whoever it speaks of."""
    single = masked(sentence, zones)
    single.text = plainly(single.text)
    with_limits(single)
    single.text = plainly(single.text)
    grouped = Masked(single.text, list(single.meant), set(single.plural), dict(single.values))
    with_subjects(grouped)
    return single, grouped


def _filled(mould: _Mould, found: re.Match[str], made: Masked) -> Reworded | None:
    said = {name: made.said(sign) for name, sign in found.groupdict().items() if sign}
    text = mould.made
    ways = [part for part in found.groups() if part in ("north", "south", "east", "west", "length", "width")]
    text = text.replace("{way}", ways[0] if ways else "")
    for name, words in said.items():
        text = text.replace(f"{{{name}}}", words)
    return _agreed(text, mould.offered)


def _agreed(text: str, offered: bool) -> Reworded | None:
    """`~` turns a rule round; `@all of` and `¤a` are the grammar's where they are clear."""
    if "~" in text:
        turned = [(" touches ", " does not touch "), (" overlaps ", " does not overlap ")]
        before = text
        for verb, denied in turned:
            text = text.replace(verb, denied)
        if before == text or "does not does" in text:
            return None
        text = text.replace("~", "")
    least = re.search(r"\b(?:at least|more than)\b", text)
    if text.startswith(("¤", "^")) or ("¤" in text and least):
        return None
    if "^" in text and not (least or re.search(r"\bat most|not |^no ", text)):
        return None
    plain = text.replace("@all of", "all of").replace("¤a ", "").replace("^", "")
    return Reworded((plain,), offered)


@cache
def _moulds() -> tuple[_Mould, ...]:
    return tuple(_read(_FILE.read_text(encoding="utf-8")))


def _read(text: str) -> Iterator[_Mould]:
    for line in text.splitlines():
        if line and not line.startswith("#"):
            before, _, after = line.partition(" => ")
            pattern = _SLOT.sub(_slot, before)
            offered = after.startswith("!")
            yield _Mould(re.compile(pattern), after.lstrip("! "), offered, "{Z" not in before)


def _slot(found: re.Match[str]) -> str:
    limit, letter, number = found.groups()
    kinds = {"P": _SHARES, "X": _TIMES, "F": _SHARES}.get(letter, letter)
    mark = {"g": "G?", "G": "G", "": ""}[limit]
    return rf"(?P<{limit}{letter}{number}>{mark}{kinds}\d+)"
