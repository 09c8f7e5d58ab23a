"""The teacher's pages, one blueprint for each group of them."""

from __future__ import annotations

from tapeplat.page.class_board import board_views
from tapeplat.page.teacher import (
    archive_views,
    camera_views,
    challenge_editing,
    challenge_views,
    class_views,
    hand_number_views,
    held_views,
    model_views,
    photo_views,
    results_views,
    settings_views,
    sheet_views,
    solvable_views,
    tape_views,
)

GROUPS = (
    challenge_views,
    challenge_editing,
    sheet_views,
    photo_views,
    model_views,
    board_views,
    results_views,
    class_views,
    hand_number_views,
    held_views,
    archive_views,
    settings_views,
    camera_views,
    solvable_views,
    tape_views,
)
BLUEPRINTS = tuple(group.blueprint for group in GROUPS)
