"""The teacher's pages, one blueprint for each group of them."""

from __future__ import annotations

from tapeplat.page.teacher import challenges

BLUEPRINTS = (challenges.blueprint,)
