"""The archive: everything that was filed, two attempts compared, taking away what is old."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.archive.attempt_comparison import Comparison, compare
from tapeplat.archive.comparison_words import quantities
from tapeplat.archive.export import export
from tapeplat.archive.storage.folder_names import challenge_folder
from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.content.attempt_model import challenge_of, entry_of
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.session.template_words import titled
from tapeplat.page.store.erasing import erase_attempts

blueprint = Blueprint("archive", __name__, url_prefix="/teacher/archive")
Page = str | AnyResponse
_DRAWN_BY_US = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
"""The overlay is a drawing that carries its own style; shown as a picture, it runs nothing."""


@blueprint.get("")
@teachers_only
def show() -> Page:
    """Every attempt, challenge by challenge, the newest challenge first."""
    groups: dict[str, list[Entry]] = {}
    for entry in services().archive.entries():
        groups.setdefault(_group(entry), []).append(entry)
    shown = [(key, _called(those[-1]), those) for key, those in groups.items()]
    shown.sort(key=lambda group: max(entry.taken for entry in group[2]), reverse=True)
    kept, deleted = services().archive, request.args.get("deleted", type=int)
    unreadable = len(kept.unreadable())
    return render_template(
        "teacher/archive.html",
        groups=shown,
        chosen={key: _two_of_a_team(those) for key, _, those in shown},
        removed=kept.removed(),
        called=_called,
        own_name=_own_name,
        unreadable=unreadable,
        deleted=deleted,
    )


@blueprint.get("/compare")
@teachers_only
def compared() -> Page:
    """What changed from one attempt to another."""
    found = _comparison()
    return render_template("teacher/compare.html", found=found, tables=quantities(found))


@blueprint.get("/overlay.svg")
@teachers_only
def overlay() -> Page:
    """The two attempts' outlines over each other."""
    found = _comparison()
    if not found.overlay:
        raise not_found("The outlines of these attempts cannot be laid over each other.")
    headers = {"Content-Security-Policy": _DRAWN_BY_US}
    return Response(found.overlay, mimetype="image/svg+xml", headers=headers)


@blueprint.get("/export.zip")
@teachers_only
def exported() -> Page:
    """Attempts to hand on, as a ZIP that holds what was asked for and nothing else."""
    asked = request.args.getlist("part")
    entries = [entry for entry in services().archive.entries() if _group(entry) == request.args.get("of")]
    if not entries or not asked:
        raise PageError(400, "Nothing to export", "Choose at least one kind of file.", "Go back and choose again.")
    with tempfile.TemporaryDirectory(prefix="tapeplat-") as folder:
        file = Path(folder) / "export.zip"
        export(entries, file, asked)
        content = file.read_bytes()
    headers = {"Content-Disposition": f'attachment; filename="{challenge_folder(entries[0].title)}.zip"'}
    return Response(content, mimetype="application/zip", headers=headers)


@blueprint.post("/restore")
@teachers_only
def restore() -> Page:
    """Bring a removed attempt back."""
    place = request.form.get("folder", "")
    found = next((entry for entry in services().archive.removed() if entry.folder.name == place), None)
    if found is None:
        raise not_found("This attempt is not in the trash any more.")
    return redirect_to(url_for("models.show", entry=services().archive.restore(found).id))


@blueprint.post("/expire")
@teachers_only
def expire() -> Page:
    """Delete for good what was filed more than so many months ago; asked twice, with a list."""
    months = request.form.get("months", type=int)
    if months is None or not 1 <= months <= 600:
        raise PageError(400, "Nothing was deleted", "Say how many months.", "Go back and choose again.")
    kept, age = services().archive, timedelta(days=30.44 * months)
    if request.form.get("sure") != "yes":
        due = kept.due(age)
        unreadable = sum(damaged.folder not in {entry.folder for entry in due} for damaged in kept.unreadable())
        return render_template("teacher/expire.html", months=months, due=due, unreadable=unreadable)
    gone = kept.expire(age)
    erase_attempts(services().database, [entry.id for entry in gone])
    return redirect_to(url_for("archive.show", deleted=len(gone)))


def _own_name(entry: Entry) -> str:
    """What the team called itself, where its class is still there; empty where it gave no name."""
    stored, team = challenge_of(entry), team_key(entry.team)
    return services().classes.team_names(stored.slug).get(int(team), "") if stored and team.isdigit() else ""


def _two_of_a_team(entries: Sequence[Entry]) -> list[str]:
    """The last two attempts of the team that was measured again last; none where no team has two."""
    by_team: dict[str, list[Entry]] = {}
    for entry in entries:
        by_team.setdefault(entry.team, []).append(entry)
    again = [own[-2:] for own in by_team.values() if len(own) > 1]
    return [entry.id for entry in max(again, key=lambda own: own[-1].kept_since, default=[])]


def _group(entry: Entry) -> str:
    """What stands together in the list: a class's attempts, or those of a title that no class owns."""
    return entry.class_id or entry.title


def _called(entry: Entry) -> str:
    owner = challenge_of(entry)
    return titled(owner) if owner else entry.title


def _comparison() -> Comparison:
    before, after = request.args.get("before", ""), request.args.get("after", "")
    if not before or not after:
        raise PageError(400, "Two attempts are needed", "One of them was not chosen.", "Go back and choose both.")
    return compare(entry_of(before), entry_of(after))
