"""The students' pages."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("student", __name__, url_prefix="/class")

# These add their pages to the blueprint.
import tapeplat.page.student.hand_views  # noqa: E402
import tapeplat.page.student.joining  # noqa: E402
import tapeplat.page.student.plan_views  # noqa: E402
import tapeplat.page.student.result_views  # noqa: E402, F401
