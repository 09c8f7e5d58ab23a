"""A measured model as a picture."""

from __future__ import annotations

from typing import Literal, overload

import numpy as np
from numpy.typing import NDArray

from tapeplat.annotate.picture import png
from tapeplat.measuring.measured_model import MeasuredModel


@overload
def draw(model: MeasuredModel, form: Literal["array"] = "array") -> NDArray[np.uint8]: ...
@overload
def draw(model: MeasuredModel, form: Literal["png"]) -> bytes: ...
@overload
def draw(model: MeasuredModel, form: Literal["svg"]) -> str: ...
def draw(model: MeasuredModel, form: Literal["array", "png", "svg"] = "array") -> NDArray[np.uint8] | bytes | str:
    """The corrected photo with outlines and verdicts drawn on it, or the plat as a drawing.

    `array` is of shape (height, width, 3) of uint8, blue-green-red, and cannot be written to; `png` is the same as a
    file's content; `svg` is the plat at true scale, one millimetre of the drawing to one of the parcel.

    Raises InputMistakes for an array or a PNG of outlines that come from no photo, ValueError for another form.
    """
    if form == "svg":
        return model.svg
    if form not in ("array", "png"):
        raise ValueError(f"a model is drawn as 'array', 'png' or 'svg', not as {form!r}")
    return model.annotated if form == "array" else png(model.annotated)
