"""The address below which all students' pages are."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("student", __name__, url_prefix="/class")
