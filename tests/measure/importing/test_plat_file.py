"""Plats from elsewhere: the forms that are read, and what is said of those that cannot be."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from measure.challenge import Challenge, Parcel, Zone
from measure.errors import InputMistakes
from measure.importing.plat_file import read_plat
from measure.plat.measures import Measures
from measure.result.result import result_text
from measure.result.result_making import result_of
from tests.helpers.notices import said

CHALLENGE = Challenge(
    title="Harbour Mill",
    unit="in",
    parcel=Parcel(18 * 25.4, 14 * 25.4),
    zones=(Zone("library", 1, aliases=("reading room",)), Zone("stables", 2)),
    rules=(),
)
SQUARE = [[1, 2], [5, 2], [5, 5], [1, 5], [1, 2]]
BOWTIE = [[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]


def geojson(coordinates: object, zone: object = "library", kind: str = "Polygon", **properties: object) -> str:
    feature = {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": {"zone": zone, **properties},
    }
    return json.dumps({"type": "FeatureCollection", "features": [feature]})


def read(tmp_path: Path, text: str, name: str = "plan.json") -> Measures:
    (tmp_path / name).write_text(text, encoding="utf-8")
    return Measures(read_plat(tmp_path / name, CHALLENGE))


def square_inches(measures: Measures, zone: str) -> float:
    area = measures.area([zone])
    assert area is not None
    return area.value / 25.4**2


def test_geojson_with_a_hole(tmp_path: Path) -> None:
    measures = read(tmp_path, geojson([SQUARE, [[2, 3], [3, 3], [3, 4], [2, 4], [2, 3]]]))
    assert square_inches(measures, "library") == pytest.approx(11.0)
    assert measures.area(["library"]).u == 0  # type: ignore[union-attr]


def test_a_multipolygon_has_pieces_and_an_alias_names_its_zone(tmp_path: Path) -> None:
    other = [[8, 2], [9, 2], [9, 3], [8, 3], [8, 2]]
    measures = read(tmp_path, geojson([[SQUARE], [other]], "Reading Room", "MultiPolygon"))
    assert measures.count("library") == 2
    assert square_inches(measures, "library") == pytest.approx(13.0)


def test_u95_is_a_corners_and_independent(tmp_path: Path) -> None:
    """A square's corners each moved by u: u(A) = s u sqrt(2) (JCGM 100:2008, 5.1.2 with the shoelace's derivatives)."""
    square = [[1, 1], [5, 1], [5, 5], [1, 5], [1, 1]]
    area = read(tmp_path, geojson([square], u95=0.02)).area(["library"])
    assert area is not None
    assert area.u / 25.4**2 == pytest.approx(4 * 0.01 * np.sqrt(2))


def test_outlines_beyond_the_parcel_are_told(tmp_path: Path) -> None:
    """A plan drawn in mm, or with y up, in an inch challenge: measured as it stands, with a warning."""
    (warning,) = said(read(tmp_path, geojson([[[1, 2], [1, -2], [5, 5], [1, 2]]])).plat.notices)
    assert warning.startswith("library reaches beyond the parcel; coordinates are in in from the parcel's top-left")
    assert read(tmp_path, geojson([[[0, 0], [18, 0], [18, 14], [0, 14], [0, 0]]])).plat.notices == ()


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_wkt_rows(tmp_path: Path, delimiter: str) -> None:
    text = f'\ufeffzone{delimiter}wkt{delimiter}u95\nstables{delimiter}"POLYGON ((0 0, 3 0, 0 4, 0 0))"{delimiter}0.1\n'
    assert square_inches(read(tmp_path, text, "plan.csv"), "stables") == pytest.approx(6.0)


def test_coordinates_are_in_the_challenges_unit_and_the_parcels_frame(tmp_path: Path) -> None:
    clearance = read(tmp_path, geojson([SQUARE])).edge_clearance("library")
    assert clearance is not None
    assert clearance.quantity.value == pytest.approx(25.4)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (geojson([SQUARE], "libary"), "feature 1: libary is no zone of this challenge; did you mean library?"),
        (geojson([SQUARE], None), "feature 1: it names no zone; the zones are library, stables"),
        (geojson([BOWTIE]), "feature 1, zone library: the outline crosses itself at (2, 2)"),
        (geojson([SQUARE[:-1]]), "an outline is open: it starts at (1, 2) and ends at (1, 5)"),
        (geojson([[[0, 0], [1, 0], [0, 0]]]), "an outline has only 2 corners"),
        (geojson([[[0, 0], [1, 0], [1, "x"], [0, 0]]]), "something else than pairs of numbers"),
        (geojson([SQUARE], kind="LineString"), "its geometry is a LineString; give a Polygon or a MultiPolygon"),
        (geojson([[[0, 0], [1e308, 0], [1, 1], [0, 0]]]), "a corner at (1e+308, 0), far from any parcel"),
        (geojson([[[0, 0], [float("nan"), 0], [1, 1], [0, 0]]]), "something else than pairs of numbers"),
        (geojson([SQUARE, BOWTIE]), "feature 1, zone library: the outline crosses itself at (2, 2)"),
        (geojson([SQUARE], u95=-1), "its u95 is -1; give a length in in, 0 or more"),
        (geojson([]), "it has no outline"),
        (geojson([SQUARE, [[4, 4], [7, 4], [7, 7], [4, 7], [4, 4]]]), "a hole crosses or leaves its outline"),
        ("{", "it is no JSON"),
        ("{}", "the file: it is no FeatureCollection"),
        ("[1, 2]", "plan.txt"),
        ("", "plan.txt: the file is empty"),
        ('{"type": "FeatureCollection", "features": []}', "there is no outline in it"),
        ('zone,wkt\nlibrary,"POLYGON ((0 0, 1 0, 1 1))"\n', "plan.txt, row 2: an outline is not closed"),
        ("zone,wkt\nlibrary,POINT (1 2)\n", "plan.txt, row 2: its outline is Point"),
        ('zone,wkt\nlibrary,"POLYGON ((0 0, nan 0, 1 1, 0 0))"\n', "something else than pairs of numbers"),
        ("zone,wkt\nlibrary,POLYGON EMPTY\n", "its outline is nothing"),
        ("zone,outline\nlibrary,x\n", "column `wkt` is missing"),
        ("zone,wkt\nlibrary,nonsense\n", "plan.txt, row 2: it cannot be read as WKT"),
    ],
)
def test_what_cannot_be_used_is_refused_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputMistakes) as refused:
        read(tmp_path, text, "plan.txt")
    assert said in str(refused.value)


def test_all_mistakes_at_once(tmp_path: Path) -> None:
    content = json.loads(geojson([BOWTIE]))
    content["features"] += json.loads(geojson([SQUARE], "barn"))["features"]
    with pytest.raises(InputMistakes) as refused:
        read(tmp_path, json.dumps(content))
    assert len(refused.value.mistakes) == 2


@given(st.text(max_size=200) | st.recursive(st.none() | st.floats() | st.text(max_size=5), st.lists).map(json.dumps))
@example("\x1f")
def test_no_text_brings_a_traceback(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    file = tmp_path_factory.mktemp("plans") / "plan"
    for wrapped in (text, f'{{"type": "FeatureCollection", "features": [{text}]}}', f"zone,wkt\nlibrary,{text}\n"):
        file.write_bytes(wrapped.encode("utf-8", "surrogatepass"))
        with pytest.raises(InputMistakes):
            read_plat(file, CHALLENGE)


def test_one_feature_alone_is_a_plat(tmp_path: Path) -> None:
    feature = json.loads(geojson([SQUARE]))["features"][0]
    assert square_inches(read(tmp_path, json.dumps(feature)), "library") == pytest.approx(12.0)


def test_a_corner_written_twice_is_one_corner(tmp_path: Path) -> None:
    doubled = [SQUARE[0], *SQUARE]
    measures = read(tmp_path, geojson([doubled]))
    assert len(measures.pieces("library")[0].ring.points) == 4


def test_numbers_as_text_are_no_numbers(tmp_path: Path) -> None:
    for point in ("12", ["1", "2"], [True, 2], [10**400, 2]):
        with pytest.raises(InputMistakes, match="something else than pairs of numbers"):
            read(tmp_path, geojson([[[0, 0], [4, 0], point, [0, 0]]]))


def test_mistakes_of_zone_uncertainty_and_outline_are_told_together(tmp_path: Path) -> None:
    with pytest.raises(InputMistakes) as refused:
        read(tmp_path, geojson([BOWTIE], "barn", u95="much"))
    assert len(refused.value.mistakes) == 3


def test_a_long_crossing_outline_is_refused_at_once(tmp_path: Path) -> None:
    """Ten thousand corners around a lake, and one loop: the place comes from shapely, not from trying all pairs."""
    angles = np.linspace(0, 2 * np.pi, 10_000, endpoint=False)
    lake = np.column_stack([5 + 3 * np.cos(angles), 5 + 3 * np.sin(angles)])
    lake[[2500, 2600]] = lake[[2600, 2500]]
    with pytest.raises(InputMistakes, match="crosses itself at"):
        read(tmp_path, geojson([[*lake.tolist(), lake[0].tolist()]]))


def result_file(outline: list[list[float]], **changes: object) -> str:
    piece = {"outline": outline, "status": "measured", "area": {"value": 12.0, "u95": 0.3}}
    zones = [{"name": "library", "kind": "zone", "area": None, "pieces": [piece]}]
    parcel = {"width": 18, "depth": 14, "area": 252, "frame": "card"}
    content = {"format": "tapeplat/result-1", "title": "", "unit": "in", "tape_edge": "middle"}
    return json.dumps({**content, "parcel": parcel, "zones": zones, **changes})


def test_a_result_file_is_a_plat_with_its_u95_and_its_frame(tmp_path: Path) -> None:
    measures = read(tmp_path, result_file(SQUARE[:-1]))
    area = measures.area(["library"])
    assert area is not None
    assert area.value / 25.4**2 == pytest.approx(12.0)
    assert area.u95 / 25.4**2 == pytest.approx(0.3)
    assert measures.edge_clearance("library") is None  # a place that the photo did not know is not known now


def test_a_result_file_changed_by_hand_is_checked_like_any_other(tmp_path: Path) -> None:
    turned = read(tmp_path, result_file([[5, 5], [5, 2], [1, 2], [1, 5]])).pieces("library")[0].ring.points
    assert turned[0].tolist() == pytest.approx([25.4, 50.8])
    with pytest.raises(InputMistakes, match=r"piece 1 of library: the outline crosses itself at \(2, 2\)"):
        read(tmp_path, result_file(BOWTIE[:-1]))
    with pytest.raises(InputMistakes, match="yard is no zone of this challenge"):
        read(tmp_path, result_file(SQUARE[:-1]).replace('"library"', '"yard"'))
    with pytest.raises(InputMistakes, match="zones"):
        read(tmp_path, result_file(SQUARE[:-1], zones=[1]))


def test_another_parcel_than_the_results_is_told(tmp_path: Path) -> None:
    plat = read(tmp_path, result_file(SQUARE[:-1], parcel={"width": 9, "depth": 9, "area": 81})).plat
    size = f"{CHALLENGE.parcel.width / 25.4:g} in by {CHALLENGE.parcel.depth / 25.4:g} in"
    assert said(plat.notices) == (
        f"the parcel was 9 in by 9 in when the model was measured, and is {size} in the challenge: shares are of that",
    )


def test_judged_by_another_unit_and_back_there_is_no_warning(tmp_path: Path) -> None:
    """What counts is the parcel on which the model was measured, not that of the judging before."""
    first = read(tmp_path, result_file(SQUARE[:-1])).plat
    assert first.notices == ()
    small = replace(CHALLENGE, unit="cm", parcel=replace(CHALLENGE.parcel, width=120.0, depth=90.0))
    file = tmp_path / "again.json"
    judged = result_of(small, Measures(read_plat(tmp_path / "plan.json", small)), (), lambda notice: notice.code)
    file.write_text(result_text(judged), encoding="utf-8")
    between = read_plat(file, small)
    assert [notice.code for notice in between.notices] == ["no-outline", "other-parcel"]
    assert "was 45.72 cm by 35.56 cm (18 in by 14 in)" in said(between.notices)[1]
    assert [notice.code for notice in read_plat(file, CHALLENGE).notices] == ["no-outline"]
