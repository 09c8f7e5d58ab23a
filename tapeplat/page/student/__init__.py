"""The students' pages."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("student", __name__, url_prefix="/class")

from tapeplat.page.student import entering  # noqa: E402, F401  (adds its pages to the blueprint)
