"""Coming in: the class code, then the team, with the word that keeps a team to itself."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.guess_limits import begin_guess
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.settings import HERE
from tapeplat.page.session.roles import Student, enter_class, join_team, student, students_only
from tapeplat.page.session.services import services
from tapeplat.page.store.plans import Plans
from tapeplat.page.store.team_words import TeamWords
from tapeplat.page.student.hand_views import current_answers
from tapeplat.page.student.student_blueprint import blueprint
from tapeplat.page.student.student_context import asking_team


@blueprint.get("/code")
def code() -> str:
    """Where a student types the class code."""
    return render_template("student/code.html", wrong="")


@blueprint.post("/code")
def try_code() -> str | Response | tuple[str, int]:
    """Let the student in, where the code is right and not too many wrong ones came before."""
    tries = services().code_tries
    code = request.form.get("code", "")
    with tries.one_at_a_time:
        here = begin_guess(tries, "codes", "Then look at the code on the board and try again.")
        if services().classes.with_code(code) is not None:
            tries.right(here)
    if enter_class(code) is not None:
        return redirect(url_for("student.team"))
    return render_template("student/code.html", wrong="That is not a class code. Look at the board again."), 403


@blueprint.get("/team")
def team() -> str | Response:
    """Where a student chooses the team."""
    found = student()
    if found is None:
        return redirect(url_for("student.code"))
    return _teams(found)


@blueprint.post("/team")
def choose_team() -> str | Response | tuple[str, int]:
    """Make this browser one of the team: the first one of it, or one that knows the team's word."""
    found, number = student(), request.form.get("team", type=int)
    if found is None:
        return redirect(url_for("student.code"))
    if number is None or not 1 <= number <= services().classes.of(found.challenge).teams:
        raise PageError(400, "There is no such team", "No team has that number.", "Choose one of the list.")
    if found.team is not None:
        return redirect(url_for("student.home" if found.team == number else "student.team"))
    return _join(found, number, request.form.get("word", ""))


def _join(found: Student, number: int, said: str) -> str | Response | tuple[str, int]:
    here, guesses = f"{request.remote_addr} joins a team", services().code_tries
    words = TeamWords(services().database)
    if not words.word(found.challenge, number):
        _check_taken()
    with guesses.one_at_a_time:
        if said and guesses.begin(here) > 0:
            raise PageError(429, "Please wait", "There were too many wrong words. Wait a minute.", "Ask your team.")
        word = words.join(found.challenge, number, said)
        if word is not None and said:
            guesses.right(here)
    if word is not None:
        join_team(number, word)
        return redirect(url_for("student.home"))
    wrong = "That is not this team's word. It stands on your team's first page." if said else ""
    page = render_template("student/word.html", number=number, wrong=wrong)
    return (page, 403) if said else page


def _check_taken() -> None:
    """Raises PageError where this device's address has begun several teams already."""
    here = request.remote_addr or ""
    if here not in HERE and not services().teams_taken.may_begin(here):
        what = "Three teams were begun by this device, or by others in its network."
        do = "Your teacher can let you in on the page “Students”. Then choose your team again."
        raise PageError(429, "Ask your teacher", what, do)


def _teams(found: Student) -> str:
    return render_template(
        "student/team.html",
        state=services().classes.of(found.challenge),
        names=services().classes.team_names(found.challenge),
        joined=TeamWords(services().database).of(found.challenge),
        stored=services().challenges.get(found.challenge),
        own=found.team,
    )


@blueprint.get("/home")
@students_only
def home() -> str:
    """A team's first page: what to do next."""
    asking = asking_team()
    attempt, given = current_answers(asking)
    agreed = {answer.subject for answer in given if answer.word == "agrees"}
    return render_template(
        "student/home.html",
        team=asking,
        word=TeamWords(services().database).word(asking.slug, asking.number),
        plans=len(Plans(services().database).of(asking.slug, asking.number)),
        attempt=attempt,
        agreed=len(agreed),
        again=len({answer.subject for answer in given if answer.word == "look again"} - agreed),
        waiting=sum(answer.word == "waiting" for answer in given),
    )
