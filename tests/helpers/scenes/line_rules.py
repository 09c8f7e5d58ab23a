"""What a drawn scene's lines reach, join and cross: the verdicts on its true plat and on the measured one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from measure.challenge import Challenge, parse_challenge
from measure.importing.plat_file import plat_of_geojson
from measure.plat.plat import Piece, Plat, Ring, Source
from measure.quantity import Quantity
from measure.rules.evaluation.evaluate import evaluate_all
from tapeplat.measuring.lines_shown import line_doubts, line_pieces, unread_lines
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.raster import FloatArray
from vision.picture.traced import Traced
from vision.picture.traced_lines import LineSpec

DECIDED = ("met", "not met")


@dataclass(frozen=True)
class Decision:
    """One sentence about connections: the verdict on the true plat and on the measured one."""

    sentence: str
    true: str
    measured: str

    @property
    def decided(self) -> bool:
        return self.measured in DECIDED and self.true in DECIDED


def challenge_of(scene: Scene, specs: Sequence[LineSpec]) -> Challenge:
    """The scene's challenge: its zones, its lines, and every sentence about what reaches, joins and crosses what."""
    zones, lines = [zone.name for zone in scene.zones], [spec.name for spec in specs]
    rules = [f"the {line} reaches the {zone}" for line in lines for zone in zones]
    rules += [f"the {line} joins the {a} and the {b}" for line in lines for a, b in combinations(zones, 2)]
    rules += [f"the {a} crosses the {b}" for a, b in combinations(lines, 2)]
    text = ['title = "Drawn lines"', 'unit = "mm"', f"rules = {rules!r}"]
    text += ["[parcel]", f"width = {scene.width}", f"depth = {scene.depth}"]
    for zone in scene.zones:
        text += ["[[zone]]", f'name = "{zone.name}"', f"swatch = {zone.swatch}"]
    for spec in specs:
        box = f"swatch = {spec.swatch}" if spec.swatch is not None else f'colour = "{spec.colour}"'
        text += ["[[line]]", f'name = "{spec.name}"', box, f"made_of = {list(spec.made_of)!r}"]
    return parse_challenge("\n".join(text))


def true_plat(scene: Scene, task: Challenge) -> Plat:
    """The plat of the scene as it was drawn: zones to their tapes' outer edges, lines as broad as they are."""
    features = []
    for piece in scene.pieces:
        swatch = next(zone.swatch for zone in scene.zones if zone.name == piece.zone)
        outer = piece.polygon.buffer(scene.tapes[swatch].width / 2, join_style="mitre")
        ring = shapely.get_coordinates(outer.exterior)
        features.append(_feature("Polygon", [ring.tolist()], {"zone": piece.zone}))
    for thread in scene.threads:
        told = {"line": thread.name, "width": thread.width}
        features.append(_feature("LineString", np.asarray(thread.line).tolist(), told))
    return plat_of_geojson({"type": "FeatureCollection", "features": features}, task)


def measured_plat(scene: Scene, traced: Traced) -> Plat:
    """The plat of what was traced; buildings are left out: none is declared."""
    pieces = tuple(
        Piece(p.zone, Ring(p.ring.points, p.ring.sensitivity), Quantity(p.width, p.width_sensitivity))
        for p in traced.pieces
    )
    sources = tuple(Source(cause.name, cause.kind, cause.shared) for cause in traced.causes)
    nowhere = Ring(np.zeros((0, 2)), np.zeros((0, 2, 0)))
    unread = (Piece(zone, nowhere, Quantity(0.0), status="not measurable") for zone in traced.unread)
    return Plat(
        scene.width, scene.depth, (*pieces, *unread), sources, traced.frame, lines=line_pieces(traced.lines),
        line_doubts=line_doubts(traced.lines), unread_lines=unread_lines(traced.lines),
    )  # fmt: skip


def decisions(scene: Scene, task: Challenge, measured: Plat) -> tuple[Decision, ...]:
    """Every sentence about connections, judged on the truth and on what was measured."""
    true = evaluate_all(task, task.measures(true_plat(scene, task)))
    found = evaluate_all(task, task.measures(measured))
    return tuple(Decision(t.text, t.verdict, f.verdict) for t, f in zip(true, found, strict=True))


def _feature(
    kind: str, coordinates: list[FloatArray] | list[list[float]], properties: dict[str, object]
) -> dict[str, object]:
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": properties}
