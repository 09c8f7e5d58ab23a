"""Can these rules be met, and what could a team change: for the teacher only, as answers are not to reach the class."""

from __future__ import annotations

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.challenge.challenge_fields import from_browser
from tapeplat.page.content.attempt_model import CHALLENGE, entry_of
from tapeplat.page.jobs.solving_job import Question, SolverAnswer
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.roles import teachers_only, wants_fragment
from tapeplat.page.session.services import services
from tapeplat.page.teacher.challenge_editing import checked_form

blueprint = Blueprint("solvable", __name__, url_prefix="/teacher/solvable")
Page = str | AnyResponse
_DRAWN_BY_US = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"


@blueprint.post("/challenge/<slug>")
@teachers_only
def ask(slug: str) -> Page:
    """Ask of a challenge as it is saved."""
    sound_challenge(slug)
    key = services().solver.ask(Question(services().challenges.text(slug)))
    return redirect_to(url_for("solvable.show", key=key, back=slug))


@blueprint.post("/form")
@teachers_only
def ask_form() -> Page:
    """For the script: ask of the form that is being typed."""
    found = checked_form(from_browser(request.form), request.form.get("slug", ""))
    if found.challenge is None or found.mistakes:
        what = "Something in the form is still to be put right."
        raise PageError(400, "Not yet", what, "Put right what is marked, then ask again.")
    return _part(services().solver.ask(Question(found.text)))


@blueprint.post("/model/<entry>")
@teachers_only
def ask_near(entry: str) -> Page:
    """Ask what a team could change on its model."""
    folder = entry_of(entry).folder
    texts = [(folder / name).read_text(encoding="utf-8-sig") for name in (CHALLENGE, "result.json")]
    key = services().solver.ask(Question(*texts))
    return redirect_to(url_for("solvable.show", key=key, model=entry))


@blueprint.get("/<key>")
@teachers_only
def show(key: str) -> Page:
    """The answer, or that it is being found."""
    if wants_fragment():
        return _part(key)
    said = _said(key)
    stored = services().challenges.get(request.args.get("back", ""))
    return render_template(
        "teacher/solvable.html", key=key, said=said, stored=stored, model=request.args.get("model", "")
    )


@blueprint.get("/<key>/layout.svg")
@teachers_only
def layout(key: str) -> Page:
    """The sample layout."""
    said = _said(key)
    if said is None or not said.drawing:
        raise not_found("There is no sample layout.")
    headers = {"Content-Security-Policy": _DRAWN_BY_US}
    return Response(said.drawing, mimetype="image/svg+xml", headers=headers)


def _part(key: str) -> str:
    return render_template("teacher/solvable_part.html", key=key, said=_said(key))


def _said(key: str) -> SolverAnswer | None:
    try:
        return services().solver.said(key)
    except KeyError:
        raise not_found("This answer is not kept any more.", "Ask once more.") from None
