"""The result file: its published form, round trips, and a plat that comes back as certain as it went."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.errors import InputMistakes
from measure.notices import Notice
from measure.plat.measures import Measures
from measure.plat.plat import LensRecord, PhotoRecord, Plat, Source
from measure.result import result as form
from measure.result.line_results import LineMoves, LineResult
from measure.result.result import Result, json_schema, parse_result, read_result, result_text
from measure.result.result_plat import plat_of, uncertainty_of
from measure.result.result_values import Value
from measure.units import area_from_mm2, from_mm
from tests.helpers.examples import examples
from tests.helpers.made.plats import Model, exact, plat, rectangle, regular

SCHEMA = json.loads((Path(form.__file__).parent / "result.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

SMALLEST = """{"format": "tapeplat/result-1", "title": "Quarry Lake Village", "team": "Otters", "unit": "in",
 "tape_edge": "middle", "parcel": {"width": 18, "depth": 14, "area": 252},
 "zones": [{"name": "library", "kind": "zone", "area": {"value": 12.0, "u95": 0.3},
            "pieces": [{"outline": [[1.0, 2.0], [5.0, 2.0], [5.0, 5.0], [1.0, 5.0]], "holes": [], "status": "measured",
                        "area": {"value": 12.0, "u95": 0.3}, "perimeter": {"value": 14.0, "u95": 0.1},
                        "tape_width": {"value": 0.47, "u95": 0.01}, "bridged": 0.04}]},
           {"name": "stables", "kind": "zone", "area": null, "pieces": []}],
 "distances": [{"between": ["library", "stables"], "value": 6.1, "u95": 0.05}],
 "structures": [],
 "rules": [{"text": "library covers at most 1/5 of the parcel", "reads_as": "...", "kind": "share", "verdict": "met",
            "value": 0.161, "unit": "", "limit": 0.2, "u95": 0.001, "chance": 1.0, "over": ["library"]}],
 "photos": [{"file": "a.jpg", "sha256": "00", "mm_per_px": 0.17, "tilt_deg": 3.1}],
 "warnings": ["..."]}"""

numbers = st.floats(-1e6, 1e6)
st.register_type_strategy(float, numbers)
facts = st.booleans() | st.integers(-9, 9) | numbers | st.text() | st.just((1, 2)) | st.just(("a",))


def lens_records(terms: int) -> st.SearchStrategy[LensRecord]:
    row = st.tuples(*[numbers] * terms)
    rows = st.tuples(*[row] * terms)
    return st.builds(LensRecord, terms=row, covariance=rows, information=rows, vector=row, told_vector=row)


st.register_type_strategy(LensRecord, st.sampled_from((3, 5)).flatmap(lens_records))


def few(kind: type[Any]) -> st.SearchStrategy[tuple[Any, ...]]:
    return st.lists(st.from_type(kind), max_size=1).map(tuple)


results = st.builds(
    Result,
    distances=st.lists(st.from_type(form.DistanceResult), max_size=2).map(tuple),
    structures=few(form.StructureResult),
    seen=few(form.SeenStructure),
    rules=st.lists(st.from_type(form.RuleResult), max_size=2).map(tuple),
    photos=few(PhotoRecord),
    notices=st.lists(st.builds(Notice, facts=st.dictionaries(st.text(max_size=5), facts, max_size=2)), max_size=2).map(
        tuple
    ),
    corrected=st.none() | st.from_type(form.CorrectedResult),
    lines=few(LineResult),
    uncertainty=st.none()
    | st.builds(form.Uncertainty, sources=few(Source), pieces=few(form.PieceMoves), lines=few(LineMoves)),
)


def test_the_published_schema_is_that_of_the_reader() -> None:
    assert json_schema() == SCHEMA, "write measure.result.result.json_schema() into measure/result.schema.json again"


def test_the_form_that_the_first_version_fixed_is_read() -> None:
    VALIDATOR.validate(json.loads(SMALLEST))
    read = parse_result(SMALLEST)
    assert read.zones[0].area == Value(12.0, 0.3)
    assert read.zones[1].area is None
    assert read.rules[0].limit == 0.2


@pytest.mark.parametrize(
    "file", sorted((Path(__file__).parent / "golden").glob("result-1-*.json")), ids=lambda f: f.name
)
def test_a_file_of_every_release_stays_readable(file: Path) -> None:
    """Its numbers, and what it knows of its uncertainty: areas from its outlines are those that it states."""
    VALIDATOR.validate(json.loads(file.read_text(encoding="utf-8")))
    result = read_result(file)
    measures = Measures(plat_of(result), result.tape_edge)
    assert result.rules
    for zone in result.zones:
        area = measures.area([zone.name])
        assert (area is None) == (zone.area is None)
        if area is not None and zone.area is not None:
            assert area_from_mm2(area.value, result.unit) == pytest.approx(zone.area.value, rel=1e-5)
            assert area_from_mm2(area.u95, result.unit) == pytest.approx(zone.area.u95, rel=1e-3)


def test_a_mark_at_the_start_of_the_file_is_no_mistake(tmp_path: Path) -> None:
    (tmp_path / "result.json").write_text(SMALLEST, encoding="utf-8-sig")
    assert read_result(tmp_path) == parse_result(SMALLEST.encode("utf-8-sig")) == parse_result(SMALLEST)


def test_keys_that_come_later_are_left_alone() -> None:
    content = json.loads(SMALLEST) | {"weather": "fine"}
    content["zones"][0]["pieces"][0]["colour"] = "red"
    VALIDATOR.validate(content)
    assert parse_result(json.dumps(content)) == parse_result(SMALLEST)


@given(results)
@examples(25)
def test_what_is_written_is_read_again_and_fits_the_schema(result: Result) -> None:
    text = result_text(result)
    assert parse_result(text) == result
    VALIDATOR.validate(json.loads(text))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "this is an empty file, and no result"),
        ("[]", "its format is nothing of the kind, not tapeplat/result-1"),
        ("{}", "its format is None"),
        ('{"format": "tapeplat/result-9"}', "its format is tapeplat/result-9, not tapeplat/result-1"),
        (SMALLEST.replace("6.1", "NaN"), "NaN is no number"),
        (SMALLEST.replace("6.1", "1e999"), "the result, distances.0.value: input should be a finite number"),
        (SMALLEST.replace('"in"', '"yd"'), "the result, unit: input should be 'in', 'cm' or 'mm'"),
        (SMALLEST.replace('"met"', '"passed"').replace('"in"', '"yd"'), "the result, rules.0.verdict"),
        ("[" * 100_000, "this is no result file"),
    ],
)
def test_what_is_no_result_is_refused(text: str, said: str) -> None:
    with pytest.raises(InputMistakes) as refused:
        parse_result(text)
    assert said in str(refused.value)


def test_a_result_is_read_from_its_file_or_folder(tmp_path: Path) -> None:
    (tmp_path / "result.json").write_text(SMALLEST, encoding="utf-8")
    assert read_result(tmp_path) == read_result(tmp_path / "result.json") == parse_result(SMALLEST)
    with pytest.raises(InputMistakes, match=r"elsewhere.*cannot be read"):
        read_result(tmp_path / "elsewhere")


def filed(found: Plat) -> Result:
    """A result file's content that says of the outlines what the plat knows, in inches."""
    measures, zones = Measures(found), []
    for name in dict.fromkeys(piece.zone for piece in found.pieces):
        pieces = []
        for index, piece in enumerate(measures.all_pieces(name), 1):
            rings = [
                tuple((from_mm(x, "in"), from_mm(y, "in")) for x, y in r.points) for r in (piece.ring, *piece.holes)
            ]
            area = measures.piece_area(name, index)
            assert area is not None
            value = Value(area.value / 25.4**2, area.u95 / 25.4**2)
            width = Value(from_mm(piece.tape_width.value, "in"))
            curved = piece.ring.curved
            pieces.append(form.PieceResult(rings[0], piece.status, tuple(rings[1:]), value, None, width, curved=curved))
        zones.append(form.ZoneResult(name, "zone", None, tuple(pieces)))
    parcel = form.ParcelResult(18, 14, 252, found.frame)
    moves = uncertainty_of(found, "in")
    return Result(form.FORMAT, "Quarry Lake Village", "in", "middle", parcel, tuple(zones), uncertainty=moves)


def settlement() -> Plat:
    model = Model(21)
    pieces = [
        model.piece("library", rectangle(30, 20, 80, 60)),
        model.piece("stables", [(150, 30), (220, 36), (210, 110)]),
        model.piece("pond", regular(30, 30, (90, 160)), curved=True),
    ]
    border = model.piece("", rectangle(0, 0, 457.2, 355.6)).ring
    return replace(plat(*pieces, parcel=border), frame="tiles")


def test_a_plat_comes_back_as_certain_as_it_was() -> None:
    before, result = settlement(), filed(settlement())
    after = plat_of(parse_result(result_text(result)))
    assert after.frame == "tiles"
    old, new = Measures(before, "outer"), Measures(after, "outer")
    for zone in ("library", "stables", "pond"):
        a, b = old.area([zone]), new.area([zone])
        assert a is not None
        assert b is not None
        assert b.value == pytest.approx(a.value, rel=1e-6)
        assert b.u == pytest.approx(a.u, rel=1e-4)
        inside = [measures.edge_clearance(zone) for measures in (old, new)]
        assert inside[1].quantity.u == pytest.approx(inside[0].quantity.u, rel=1e-3)  # type: ignore[union-attr]
    ratio = [m.area(["library"]) / m.area(["stables"]) for m in (old, new)]  # type: ignore[operator]
    assert ratio[1].u == pytest.approx(ratio[0].u, rel=1e-3)
    gap = [m.separation("library", "stables") for m in (old, new)]
    assert gap[1].quantity.u == pytest.approx(gap[0].quantity.u, rel=1e-3)  # type: ignore[union-attr]


def test_without_its_uncertainty_each_piece_has_its_stated_u95() -> None:
    """The scale that areas share is then forgotten: their ratio comes out less certain, never more."""
    before = settlement()
    after = plat_of(replace(filed(before), uncertainty=None))
    old, new = Measures(before), Measures(after)
    a, b = ([m.area([z]) for z in ("library", "stables")] for m in (old, new))
    for one, other in zip(a, b, strict=True):
        assert other.u == pytest.approx(one.u, rel=1e-6)  # type: ignore[union-attr]
    assert b[0].covariance(b[1]) == 0  # type: ignore[union-attr,arg-type]
    assert (b[0] / b[1]).u > (a[0] / a[1]).u  # type: ignore[operator]


def test_an_outline_changed_by_hand_does_not_keep_the_old_uncertainty() -> None:
    result = filed(settlement())
    zone = result.zones[0]
    cut = replace(zone, pieces=(replace(zone.pieces[0], outline=zone.pieces[0].outline[:3]),))
    with pytest.raises(InputMistakes, match="piece 1 of library: its uncertainty is of another outline"):
        plat_of(replace(result, zones=(cut, *result.zones[1:])))


def test_holes_and_exact_outlines_come_back() -> None:
    before = plat(exact("a", rectangle(0, 0, 100, 100), holes=[rectangle(20, 20, 10, 10)]))
    after = plat_of(parse_result(result_text(filed(before))))
    assert np.allclose(after.pieces[0].holes[0].points, before.pieces[0].holes[0].points)
    area = Measures(after).area(["a"])
    assert area is not None
    assert (area.value, area.u) == (pytest.approx(9900), 0)


@pytest.mark.parametrize("name", ["a\0b", "9" * 400])
def test_a_name_that_no_file_can_have_is_refused_in_words(name):
    with pytest.raises(InputMistakes) as refused:
        read_result(Path(name))
    assert "it cannot be read" in str(refused.value)
