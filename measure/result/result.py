"""What a result file holds, in the challenge's unit; writing it and reading it.

These classes are the file's form, checked by pydantic when a file is read; `result.schema.json` beside this module is
the same form as a JSON Schema.  Keys that a later version adds are ignored.  Lengths are in `unit`, areas in its
square, volumes in its cube; u95 is expanded (k = 2).  Numbers are as exact as a float holds them, so that a rule that
is judged on the file's numbers gets the verdict that it got on the measured ones.  `uncertainty` is optional: it says
how every outline moves with every source, so that whoever reads the file knows how two areas hang together; without it
pieces are independent.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, NoReturn

from pydantic import TypeAdapter, ValidationError, with_config

from measure.content_kinds import WORDS, kind_of
from measure.errors import InputMistakes, Mistake
from measure.notices import Notice, Subject
from measure.numbers import NumberStyle
from measure.plat.plat import Frame, PhotoRecord, RepairKind, Source, Status
from measure.plat.shapes import Shape
from measure.result.built_results import SeenStructure, StructureResult
from measure.result.line_results import LineEndResult, LineMoves, LinePieceResult, LineRepairedResult, LineResult
from measure.result.result_values import FINITE, Moves, Place, Steps, Stretch, Value
from measure.result.seen_form import joined, joined_form, parted
from measure.rules.verdict import Origin, Verdict
from measure.units import Unit

FORMAT: Literal["tapeplat/result-1"] = "tapeplat/result-1"
_MOST_BYTES = 50_000_000


@with_config(FINITE)
@dataclass(frozen=True)
class WasResult:
    """A piece before it was repaired: its zone, outline and holes."""

    zone: str
    outline: tuple[Place, ...]
    holes: tuple[tuple[Place, ...], ...] = ()


@with_config(FINITE)
@dataclass(frozen=True)
class RepairedResult:
    """What somebody changed of a piece; corners (from 1) are those of its outline that were placed by hand.

    was is the piece as it was measured; None where it was drawn by hand.
    """

    by: Literal["hand"]
    changes: tuple[RepairKind, ...]
    corners: tuple[int, ...] = ()
    was: WasResult | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class PieceResult:
    """One piece: its outline and holes along the tape's middle, its area and perimeter along tape_edge.

    taped is how wide each side's tape is against the piece's own (a shared strip; 0 along the parcel's edge without
    tape); left out where all of it is its own.
    """

    outline: tuple[Place, ...]
    status: Status
    holes: tuple[tuple[Place, ...], ...] = ()
    area: Value | None = None
    perimeter: Value | None = None
    tape_width: Value | None = None
    bridged: float = 0.0
    shape: Shape | None = None
    curved: bool = False
    inferred: tuple[Stretch, ...] = ()
    taped: tuple[float, ...] = ()
    repaired: RepairedResult | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class ZoneResult:
    """One zone; area is None where it has no piece or one that is not measured. volume is of the structures in it."""

    name: str
    kind: Literal["zone", "keep-clear"]
    area: Value | None
    pieces: tuple[PieceResult, ...] = ()
    volume: Value | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class DistanceResult:
    """The smallest gap of two zones; 0 where they overlap."""

    between: tuple[str, str]
    value: float
    u95: float = 0.0


@with_config(FINITE)
@dataclass(frozen=True)
class ByHand:
    """A verdict that the teacher set, and why; it stands beside the measured one."""

    verdict: Verdict
    reason: str


@with_config(FINITE)
@dataclass(frozen=True)
class RuleResult:
    """One rule's verdict as measured, and as set by hand where it was.

    allowed: what the teacher allows beside the limit (`1/16 in`, `2%`); the chance is then against the limit with it.
    met_without: whether a rule that is met is so without it, too. sentence: value and limit as the class reads them.
    measured_by: where the numbers of structures come from; doubts: which of them two sources tell differently.
    """

    text: str
    reads_as: str
    kind: str
    verdict: Verdict
    value: float | None = None
    unit: str = ""
    limit: float | tuple[float | None, float | None] | None = None
    u95: float | None = None
    chance: float | None = None
    over: tuple[str, ...] = ()
    note: str = ""
    by_hand: ByHand | None = None
    allowed: str = ""
    met_without: bool | None = None
    sentence: str = ""
    measured_by: tuple[Origin, ...] = ()
    doubts: tuple[str, ...] = ()


@with_config(FINITE)
@dataclass(frozen=True)
class CorrectedResult:
    """The corrected photo beside the result; origin_mm is the place of its top-left pixel's centre, in mm."""

    file: str
    mm_per_px: float
    origin_mm: Place


@with_config(FINITE)
@dataclass(frozen=True)
class ParcelResult:
    """The parcel as the challenge states it, and where its frame comes from."""

    width: float
    depth: float
    area: float
    frame: Frame = "given"


@with_config(FINITE)
@dataclass(frozen=True)
class PieceMoves:
    """How one piece (from 1 in its zone) moves: its outline, then its holes; and its tape's width, a source each."""

    zone: str
    piece: int
    rings: tuple[tuple[Moves, ...], ...]
    tape_width: Steps = ()


@with_config(FINITE)
@dataclass(frozen=True)
class ParcelMoves:
    """The parcel's outline as measured, and how it moves."""

    outline: tuple[Place, ...]
    moves: tuple[Moves, ...] = ()


@with_config(FINITE)
@dataclass(frozen=True)
class Uncertainty:
    """All sources, and how every outline moves with them, in the result's unit per standard deviation."""

    sources: tuple[Source, ...]
    pieces: tuple[PieceMoves, ...]
    parcel: ParcelMoves | None = None
    lines: tuple[LineMoves, ...] = ()


@with_config(FINITE)
@dataclass(frozen=True)
class Result:
    """A whole result file; numbers says in which form the class reads numbers.

    notices are the warnings as values, one for each in the same order; none in a file of version 0.1.  structures are
    those of a table; seen, which the file has among them, those of photos, all_structures_shown that no others stand
    there. set_aside are former rules with verdicts by hand, which come back with their rules. cost is that of all lines
    together, where the challenge states any.
    """

    format: Literal["tapeplat/result-1"]
    title: str
    unit: Unit
    tape_edge: Literal["middle", "inner", "outer"]
    parcel: ParcelResult
    zones: tuple[ZoneResult, ...]
    team: str = ""
    distances: tuple[DistanceResult, ...] = ()
    structures: tuple[StructureResult, ...] = ()
    seen: tuple[SeenStructure, ...] = ()
    all_structures_shown: bool = False
    rules: tuple[RuleResult, ...] = ()
    set_aside: tuple[RuleResult, ...] = ()
    photos: tuple[PhotoRecord, ...] = ()
    warnings: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()
    corrected: CorrectedResult | None = None
    numbers: NumberStyle = "percent"
    lines: tuple[LineResult, ...] = ()
    cost: Value | None = None
    uncertainty: Uncertainty | None = None

    @property
    def has_repaired_pieces(self) -> bool:
        """Whether an outline or a line in it was changed by hand; one that was taken away is none."""
        of_zones = any(piece.repaired for zone in self.zones for piece in zone.pieces)
        return of_zones or any(piece.repaired for line in self.lines for piece in line.pieces)


_WHICH, _AGAIN = "name the result.json that tapeplat measure wrote", "measure the model again to make the file anew"
_LEFT_OUT_IF_EMPTY: dict[type, frozenset[str]] = {
    PieceResult: frozenset({"taped", "repaired"}),
    RepairedResult: frozenset({"was"}),
    ZoneResult: frozenset({"volume"}),
    RuleResult: frozenset({"note", "by_hand", "allowed", "met_without", "sentence", "measured_by", "doubts"}),
    Result: frozenset({"corrected", "set_aside", "lines", "cost", "uncertainty"}),
    Uncertainty: frozenset({"lines"}),
    LineResult: frozenset({"cost", "two_ways", "unread"}),
    LinePieceResult: frozenset({"may_reach", "inferred", "closed", "repaired"}),
    LineRepairedResult: frozenset({"was"}),
    LineEndResult: frozenset({"may_reach"}),
    SeenStructure: frozenset({"row", "en_height", "en_volume", "mark"}),
    PhotoRecord: frozenset({"camera"}),
    Subject: frozenset(Subject.__dataclass_fields__),
}


def read_result(path: Path) -> Result:
    """The result in a file, or in the result.json of a folder. Raises InputMistakes with all that is wrong with it."""
    try:
        file = path / "result.json" if path.is_dir() else path
        content = file.read_bytes() if file.stat().st_size <= _MOST_BYTES else None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputMistakes([Mistake(str(path), f"it cannot be read: {reason}", _WHICH)]) from error
    if content is None:
        raise InputMistakes([Mistake(file.name, "the file is too large for a result", _WHICH)])
    return parse_result(content, file.name)


def parse_result(content: str | bytes, where: str = "the result") -> Result:
    """The result in a file's content. Raises InputMistakes with every key that is wrong."""
    try:
        text = content.decode("utf-8-sig") if isinstance(content, bytes) else content
        parsed = json.loads(text, parse_constant=_no_number)
    except UnicodeDecodeError as error:
        raise InputMistakes([_no_result(content, where)]) from error
    except (ValueError, RecursionError) as error:
        raise InputMistakes([_no_result(content, where, str(error))]) from error
    if not isinstance(parsed, dict) or parsed.get("format") != FORMAT:
        found = str(parsed.get("format"))[:40] if isinstance(parsed, dict) else "nothing of the kind"
        raise InputMistakes([Mistake(where, f"its format is {found}, not {FORMAT}", _WHICH)])
    if not _writable(text, parsed):
        raise InputMistakes([Mistake(where, "a text in it holds half a letter, which no file can hold", _AGAIN)])
    try:
        return _result().validate_python(parted(parsed))
    except ValidationError as error:
        places = {".".join(map(str, problem["loc"])): problem["msg"].lower() for problem in error.errors()}
        raise InputMistakes(Mistake(f"{where}, {at}", what, _AGAIN) for at, what in places.items()) from error


def result_text(result: Result) -> str:
    """The file's text: indented but for the uncertainty, which is long and not for people."""
    content = _keys(result)
    content["structures"] = joined(content["structures"], [_keys(seen) for seen in content.pop("seen")])
    moves = content.pop("uncertainty", None)
    text = json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False, default=_keys)
    if moves is not None:
        compact = json.dumps(moves, ensure_ascii=False, allow_nan=False, default=_keys, separators=(",", ":"))
        text = f'{text[:-2]},\n "uncertainty": {compact}\n}}'
    return text + "\n"


def json_schema() -> dict[str, Any]:
    """The form of a result file as a JSON Schema (draft 2020-12)."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Tapeplat result"}
    return joined_form({**_result().json_schema(), **schema})


@cache
def _result() -> TypeAdapter[Result]:
    """The form that files are checked against; made for the first that is read, as it takes a while."""
    return TypeAdapter(Result)


def _no_result(content: str | bytes, where: str, why: str = "it is no text") -> Mistake:
    """What a file is that cannot be read as a result; one that was a result is damaged."""
    kind = kind_of(content.encode("utf-8", "replace") if isinstance(content, str) else content)
    if kind == "result":
        return Mistake(where, f"this result is damaged: {why}", _AGAIN)
    return Mistake(where, f"this is {WORDS[kind]}, and no result" if kind else "this is no result file", _WHICH)


def _keys(part: object) -> dict[str, Any]:
    """A part of a result as the file has it."""
    spared = _LEFT_OUT_IF_EMPTY.get(type(part), frozenset())
    return {
        key: value
        for key, value in vars(part).items()
        if value or isinstance(value, bool | int | float) or key not in spared
    }


def _writable(text: str, parsed: object) -> bool:
    """Whether every text can be written down again; JSON can say halves of letters (surrogates) that no file holds."""
    try:
        text.encode("utf-8")
        if "\\ud" in text.casefold():
            json.dumps(parsed, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number")
