"""Answers are worked out once, and anew whenever anything that decides them has changed."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from tapeplat.page.session.services import Services
from tapeplat.page.store.erasing import erase_team
from tapeplat.page.student import hand_views
from tests.helpers.page.browser import CHALLENGE
from tests.helpers.page.student_world import ENTRY, SLUG, file_attempt, joined, open_all


def test_pages_share_what_was_worked_out(
    app: Flask, house: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pupil, other = joined(app, house, 3), joined(app, house, 4)
    open_all(house)
    worked = [0]
    answers = hand_views.answers

    def counting(*given: object) -> object:
        worked[0] += 1
        return answers(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(hand_views, "answers", counting)

    assert pupil.post("/class/measure", {**ENTRY, "value": "7"}).status_code == 303
    first = pupil.text("/class/measure")
    assert "7 cm" in first
    now = worked[0]
    assert pupil.text("/class/measure") == first
    assert worked[0] == now, "nothing changed"
    assert other.post("/class/measure", {**ENTRY, "value": "9"}).status_code == 303
    pupil.text("/class/measure")
    assert "9 cm" not in pupil.text("/class/measure")
    assert pupil.post("/class/measure", {**ENTRY, "value": "8"}).status_code == 303
    assert "8 cm" in pupil.text("/class/measure")
    file_attempt(house, tmp_path, "3")
    measured = pupil.text("/class/measure")
    assert "look again" in measured
    house.classes.set_teams(SLUG, 8, 9)
    assert pupil.text("/class/measure") != measured, "more tries for all"
    now = worked[0]
    house.challenges.save(SLUG, CHALLENGE + "# anew\n")
    pupil.text("/class/measure")
    assert worked[0] == now + 1, "another challenge"
    erase_team(house.database, SLUG, "3")
    again = joined(app, house, 3)
    assert "8 cm" not in again.text("/class/measure")
