"""A class whose team 3 has a measured model: a harbour that was drawn, so that every true value is known."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from flask import Flask
from PIL import Image

import tapeplat
from tapeplat.archive import Entry, NewAttempt
from tapeplat.page.session.services import Services
from tapeplat.page.store.team_words import TeamWords
from tests.helpers.page.browser import CHALLENGE, Browser

TITLE, SLUG = "Gull Point Harbour", "gull-point-harbour"
MARKET = [[4.0, 4.0], [14.0, 4.0], [14.0, 10.0], [4.0, 10.0]]
"""cm: 10 by 6, area 60, perimeter 32, a twentieth of the parcel."""
DOCK = [[20.0, 6.0], [32.0, 6.0], [32.0, 22.0], [20.0, 22.0]]
"""cm: 6 to the right of the market."""
ENTRY = {
    "quantity": "side", "zone": "market", "side": "1", "value": "10", "unit": "cm", "mark": "0.1 cm", "who": "QX",
}  # fmt: skip


ROAD = """
[[line]]
name = "road"
swatch = 3
cost = 2
"""
"""For the challenge."""


def measured_files(
    folder: Path,
    market: Sequence[Sequence[float]] = MARKET,
    team: str = "3",
    task: str = CHALLENGE,
    road: Sequence[Sequence[float]] = (),
) -> dict[str, bytes]:
    """What measuring would write: a result of these outlines, its corners known to 0.02 cm, and two pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    shapes = (("market", market), ("dock", DOCK))
    features: list[dict[str, Any]] = [
        {
            "type": "Feature",
            "properties": {"zone": zone, "u95": 0.02},
            "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
        }
        for zone, ring in shapes
    ]
    if road:
        line = {"type": "LineString", "coordinates": [list(point) for point in road]}
        features.append(
            {"type": "Feature", "properties": {"line": "road", "u95": 0.02, "width": 0.5}, "geometry": line}
        )
    (folder / "challenge.toml").write_text(task, encoding="utf-8")
    plat = folder / "plat.json"
    plat.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    result: dict[str, Any] = json.loads(tapeplat.check(folder / "challenge.toml", plat, team=team).files["result.json"])
    result["corrected"] = {"file": "corrected.jpg", "mm_per_px": 1.0, "origin_mm": [0.5, 0.5]}
    return {
        "corrected.jpg": _picture("JPEG"),
        "annotated.png": _picture("PNG"),
        "result.json": json.dumps(result).encode(),
    }


def file_attempt(house: Services, folder: Path, team: str = "3", task: str = CHALLENGE, **more: Any) -> Entry:
    """File a measured model of a team."""
    files = measured_files(folder / f"team-{team}", team=team, task=task, **more)
    return house.archive.save(
        NewAttempt(TITLE, team, task.encode(), files, class_id=house.classes.of(SLUG).id), surroundings=True
    )


def joined(app: Flask, house: Services, team: int) -> Browser:
    """A browser of a team, the class being there; the first one, or one that knows the word."""
    if house.challenges.file(SLUG) is None:
        house.challenges.create(TITLE, CHALLENGE)
    browser = Browser(app.test_client(), house)
    assert browser.post("/class/code", {"code": house.classes.of(SLUG).code}).status_code == 302
    word = TeamWords(house.database).word(SLUG, team)
    assert browser.post("/class/team", {"team": str(team), "word": word}).status_code == 302
    return browser


def open_all(house: Services, *closed: str) -> None:
    """Open everything to the students but what is named."""
    house.classes.open_only(SLUG, frozenset({"plan", "entry", "picture", "verdicts"} - set(closed)))  # type: ignore[arg-type]


def _picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (400, 300), (200, 190, 170)).save(out, kind)
    return out.getvalue()
