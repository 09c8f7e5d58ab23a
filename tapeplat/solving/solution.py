"""Whether a challenge's rules can be met, and what a team could change, as values with their words and files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from measure.challenge import Challenge
from measure.plat.plat import Plat
from measure.solvable import Answer, Change, Conflict, Near, Step, Tightness, plat_of
from measure.units import Unit, from_mm
from tapeplat.output.result_folder import write_folder
from tapeplat.solving.solvable_files import answer_json, drawn, near_json
from tapeplat.solving.solvable_words import headline, near_words, report


@dataclass(frozen=True, eq=False)
class Solution:
    """Whether all rules about outlines can be met. `answer` holds all that was found, its lengths in mm."""

    answer: Answer

    @property
    def solvable(self) -> bool | None:
        """None where it was not decided."""
        return self.answer.decision.solvable

    @property
    def tightness(self) -> Tightness | None:
        """How tight the rules are, as shares of their limits; None where there is no layout."""
        return self.answer.tight

    @property
    def conflict(self) -> Conflict | None:
        """The rules that cannot hold together, by their numbers; None where there is none."""
        return self.answer.conflict

    @property
    def changes(self) -> tuple[Change, ...]:
        """The looser or tighter limits that were asked for, as sentences."""
        return self.answer.changes

    @property
    def layout(self) -> Plat | None:
        """A layout that the checker passes, to be checked or drawn like any plat; keep it from the class."""
        return None if self.answer.layout is None else plat_of(self.answer.layout)

    @property
    def heading(self) -> str:
        """The verdict in a few words."""
        return headline(self.answer)

    @property
    def report(self) -> str:
        """All that is to be said of it; plain text."""
        return report(self.answer)

    @property
    def json(self) -> str:
        """The same for other programs."""
        return answer_json(self.answer)

    @property
    def files(self) -> Mapping[str, bytes]:
        """The layout as `layout.geojson` and as `plat.svg`; none where there is no layout."""
        return {} if self.layout is None else drawn(self.answer.challenge, self.layout, "sample layout")

    def save(self, folder: str | Path) -> None:
        """Write the layout's files, all or none. Raises FolderNotWritable."""
        write_folder(Path(folder), self.files)


@dataclass(frozen=True, eq=False)
class Suggestion:
    """What a team could move, resize, add or take away so that every rule is met; near holds it in mm."""

    challenge: Challenge
    near: Near | None

    @property
    def found(self) -> bool:
        """Whether there is a way."""
        return self.near is not None

    @property
    def steps(self) -> tuple[Step, ...]:
        """The changes, their lengths in the challenge's unit."""
        if self.near is None:
            return ()
        return tuple(replace(step, sides=_in_unit(step.sides, self.challenge.unit)) for step in self.near.steps)

    @property
    def layout(self) -> Plat | None:
        """The plat as it would be; None where no way was found."""
        return None if self.near is None else self.near.plat

    @property
    def lines(self) -> tuple[str, ...]:
        """One instruction each."""
        return tuple(near_words(self.near, self.challenge.unit))

    @property
    def json(self) -> str:
        """The same for other programs."""
        return near_json(self.near, self.challenge)

    @property
    def files(self) -> Mapping[str, bytes]:
        """The changed plat as `layout.geojson` and as `plat.svg`; none where nothing is to be changed."""
        return drawn(self.challenge, self.near.plat, "suggestion") if self.near and self.near.steps else {}

    def save(self, folder: str | Path) -> None:
        """Write the changed plat's files, all or none. Raises FolderNotWritable."""
        write_folder(Path(folder), self.files)


def _in_unit(sides: tuple[float, float, float, float], unit: Unit) -> tuple[float, float, float, float]:
    left, top, right, bottom = (from_mm(side, unit) for side in sides)
    return left, top, right, bottom
