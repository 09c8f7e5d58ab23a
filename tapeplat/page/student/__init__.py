"""The students' pages."""

from __future__ import annotations

from tapeplat.page.student import hand_views, joining, plan_views, result_views  # each adds its pages to the blueprint
from tapeplat.page.student.student_blueprint import blueprint

__all__ = ["blueprint", "hand_views", "joining", "plan_views", "result_views"]
