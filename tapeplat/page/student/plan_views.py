"""Plans: a team draws its settlement on the parcel's grid, and has it checked before anything is built."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from measure.rules.verdict import VERDICTS
from tapeplat.page.base.page_errors import not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.jobs.plan_checking import PlanAnswer, PlanQuestion
from tapeplat.page.plan.plan_check import NOT_YET
from tapeplat.page.plan.plan_drawing import drawing
from tapeplat.page.plan.plan_form import (
    PieceRow,
    ReadPlan,
    drawn_zones,
    read_rows,
    rows_from_browser,
    rows_from_json,
    rows_json,
)
from tapeplat.page.session.roles import students_only, wants_fragment
from tapeplat.page.session.services import services
from tapeplat.page.store.plans import Plans, SavedPlan
from tapeplat.page.student.student_blueprint import blueprint
from tapeplat.page.student.student_context import Team, asking_team, need_open

_SPARE_ROWS = 2
"""Empty rows, for browsers without script."""
_STEPS = {"in": ("1", "1/2", "1/4"), "cm": ("1", "0.5", "2", "5"), "mm": ("10", "5", "20", "50")}
"""What drawn corners may snap to, the usual first."""
_NO_ANSWER = PlanAnswer()


@dataclass(frozen=True)
class Shown:
    """A plan for the page: its rows, what is wrong with them, and what the check says where it was asked; pending while
    that is being found.
    """

    rows: tuple[PieceRow, ...]
    read: ReadPlan
    answer: PlanAnswer = _NO_ANSWER
    pending: bool = False
    saved: SavedPlan | None = None

    @property
    def count(self) -> dict[str, int]:
        """How many rules have which word."""
        words = [verdict.word for verdict in self.answer.verdicts]
        return {word: words.count(word) for word in (*VERDICTS[:3], NOT_YET, "by eye") if word in words}


@blueprint.get("/plan")
@students_only
def plan() -> str:
    """The team's newest plan, to draw on."""
    team = asking_team()
    need_open(team, "plan")
    saved = Plans(services().database).of(team.slug, team.number)
    return _page(team, _opened(saved[0] if saved else None, team))


@blueprint.get("/plan/<int(max=999999999):number>")
@students_only
def plan_version(number: int) -> str:
    """An earlier plan of the team; saved again it becomes the newest."""
    team = asking_team()
    need_open(team, "plan")
    saved = Plans(services().database).get(team.slug, team.number, number)
    if saved is None:
        raise not_found("Your team has no plan of this number.", "Go back, and choose one of the list.")
    shown = _opened(saved, team)
    return render_template("student/checked.html", shown=shown, team=team) if wants_fragment() else _page(team, shown)


@blueprint.post("/plan")
@students_only
def save_plan() -> str | Response | tuple[str, int]:
    """Keep the plan as it was sent, sound or not, and check it where that was asked."""
    team = asking_team()
    need_open(team, "plan")
    rows = rows_from_browser(request.form)
    read = read_rows(rows, team.challenge)
    if read.wrong:
        return _page(team, Shown(rows, read)), 400
    number = Plans(services().database).save(team.slug, team.number, rows_json(rows))
    if request.form.get("do") == "check":
        return redirect_to(url_for("student.plan_version", number=number, check=1, _anchor="checked"))
    return redirect_to(url_for("student.plan_version", number=number))


def _opened(saved: SavedPlan | None, team: Team) -> Shown:
    rows = rows_from_json(saved.pieces) if saved else ()
    read = read_rows(rows, team.challenge)
    if saved is None or read.wrong or request.args.get("check") != "1":
        return Shown(rows, read, saved=saved)
    question = PlanQuestion(services().challenges.text(team.slug), saved.pieces)
    answer = services().plan_checker.answer(f"{team.slug} {team.number}", question)
    return Shown(rows, read, answer or PlanAnswer(), pending=answer is None, saved=saved)


def _page(team: Team, shown: Shown) -> str:
    challenge = team.challenge
    return render_template(
        "student/plan.html",
        team=team,
        shown=shown,
        rows=_with_spares(shown.rows),
        zones=drawn_zones(challenge),
        steps=_STEPS[challenge.unit],
        drawing=drawing(challenge, shown.read.pieces),
        versions=Plans(services().database).of(team.slug, team.number),
    )


def _with_spares(rows: Sequence[PieceRow]) -> list[PieceRow]:
    return [*rows, *(PieceRow() for _ in range(_SPARE_ROWS))]
