"""What is held of a class, and erasing a model, a team or the class for good."""

from __future__ import annotations

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.attempt_model import challenge_of, entry_of
from tapeplat.page.content.held import (
    erase_held_class,
    erase_held_team,
    erase_model,
    held_of_class,
    held_of_team,
)
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services

blueprint = Blueprint("held", __name__, url_prefix="/teacher")
Page = str | Response


@blueprint.get("/challenge/<slug>/held")
@teachers_only
def show(slug: str) -> Page:
    """What is held; after erasing, that it is gone."""
    stored, said = stored_challenge(slug), request.args.get("erased", "")
    gone = held_of_team(slug, said) if said not in ("", "all", "no team") else None
    held, unreadable = held_of_class(slug), services().archive.unreadable()
    return render_template("teacher/held.html", stored=stored, held=held, said=said, gone=gone, unreadable=unreadable)


@blueprint.post("/challenge/<slug>/held/erase")
@teachers_only
def erase(slug: str) -> Page:
    """Erase a team, or with team `all` the class; asked twice."""
    stored, team = stored_challenge(slug), request.form.get("team", "")
    known = {held.team for held in held_of_class(slug)}
    if team != "all" and team not in known:
        raise not_found("Nothing is held of such a team.")
    if request.form.get("sure") != "yes":
        some = [held for held in held_of_class(slug) if team in ("all", held.team)]
        return render_template("teacher/erase.html", stored=stored, held=some, team=team)
    if team == "all":
        erase_held_class(slug)
    else:
        erase_held_team(slug, team)
    return redirect_to(url_for("held.show", slug=slug, erased=team or "no team"))


@blueprint.post("/challenge/<slug>/held/erase-unreadable")
@teachers_only
def erase_unreadable(slug: str) -> Page:
    """Erase the archive's attempts whose files do not say whose they are; asked twice."""
    stored, found = stored_challenge(slug), services().archive.unreadable()
    if found and request.form.get("sure") != "yes":
        return render_template("teacher/erase_unreadable.html", stored=stored, unreadable=found)
    services().archive.erase(found)
    return redirect_to(url_for("held.show", slug=slug))


@blueprint.post("/model/<entry>/erase")
@teachers_only
def erase_one(entry: str) -> Page:
    """Erase one model; asked twice."""
    found = entry_of(entry)
    stored = challenge_of(found)
    if request.form.get("sure") != "yes":
        return render_template("teacher/erase_model.html", entry=found, stored=stored)
    erase_model(found)
    return redirect_to(url_for("results.show", slug=stored.slug) if stored else url_for("archive.show"))
