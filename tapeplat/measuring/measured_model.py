"""One model, measured or given as outlines, with every rule judged; nothing is written to disk before it is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.plat.measures import Measures
from measure.plat.plat import ESTIMATED_LENS, PhotoRecord, Plat
from measure.result.built_results import StructureResult
from measure.result.kept_structures import is_of_table, kept_structures
from measure.result.result import DistanceResult, Result, RuleResult, ZoneResult, result_text
from measure.result.result_making import result_of
from measure.result.teacher_verdicts import carried_over, is_of_set_aside, set_aside_notices
from measure.rules.evaluation.evaluate import evaluate_all
from measure.structures.built_structures import LAID_TOGETHER, built_structures
from measure.structures.disagreements import Reader
from measure.structures.structure_rows import StructuresFile
from measure.structures.structures import TeamStructures, team_structures
from tapeplat.annotate.picture import annotated, png
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.output.corrected_picture import CORRECTED_FILE, jpeg_of, stated
from tapeplat.output.result_folder import write_folder
from tapeplat.wording.notes import Notes
from tapeplat.wording.notice_words import words
from tapeplat.wording.verdict_table import verdict_table
from tapeplat.wording.wording import notes_of
from vision.picture.rectified import Rectified

ANNOTATED_FILE, PLAT_FILE, RESULT_FILE = "annotated.png", "plat.svg", "result.json"


@dataclass(frozen=True, eq=False)
class MeasuredModel:
    """A model's result, whose numbers are in the challenge's unit and have their expanded uncertainty (u95, k = 2).

    plat holds the outlines in mm with all causes of uncertainty, notes the same in words; picture is the corrected
    photo, None where the outlines come from elsewhere, and picture_file the file that it was read from, which is
    written again as it was; structures_table is the table that was counted.
    """

    result: Result
    challenge: Challenge
    plat: Plat
    notes: Notes
    picture: Rectified | None = None
    picture_file: bytes = field(default=b"", repr=False)
    structures_table: StructuresFile | None = None

    @property
    def team(self) -> str:
        """Whose model it is; empty where nobody said."""
        return self.result.team

    @property
    def rules(self) -> tuple[RuleResult, ...]:
        """Every rule with its verdict, the challenge's first, then those that follow from keep-clear zones."""
        return self.result.rules

    @property
    def zones(self) -> tuple[ZoneResult, ...]:
        """Every zone with its area and its pieces, in the challenge's order."""
        return self.result.zones

    @property
    def distances(self) -> tuple[DistanceResult, ...]:
        """The smallest gap between every two zones that are there."""
        return self.result.distances

    @property
    def structures(self) -> tuple[StructureResult, ...]:
        """Every structure of the table."""
        return self.result.structures

    @property
    def photos(self) -> tuple[PhotoRecord, ...]:
        """The photos that were measured."""
        return self.result.photos

    @property
    def warnings(self) -> tuple[str, ...]:
        """All that was inferred, left out or is odd."""
        return self.result.warnings

    @property
    def lenses(self) -> tuple[str, ...]:
        """The lens profiles that were used."""
        return tuple(dict.fromkeys(p.lens for p in self.photos if p.lens not in ("", ESTIMATED_LENS)))

    def zone(self, name: str) -> ZoneResult:
        """The zone of this name. Raises KeyError where the challenge has none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    def report(self, width: int = 100) -> str:
        """The verdicts as a table, and the warnings; plain text."""
        lines = [self.notes.title, verdict_table(self.notes.rules, width)]
        return "\n".join([*lines, *(f"warning: {warning}" for warning in self.warnings)])

    @cached_property
    def annotated(self) -> NDArray[np.uint8]:
        """The corrected photo with outlines and verdicts drawn on it, shape (height, width, 3), blue-green-red.

        Raises InputMistakes where there is no photo.
        """
        if self.picture is None:
            do = "draw its plat"
            raise InputMistakes([Mistake("the model", "its outlines come from no photo that could be drawn on", do)])
        drawn = annotated(self.picture, self.plat, self.notes)
        drawn.setflags(write=False)
        return drawn

    @property
    def svg(self) -> str:
        """The plat as a drawing at true scale."""
        return plat_svg(self.plat, self.notes.pieces, self.notes.title, self.notes.lines)

    @cached_property
    def files(self) -> Mapping[str, bytes]:
        """What `save` writes, by name, the last one naming the others; the result alone where there is no photo."""
        result = {RESULT_FILE: result_text(self.result).encode("utf-8")}
        if self.picture is None:
            return result
        pictures = {PLAT_FILE: self.svg.encode("utf-8"), ANNOTATED_FILE: png(self.annotated)}
        return {CORRECTED_FILE: self.picture_file or jpeg_of(self.picture), **pictures, **result}

    def save(self, folder: str | Path) -> None:
        """Write the files into a folder, all or none. Raises FolderNotWritable."""
        write_folder(Path(folder), self.files)


def judged(
    challenge: Challenge,
    plat: Plat,
    picture: Rectified | None = None,
    picture_file: bytes = b"",
    *,
    team: str = "",
    table: StructuresFile | None = None,
    earlier: Result | None = None,
    built: Result | None = None,
) -> MeasuredModel:
    """Judge every rule on a plat; verdicts by hand are carried over from an earlier result.

    Without a table its rows are those of the result `built`, if it has any.

    Raises InputMistakes where the table has several teams and it is not said whose model this is.
    """
    complete = plat.solids_complete or (challenge.structures.photos_show_all and bool(plat.solids))
    kept = tuple(n for n in plat.notices if not is_of_set_aside(n) and n.code not in LAID_TOGETHER)
    plat = replace(plat, notices=kept, solids_complete=complete)
    measures = challenge.measures(plat)
    rows = _table(challenge, measures, team, table, built)
    if rows is not None:
        # What a result says of its table is said anew.
        plat = replace(plat, notices=tuple(notice for notice in plat.notices if not is_of_table(notice)))
        measures = challenge.measures(plat)
    reader = Reader(challenge.unit, challenge.numbers)
    structures = built_structures(rows, measures, challenge.structures.judge, reader)
    outcomes, waiting = evaluate_all(challenge, measures, structures), tuple[RuleResult, ...]()
    if earlier is not None:
        outcomes, waiting = carried_over(outcomes, earlier)
    corrected = stated(picture) if picture else None
    lost = set_aside_notices(waiting)
    result = result_of(
        challenge, measures, outcomes, words, team=team, structures=structures, corrected=corrected, notices=lost
    )
    result = replace(result, set_aside=waiting)
    notes = notes_of(challenge, measures, outcomes, team)
    return MeasuredModel(result, challenge, plat, notes, picture, picture_file, table)


def _table(
    challenge: Challenge, measures: Measures, team: str, table: StructuresFile | None, built: Result | None
) -> TeamStructures | None:
    if table is not None:
        return team_structures(table, measures, team)
    return None if built is None else kept_structures(built, challenge, measures)
