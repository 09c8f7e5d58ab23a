"""The list of challenges, and what is done with a whole one: download, copy, remove."""

from __future__ import annotations

from flask import Blueprint, render_template
from werkzeug.wrappers import Response

from tapeplat.page.roles import teachers_only
from tapeplat.page.room import room

blueprint = Blueprint("challenges", __name__, url_prefix="/teacher")


@blueprint.get("/")
@teachers_only
def overview() -> str | Response:
    """Every challenge, the one changed last first."""
    return render_template("teacher/challenges.html", challenges=room().challenges.all())
