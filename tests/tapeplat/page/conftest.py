"""A page of its own for every test, asked without a socket."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from flask import Flask

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.chromium import PATIENCE, ended_after

HANGS = 600.0
"""Seconds after which a test's browser is ended, so that the test fails instead of holding up all others."""


@pytest.fixture(scope="session", autouse=True)
def _patient_browser() -> None:
    """A page on a busy machine gets as long as it needs; what is never shown fails the test all the same."""
    with suppress(ImportError):
        from playwright.sync_api import expect

        expect.set_options(timeout=PATIENCE)


@pytest.fixture(autouse=True)
def _no_hang() -> Iterator[None]:
    with ended_after(HANGS):
        yield


@pytest.fixture
def app(tmp_path: Path) -> Iterator[Flask]:
    made = create_app(Settings(data=tmp_path / "data", archive=tmp_path / "archive", workers=0))
    yield made
    made.extensions["tapeplat"].close()


@pytest.fixture
def house(app: Flask) -> Services:
    found = app.extensions["tapeplat"]
    assert isinstance(found, Services)
    return found


@pytest.fixture
def nobody(app: Flask, house: Services) -> Browser:
    return Browser(app.test_client(), house)


@pytest.fixture
def teacher(app: Flask, house: Services) -> Browser:
    client = app.test_client()
    assert client.get(f"/start/{house.start_key.key}").status_code == 302
    return Browser(client, house)


@pytest.fixture
def student(app: Flask, house: Services) -> Browser:
    """Team 3 of the harbour's class."""
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)
    browser = Browser(app.test_client(), house)
    assert browser.post("/class/code", {"code": house.classes.of(slug).code}).status_code == 302
    assert browser.post("/class/team", {"team": "3"}).status_code == 302
    return browser
