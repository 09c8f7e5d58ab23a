"""The first pages: where teacher and students come in."""

from __future__ import annotations

import re

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.guess_limits import begin_guess
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.settings import HERE
from tapeplat.page.session.roles import enter_class, is_teacher, sign_in_teacher, sign_out, student, teachers_only
from tapeplat.page.session.services import services

blueprint = Blueprint("sign_in", __name__)
_WITHIN = re.compile(r"/(?:[!-.0-\[\]-~][!-\[\]-~]*)?")
"""Printable, no backslash, no second slash: browsers drop tabs and line ends, and take backslashes for slashes."""


@blueprint.get("/")
def home() -> Response:
    """Where everybody starts: each role at its own first page."""
    if is_teacher():
        return redirect(url_for("challenges.overview"))
    return redirect(url_for("student.home") if student() else url_for("student.code"))


@blueprint.get("/start/<key>")
def start(key: str) -> Response:
    """The address that the program opens on its own machine: signs the teacher in, once."""
    if is_teacher():
        return redirect(url_for("challenges.overview"))
    if request.remote_addr not in HERE or not services().start_key.use(key):
        what = "An address with a key opens the teacher's page once, on the computer that runs the program."
        raise PageError(403, "This address was used", what, "The program's window shows the next one.")
    sign_in_teacher(by_start_key=True)
    return redirect(url_for("challenges.overview"))


@blueprint.get("/sign-in")
def sign_in() -> str | Response:
    """The teacher's passphrase, from another machine."""
    if is_teacher():
        return redirect(_inside(request.args.get("to", "")))
    return render_template(
        "sign_in.html", to=request.args.get("to", ""), wrong="", known=services().sign_in_secrets.has_passphrase()
    )


@blueprint.post("/sign-in")
def try_passphrase() -> str | Response | tuple[str, int]:
    """Sign in, where the passphrase is right and not too many wrong ones came before."""
    tries = services().passphrase_tries
    here = begin_guess(tries, "passphrases", "Then try again.")
    if services().sign_in_secrets.is_passphrase(request.form.get("passphrase", "")):
        tries.right(here)
        sign_in_teacher()
        return redirect(_inside(request.form.get("to", "")))
    wrong = "That is not the passphrase. Check capital letters and spaces."
    page = render_template(
        "sign_in.html", to=request.form.get("to", ""), wrong=wrong, known=services().sign_in_secrets.has_passphrase()
    )
    return page, 403


@blueprint.get("/teacher/hand-over")
@teachers_only
def hand_over() -> str | Response:
    """What handing the computer to the students means, and to which class."""
    stored = [stored for stored in services().challenges.all() if stored.challenge]
    return render_template(
        "teacher/hand_over.html", challenges=stored, known=services().sign_in_secrets.has_passphrase()
    )


@blueprint.post("/sign-out")
def leave() -> Response:
    """Make this browser nobody's, or a student's of the class that the teacher hands it to."""
    slug = request.form.get("class", "") if is_teacher() else ""
    code = services().classes.of(slug).code if slug and services().challenges.file(slug) else ""
    sign_out()
    if code:
        enter_class(code)
    return redirect(url_for("student.team" if code else "student.code"))


def _inside(path: str) -> str:
    """A place to go on to, only ever within this page."""
    return path if _WITHIN.fullmatch(path) else url_for("challenges.overview")
