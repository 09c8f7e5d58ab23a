"""Every notice has its words, and a result file has both, in the same order."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

import measure
import tapeplat
from measure.notices import Fact, Notice, Subject, plain
from measure.result.result import parse_result, result_text
from measure.result.result_plat import notices_in
from tapeplat.classroom.team_job import left_out
from tapeplat.wording.notice_words import worded_codes, words
from tapeplat.workers.model_job import Refusal
from vision.picture.remarks import RemarkCode

ROOT = Path(measure.__file__).parent.parent
CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
[parcel]
width = 18
depth = 14
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "pond"
swatch = 2
[[zone]]
name = "stables"
swatch = 3
"""
PLAN = """zone,wkt
library,"POLYGON ((1 1, 9 1, 9 5, 1 5, 1 1))"
pond,"POLYGON ((2 2, 3 2, 3 3, 2 3, 2 2))"
"""


def sources() -> Iterator[tuple[Path, ast.Module]]:
    for room in ("calib", "vision", "measure", "tapeplat"):
        for file in sorted((ROOT / room).rglob("*.py")):
            yield file, ast.parse(file.read_text(encoding="utf-8"))


def test_every_code_has_words() -> None:
    assert set(get_args(RemarkCode)) <= worded_codes()
    made = {
        call.args[0].value
        for _, tree in sources()
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "Notice" and call.args
        if isinstance(call.args[0], ast.Constant)
    }
    assert made
    assert made <= worded_codes()


def test_words_and_values_stand_beside_each_other(tmp_path: Path) -> None:
    (tmp_path / "c.toml").write_text(CHALLENGE, encoding="utf-8")
    (tmp_path / "plan.csv").write_text(PLAN, encoding="utf-8")
    result = tapeplat.check(tmp_path / "c.toml", tmp_path / "plan.csv").result
    inside = Notice("zone-inside", Subject("library"), {"inside": ("pond",), "subtracted": False})
    assert inside in result.notices
    assert "pond lies wholly inside library: its land counts for both" in result.warnings
    assert result.warnings == tuple(map(words, result.notices))
    assert notices_in(parse_result(result_text(result))) == result.notices


@pytest.mark.parametrize(
    ("notice", "said"),
    [
        (Notice("removed-by-hand", Subject("stables", 2)), "piece 2 of stables was taken away by hand"),
        (
            Notice("outline-by-hand", Subject("pond"), {"corners": (1, 3, 4)}),
            "pond was changed by hand: corners 1, 3 and",
        ),
        (Notice("shared-strip", Subject("pond"), {"other": ""}), "pond and a neighbour share a strip of tape"),
        (Notice("of-next-year", Subject("pond"), {"depth": 3}), "of-next-year: zone pond, name pond, depth 3"),
        (Notice("photos-disagree", Subject("pond")), "photos-disagree: zone pond"),
    ],
)
def test_what_is_said(notice: Notice, said: str) -> None:
    assert said in words(notice)


def test_the_words_of_an_earlier_version_stay() -> None:
    text = """{"format": "tapeplat/result-1", "title": "", "unit": "in", "tape_edge": "middle", "zones": [],
    "parcel": {"width": 18, "depth": 14, "area": 252}, "warnings": ["no outline of pond was found"]}"""
    assert notices_in(parse_result(text)) == (plain("no outline of pond was found"),)


def test_what_a_depth_of_nothing_is_called_does_not_hang_on_a_zones_name(tmp_path: Path) -> None:
    rule = 'rules = ["overlapper hall is inside the parcel"]'
    text = CHALLENGE.replace('unit = "in"', f'unit = "in"\n{rule}').replace('"library"', '"overlapper hall"')
    (tmp_path / "c.toml").write_text(text, encoding="utf-8")
    (tmp_path / "plan.csv").write_text(PLAN.replace("library", "overlapper hall"), encoding="utf-8")
    (rule_note,) = tapeplat.check(tmp_path / "c.toml", tmp_path / "plan.csv").notes.rules
    assert (rule_note.verdict, rule_note.detail) == (
        "met",
        "The overlapper hall is inside the parcel. It must be inside.",
    )


def test_a_photo_that_is_left_out_is_known_by_its_notice_whatever_its_name() -> None:
    odd = "a.jpg is left out (blurred): b.jpg"
    facts: dict[str, Fact] = {"reason": "too-small", "advice": "go nearer (two steps): it is far"}
    left = Notice("photo-left-out", Subject(photo=odd), facts)
    refusals = left_out([Path("a.jpg"), Path(odd)], [left, plain("a.jpg is left out (blurred): hold still")])
    assert refusals == (Refusal((odd,), "too-small", "go nearer (two steps): it is far"),)


PROSE = re.compile(r"(^|_)(warnings?|notices?|remarks?|reads_as|advice|notes?|said|sentence_warnings)$")
METHODS = {
    "startswith", "endswith", "partition", "rpartition", "split", "rsplit", "find", "rfind", "index", "removeprefix",
    "removesuffix", "replace", "match", "search", "fullmatch", "findall",
}  # fmt: skip


def prose(node: ast.AST) -> bool:
    """Whether an expression is named as what the program says to people."""
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "mistake":
        return True
    name = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
    return bool(PROSE.search(name))


def searches(tree: ast.AST) -> Iterator[int]:
    """The lines in which something is looked for in the program's own words."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
            if prose(node.func.value) or any(map(prose, node.args)):
                yield node.lineno
        elif isinstance(node, ast.Compare) and isinstance(node.ops[0], ast.In | ast.NotIn):
            there = node.comparators[0]
            if isinstance(there, ast.Attribute) and there.attr in ("reads_as", "advice", "note"):
                yield node.lineno


OF_THE_USER = {("measure/hand/values/hand_table.py", "match"), ("measure/structures/structures_table.py", "match")}
"""Where `said` is what somebody typed into a cell, and zones' names are looked for in it."""


def test_nothing_is_looked_for_in_the_programs_own_words() -> None:
    found = []
    for file, tree in sources():
        lines, name = file.read_text(encoding="utf-8").splitlines(), file.relative_to(ROOT).as_posix()
        for number in searches(tree):
            typed = any(name == of and f".{method}(" in lines[number - 1] for of, method in OF_THE_USER)
            if not typed:
                found.append(f"{name}, line {number}: {lines[number - 1].strip()}")
    assert not found


@pytest.mark.parametrize(
    "line",
    [
        'any(w.warning.startswith("x") for w in all)',
        'remark.partition(":")',
        "word in outcome.reads_as",
        're.search("x", refusal.advice)',
        're.search("line (.*)", mistake.where)',
    ],
)
def test_what_looks_into_words_is_noticed(line: str) -> None:
    assert list(searches(ast.parse(line))) == [1]


def test_a_measured_size_is_said_with_its_uncertainty_in_the_class_s_unit() -> None:
    facts: dict[str, Fact] = {"size": "width", "measured": 379.21, "stated": 381.0, "u95": 0.71, "unit": "in"}
    assert words(Notice("parcel-size-differs", facts=facts)) == (
        "the parcel's width is measured as 14.930 in ± 0.028 in and stated as 15 in"
    )
    older: dict[str, Fact] = {"size": "width", "measured": 379.21, "stated": 381.0}
    assert words(Notice("parcel-size-differs", facts=older)) == (
        "the parcel's width is measured as 379.21 mm and stated as 381 mm"
    )
