"""One model to measure in a worker process: its photos, the rules, and what became of it."""

from __future__ import annotations

import time
from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from calib.photo_refused import PhotoRefused
from measure.errors import InputMistakes
from measure.file_content import Readable
from tapeplat.output.result_folder import FolderNotWritable
from vision.picture.photo import name_of

State = Literal["measured", "refused", "failed"]


@dataclass(frozen=True)
class Refusal:
    """Photos that were not measured, why in one word, and what to do."""

    files: tuple[str, ...]
    reason: str
    advice: str


@dataclass(frozen=True)
class ModelAnswer:
    """What became of a model: whether it has a result, what was refused, what else went wrong, how long it took.

    tally says how many rules are met; entry is the archive's, where the result was filed.
    """

    measured: bool
    refusals: tuple[Refusal, ...] = ()
    problem: str = ""
    warnings: tuple[str, ...] = ()
    seconds: float = 0.0
    tally: str = ""
    entry: str = ""

    @property
    def state(self) -> State:
        """failed: it has no result through no fault of the photo."""
        return "measured" if self.measured else "refused" if self.refusals else "failed"


@dataclass(frozen=True, kw_only=True)
class ModelJob(ABC):
    """One team's model. Where its result is kept is each job's own matter."""

    challenge: Readable
    team: str
    photos: tuple[Path, ...]
    structures: Readable | None = None

    @abstractmethod
    def keep_result(self) -> ModelAnswer:
        """Measure the model and keep the result; raises what measuring and writing raise."""

    def run(self) -> ModelAnswer:
        """The answer; whatever a photo, a file or the disk does wrong is in it."""
        start = time.perf_counter()
        return replace(self._answer(), seconds=time.perf_counter() - start)

    def _answer(self) -> ModelAnswer:
        try:
            return self.keep_result()
        except PhotoRefused as refusal:
            files = tuple(map(name_of, self.photos))
            advice = refusal.of_file if len(files) > 1 else refusal.advice
            return ModelAnswer(False, (Refusal(files, refusal.reason, advice),))
        except (InputMistakes, FolderNotWritable) as error:
            return ModelAnswer(False, problem=str(error))
