"""What a challenge needs on paper."""

from __future__ import annotations

from flask import Blueprint, Response, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.content.printing import offered, printed
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import MOST_TEAMS
from tapeplat.paper.pdf.pdf_canvas import PAPERS

blueprint = Blueprint("sheets", __name__, url_prefix="/teacher")


@blueprint.get("/challenge/<slug>/sheets")
@teachers_only
def choose(slug: str) -> str | AnyResponse:
    """Which sheets, on which paper."""
    stored, challenge = sound_challenge(slug)
    teams = services().classes.of(slug).teams
    return render_template(
        "teacher/sheets.html", stored=stored, sheets=offered(challenge, "letter", teams), teams=teams
    )


@blueprint.get("/challenge/<slug>/sheets.pdf")
@teachers_only
def pdf(slug: str) -> AnyResponse:
    """The sheets as a PDF at true size."""
    _, challenge = sound_challenge(slug)
    paper = request.args.get("paper", "letter")
    teams = request.args.get("teams", 8, type=int)
    if paper not in PAPERS or not 1 <= teams <= MOST_TEAMS:
        what = f"The paper is letter or A4, and there are 1 to {MOST_TEAMS} teams."
        raise PageError(400, "These sheets cannot be made", what, "Go back and choose again.")
    try:
        content = printed(challenge, paper, teams, request.args.getlist("only"))
    except ValueError as error:
        raise PageError(400, "These sheets cannot be made", f"{error}.", "Go back and choose others.") from None
    return Response(
        content, mimetype="application/pdf", headers={"Content-Disposition": f'inline; filename="{slug}-sheets.pdf"'}
    )
