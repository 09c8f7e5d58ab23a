"""Ray-traced photos with known geometry, where they lie beside the repository; skipped where they do not."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup, Priors
from tests.helpers.paths import PHOTOS
from tests.helpers.scenes.scoring import area
from vision.picture.photo import read_photo
from vision.picture.traced import TapeSpec, Traced
from vision.tracing import trace

pytestmark = pytest.mark.skipif(not PHOTOS.is_dir(), reason="the photos are not beside the repository")
LARGEST = {
    "built-111": 0.005, "cardonly-203": 0.01, "tablecard-205": 0.01, "tilted-135": 0.005, "touching-181": 0.005,
    "hidden-207": 0.01, "harsh-151": 0.01, "curved-171": 0.01,
}  # fmt: skip
"""What every area keeps within, well inside what the job asks for, so that a loss of quality shows."""


def truth_of(name: str) -> dict:  # type: ignore[type-arg]
    return json.loads((PHOTOS / f"{name}.json").read_text())


def traced(name: str) -> Traced:
    truth = truth_of(name)
    parcel, table = truth["parcel"], truth["card"].get("surface") == "table"
    setup = PhotoSetup(
        parcel["width_mm"], parcel["depth_mm"], parcel["thickness_mm"] if table else None,
        "table" if table else "parcel", priors=Priors(0, 0, 0, 0, 0),
    )  # fmt: skip
    tapes = [TapeSpec(z["name"], z["swatch"], None, 1.2 if is_yarn(z) else 0.0) for z in truth["zones"]]
    return trace(read_photo(PHOTOS / f"{name}.jpg"), setup, tapes)


def is_yarn(zone: dict) -> bool:  # type: ignore[type-arg]
    return zone.get("material") == "yarn"


@pytest.mark.parametrize("name", LARGEST)
def test_areas_of_a_photo(name: str) -> None:
    if not (PHOTOS / f"{name}.jpg").exists():
        pytest.skip("this photo is not there")
    result, z = traced(name), []
    for zone in truth_of(name)["zones"]:
        pieces = [p for p in result.pieces if p.zone == zone["name"]]
        assert len(pieces) == len(zone["pieces"]), zone["name"]
        measured = [area(p) for p in pieces]
        error = sum(value for value, _ in measured) - zone["area_mm2"]["middle"]
        assert abs(error) < LARGEST[name] * zone["area_mm2"]["middle"], zone["name"]
        z.append(error / float(np.sum([u for _, u in measured])))
    assert np.mean(np.abs(z) < 2) >= 0.8


def test_outlines_of_a_photo_lie_where_they_are() -> None:
    name = "clear-201"
    if not (PHOTOS / f"{name}.jpg").exists():
        pytest.skip("this photo is not there")
    result = traced(name)
    for zone in truth_of(name)["zones"]:
        true = [Polygon(p["middle"]) for p in zone["pieces"]]
        found = [Polygon(p.ring.points) for p in result.pieces if p.zone == zone["name"]]
        for polygon in true:
            assert min(polygon.symmetric_difference(f).area for f in found) < 0.2 * polygon.length, zone["name"]


@pytest.mark.parametrize("path", sorted(PHOTOS.glob("refuse-*.json")) if PHOTOS.is_dir() else [], ids=lambda p: p.stem)
def test_a_photo_that_cannot_be_measured(path: Path) -> None:
    reason = truth_of(path.stem)["refuse"]["reason"].replace("_", "-")
    with pytest.raises(PhotoRefused) as refused:
        traced(path.stem)
    assert refused.value.reason == reason
