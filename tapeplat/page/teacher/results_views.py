"""A class's results: the table of teams and rules, reports, tables for spreadsheets."""

from __future__ import annotations

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from measure.result.result import read_result
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.classroom.team_names import in_order
from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.class_results import attempts_of_class, class_table, is_current, last_attempts
from tapeplat.page.content.printing import class_progress, class_report, posters
from tapeplat.page.jobs.lens_job import LensOffer, LensQuestion
from tapeplat.page.jobs.taking_over import unowned
from tapeplat.page.session.lookups import sound_challenge, stored_challenge
from tapeplat.page.session.printed_answers import document, paper_asked
from tapeplat.page.session.roles import teachers_only, wants_fragment
from tapeplat.page.session.services import services
from tapeplat.page.session.template_words import titled
from tapeplat.reports.class_csv import class_tables
from tapeplat.reports.class_page import ClassContent, Unmeasured
from tapeplat.workers.worker_pool import WorkerFailed

blueprint = Blueprint("results", __name__, url_prefix="/teacher/challenge/<slug>")
Page = str | AnyResponse


@blueprint.get("/results")
@teachers_only
def show(slug: str) -> Page:
    """Teams by rules."""
    stored = stored_challenge(slug)
    names = services().classes.team_names(slug)
    ownerless = unowned(services().archive, services().classes, stored.title)
    table = class_table(slug)
    return render_template(
        "teacher/results.html",
        stored=stored,
        table=table,
        names=names,
        ownerless=ownerless,
        refused=_refused(slug),
    )


@blueprint.post("/take-over")
@teachers_only
def take_over(slug: str) -> Page:
    """Give the attempts that were ticked to this class; only such as no class owns."""
    stored, ticked = stored_challenge(slug), request.form.getlist("attempt")
    free = unowned(services().archive, services().classes, stored.title)
    services().archive.give_to_class([e for e in free if e.id in ticked], services().classes.of(slug).id)
    return redirect_to(url_for("results.show", slug=slug))


@blueprint.post("/judge")
@teachers_only
def judge(slug: str) -> Page:
    """Judge all models of the class that were judged by the challenge as it was before."""
    sound_challenge(slug)
    stale = [entry for entry in attempts_of_class(slug) if not is_current(slug, entry)]
    services().judge.begin(slug, stale, services().challenges.text(slug))
    return redirect_to(url_for("results.judging", slug=slug))


@blueprint.get("/better-lens")
@teachers_only
def better_lens(slug: str) -> Page:
    """Whether a better lens is known of some models by now, and which verdicts it would change."""
    stored, offers = stored_challenge(slug), _lens_offers(slug)
    page = "teacher/better_lens_part.html" if wants_fragment() else "teacher/better_lens.html"
    return render_template(page, stored=stored, offers=offers)


@blueprint.post("/measure-again")
@teachers_only
def measure_again(slug: str) -> Page:
    """Measure those models again that a better lens is known of."""
    stored_challenge(slug)
    offered = {offer.entry for offer in _lens_offers(slug) if offer.changes is not None}
    if not offered:
        what = "No better lens is known of any model of this class that could be measured again."
        raise PageError(409, "There is nothing to measure again", what, "Go back to the results.")
    services().judge.begin_measuring(slug, [entry for entry in _newest(slug) if entry.id in offered])
    return redirect_to(url_for("results.judging", slug=slug))


@blueprint.get("/judging")
@teachers_only
def judging(slug: str) -> Page:
    """How far that is, and what it changed."""
    stored, known = stored_challenge(slug), services().judge.of(slug)
    if known is None:
        return redirect_to(url_for("results.show", slug=slug))
    page = "teacher/judging_part.html" if wants_fragment() else "teacher/judging.html"
    return render_template(page, stored=stored, judging=known)


@blueprint.get("/report.pdf")
@teachers_only
def report(slug: str) -> Page:
    """The class's pages and every team's."""
    entries, paper, names = _to_print(slug)
    content = class_report(titled(stored_challenge(slug)), entries, paper, names, _refused(slug))
    return document(content, f"{slug}-report")


def _refused(slug: str) -> list[Unmeasured]:
    """Of every team that has no model yet its newest refused photo, with what to do."""
    measured = {team_key(entry.team) for entry in attempts_of_class(slug)}
    jobs = [job for job in services().jobs.open_of(slug) if job.state in ("refused", "failed") and job.team]
    found = [Unmeasured(team_key(job.team), job.given, "", job.message) for job in reversed(jobs)]
    return list({photos.team: photos for photos in found if photos.team not in measured}.values())


@blueprint.get("/posters.pdf")
@teachers_only
def all_posters(slug: str) -> Page:
    """Every team's poster."""
    return document(posters(*_to_print(slug)), f"{slug}-posters")


@blueprint.get("/progress.pdf")
@teachers_only
def progress(slug: str) -> Page:
    """How all teams' attempts went on, of those that were judged by the rules as they are."""
    _, paper, names = _to_print(slug)
    of_now = [entry for entry in attempts_of_class(slug) if is_current(slug, entry)]
    entries = sorted(of_now, key=lambda entry: (in_order(entry.team), entry.attempt))
    return document(class_progress(titled(stored_challenge(slug)), entries, paper, names), f"{slug}-progress")


def _to_print(slug: str) -> tuple[list[Entry], str, dict[int, str]]:
    """Every team's last attempt, the paper asked for, the teams' names. Raises PageError where there is no attempt."""
    entries = last_attempts(slug)
    if not entries:
        raise PageError(
            404, "Nothing to report yet", "No model was judged by these rules.", "Send photos, or judge again."
        )
    return list(entries), paper_asked(), services().classes.team_names(slug)


@blueprint.get("/<name>.csv")
@teachers_only
def table(slug: str, name: str) -> Page:
    """The class's results for a spreadsheet."""
    stored = stored_challenge(slug)
    results = tuple(read_result(entry.folder) for entry in last_attempts(slug))
    tables = class_tables(ClassContent(stored.title, results))
    if f"{name}.csv" not in tables:
        raise not_found("There is no such table.")
    headers = {"Content-Disposition": f'attachment; filename="{slug}-{name}.csv"'}
    return Response(tables[f"{name}.csv"], mimetype="text/csv", headers=headers)


def _newest(slug: str) -> list[Entry]:
    """Every team's newest attempt."""
    return list({team_key(entry.team): entry for entry in attempts_of_class(slug)}.values())


def _lens_offers(slug: str) -> tuple[LensOffer, ...]:
    question = LensQuestion(tuple(entry.id for entry in _newest(slug)), services().settings.archive)
    try:
        return services().judge.asked(question)
    except WorkerFailed as failure:
        what = f"Looking for a better lens did not end well: {failure}."
        raise PageError(500, "This could not be found out", what, "Open the results again.") from failure
