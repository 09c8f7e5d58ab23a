"""The changes to a model's outlines that a browser sends, and whether they are of the result that is filed now."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass as checked

from measure.errors import InputMistakes, Mistake
from measure.repair.repair import Edit
from measure.units import Unit
from tapeplat.measuring.measured_model import RESULT_FILE
from tapeplat.measuring.repairs import Change, edits_of

MOST_BYTES = 2_000_000
"""Of a request with changes."""
_AGAIN = "load the page again and repeat the change"


@checked(frozen=True, config=ConfigDict(extra="forbid"))
class _Sent:
    """What the page sends: the result that the changes are of (see result_version), and the changes."""

    base: str
    edits: Annotated[tuple[Change, ...], Field(max_length=500)]


_SENT = TypeAdapter(_Sent)


class StaleResult(ValueError):  # noqa: N818  (says what is wrong, as our other refusals do)
    """The result has changed since the changes to it were begun."""


@dataclass(frozen=True)
class Request:
    """Changes to a result in mm; base is the version of the result that they are of."""

    base: str
    edits: tuple[Edit, ...]

    def check_base(self, folder: Path) -> None:
        """Raise StaleResult where the folder holds another result than the one that was changed."""
        if self.base != result_version(folder):
            raise StaleResult(f"the model was measured or changed again in the meantime; {_AGAIN}")


def result_version(folder: Path) -> str:
    """A short name of what the folder's result file holds now. Raises InputMistakes where there is none."""
    try:
        return hashlib.sha256((folder / RESULT_FILE).read_bytes()).hexdigest()[:16]
    except OSError as error:
        what = f"it cannot be read: {(error.strerror or str(error)).lower()}"
        raise InputMistakes([Mistake(RESULT_FILE, what, "measure the model again")]) from error


def read_request(text: str, unit: Unit) -> Request:
    """The changes in a request's JSON text, whose places are in the unit. Raises InputMistakes."""
    try:
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputMistakes([Mistake("the changes", "they are no JSON", _AGAIN)]) from error
    try:
        asked = _SENT.validate_python(content)
    except ValidationError as error:
        first = error.errors()[0]
        at = ".".join(map(str, first["loc"])) or "the changes"
        raise InputMistakes([Mistake(at, first["msg"].lower(), _AGAIN)]) from error
    return Request(asked.base, edits_of(asked.edits, unit))
