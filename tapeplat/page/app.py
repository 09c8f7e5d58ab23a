"""The application: what requests need, guards, one blueprint for each group of pages."""

from __future__ import annotations

import hashlib
import logging
from datetime import timedelta
from pathlib import Path

from flask import Flask

from tapeplat.page import phone_upload, sample_class, sign_in
from tapeplat.page.base import page_errors
from tapeplat.page.base.settings import Settings
from tapeplat.page.base.typed_text import PlainRequest
from tapeplat.page.session import guard, sent_once, template_words
from tapeplat.page.session.services import attach_services, open_services
from tapeplat.page.student import blueprint as student
from tapeplat.page.teacher import BLUEPRINTS


def create_app(settings: Settings) -> Flask:
    """The page for these settings; several may live in one process, each with its own data."""
    app = Flask("tapeplat.page", static_url_path=f"/static/{_version_of_static()}")
    app.request_class = PlainRequest
    made = open_services(settings)
    attach_services(app, made)
    app.config.update(
        SECRET_KEY=made.sign_in_secrets.session_key(),
        SESSION_COOKIE_NAME=f"tapeplat-{settings.port}",  # cookies do not tell ports apart
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_HTTPONLY=True,
        PERMANENT_SESSION_LIFETIME=timedelta(hours=12),
        SEND_FILE_MAX_AGE_DEFAULT=timedelta(days=30),
        MAX_CONTENT_LENGTH=guard.FORM_BYTES,
        MAX_FORM_MEMORY_SIZE=guard.FORM_BYTES,
    )
    app.logger.setLevel(logging.INFO)
    page_errors.register(app)
    guard.register(app)
    sent_once.register(app)
    template_words.register(app)
    for blueprint in (sign_in.blueprint, phone_upload.blueprint, sample_class.blueprint, *BLUEPRINTS, student):
        app.register_blueprint(blueprint)
    return app


def _version_of_static() -> str:
    """In the address of scripts and styles, so that browsers ask for each once; on a bad network they are there."""
    folder = Path(__file__).parent / "static"
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:12]
