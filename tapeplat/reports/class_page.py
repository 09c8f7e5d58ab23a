"""The class at a glance: which rules were hard, the teams by the rules, what could not be measured."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.colors import Color
from reportlab.platypus import Flowable, Table, TableStyle

from measure.result.result import Result
from measure.rules.verdict import VERDICTS, Verdict
from measure.teams import team_key
from tapeplat.annotate.palette import VERDICT_COLOURS
from tapeplat.archive.storage.entry import team_name
from tapeplat.paper.pdf.flow import flow, para, section, space
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import MARGIN, POINTS_PER_MM, Pages
from tapeplat.paper.pdf.signs import Sign, sign_height
from tapeplat.reports.report_content import verdict_of

HEADING = "the class at a glance"
_MOST_NAME, _NARROWEST, _WIDEST = 46.0, 6.2, 12.0
"""Width kept for the teams' names at most, and of a column of signs, mm; more rules go into further tables."""
_BAR = 38.0
_MET = 18.0
_BY_HAND = "•"
_WIDER: dict[Verdict, float] = {"too close to call": 2.2, "not measured": 1.8, "not met": 1.3, "by eye": 1.1}
"""The room that longer words take in the list of signs."""


@dataclass(frozen=True)
class Unmeasured:
    """Photos without a result: whose, which files, why in one word, what to do."""

    team: str
    files: tuple[str, ...]
    reason: str
    advice: str


@dataclass(frozen=True, eq=False)
class ClassContent:
    """A class: its challenge's title, its measured teams, and what could not be measured."""

    title: str
    results: tuple[Result, ...]
    unmeasured: tuple[Unmeasured, ...] = ()

    @property
    def rules(self) -> tuple[str, ...]:
        """Every rule's sentence, in the challenge's order."""
        return tuple(dict.fromkeys(rule.text for result in self.results for rule in result.rules))


def verdicts_by_rule(content: ClassContent) -> list[Counter[Verdict]]:
    """For each rule how many teams got which verdict; the teacher's own verdict goes before the measured one."""
    return [
        Counter(verdict_of(rule) for result in content.results for rule in result.rules if rule.text == text)
        for text in content.rules
    ]


def draw_class_pages(pages: Pages, content: ClassContent) -> None:
    """One page for a class of ordinary size; tables go on where there are more teams and rules than a page holds."""
    width = pages.paper.width - 2 * MARGIN
    story: list[Flowable] = [para(_summary(content), 11), _signs(width)]
    if content.rules and (content.results or content.unmeasured):
        story += [*section("Which rules were hard"), *_hard(content, width)]
        story += [*section("Teams by rules"), *_teams(content, width)]
    if content.unmeasured:
        story += [*section("Photos that could not be measured", room=18), *_unmeasured(content)]
    flow(pages, f"{content.title}: {HEADING}" if content.title else HEADING, story)


def _summary(content: ClassContent) -> str:
    """`22 teams measured. Hardest: rule 4, met by 5 of 22 teams.`"""
    teams = len(content.results)
    said = f"{teams} {'team' if teams == 1 else 'teams'} measured."
    if content.unmeasured:
        count = sum(len(photos.files) for photos in content.unmeasured)
        said += f" {count} {'photo' if count == 1 else 'photos'} could not be measured: see below."
    judged = [(c["met"] / n, i) for i, c in enumerate(verdicts_by_rule(content), 1) if (n := c["met"] + c["not met"])]
    if teams > 1 and judged and min(judged)[0] < 1:
        hardest = [i for share, i in judged if share == min(judged)[0]]
        met = verdicts_by_rule(content)[hardest[0] - 1]["met"]
        named = f"rule {hardest[0]}" if len(hardest) == 1 else f"rules {', '.join(map(str, hardest))}"
        said += f" Hardest: {named}, met by {met} of {teams} teams."
    return said


def _signs(width: float) -> Flowable:
    """What the signs mean, each with the fill of its part of a bar."""
    size = 8.5
    cells: list[object] = []
    widths: list[float] = []
    room = (width - 26.0 - len(VERDICTS) * 11) / sum(_WIDER.get(verdict, 1.0) for verdict in VERDICTS)
    for verdict in VERDICTS:
        cells += [Sign(verdict, sign_height(size)), _Bar(Counter([verdict]), 1, 5.0), para(verdict, size, after=0)]
        widths += [5.0, 6.0, _WIDER.get(verdict, 1.0) * room]
    cells.append(para(f"{_BY_HAND} set by hand", size, after=0))
    widths.append(26.0)
    return _plain([cells], widths)


def _hard(content: ClassContent, width: float) -> list[Flowable]:
    """Each rule with a bar of its verdicts and the numbers behind it."""
    rows: list[list[object]] = []
    teams = len(content.results)
    for number, (text, counts) in enumerate(zip(content.rules, verdicts_by_rule(content), strict=True), 1):
        said = ", ".join(f"{counts[v]} {v}" for v in VERDICTS if counts[v])
        rows.append(
            [
                para(str(number), 9.5, bold=True, after=0),
                para(text, 9.5, after=0),
                _Bar(counts, teams),
                para(said, 8.5, after=0),
            ]
        )
    words = 62.0
    return [_plain(rows, (8.0, width - 8 - _BAR - 4 - words, _BAR + 4, words), lines=True)]


def _teams(content: ClassContent, width: float) -> list[Flowable]:
    """A row a team, a column a rule, with signs, and how many rules are met; then teams that have refused photos alone.

    Where there are many rules there are several tables.
    """
    names = [*(result.team for result in content.results), *(photos.team for photos in only_refused(content))]
    name = max(text_width(printable(said or team_name("")), 9.5) for said in ["team", *names]) + 3
    name = min(name, _MOST_NAME)
    each = int((width - name - _MET) / _NARROWEST)
    column = min(_WIDEST, (width - name - _MET) / min(each, len(content.rules)))
    made: list[Flowable] = []
    for first in range(0, len(content.rules), each):
        texts = content.rules[first : first + each]
        rest = width - name - column * len(texts) - _MET
        made += [_block(content, texts, first, (name, column, rest)), space(3)]
    return made


def _block(content: ClassContent, texts: Sequence[str], first: int, widths: tuple[float, float, float]) -> Flowable:
    """The teams by so many rules; the first table has how many rules are met, and the refused teams."""
    name, column, rest = widths
    heads = [para(str(first + n), 8.5, bold=True, align="centre", after=0) for n in range(1, len(texts) + 1)]
    met = "" if first else para("met", 8.5, bold=True, align="right", after=0)
    rows: list[list[object]] = [[para("team", 8.5, bold=True, after=0), *heads, "", met]]
    rows += [_team(result, texts, column, with_met=not first) for result in content.results]
    refused = [] if first else only_refused(content)
    rows += [[para(photos.team or team_name(""), 9.5, after=0), *_refused(photos)] for photos in refused]
    columns = (name, *(column for _ in texts), max(rest, 0.1), _MET)
    return _plain(rows, columns, lines=True, head=1, spans=len(refused))


def _team(result: Result, texts: Sequence[str], column: float, *, with_met: bool) -> list[object]:
    known = {rule.text: rule for rule in result.rules}
    row: list[object] = [para(result.team or team_name(""), 9.5, after=0)]
    for text in texts:
        rule = known.get(text)
        row.append("" if rule is None else _Cell(verdict_of(rule), column, by_hand=rule.by_hand is not None))
    if not with_met:
        return [*row, "", ""]
    met = sum(verdict_of(rule) == "met" for rule in result.rules)
    return [*row, "", para(f"{met} of {len(result.rules)}", 9.5, align="right", after=0)]


def only_refused(content: ClassContent) -> list[Unmeasured]:
    """The refused photos of teams without a result, the first of each team."""
    measured = {team_key(result.team) for result in content.results}
    refused = {team_key(photos.team): photos for photos in reversed(content.unmeasured)}
    return [photos for key, photos in reversed(refused.items()) if key not in measured]


def _refused(photos: Unmeasured) -> list[object]:
    why = f"photo refused ({photos.reason})" if photos.reason else "photo not measured"
    return [para(f"{why}: see below", 9.0, after=0)]


def _unmeasured(content: ClassContent) -> list[Flowable]:
    made: list[Flowable] = []
    for photos in content.unmeasured:
        why = f" ({photos.reason})" if photos.reason else ""
        made.append(
            para(
                f"{team_name(photos.team)}, {', '.join(photos.files)}{why}: {photos.advice}", 9.5, indent=5, bullet="•"
            )
        )
    return made


class _Cell(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A sign in the middle of a column, with a dot beside it where it was set by hand."""

    def __init__(self, verdict: Verdict, column: float, *, by_hand: bool) -> None:
        super().__init__()
        self.sign, self.by_hand = Sign(verdict, sign_height(9.5)), by_hand
        self.width, self.height = column * POINTS_PER_MM - 2, 10.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height in points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it with its left bottom corner at the origin."""
        across = 1.15 * self.sign.height
        self.sign.drawOn(self.canv, (self.width - across) / 2, 0.5)
        if self.by_hand:
            self.canv.setFillGray(0)
            self.canv.circle((self.width + across) / 2 + 1.6, self.height - 2, 1.2, stroke=0, fill=1)


class _Bar(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """One bar of all teams, in the order of the words beside it, in the signs' colours and in fills of their own."""

    def __init__(self, counts: Counter[Verdict], teams: int, width: float = _BAR) -> None:
        super().__init__()
        self.counts, self.teams = counts, teams
        self.width, self.height = width * POINTS_PER_MM, 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height in points."""
        return self.width, self.height + 2

    def draw(self) -> None:
        """Draw it with its left bottom corner at the origin."""
        x = 0.0
        for verdict in VERDICTS:
            part = self.width * self.counts[verdict] / max(1, self.teams)
            if part:
                self._draw_part(x, part, verdict)
                x += part

    def _draw_part(self, x: float, part: float, verdict: Verdict) -> None:
        """Full, slanting stripes, level stripes, white, dots: they stay apart in a grey print."""
        canvas, colour = self.canv, _bar_colour(verdict)
        canvas.saveState()
        box = canvas.beginPath()
        box.rect(x, 0, part, self.height)
        canvas.clipPath(box, stroke=0, fill=0)
        canvas.setFillColor(colour)
        canvas.setStrokeColor(colour)
        canvas.setLineWidth(1.3)
        if verdict == "met":
            canvas.rect(x, 0, part, self.height, stroke=0, fill=1)
        for at in _steps(x - self.height, x + part, 3.6 if verdict == "not met" else 0):
            canvas.line(at, 0, at + self.height, self.height)
        for level in _steps(1.6, self.height, 2.6 if verdict == "too close to call" else 0):
            canvas.line(x, level, x + part, level)
        for at in _steps(x + 2, x + part, 4.0 if verdict == "by eye" else 0):
            canvas.circle(at, self.height / 2, 0.9, stroke=0, fill=1)
        canvas.restoreState()
        canvas.setStrokeGray(0.1)
        canvas.setLineWidth(0.6)
        canvas.rect(x, 0, part, self.height, stroke=1, fill=0)


def _steps(start: float, end: float, step: float) -> list[float]:
    """Places from start to end, a step apart; none without a step."""
    return [start + n * step for n in range(math.ceil((end - start) / step))] if step else []


def _bar_colour(verdict: Verdict) -> Color:
    """The sign's colour; that of what is too close to call darker, as its sign has a black rim."""
    blue, green, red = VERDICT_COLOURS[verdict]
    darker = 0.7 if verdict == "too close to call" else 1.0
    return Color(darker * red / 255, darker * green / 255, darker * blue / 255)


def _plain(
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    *,
    lines: bool = False,
    head: int = 0,
    spans: int = 0,
) -> Flowable:
    """A table without upright lines; in so many last rows the second cell takes all the rest."""
    style: list[tuple[object, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1),
        ("RIGHTPADDING", (0, 0), (-1, -1), 1),
        ("TOPPADDING", (0, 0), (-1, -1), 2.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
    ]
    if lines:
        style.append(("LINEBELOW", (0, 0), (-1, -1), 0.4, Color(0.65, 0.65, 0.65)))
    if head:
        style.append(("LINEBELOW", (0, head - 1), (-1, head - 1), 0.9, Color(0.2, 0.2, 0.2)))
    style += [("SPAN", (1, -n), (-1, -n)) for n in range(1, spans + 1)]
    filled = [[*row, *([""] * (len(widths) - len(row)))] for row in rows]
    return Table(
        filled,
        colWidths=[width * POINTS_PER_MM for width in widths],
        repeatRows=head,
        style=TableStyle(style),
        hAlign="LEFT",
    )
