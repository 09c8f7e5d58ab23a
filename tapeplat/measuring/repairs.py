"""Changes to outlines as people send them, in the class's unit, and a measured model with them made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError, with_config

from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.notices import plain
from measure.plat.plat import Plat
from measure.repair.line_edits import AddLine, LineEdit, Places, RemoveLine, RenameLine, ReshapeLine
from measure.repair.pointing import PictureExtent
from measure.repair.repair import Add, Edit, Remove, Reshape, Rezone, repaired
from measure.result.result_making import found_notices
from measure.units import MM_PER, Unit
from tapeplat.measuring.measured_model import RESULT_FILE, MeasuredModel, judged
from tapeplat.output.corrected_picture import stated
from tapeplat.wording.notice_words import words

_STRICT = ConfigDict(allow_inf_nan=False, extra="forbid")
_GIVE = "give do, zone, piece, outline, holes, to, or of lines those that docs/python.md shows"
_Place = tuple[float, float]
_Ring = Annotated[tuple[_Place, ...], Field(max_length=2000)]
_Holes = Annotated[tuple[_Ring, ...], Field(max_length=50)]


@with_config(_STRICT)
@dataclass(frozen=True)
class Change:
    """One change to a model's outlines, places in the challenge's unit.

    `reshape` gives a piece (from 1 in its zone) another outline and holes, `remove` takes it away, `rezone` makes it a
    piece of zone `to`, `add` draws one that was not found. Of a line `line` is named in the zone's place: `reshape`
    gives a piece another centreline, of which the pieces `joined` are part (without a centreline they are joined at
    the nearest ends), `rezone` makes it a piece of line `to`. Its values are checked when the change is made.
    """

    do: Literal["reshape", "add", "remove", "rezone"]
    zone: str = ""
    piece: int = 0
    outline: _Ring = ()
    holes: _Holes = ()
    to: str = ""
    line: str = ""
    centreline: _Ring = ()
    joined: Annotated[tuple[int, ...], Field(max_length=50)] = ()
    closed: bool = False
    width: float | None = None


GivenChange = Change | Mapping[str, Any] | Edit
_CHANGE = TypeAdapter(Change)


def repaired_model(model: MeasuredModel, edits: Sequence[Edit]) -> MeasuredModel:
    """The model with the edits made, measured and judged again; what was said by hand stays.

    Raises InputMistakes where the edits cannot be made, or the model has no picture that they could be made on.
    """
    picture, challenge = model.picture, model.challenge
    if picture is None:
        raise InputMistakes([_without_picture(model)])
    height, width = picture.bgr.shape[:2]
    shown = PictureExtent.of(stated(picture).origin_mm, picture.mm_per_px, (width, height))
    before = _without_passing_notices(model.plat, challenge)
    zones, lines = ([each.name for each in named] for named in (challenge.zones, challenge.lines))
    plat = repaired(before, edits, zones, shown, challenge.unit, lines)
    return judged(
        challenge,
        plat,
        picture,
        model.picture_file,
        team=model.team,
        table=model.structures_table,
        earlier=model.result,
        built=model.result,
    )


def _without_picture(model: MeasuredModel) -> Mistake:
    if model.result.corrected is not None:
        return Mistake(model.result.corrected.file, "the corrected picture cannot be read", "measure the model again")
    what = "it belongs to no photo, so its outlines cannot be changed on a picture"
    return Mistake(RESULT_FILE, what, "change the file that it was made from")


def edits_of(changes: GivenChange | Iterable[GivenChange], unit: Unit) -> tuple[Edit, ...]:
    """The changes in mm, of one or several; an edit stays as it is. Raises InputMistakes for what is no change."""
    if isinstance(changes, Change | Mapping | Edit):
        changes = (changes,)
    if not isinstance(changes, Iterable):
        raise InputMistakes([Mistake("the changes", "this is no list of changes", _GIVE)])
    return tuple(
        change if isinstance(change, Edit) else _edit(_checked(change, f"change {number}"), MM_PER[unit])
        for number, change in enumerate(changes, 1)
    )


def _checked(change: Change | Mapping[str, Any], name: str) -> Change:
    try:
        return _CHANGE.validate_python(vars(change) if isinstance(change, Change) else change)
    except ValidationError as error:
        first = error.errors()[0]
        where = ", ".join([name, *map(str, first["loc"])])
        raise InputMistakes([Mistake(where, first["msg"].lower(), _GIVE)]) from error


def _edit(change: Change, scale: float) -> Edit:
    if change.line:
        return _line_edit(change, scale)
    outline, *holes = (_in_mm(ring, scale) for ring in (change.outline, *change.holes))
    if change.do == "reshape":
        return Reshape(change.zone, change.piece, outline, tuple(holes))
    if change.do == "add":
        return Add(change.zone, outline, tuple(holes))
    return Remove(change.zone, change.piece) if change.do == "remove" else Rezone(change.zone, change.piece, change.to)


def _line_edit(change: Change, scale: float) -> LineEdit:
    middle = _in_mm(change.centreline, scale)
    if change.do == "reshape":
        return ReshapeLine(change.line, change.piece, middle, change.joined, change.closed)
    if change.do == "add":
        return AddLine(change.line, middle, change.closed, None if change.width is None else change.width * scale)
    if change.do == "remove":
        return RemoveLine(change.line, change.piece)
    return RenameLine(change.line, change.piece, change.to)


def _in_mm(ring: Sequence[_Place], scale: float) -> Places:
    return tuple((x * scale, y * scale) for x, y in ring)


def _without_passing_notices(plat: Plat, challenge: Challenge) -> Plat:
    """Without the notices that follow from the outlines or from a table: they are made anew of the new ones."""
    passing = found_notices(challenge, challenge.measures(plat))
    passing += [plain(words(notice)) for notice in passing]
    kept = (notice for notice in plat.notices if notice not in passing and not notice.subject.file)
    return replace(plat, notices=tuple(kept))
