"""The students' pages."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("student", __name__, url_prefix="/class")

# These add their pages to the blueprint.
import tapeplat.page.student.entering  # noqa: E402
import tapeplat.page.student.measuring  # noqa: E402
import tapeplat.page.student.planning  # noqa: E402
import tapeplat.page.student.results  # noqa: E402, F401
