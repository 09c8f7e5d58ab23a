"""What a challenge needs on paper."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.content.printing import offered, printed, unit_kit
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.printed_answers import document
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import MOST_TEAMS
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheet_sets import SET_NAMES, SetName

_FAILED = "These sheets cannot be made"
blueprint = Blueprint("sheets", __name__, url_prefix="/teacher")


@blueprint.get("/challenge/<slug>/sheets")
@teachers_only
def choose(slug: str) -> str | AnyResponse:
    """Which sheets, on which paper; how many pages and how much ink they take."""
    stored, challenge = sound_challenge(slug)
    paper, teams = _asked(services().classes.of(slug).teams)
    offer = offered(challenge, paper, teams)
    return render_template("teacher/sheets.html", stored=stored, offer=offer, paper=paper, teams=teams)


@blueprint.get("/challenge/<slug>/sheets.pdf")
@teachers_only
def pdf(slug: str) -> AnyResponse:
    """The sheets as a PDF at true size."""
    _, challenge = sound_challenge(slug)
    paper, teams = _asked(8)
    names = request.args.getlist("only") if request.args.get("set", "ticked") == "ticked" else []
    try:
        content = printed(challenge, paper, teams, names, _set_asked(names))
    except ValueError as error:
        raise PageError(400, _FAILED, f"{error}.", "Go back and choose others.") from None
    return document(content, f"{slug}-sheets")


@blueprint.get("/challenge/<slug>/kit<any('.docx', '.pdf'):suffix>")
@teachers_only
def kit(slug: str, suffix: str) -> AnyResponse:
    """The unit kit: a document to edit, or a PDF."""
    _, challenge = sound_challenge(slug)
    paper, teams = _asked(8)
    return document(unit_kit(challenge, suffix, paper, teams), f"{slug}-kit", suffix)


def _asked(usual: int) -> tuple[str, int]:
    """The paper and the number of teams. Raises PageError where they cannot be."""
    paper, teams = request.args.get("paper", "letter"), request.args.get("teams", usual, type=int)
    if paper not in PAPERS or not 1 <= teams <= MOST_TEAMS:
        what = f"The paper is letter or A4, and there are 1 to {MOST_TEAMS} teams."
        raise PageError(400, _FAILED, what, "Go back and choose again.")
    return paper, teams


def _set_asked(names: list[str]) -> SetName:
    """The set asked for. Raises PageError where sheets were to be ticked and none is, or there is no such set."""
    asked = request.args.get("set", "slim")
    if asked == "ticked" and not names:
        raise PageError(400, _FAILED, "No sheet is ticked.", "Go back and tick the sheets that you need.")
    for name in SET_NAMES:
        if asked in (name, "ticked"):
            return name
    raise PageError(400, _FAILED, "There is no such set of sheets.", "Go back and choose again.")
