"""A PDF as a printer would show it: rasterised by PDFium, a program that shares nothing with the one that wrote it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import pypdfium2 as pdfium
from numpy.typing import NDArray

MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True)
class TextBox:
    """Some text in a row, and its box in mm from the page's top-left corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


class Rendered:
    """The pages of a PDF, counted from 0."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        self.document = pdfium.PdfDocument(content)

    def __len__(self) -> int:
        return len(self.document)

    def size(self, page: int) -> tuple[float, float]:
        """Width and height in mm."""
        width, height = self.document[page].get_size()
        return width * MM_PER_POINT, height * MM_PER_POINT

    def picture(self, page: int, dpi: float = 300.0) -> NDArray[np.uint8]:
        """Grey values, white 255."""
        bitmap = self.document[page].render(scale=dpi / 72, grayscale=True)
        return np.array(bitmap.to_numpy()).squeeze()

    def text(self, page: int) -> str:
        """Everything written on the page, without any white space (lines are broken anywhere)."""
        return "".join(self.document[page].get_textpage().get_text_range().split())

    def all_text(self) -> str:
        return "".join(self.text(page) for page in range(len(self)))

    def headings(self) -> list[str]:
        return [self.document[page].get_textpage().get_text_range().splitlines()[0] for page in range(len(self))]

    def text_boxes(self, page: int) -> list[TextBox]:
        """Every stretch of text with its box."""
        text = self.document[page].get_textpage()
        height = self.size(page)[1]
        found = []
        for n in range(text.count_rects()):
            left, bottom, right, top = (value * MM_PER_POINT for value in text.get_rect(n))
            words = text.get_text_bounded(*text.get_rect(n))
            found.append(TextBox(words, left, height - top, right, height - bottom))
        return found


def tags(picture: NDArray[np.uint8], dpi: float) -> dict[int, list[NDArray[np.float64]]]:
    """Every tag's corners in mm of the page, shape (4, 2), from straight lines fitted to the edges of its black square.

    OpenCV finds the tag; the corners come from edges located at half grey, so they do not depend on its refinement.
    """
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(picture)
    found: dict[int, list[NDArray[np.float64]]] = {}
    for quad, tag in zip(corners, [] if ids is None else ids.ravel(), strict=True):
        box = [_upright_box(picture, quad[0])]
        left, top, right, bottom = (value * 25.4 / dpi for value in box[0])
        square = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
        # Each found corner belongs to the nearest true one, which keeps the tag's own order of corners.
        near = [int(np.argmin(np.linalg.norm(square - point * 25.4 / dpi, axis=1))) for point in quad[0]]
        found.setdefault(int(tag), []).append(square[near])
    return found


def _upright_box(picture: NDArray[np.uint8], quad: NDArray[np.float32]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of an upright black square, in pixels from the picture's corner (not its centre)."""
    (left, top), (right, bottom) = quad.min(axis=0), quad.max(axis=0)
    cell = (right - left) / 8
    # The border cell is black all along, half a cell inside the edge.
    row, column = round((top + bottom) / 2), round((left + right) / 2)
    reach = round(cell / 2)
    across, down = picture[row].astype(float), picture[:, column].astype(float)
    return (
        _edge(across, round(left), reach),
        _edge(down, round(top), reach),
        _edge(across, round(right), reach),
        _edge(down, round(bottom), reach),
    )


def _edge(profile: NDArray[np.float64], near: int, reach: int) -> float:
    """Where the grey value passes the middle, from the black and white area about it: exact for box-filtered edges."""
    part = profile[near - reach : near + reach + 1]
    black = float(np.sum(255.0 - part) / 255.0)
    return near - reach + black if part[0] < part[-1] else near + reach + 1 - black


def dark_runs(profile: NDArray[np.float64], dpi: float, level: float = 40.0) -> list[tuple[float, float]]:
    """The middles and widths in mm of the dark stretches of a profile, weighted by their darkness."""
    darkness = np.clip(255.0 - profile, 0, None)
    on = np.concatenate([[0], (darkness > level).astype(int), [0]])
    starts, ends = np.flatnonzero(np.diff(on) == 1), np.flatnonzero(np.diff(on) == -1)
    runs = []
    for start, end in zip(starts, ends, strict=True):
        first, last = max(start - 1, 0), min(end + 1, len(darkness))
        weight = darkness[first:last]
        middle = float((weight * (np.arange(first, last) + 0.5)).sum() / weight.sum())
        runs.append((middle * 25.4 / dpi, float(weight.sum() / 255.0) * 25.4 / dpi))
    return runs
