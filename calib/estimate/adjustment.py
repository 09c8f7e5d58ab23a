"""One photo's joint estimate as a least-squares problem: all observations and all that was known, linearised.

Residuals are whitened: each has unit variance and none shares an error with another, if all that is stated is so.  What
is known beforehand stands in `prior`, what prints and lines tell in `tag_observations` and `line_observations`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from calib.camera import Camera
from calib.edges import FloatArray
from calib.estimate.line_observations import LineObservations, StraightLine
from calib.estimate.parameters import CAMERA_COUNT, INDEX, NAMES, PAPER
from calib.estimate.prior import Prior, prior_of
from calib.estimate.tag_observations import TagObservations, corners_of
from calib.photo_setup import Lens, PhotoSetup
from calib.printed import CARD_TAG, CORNER_TAGS
from calib.prints.edge_shift import EdgeShift
from calib.prints.tags import TagSquare

__all__ = ["INDEX", "NAMES", "PAPER", "Adjustment", "StraightLine", "Widening"]


@dataclass(frozen=True, eq=False)
class Widening:
    """By how much more than stated the observations scatter: factors for tags (t,) and lines (l,); bow of tape, mm."""

    tags: FloatArray
    lines: FloatArray
    bow: float


@dataclass(frozen=True, eq=False)
class Adjustment:
    """All observations of one photo and all priors, as one least-squares problem over the parameters NAMES."""

    tags: Sequence[TagSquare]
    shift: EdgeShift
    size: tuple[int, int]
    setup: PhotoSetup
    lens: Lens
    lines: Sequence[StraightLine]
    widening: Widening | None = field(default=None)

    @cached_property
    def known_tags(self) -> tuple[TagSquare, ...]:
        """The card and the corner tiles."""
        return tuple(t for t in self.tags if t.tag == CARD_TAG or t.tag in CORNER_TAGS)

    @property
    def tied(self) -> bool:
        """Whether something ties the frame to the parcel."""
        return any(t.tag in CORNER_TAGS for t in self.tags) or any(i.parcel_side is not None for i in self.lines)

    @cached_property
    def prior(self) -> Prior:
        """What is known beforehand."""
        return prior_of(self.size, self.setup, self.lens, self.shift, tied=self.tied)

    def camera(self, vector: FloatArray) -> Camera:
        """The camera that a parameter vector describes."""
        return Camera(vector[:CAMERA_COUNT], self.size)

    def linearised(self, vector: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Jacobian (m, p) and residuals (m,), whitened: tags, then lines, then priors."""
        camera, prior = self.camera(vector), self.prior
        rows = [self._tag_points.linearised(camera, vector)]
        if self._line_points is not None:
            rows.append(self._line_points.linearised(camera, vector))
        rows.append(np.column_stack([prior.whitening, prior.whitening @ (vector - prior.expected)]))
        every = np.vstack(rows)
        return every[:, :-1], every[:, -1]

    @cached_property
    def groups(self) -> tuple[slice, ...]:
        """Rows of every known tag, then of every line."""
        starts = list(self._tag_points.start)
        end = len(self._tag_points.points)
        if self._line_points is not None:
            starts += list(end + self._line_points.start)
            end += len(self._line_points.points)
        return tuple(slice(int(a), int(b)) for a, b in zip(starts, [*starts[1:], end], strict=True))

    def bows(self, vector: FloatArray, effect: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """As LineObservations.bows, effect (m, k) being of all rows; nothing where there are no lines."""
        if self._line_points is None:
            return np.zeros(0), np.zeros(0), np.zeros(0)
        first = len(self._tag_points.points)
        own = effect[first : first + len(self._line_points.points)]
        return self._line_points.bows(self.camera(vector), vector, own)

    def smooth_fields(self) -> list[tuple[slice, FloatArray]]:
        """As TagObservations.smooth_fields."""
        return self._tag_points.smooth_fields()

    def tag_corners(self, tag: int, vector: FloatArray) -> FloatArray:
        """Corners (4, 2) in mm of a known tag's square."""
        return corners_of(tag, vector)

    @cached_property
    def factors(self) -> Widening:
        """The widening, of 1 where none was given."""
        return self.widening or Widening(np.ones(len(self.known_tags)), np.ones(len(self.lines)), self.setup.bow)

    @cached_property
    def _tag_points(self) -> TagObservations:
        return TagObservations.of(self.known_tags, self.shift, self.factors.tags)

    @cached_property
    def _line_points(self) -> LineObservations | None:
        if not self.lines:
            return None
        return LineObservations.of(self.lines, self.factors.lines, self.factors.bow)
