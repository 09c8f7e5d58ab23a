"""The corrected photo that stands beside a result, as its file and in words of the result."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from measure.errors import InputMistakes, Mistake
from measure.result.result import CorrectedResult
from vision.picture.our_mark import marked_jpeg
from vision.picture.rectified import Rectified

CORRECTED_FILE = "corrected.jpg"
_JPEG_QUALITY = 90


def stated(picture: Rectified) -> CorrectedResult:
    """What a result says of its picture."""
    return CorrectedResult(CORRECTED_FILE, picture.mm_per_px, (float(picture.origin[0]), float(picture.origin[1])))


def jpeg_of(picture: Rectified) -> bytes:
    """A picture's file."""
    done, data = cv2.imencode(".jpg", picture.bgr, [cv2.IMWRITE_JPEG_QUALITY, _JPEG_QUALITY])
    if not done:
        raise ValueError("the corrected picture cannot be written as JPEG")
    return marked_jpeg(data.tobytes())


def read_corrected(folder: Path, corrected: CorrectedResult) -> tuple[Rectified, bytes]:
    """The picture beside a result that states it, and its file. Raises InputMistakes where it cannot be read."""
    file = folder / Path(corrected.file).name
    data = file.read_bytes() if file.is_file() else b""
    bgr = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR) if data else None
    if bgr is None:
        raise InputMistakes([Mistake(file.name, "the corrected picture cannot be read", "measure the model again")])
    return Rectified(np.asarray(bgr, dtype=np.uint8), corrected.mm_per_px, np.array(corrected.origin_mm)), data
