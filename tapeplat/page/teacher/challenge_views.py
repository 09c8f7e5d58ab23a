"""The list of challenges, and what is done with a whole one: look at it, download, copy, remove."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from measure.rules.kinds.places.keep_clear import implied_rules
from tapeplat.page.base.mistake_places import placed_mistakes
from tapeplat.page.base.page_errors import not_found
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import class_name_in

blueprint = Blueprint("challenges", __name__, url_prefix="/teacher")
Page = str | AnyResponse


@blueprint.get("/")
@teachers_only
def overview() -> Page:
    """Every challenge, the one changed last first."""
    known = services().challenges
    return render_template("teacher/challenges.html", challenges=known.all(), removed=known.removed())


@blueprint.get("/challenge/<slug>")
@teachers_only
def show(slug: str) -> Page:
    """One challenge: its rules as they are read, and what can be done next."""
    stored = stored_challenge(slug)
    implied = [rule.reads_as() for rule in implied_rules(stored.challenge)] if stored.challenge else []
    mistakes = placed_mistakes(stored.mistakes, services().challenges.text(slug))
    return render_template("teacher/challenge.html", stored=stored, implied=implied, mistakes=mistakes)


@blueprint.get("/challenge/<slug>.toml")
@teachers_only
def download(slug: str) -> Page:
    """The challenge's file."""
    stored_challenge(slug)
    headers = {"Content-Disposition": f'attachment; filename="{slug}.toml"'}
    return Response(services().challenges.text(slug), mimetype="application/toml", headers=headers)


@blueprint.post("/challenge/<slug>/copy")
@teachers_only
def copy(slug: str) -> Page:
    """The same challenge once more, for another class."""
    stored = stored_challenge(slug)
    made = services().challenges.create(stored.title, services().challenges.text(slug))
    services().classes.set_name(made, class_name_in(request.form.get("class_name", "")))
    return redirect(url_for("challenges.show", slug=made))


@blueprint.post("/challenge/<slug>/remove")
@teachers_only
def remove(slug: str) -> Page:
    """Move the challenge's file to the removed ones; what is archived stays."""
    stored_challenge(slug)
    services().challenges.remove(slug)
    return redirect(url_for("challenges.overview"))


@blueprint.post("/challenge/<slug>/bring-back")
@teachers_only
def bring_back(slug: str) -> Page:
    """Undo a removal: the class, its teams and all that is held of them are there again."""
    try:
        services().challenges.bring_back(slug)
    except KeyError as error:
        raise not_found("There is no removed challenge of this name.") from error
    return redirect(url_for("challenges.show", slug=slug))
