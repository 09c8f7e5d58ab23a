"""Challenges for the sheets' tests, and the sheets looked at as a printer would show them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from measure.challenge import Challenge, read_challenge
from tapeplat.paper.book import SHEETS, make_book
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheets.sheet_job import Job
from tests.helpers.made.sheet_challenges import QUARRY, crowded_toml
from tests.helpers.rendered_sheets import Rendered

Render = Callable[..., Rendered]


@pytest.fixture
def challenge_of(tmp_path: Path) -> Callable[[str], Challenge]:
    """The challenge that a TOML text states."""

    def read(text: str) -> Challenge:
        path = tmp_path / "challenge.toml"
        path.write_text(text, "utf-8")
        return read_challenge(path)

    return read


@pytest.fixture
def quarry(challenge_of: Callable[[str], Challenge]) -> Challenge:
    return challenge_of(QUARRY)


@pytest.fixture
def crowded(challenge_of: Callable[[str], Challenge]) -> Challenge:
    return challenge_of(crowded_toml())


@pytest.fixture(params=["letter", "a4"])
def paper(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def render() -> Render:
    """The pages of some sheets of a challenge, by the sheets' names; all without names."""

    def made(challenge: Challenge, paper: str, *names: str, **more: object) -> Rendered:
        job = Job(challenge, PAPERS[paper], **{"teams": tuple(range(1, 9)), **more})  # type: ignore[arg-type]
        chosen = [sheet for sheet in SHEETS if (sheet.name in names or not names) and not sheet.idle(job)]
        return Rendered(make_book(job, chosen, with_contents=not names))

    return made
