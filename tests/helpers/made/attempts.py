"""Small made-up attempts for the tests: a result without a photo, with numbers that are easy to tell."""

from __future__ import annotations

import json
from datetime import UTC, datetime

from tapeplat.archive import NewAttempt

CHALLENGE = b'title = "Heron Marsh"\nunit = "cm"\n'
TAKEN = datetime(2026, 3, 5, 10, 30, tzinfo=UTC)
SQUARE = [[10, 10], [20, 10], [20, 20], [10, 20]]


def result(
    *,
    title: str = "Heron Marsh",
    team: str = "3",
    area: float = 100.0,
    verdict: str = "met",
    outline=SQUARE,
    frame: str = "tiles",
    **more: object,
) -> dict:
    piece = {"outline": outline, "status": "measured", "area": {"value": area, "u95": 0.5}}
    return {
        "format": "tapeplat/result-1",
        "title": title,
        "team": team,
        "unit": "cm",
        "tape_edge": "middle",
        "parcel": {"width": 50, "depth": 40, "area": 2000, "frame": frame},
        "zones": [
            {"name": "jetty", "kind": "zone", "area": {"value": area, "u95": 0.5}, "pieces": [piece]},
            {"name": "reeds", "kind": "zone", "area": None, "pieces": []},
        ],
        "distances": [{"between": ["jetty", "reeds"], "value": 4.0, "u95": 0.1}],
        "rules": [
            {
                "text": "jetty covers at most 1/10 of the parcel",
                "reads_as": "the share of jetty is at most 10 %",
                "kind": "share",
                "verdict": verdict,
                "value": area / 2000,
                "u95": 0.0003,
                "limit": 0.1,
            },
            {"text": "by eye: the jetty looks safe", "reads_as": "by eye", "kind": "by eye", "verdict": "by eye"},
        ],
        **more,
    }


def as_bytes(content: dict) -> bytes:
    return json.dumps(content).encode()


def attempt(team: str = "3", title: str = "Heron Marsh", *, photos=(), files=None, **more: object) -> NewAttempt:
    made = result(title=title, team=team)
    given = {"result.json": as_bytes(made), "plat.svg": b"<svg/>"} if files is None else files
    return NewAttempt(title, team, CHALLENGE, given, photos, taken=TAKEN, **more)
