"""What lies where a class's results are to go: another's results are not written over without a word."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from measure.result.result import read_result
from tapeplat.archive.storage.entry import team_name
from tapeplat.classroom.class_record import FILE, ClassRecord, damaged_record
from tapeplat.classroom.team_names import in_order

_DO = "name another folder with --out, or say --replace"
_FEW = 3


def check_earlier_class(out: Path, before: ClassRecord, photos: Collection[str]) -> None:
    """Raise InputMistakes where a folder holds one team's result, or the results of a class of other photos.

    photos are the checksums of those that are to be measured.  A class is the same one as long as it shares a photo.
    """
    if (out / "result.json").is_file():
        raise InputMistakes([Mistake(str(out), f"it holds {_result_in(out)}, no class's", _DO)])
    known = {read.sha256 for model in before.models for read in model.photos if read.sha256}
    if known and known.isdisjoint(photos):
        teams = [team_name(team) for team in sorted((model.team for model in before.models), key=in_order)]
        more = f" and {len(teams) - _FEW} more" if len(teams) > _FEW else ""
        what = f"it holds the results of other photos ({', '.join(teams[:_FEW])}{more})"
        raise InputMistakes([Mistake(str(out), what, _DO)])


def about_record(out: Path) -> str:
    """A warning where an earlier run's record cannot be used; empty where it can, or there is none."""
    if not damaged_record(out):
        return ""
    return f"{out / FILE} is damaged and tells nothing of earlier runs; every model is measured anew"


def _result_in(out: Path) -> str:
    try:
        team = read_result(out).team
    except InputMistakes:
        return "a result"
    return f"the result of {team_name(team)}"
