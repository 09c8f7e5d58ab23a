"""Whose photo it is, read from its file's name; None where the name says nothing of a team.

`team-3`, `Team 3 b`, `3a` and `3-1` are team 3; `Blue Herons 1` is a photo of the Blue Herons; `IMG_1234` is a
camera's name.  A letter behind a name (`Blue Herons a`) counts a team's photos only where its other photos are there.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping

from measure.teams import team_key

_MARKS = re.compile(r"[\s_\-–—.,()\[\]#]+")
_WORD = r"(?:team|group|table|model|board|station)"
_VIEW = r"(?:photo|picture|pic|view|shot|image|img|copy|top|left|right|front|back)"
_NUMBER = rf"(?:{_WORD}\s?0*(?P<long>\d+)|0*(?P<short>\d{{1,3}}))"
"""Four digits and more are a team's only behind such a word; alone they are a camera's."""
_NUMBERED = re.compile(rf"{_NUMBER}(?:\s?[a-z])?(?:\s{_VIEW})?(?:\s\d{{1,2}})?", re.IGNORECASE)
_LETTERED = re.compile(rf"(?:{_WORD}\s)?([a-z])(?:\s{_VIEW})?(?:\s?\d{{1,2}})?", re.IGNORECASE)
_NAMED = re.compile(rf"(?:team\s)?(.*?[^\W\d_].*?)(?:\s{_VIEW})?(?:\s?(?<!\d)\d{{1,2}})?(?:\s{_VIEW})?", re.IGNORECASE)
_CAMERA = re.compile(
    r"(?:img|dscn?|dscf|dsc|pxl|mvimg|image|photo|picture|pic|foto|bild|scan|screenshot|cimg|gopr|hpim|snap|signal|"
    r"whatsapp image|p\d{4}|wp|untitled|unnamed)"
    r"(?:\s?\d+|\s(?:at|am|pm|mp|hdr|wa\d+|portrait|night|burst|cover|edited))*",
    re.IGNORECASE,
)
_DIGITS = re.compile(r"[\d\s]*\d{4}[\d\s]*|[0-9a-f]{8}(?:\s[0-9a-f]{4}){3}\s[0-9a-f]{12}", re.IGNORECASE)
_LAST_LETTER = re.compile(r"(.+)\s[a-z]", re.IGNORECASE)


def team_of_name(stem: str) -> str | None:
    """The team that a file's name (without its ending) names: a number's digits, a letter, or the name as written."""
    plain = _plain(stem)
    if not plain or re.fullmatch(_WORD, plain, re.IGNORECASE) or _CAMERA.fullmatch(plain) or _DIGITS.fullmatch(plain):
        return None
    if found := _NUMBERED.fullmatch(plain):
        return found["long"] or found["short"]
    if found := _LETTERED.fullmatch(plain):
        return found[1].upper()
    found = _NAMED.fullmatch(plain)
    return found[1] if found else None


def teams_of_names(stems: Iterable[str]) -> Mapping[str, str | None]:
    """The team of every name, read beside the others: of names that differ in a last letter alone it is left off."""
    teams = {stem: team_of_name(stem) for stem in stems}
    letters: dict[str, set[str]] = {}
    for team in filter(None, teams.values()):
        if found := _LAST_LETTER.fullmatch(team):
            letters.setdefault(team_key(found[1]), set()).add(team_key(team))
    together = {key for key, names in letters.items() if len(names) > 1}
    return {stem: _without_letter(team, together) for stem, team in teams.items()}


def team_of_folder(name: str) -> str:
    """The team that a subfolder is named by: `Team 3` is team 3, other names stand as they are."""
    found = re.fullmatch(_NUMBER, _plain(name), re.IGNORECASE)
    return found["long"] or found["short"] if found else " ".join(unicodedata.normalize("NFC", name).split())


def in_order(team: str) -> tuple[int, int, str]:
    """A key to sort teams by: numbers first, by their size, then names."""
    key = team_key(team)
    return (0, len(key), key) if key.isascii() and key.isdigit() else (1, 0, key)


def _plain(name: str) -> str:
    return _MARKS.sub(" ", unicodedata.normalize("NFC", name)).strip()


def _without_letter(team: str | None, together: set[str]) -> str | None:
    found = _LAST_LETTER.fullmatch(team or "")
    return found[1] if found and team_key(found[1]) in together else team
