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
Page = str | Response | tuple[str, int]


@blueprint.get("")
@teachers_only
def show() -> Page:
    """Everything that can be set."""
    return _settings()


def _settings(**wrong: str) -> str:
    """The page; wrong says beside which field what is wrong."""
    known = services().sign_in_secrets.has_passphrase()
    visits = services().visits
    return render_template(
        "teacher/settings.html",
        known=known,
        wrong={name: [said] for name, said in wrong.items()},
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
    asks_old = services().sign_in_secrets.has_passphrase() and not came_by_start_key()
    if asks_old and not _is_old(request.form.get("old", "")):
        forgotten = "Stop Tapeplat and start it again on its own computer: within ten minutes it asks for none."
        return _settings(old=f"This is not the passphrase until now. Forgotten? {forgotten}"), 403
    said, again = request.form.get("passphrase", ""), request.form.get("again", "")
    if said != again:
        return _settings(again="The two are not the same. Type both again."), 400
    if weak := _set_passphrase(said):
        return _settings(passphrase=weak), 400
    return redirect_to(url_for("own.show", said="passphrase"))


@blueprint.post("/share")
@teachers_only
def share() -> Page:
    """Let phones and students' devices in, or nobody any more but this computer; it needs no new start."""
    if request.form.get("share") != "yes":
        services().reach.unshare()
        return redirect_to(url_for("own.show", _anchor="reach"))
    if not services().sign_in_secrets.has_passphrase():
        weak = _set_passphrase(request.form.get("passphrase", ""))
        if weak:
            return _settings(share=weak), 400
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


def _set_passphrase(said: str) -> str:
    """Set it, and sign everybody else out; where it is too weak, nothing is changed and the answer says why."""
    try:
        services().sign_in_secrets.set_passphrase(said)
    except ValueError as error:
        return f"Not changed: {error}. Choose another one."
    services().visits.end_role("teacher")  # they were signed out by the new passphrase
    sign_in_teacher()
    return ""


def _is_old(said: str) -> bool:
    """Whether this is the passphrase that holds now. Raises PageError after too many wrong ones."""
    tries = services().passphrase_tries
    here = begin_guess(tries, "passphrases", "Then try again.")
    if services().sign_in_secrets.is_passphrase(said):
        tries.right(here)
        return True
    return False
