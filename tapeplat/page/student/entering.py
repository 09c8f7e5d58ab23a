"""Coming in: the class code, then the team."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.errors import PageError
from tapeplat.page.roles import current_student, enter_class, join_team, student, students_only
from tapeplat.page.room import room
from tapeplat.page.student import blueprint


@blueprint.get("/code")
def code() -> str:
    """Where a student types the class code."""
    return render_template("student/code.html", wrong="")


@blueprint.post("/code")
def try_code() -> str | Response | tuple[str, int]:
    """Let the student in, where the code is right and not too many wrong ones came before."""
    here, guesses = request.remote_addr or "", room().code_guesses
    wait = guesses.wait(here)
    if wait > 0:
        what = f"There were too many wrong codes. Wait {max(1, round(wait))} seconds."
        raise PageError(429, "Please wait", what, "Then look at the code on the board and try again.")
    if enter_class(request.form.get("code", "")) is not None:
        return redirect(url_for("student.team"))
    guesses.missed(here)
    return render_template("student/code.html", wrong="That is not a class code. Look at the board again."), 403


@blueprint.get("/team")
def team() -> str | Response:
    """Where a student chooses the team."""
    found = student()
    if found is None:
        return redirect(url_for("student.code"))
    state = room().classes.of(found.challenge)
    kept = room().challenges.get(found.challenge)
    names = room().classes.team_names(found.challenge)
    return render_template("student/team.html", state=state, names=names, kept=kept)


@blueprint.post("/team")
def choose_team() -> Response:
    """Make this browser one of the team."""
    found, number = student(), request.form.get("team", type=int)
    if found is None:
        return redirect(url_for("student.code"))
    if number is None or not 1 <= number <= room().classes.of(found.challenge).teams:
        raise PageError(400, "There is no such team", "No team has that number.", "Choose one of the list.")
    join_team(number)
    return redirect(url_for("student.home"))


@blueprint.get("/home")
@students_only
def home() -> str:
    """A team's first page."""
    found = current_student()
    kept = room().challenges.get(found.challenge)
    return render_template("student/home.html", student=found, kept=kept, state=room().classes.of(found.challenge))
