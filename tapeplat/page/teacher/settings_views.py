"""The teacher's own settings: the passphrase, and where everything is kept."""

from __future__ import annotations

from flask import Blueprint, render_template, request, session, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.guess_limits import begin_guess
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.reach import NoNetwork
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.roles import came_by_start_key, sign_in_teacher, teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.session.template_words import titled

blueprint = Blueprint("own", __name__, url_prefix="/teacher/settings")
Page = str | Response


@blueprint.get("")
@teachers_only
def show() -> Page:
    """Everything that can be set."""
    known = services().sign_in_secrets.has_passphrase()
    visits = services().visits
    return render_template(
        "teacher/settings.html",
        known=known,
        said=request.args.get("said", ""),
        asks_old=known and not came_by_start_key(),
        visits=visits.all(),
        own=visits.number_of(session.get("visit")),
        challenges={stored.slug: titled(stored) for stored in services().challenges.all()},
    )


@blueprint.post("/passphrase")
@teachers_only
def passphrase() -> Page:
    """Another passphrase, by whoever knows the old one; every other browser that was signed in has to enter it."""
    if services().sign_in_secrets.has_passphrase() and not came_by_start_key():
        _check_old(request.form.get("old", ""))
    said, again = request.form.get("passphrase", ""), request.form.get("again", "")
    if said != again:
        raise PageError(400, "Not changed", "The two passphrases are not the same.", "Go back and type both again.")
    _set_passphrase(said)
    return redirect_to(url_for("own.show", said="passphrase"))


@blueprint.post("/share")
@teachers_only
def share() -> Page:
    """Let phones and students' devices in, or nobody any more but this computer; it needs no new start."""
    if request.form.get("share") != "yes":
        services().reach.unshare()
        return redirect_to(url_for("own.show", _anchor="reach"))
    if not services().sign_in_secrets.has_passphrase():
        _set_passphrase(request.form.get("passphrase", ""))
    try:
        services().reach.share()
    except NoNetwork as error:
        do = "Connect it to the school's network, then try again."
        raise PageError(409, "Nobody was let in", str(error), do) from error
    return redirect_to(url_for("own.show", _anchor="reach"))


@blueprint.post("/end")
@teachers_only
def end() -> Page:
    """End one visit, or all but this one."""
    number = request.form.get("visit", type=int)
    if number is None:
        services().visits.end_all_but(session.get("visit"))
    else:
        services().visits.end_numbered(number)
    return redirect_to(url_for("own.show", _anchor="visits"))


@blueprint.post("/check")
@teachers_only
def check() -> Page:
    """Compare every file of the archive with its checksum."""
    return render_template("teacher/checked.html", damages=services().archive.verify())


def _set_passphrase(said: str) -> None:
    """Raises PageError where it is too weak."""
    try:
        services().sign_in_secrets.set_passphrase(said)
    except ValueError as error:
        raise PageError(400, "Not changed", f"{str(error).capitalize()}.", "Go back and choose another one.") from None
    services().visits.end_role("teacher")  # they were signed out by the new passphrase
    sign_in_teacher()


def _check_old(said: str) -> None:
    """Raises PageError where this is not the passphrase that holds now."""
    tries = services().passphrase_tries
    here = begin_guess(tries, "passphrases", "Then try again.")
    if not services().sign_in_secrets.is_passphrase(said):
        what = "The old passphrase is not right."
        do = "Forgotten? Stop Tapeplat and start it again on its own computer: within ten minutes it asks for none."
        raise PageError(403, "Not changed", what, do)
    tries.right(here)
