"""The class table in plain text: teams by rules, what the signs mean, then refusals with what to do."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from measure.result.result import Result
from tapeplat.archive.storage.entry import team_name
from tapeplat.paper.pdf.signs import LETTERS
from tapeplat.reports.class_page import ClassContent, Unmeasured, only_refused
from tapeplat.reports.report_content import tally, verdict_of

_BY_HAND = "h"
_LONGEST_NAME = 28


def class_table(content: ClassContent, width: int = 100) -> str:
    """All teams and rules; tables stand one below the other where the rules need more than the width."""
    lines = [content.title] if content.title else []
    if content.results:
        lines += [*_teams(content, width), "", _meaning(width), ""]
        lines += _rules(content, width)
    else:
        lines.append("No model was measured.")
    if content.unmeasured:
        lines += ["", *(line for photos in content.unmeasured for line in _refusal(photos, width))]
    return "\n".join(lines)


def _teams(content: ClassContent, width: int) -> Iterator[str]:
    names = [_short(result.team) for result in content.results]
    refused = [(_short(photos.team), photos) for photos in only_refused(content)]
    first = max(map(len, [*names, *(name for name, _ in refused), "team"]))
    count = len(content.rules)
    column = len(str(count)) + 2
    fit = max(1, (width - first - 10) // column)
    for start in range(0, max(1, count), fit):
        numbers = range(start, min(start + fit, count))
        head = "".join(f"{n + 1:>{column - 1}} " for n in numbers)
        yield f"{'team':{first}} {head} {'' if start else 'met'}".rstrip()
        for name, result in zip(names, content.results, strict=True):
            cells = "".join(f"{_sign(result, content.rules[n]):>{column}}" for n in numbers)
            met = sum(verdict_of(rule) == "met" for rule in result.rules)
            count_met = "" if start else f"  {met}/{len(result.rules)}"
            yield f"{name:{first}} {cells}{count_met}".rstrip()
        for name, photos in [] if start else refused:
            yield f"{name:{first}}  {'photo refused' if photos.reason else 'not measured'}: see below"


def _sign(result: Result, text: str) -> str:
    """A rule's sign with room for the mark of a verdict by hand behind it."""
    rule = next((rule for rule in result.rules if rule.text == text), None)
    if rule is None:
        return "  "
    return LETTERS[verdict_of(rule)] + (_BY_HAND if rule.by_hand else " ")


def _meaning(width: int) -> str:
    signs = "   ".join(f"{sign} {verdict}" for verdict, sign in LETTERS.items())
    return textwrap.fill(f"{signs}   {_BY_HAND} set by hand", width, break_on_hyphens=False)


def _rules(content: ClassContent, width: int) -> Iterator[str]:
    """Every rule's number and sentence with how many teams got which verdict."""
    for number, text in enumerate(content.rules, 1):
        verdicts = [verdict_of(rule) for result in content.results for rule in result.rules if rule.text == text]
        said = f"{number}. {text}: {tally(verdicts).replace(' rules', ' teams').replace(' rule ', ' team ')}"
        yield from textwrap.wrap(said, width, subsequent_indent="   ")


def refusal_said(photos: Unmeasured) -> str:
    """`team 4, 4.jpg: photo refused (blurred): what to do`."""
    why = f"photo refused ({photos.reason})" if photos.reason else "not measured"
    return f"{team_name(photos.team)}, {', '.join(photos.files)}: {why}: {photos.advice}"


def _refusal(photos: Unmeasured, width: int) -> list[str]:
    return textwrap.wrap(refusal_said(photos), width, subsequent_indent="   ", break_long_words=False)


def _short(team: str) -> str:
    return textwrap.shorten(team_name(team), _LONGEST_NAME, placeholder="...") or team_name(team)[:_LONGEST_NAME]
