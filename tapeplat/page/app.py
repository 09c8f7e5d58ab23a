"""The application: a room, guards, one blueprint for each group of pages."""

from __future__ import annotations

import logging
from datetime import timedelta

from flask import Flask

from tapeplat.page import door, errors, guard, phone, words
from tapeplat.page.room import furnish, make_room
from tapeplat.page.settings import Settings
from tapeplat.page.student import blueprint as student
from tapeplat.page.teacher import BLUEPRINTS as TEACHER

FORM_BYTES = 2_000_000
"""What a request may hold; pages that take photos allow themselves more."""


def create_app(settings: Settings) -> Flask:
    """The page for these settings; several may live in one process, each with its own data."""
    app = Flask("tapeplat.page")
    made = make_room(settings)
    furnish(app, made)
    app.config.update(
        SECRET_KEY=made.kept.session_key(),
        SESSION_COOKIE_NAME=f"tapeplat-{settings.port}",  # cookies do not tell ports apart
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_HTTPONLY=True,
        PERMANENT_SESSION_LIFETIME=timedelta(hours=12),
        MAX_CONTENT_LENGTH=FORM_BYTES,
        MAX_FORM_MEMORY_SIZE=FORM_BYTES,
    )
    app.logger.setLevel(logging.INFO)
    errors.register(app)
    guard.register(app)
    words.register(app)
    for blueprint in (door.blueprint, phone.blueprint, *TEACHER, student):
        app.register_blueprint(blueprint)
    return app
