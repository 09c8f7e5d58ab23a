"""The teacher's pages, one blueprint for each group of them."""

from __future__ import annotations

from tapeplat.page.teacher import archive, challenges, classes, editing, models, own, photos, results, sheets

BLUEPRINTS = tuple(
    group.blueprint for group in (challenges, editing, sheets, photos, models, results, classes, archive, own)
)
