"""Making and editing a challenge: as a form with each rule's reading below it, and as the file's own text."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import get_args

from flask import Blueprint, get_template_attribute, jsonify, redirect, render_template, request, url_for
from tomlkit.exceptions import TOMLKitError
from werkzeug.wrappers import Response

from measure.challenge import parse_challenge
from measure.challenge.challenge_model import LineColour, LineMaterial
from measure.errors import InputMistakes, Mistake
from measure.numbers import NumberStyle
from tapeplat.page.base.mistake_places import placed_mistakes
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.challenge.challenge_checking import Checked, checked
from tapeplat.page.challenge.challenge_differences import same_written, saved_otherwise
from tapeplat.page.challenge.challenge_fields import (
    SWATCHES,
    ChallengeFields,
    LineFields,
    ZoneFields,
    from_browser,
    from_text,
)
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge

blueprint = Blueprint("editing", __name__, url_prefix="/teacher")
LARGEST_TEXT = 200_000
_FASTER = "somebody else saved this challenge after you opened it"
_NONE, _CHOOSE = "This is no challenge file", "Choose a file that “Download its file” made, here or elsewhere."
_STYLES: dict[NumberStyle, str] = {
    "whole": "whole numbers",
    "half": "halves",
    "quarter": "quarters",
    "eighth": "eighths",
    "sixteenth": "sixteenths",
    "decimal": "decimals",
    "percent": "per cent",
}
_BOXES = [(str(number), f"box {number}") for number in range(1, SWATCHES + 1)]
_TOLD_BY = [("", "Choose …"), *_BOXES, *((colour, f"its colour: {colour}") for colour in get_args(LineColour))]
Page = str | Response | tuple[str, int]


@dataclass(frozen=True)
class Form:
    """The form on its way to the browser: for which challenge (empty: a new one), its fields, what was found.

    seen says which text of the file the teacher has seen, so that nobody overwrites what somebody else has changed;
    others what is saved otherwise by them. unit_meant is a unit that was questioned: sent again it is meant.
    """

    slug: str
    fields: ChallengeFields
    checked: Checked | None = None
    unsaved: str = ""
    seen: str = ""
    others: tuple[str, ...] = ()
    unit_meant: str = ""


@blueprint.get("/new")
@teachers_only
def new() -> Page:
    """An empty form."""
    return _form(Form("", ChallengeFields().with_room()))


@blueprint.post("/new")
@teachers_only
def make() -> Page:
    """Keep a new challenge, or add a row to the form."""
    return _taken("")


@blueprint.get("/challenge/<slug>/edit")
@teachers_only
def edit(slug: str) -> Page:
    """The form, filled in."""
    stored_challenge(slug)
    try:
        fields = from_text(services().challenges.text(slug))
    except ValueError:
        return redirect(url_for("editing.text", slug=slug))
    return _form(Form(slug, fields.with_room(), checked(fields, services().challenges.text(slug)), seen=_version(slug)))


@blueprint.post("/challenge/<slug>/edit")
@teachers_only
def change(slug: str) -> Page:
    """Keep the changes, or add a row to the form."""
    stored_challenge(slug)
    return _taken(slug)


@blueprint.post("/reading")
@teachers_only
def reading() -> Response:
    """For the script: what the form that is being typed means now, as pieces of the page."""
    slug = request.form.get("slug", "")
    fields = from_browser(request.form)
    found = checked_form(fields, slug)
    one = get_template_attribute("teacher/reading.html", "reading")
    together = get_template_attribute("teacher/reading.html", "together")
    return jsonify(readings=[one(reading) for reading in found.readings], together=together(found))


@blueprint.get("/challenge/<slug>/text")
@teachers_only
def text(slug: str) -> Page:
    """The file's own text."""
    stored = stored_challenge(slug)
    return _text(stored, services().challenges.text(slug), stored.mistakes, _version(slug))


@blueprint.post("/challenge/<slug>/text")
@teachers_only
def change_text(slug: str) -> Page:
    """Keep the text where it is a sound challenge."""
    stored = stored_challenge(slug)
    said = request.form.get("text", "").replace("\r\n", "\n")
    mistakes = _mistakes(said, f"{slug}.toml")
    if _changed_since_seen(slug):
        faster = Mistake("Nothing was saved", _FASTER, "what you wrote is below; save it again to replace that")
        return _text(stored, said, (faster,), _version(slug)), 409
    if mistakes:
        return _text(stored, said, mistakes, request.form.get("seen", "")), 400
    services().challenges.save(slug, said)
    return redirect(url_for("challenges.show", slug=slug))


@blueprint.post("/upload")
@teachers_only
def upload() -> Page:
    """Keep a challenge file that was made elsewhere. It is kept with its mistakes, too: they are shown."""
    file = request.files.get("file")
    data = file.stream.read(LARGEST_TEXT + 1) if file else b""
    if not data:
        raise PageError(400, "No file was chosen", "There is nothing in what was sent.", _CHOOSE)
    if len(data) > LARGEST_TEXT:
        raise PageError(413, _NONE, "It is too large for one.", _CHOOSE)
    try:
        said = data.decode("utf-8-sig").replace("\r\n", "\n")
        title = from_text(said).title
    except ValueError:
        what = "It is not text in the form of a challenge file."
        raise PageError(400, _NONE, what, _CHOOSE) from None
    return redirect(url_for("challenges.show", slug=services().challenges.create(title, said)))


def _taken(slug: str) -> Page:
    """What the form's button asks for: one more row, or keeping it."""
    fields, asked, seen = from_browser(request.form), request.form.get("do", "save"), request.form.get("seen", "")
    if asked in ("zone", "line", "rule", "check"):
        with_row = fields.with_room(zone=asked == "zone", line=asked == "line", rule=asked == "rule")
        return _form(Form(slug, with_row, checked_form(fields, slug), "These changes are not saved yet.", seen))
    found = checked_form(fields, slug)
    if _changed_since_seen(slug):
        unsaved = f"Nothing was saved: {_FASTER}. What you wrote is here; save it again to replace that."
        others = tuple(saved_otherwise(_saved(slug), fields))
        return _form(Form(slug, fields.with_room(), found, unsaved, _version(slug), others)), 409
    before = services().challenges.get(slug) if slug else None
    if found.mistakes and before and before.challenge:
        unsaved = "Nothing was saved, so that the challenge as it was can still be used."
        return _form(Form(slug, fields.with_room(), found, unsaved, seen)), 400
    if not fields.title:
        return _form(Form(slug, fields.with_room(), found, "Nothing was saved yet.", seen)), 400
    if doubt := _doubt_about_unit(slug, fields):
        return _form(Form(slug, fields.with_room(), found, doubt, seen, unit_meant=fields.unit)), 409
    if slug:
        services().challenges.save(slug, found.text)
    else:
        slug = services().challenges.create(fields.title, found.text)
    return redirect(url_for("challenges.show", slug=slug))


def _doubt_about_unit(slug: str, fields: ChallengeFields) -> str:
    """What to ask where another unit was chosen and the parcel's numbers were left: no board shrinks to centimetres."""
    saved = _saved(slug)
    left = same_written(saved.width, fields.width) and same_written(saved.depth, fields.depth)
    if not slug or saved.unit == fields.unit or not left or request.form.get("unit_meant") == fields.unit:
        return ""
    was, now = (f"{fields.width} × {fields.depth} {unit}" for unit in (saved.unit, fields.unit))
    return (
        f"Nothing was saved yet. Another unit was chosen and the parcel's numbers were left: it was {was} and would be "
        f"{now}, and so for all other numbers. Write them in the new unit, or save again if the numbers are right."
    )


def _saved(slug: str) -> ChallengeFields:
    """The fields of the challenge as it is saved; empty ones for a new challenge, or a file that is no such text."""
    try:
        return from_text(services().challenges.text(slug)) if slug else ChallengeFields()
    except ValueError:
        return ChallengeFields()


def checked_form(fields: ChallengeFields, slug: str) -> Checked:
    """The form of a challenge that the file has under this slug (empty: of a new one), looked through."""
    try:
        return checked(fields, services().challenges.text(slug) if slug else "")
    except (TOMLKitError, KeyError):
        zones = tuple(replace(zone, was="") for zone in fields.zones)
        return checked(replace(fields, zones=zones, lines=tuple(replace(line, was="") for line in fields.lines)))


def _version(slug: str) -> str:
    """Tells one text of a challenge's file from another."""
    return hashlib.sha256(services().challenges.text(slug).encode("utf-8", "replace")).hexdigest()[:16]


def _changed_since_seen(slug: str) -> bool:
    """Whether somebody saved the challenge after the form that was sent had been opened."""
    seen = request.form.get("seen", "")
    return bool(slug and seen) and seen != _version(slug)


def _mistakes(said: str, name: str) -> tuple[Mistake, ...]:
    try:
        parse_challenge(said, name)
    except InputMistakes as wrong:
        return wrong.mistakes
    return ()


def _text(stored: StoredChallenge, text: str, mistakes: Sequence[Mistake], seen: str) -> str:
    said = placed_mistakes(mistakes, text, lines=True)
    return render_template("teacher/text.html", stored=stored, text=text, mistakes=said, seen=seen)


def _form(form: Form) -> str:
    return render_template(
        "teacher/edit.html",
        form=form,
        fields=form.fields,
        checked=form.checked,
        empty_zone=ZoneFields(),
        empty_line=LineFields(),
        told_by=_TOLD_BY,
        materials=" or ".join(", ".join(get_args(LineMaterial)).rsplit(", ", 1)),
        number_styles=[(style, _STYLES[style]) for style in get_args(NumberStyle)],
    )
