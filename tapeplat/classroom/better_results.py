"""A class's results whose lens more photos tell by now: what measuring them again would change. They stay."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from measure.challenge import read_challenge
from measure.errors import InputMistakes
from measure.result.result import read_result
from tapeplat.archive.storage.entry import team_name
from tapeplat.classroom.class_record import ModelRecord
from tapeplat.measuring.better_lens import better_lenses, changed_verdicts


def is_better_known(folder: Path) -> bool:
    """Whether the lens of a result in this folder is known better by now."""
    try:
        return bool(better_lenses(read_result(folder)))
    except InputMistakes:
        return False


def offers(challenge: Path, out: Path, models: Iterable[ModelRecord]) -> tuple[str, ...]:
    """What to say of results whose lens is known better by now: which verdicts would change."""
    known = read_challenge(challenge)
    changing, same = list[str](), list[str]()
    for model in models:
        if model.state != "measured":
            continue
        try:
            result = read_result(out / model.folder)
            better = better_lenses(result)
            verdicts = changed_verdicts(result, known, better) if better else None
        except InputMistakes:
            continue
        if verdicts:
            changing.append(f"{team_name(model.team)}: {'; '.join(verdicts)}")
        elif better:
            same.append(team_name(model.team))
    if not changing and not same:
        return ()
    stay = [f"as far as can be said, no verdict of {', '.join(same)} would change"] if same else []
    return ("more photos tell the lens by now; to measure again what that makes surer, add --again", *changing, *stay)
