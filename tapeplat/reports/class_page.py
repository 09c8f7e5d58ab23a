"""The class at a glance: which rules were hard, the teams by the rules, what could not be measured."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.colors import Color
from reportlab.platypus import Flowable, Table, TableStyle

from measure.result.result import Result
from measure.rules.verdict import VERDICTS, Verdict
from tapeplat.annotate.palette import VERDICT_COLOURS
from tapeplat.archive.storage.entry import team_name
from tapeplat.paper.pdf.flow import flow, para, section, space
from tapeplat.paper.pdf.pdf_canvas import MARGIN, POINTS_PER_MM, Pages
from tapeplat.reports.report_content import verdict_of
from tapeplat.reports.signs import Sign, sign_height

HEADING = "the class at a glance"
RULES_ON_A_PAGE = 18
"""Columns of rules beside which a team's name keeps room; more rules go into further tables."""
_LEAST_NAME, _WIDEST = 46.0, 12.0
"""Width kept for the teams' names, and of the widest column of signs, mm."""
_BAR = 46.0
_BY_HAND = "•"


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
    story: list[Flowable] = [para(_summary(content), 11), _signs()]
    if content.results and content.rules:
        story += [*section("Which rules were hard"), *_hard(content, width)]
        story += [*section("Teams by rules"), *_teams(content, width)]
    if content.unmeasured:
        story += [*section("Photos that could not be measured"), *_unmeasured(content)]
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


def _signs() -> Flowable:
    """What the signs mean."""
    size = 9.0
    cells: list[object] = []
    widths: list[float] = []
    for verdict in VERDICTS:
        cells += [Sign(verdict, sign_height(size)), para(verdict, size, after=0)]
        widths += [5.0, 31.0 if verdict == "too close to call" else 24.0]
    cells.append(para(f"{_BY_HAND} set by hand", size, after=0))
    widths.append(30.0)
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
    words = 44.0
    return [_plain(rows, (8.0, width - 8 - _BAR - 4 - words, _BAR + 4, words), lines=True)]


def _teams(content: ClassContent, width: float) -> list[Flowable]:
    """A row a team, a column a rule, with signs; several tables where there are many rules."""
    made: list[Flowable] = []
    for first in range(0, len(content.rules), RULES_ON_A_PAGE):
        texts = content.rules[first : first + RULES_ON_A_PAGE]
        column = min(_WIDEST, (width - _LEAST_NAME) / len(texts))
        heads = [para(str(first + n), 8.5, bold=True, align="centre", after=0) for n in range(1, len(texts) + 1)]
        rows: list[list[object]] = [[para("team", 8.5, bold=True, after=0), *heads]]
        rows += [_team(result, texts, column) for result in content.results]
        made += [_plain(rows, (width - column * len(texts), *(column for _ in texts)), lines=True, head=1), space(3)]
    return made


def _team(result: Result, texts: Sequence[str], column: float) -> list[object]:
    known = {rule.text: rule for rule in result.rules}
    row: list[object] = [para(result.team or team_name(""), 9.5, after=0)]
    for text in texts:
        rule = known.get(text)
        row.append("" if rule is None else _Cell(verdict_of(rule), column, by_hand=rule.by_hand is not None))
    return row


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
    """One bar of all teams, in the order of the words beside it and in the signs' colours."""

    def __init__(self, counts: Counter[Verdict], teams: int) -> None:
        super().__init__()
        self.counts, self.teams = counts, teams
        self.width, self.height = _BAR * POINTS_PER_MM, 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height in points."""
        return self.width, self.height + 2

    def draw(self) -> None:
        """Draw it with its left bottom corner at the origin."""
        x = 0.0
        self.canv.setStrokeGray(0.2)
        self.canv.setLineWidth(0.5)
        for verdict in VERDICTS:
            part = self.width * self.counts[verdict] / max(1, self.teams)
            if part:
                self.canv.setFillColor(_bar_colour(verdict))
                self.canv.rect(x, 0, part, self.height, stroke=1, fill=1)
                x += part


def _bar_colour(verdict: Verdict) -> Color:
    """The sign's colour; white where nothing was decided."""
    if verdict in ("not measured", "by eye"):
        return Color(1, 1, 1)
    blue, green, red = VERDICT_COLOURS[verdict]
    return Color(red / 255, green / 255, blue / 255)


def _plain(
    rows: Sequence[Sequence[object]], widths: Sequence[float], *, lines: bool = False, head: int = 0
) -> Flowable:
    """A table without upright lines."""
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
    return Table(
        [list(row) for row in rows],
        colWidths=[width * POINTS_PER_MM for width in widths],
        repeatRows=head,
        style=TableStyle(style),
        hAlign="LEFT",
    )
