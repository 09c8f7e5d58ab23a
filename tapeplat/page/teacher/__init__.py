"""The teacher's pages, one blueprint for each group of them."""

from __future__ import annotations

from tapeplat.page.teacher import (
    archive,
    camera,
    challenges,
    classes,
    editing,
    hand,
    models,
    own,
    photos,
    results,
    sheets,
    solvable,
)

GROUPS = (
    challenges,
    editing,
    sheets,
    photos,
    models,
    results,
    classes,
    hand,
    archive,
    own,
    camera,
    solvable,
)
BLUEPRINTS = tuple(group.blueprint for group in GROUPS)
