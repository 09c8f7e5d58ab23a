"""One measured model: its picture, rules and warnings; what the teacher says of it; its outlines repaired."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from flask import Blueprint, render_template, request, send_file, url_for
from flask import Response as FlaskResponse
from werkzeug.wrappers import Response

from measure.errors import InputMistakes
from measure.rules.verdict import VERDICTS, Verdict
from measure.structures.solid_volumes import SOLIDS
from measure.teams import team_key
from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.attempt_model import (
    Model,
    attempts_beside,
    before_repairs,
    challenge_of,
    entry_of,
    given_to,
    judged_by_hand,
    model_of,
    repaired,
    shown_picture,
    unrepaired,
    with_all_shown,
    with_marked_height,
    with_structures,
    without_hand,
    without_marked_height,
)
from tapeplat.page.content.class_results import is_current
from tapeplat.page.content.marking import Marks, markable, marks_of, photo_file
from tapeplat.page.content.outline_form import Editor, editor_of, request_of
from tapeplat.page.content.printing import posters, team_attempts, team_report, unit_kit
from tapeplat.page.content.repair_request import MOST_BYTES, StaleResult, result_version
from tapeplat.page.content.seen_table import seen_rows
from tapeplat.page.content.structures_form import StructureFields, csv_of, problems_of, rows_from_browser, rows_from_csv
from tapeplat.page.session.guard import may_hold
from tapeplat.page.session.printed_answers import document, paper_asked
from tapeplat.page.session.roles import teachers_only, wants_fragment
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge
from tapeplat.page.store.hand_numbers import HandEntries

blueprint = Blueprint("models", __name__, url_prefix="/teacher/model")
Page = str | Response | tuple[str, int]
_MOST_WORDS = 400
_PICTURES = {"annotated.png": "image/png", "corrected.jpg": "image/jpeg"}


@blueprint.get("/<entry>")
@teachers_only
def show(entry: str) -> Page:
    """Everything of one model."""
    return _page(model_of(entry_of(entry)))


@blueprint.get("/<entry>/shown.jpg")
@teachers_only
def shown(entry: str) -> Response:
    """The annotated picture without its list of rules. Its address has a version, so that it may be cached."""
    content = shown_picture(entry_of(entry))
    if content is None:
        raise not_found("This model has no picture.")
    return FlaskResponse(content, mimetype="image/jpeg", headers={"Cache-Control": "private, max-age=3600"})


@blueprint.get("/<entry>/<name>")
@teachers_only
def picture(entry: str, name: str) -> Response:
    """A picture that measuring drew; no other file of the archive has an address."""
    file = entry_of(entry).folder / name
    if name not in _PICTURES or not file.is_file():
        raise not_found("There is no such picture.")
    return send_file(file, mimetype=_PICTURES[name])


@blueprint.get("/<entry>/report.pdf")
@teachers_only
def report(entry: str) -> Response:
    """The model's page for the wall."""
    found = entry_of(entry)
    return document(team_report(found, paper_asked(), dict(_teams(challenge_of(found)))), entry)


@blueprint.get("/<entry>/poster.pdf")
@teachers_only
def poster(entry: str) -> Response:
    """The model's poster, with the team's words where they were typed."""
    found, words = entry_of(entry), request.args.get("words", "")[:_MOST_WORDS]
    names = dict(_teams(challenge_of(found)))
    return document(posters([found], paper_asked(), names, words), f"{entry}-poster")


@blueprint.get("/<entry>/attempts.pdf")
@teachers_only
def attempts(entry: str) -> Response:
    """All attempts of the model's team."""
    found = entry_of(entry)
    names = dict(_teams(challenge_of(found)))
    return document(team_attempts(attempts_beside(found), paper_asked(), names), f"{entry}-attempts")


@blueprint.get("/<entry>/kit<any('.docx', '.pdf'):suffix>")
@teachers_only
def kit(entry: str, suffix: str) -> Response:
    """Questions on the model's own numbers, and practice with its own shapes."""
    found = model_of(entry_of(entry))
    content = unit_kit(found.challenge, suffix, paper_asked(), 8, found.entry)
    return document(content, f"{entry}-questions", suffix)


@blueprint.post("/<entry>/by-hand")
@teachers_only
def by_hand(entry: str) -> Page:
    """The teacher's verdict on one rule, with a reason; or taking it back."""
    model = model_of(entry_of(entry))
    text, verdict = request.form.get("rule", ""), request.form.get("verdict", "")
    if verdict == "take back":
        without_hand(model, text)
        return redirect_to(_address(entry))
    try:
        judged_by_hand(model, text, cast("Verdict", verdict), request.form.get("reason", ""))
    except ValueError as error:
        what = f"{str(error)[:1].upper()}{str(error)[1:]}."
        raise PageError(400, "This verdict was not kept", what, "Go back, and write the reason.") from None
    return redirect_to(_address(entry))


@blueprint.post("/<entry>/outlines")
@may_hold(MOST_BYTES)
@teachers_only
def outlines(entry: str) -> Page:
    """Outlines as the teacher repaired them: measured and judged again."""
    model = model_of(entry_of(entry))
    body = request.get_data(as_text=True) if request.is_json else ""
    asked = request_of(body, request.form, model.challenge.unit, is_json=request.is_json)
    try:
        changed = repaired(model, asked)
    except StaleResult as stale:
        raise PageError(409, "Someone was faster", f"{stale}.") from None
    if wants_fragment():
        return render_template("teacher/model_body.html", **_shown(model_of(changed)))
    return redirect_to(_address(entry))


@blueprint.post("/<entry>/unrepair")
@teachers_only
def unrepair(entry: str) -> Page:
    """Back to the outlines that the photo gave; verdicts by hand and structures stay."""
    unrepaired(model_of(entry_of(entry)))
    return redirect_to(_address(entry))


@blueprint.post("/<entry>/structures")
@teachers_only
def structures(entry: str) -> Page:
    """The structures on the model, which rules about volumes, heights and people need."""
    model = model_of(entry_of(entry))
    rows = rows_from_browser(request.form)
    if request.form.get("do") == "row":
        return _page(model, [*rows, StructureFields(unit=model.challenge.unit)])
    csv = csv_of(rows, model.entry.team)
    try:
        with_structures(model, csv)
    except InputMistakes as wrong:
        return _page(model, rows, problems_of(wrong)), 400
    stored = challenge_of(model.entry)
    if stored is not None:
        services().tables.put_structures(stored.slug, model.entry.team, csv)
    return redirect_to(f"{_address(entry)}#structures")


@blueprint.post("/<entry>/all-shown")
@teachers_only
def all_shown(entry: str) -> Page:
    """The teacher's word that the photos show every structure of the model; or that word taken back."""
    with_all_shown(model_of(entry_of(entry)), all_shown=request.form.get("all") == "yes")
    return redirect_to(f"{_address(entry)}#structures")


@blueprint.get("/<entry>/mark")
@teachers_only
def mark(entry: str) -> Page:
    """A photo of the model, to mark the foot and the top of an upright edge in."""
    model = model_of(entry_of(entry))
    return _mark_page(model, request.args.get("photo", 1, int))


@blueprint.post("/<entry>/mark")
@teachers_only
def marked(entry: str) -> Page:
    """The height of the marked edge becomes a structure's; or that of a structure is taken away."""
    model = model_of(entry_of(entry))
    if request.form.get("do") == "remove":
        without_marked_height(model, request.form.get("number", 0, int))
        return redirect_to(f"{_address(entry)}#structures")
    asked = marks_of(request.form)
    try:
        with_marked_height(model, asked.photo - 1, asked.foot, asked.top, asked.marking)
    except InputMistakes as wrong:
        return _mark_page(model, asked.photo, asked, [str(one) for one in wrong.mistakes]), 400
    return redirect_to(f"{_address(entry)}#structures")


@blueprint.get("/<entry>/mark/photo-<int:number>")
@teachers_only
def marked_photo(entry: str, number: int) -> Response:
    """A photo as it is filed, black around the model."""
    file = photo_file(model_of(entry_of(entry)), number)
    if file is None:
        raise not_found("There is no such photo.")
    return send_file(file)


@blueprint.post("/<entry>/team")
@teachers_only
def give(entry: str) -> Page:
    """The model is another team's: make it that team's next attempt."""
    found, team, house = entry_of(entry), request.form.get("team", ""), services()
    stored = challenge_of(found)
    teams = range(1, house.classes.of(stored.slug).teams + 1) if stored else ()
    if stored is None or team not in map(str, teams) or team_key(found.team) == team:
        raise PageError(400, "Whose model is it?", "No other team was chosen.", "Go back and choose the team.")
    given = given_to(model_of(found), team, house.tables.structures(stored.slug, team))
    house.jobs.handed_over(found.id, given.id, team)
    HandEntries(house.database).let_go(found.id)
    return redirect_to(_address(given.id))


@blueprint.post("/<entry>/remove")
@teachers_only
def remove(entry: str) -> Page:
    """Move the attempt to the archive's trash folder."""
    found = entry_of(entry)
    stored = challenge_of(found)
    services().archive.remove(found.id)
    return redirect_to(url_for("results.show", slug=stored.slug) if stored else url_for("archive.show"))


def _mark_page(model: Model, photo: int, asked: Marks | None = None, problems: Sequence[str] = ()) -> str:
    known = markable(model)
    if photo not in known:
        what = "No photo of this model has what is needed: its camera is kept since this version."
        if not known:
            raise PageError(404, "Nothing to mark in", what, "Measure the model again from its photos.")
        photo = known[0]
    record = model.result.photos[photo - 1]
    return render_template(
        "teacher/mark.html", model=model, stored=challenge_of(model.entry), photo=photo, photos=known, record=record,
        asked=asked or Marks(photo), problems=problems,
    )  # fmt: skip


def _address(entry: str) -> str:
    return url_for("models.show", entry=entry)


def _page(model: Model, rows: list[StructureFields] | None = None, problems: Sequence[str] = ()) -> str:
    return render_template("teacher/model.html", problems=problems, **_shown(model, rows))


def _shown(model: Model, rows: list[StructureFields] | None = None) -> dict[str, object]:
    verdicts = [line.verdict for line in model.content.rules]
    stored = challenge_of(model.entry)
    known = rows if rows is not None else rows_from_csv(model.structures)
    return {
        "model": model,
        "editor": _editor(model),
        "repaired": before_repairs(model.entry) is not None,
        "attempts": attempts_beside(model.entry),
        "stored": stored,
        "stale": stored is not None and not is_current(stored.slug, model.entry),
        "teams": _teams(stored),
        "seen": seen_rows(model.result),
        "markable": markable(model),
        "rows": known or [StructureFields(unit=model.challenge.unit)],
        "solids": SOLIDS,
        "version": result_version(model.entry.folder),
        "tally": [(word, count) for word in VERDICTS if (count := verdicts.count(word))],
        "rules": list(zip(model.content.rules, model.result.rules, strict=True)),
    }


def _teams(stored: StoredChallenge | None) -> list[tuple[int, str]]:
    """The teams of a challenge's class, with the names that they were given."""
    if stored is None:
        return []
    names = services().classes.team_names(stored.slug)
    return [(number, names.get(number, "")) for number in range(1, services().classes.of(stored.slug).teams + 1)]


def _editor(model: Model) -> Editor | None:
    zones, lines = ([each.name for each in named] for named in (model.challenge.zones, model.challenge.lines))
    known = model.result.corrected
    file = known.file if known else ""
    address = url_for("models.picture", entry=model.entry.id, name=file) if file in _PICTURES else ""
    post = url_for("models.outlines", entry=model.entry.id)
    return editor_of(model.entry.folder, zones, lines, picture=address, post=post, swap="#model") if address else None
