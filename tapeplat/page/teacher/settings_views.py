"""The teacher's own settings: the passphrase, and where everything is kept."""

from __future__ import annotations

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.roles import sign_in_teacher, teachers_only
from tapeplat.page.session.services import services

blueprint = Blueprint("own", __name__, url_prefix="/teacher/settings")
Page = str | Response


@blueprint.get("")
@teachers_only
def show() -> Page:
    """Everything that can be set."""
    known = services().sign_in_secrets.has_passphrase()
    return render_template("teacher/settings.html", known=known, said=request.args.get("said", ""))


@blueprint.post("/passphrase")
@teachers_only
def passphrase() -> Page:
    """Another passphrase; every other browser that was signed in has to enter it."""
    said, again = request.form.get("passphrase", ""), request.form.get("again", "")
    if said != again:
        raise PageError(400, "Not changed", "The two passphrases are not the same.", "Go back and type both again.")
    try:
        services().sign_in_secrets.set_passphrase(said)
    except ValueError as error:
        raise PageError(400, "Not changed", f"{str(error).capitalize()}.", "Go back and choose a longer one.") from None
    sign_in_teacher()
    return redirect_to(url_for("own.show", said="passphrase"))


@blueprint.post("/check")
@teachers_only
def check() -> Page:
    """Compare every file of the archive with its checksum."""
    return render_template("teacher/checked.html", damages=services().archive.verify())
