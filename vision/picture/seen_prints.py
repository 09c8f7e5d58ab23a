"""What a photo shows of the printed paper, and what is known beforehand: all that ties pixels to the plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calib.estimate.adjustment import StraightLine
from calib.estimate.plane import Plane, estimate_plane
from calib.photo_setup import Lens, PhotoSetup
from calib.prints.edge_shift import EdgeShift
from calib.prints.tags import TagSquare


@dataclass(frozen=True, eq=False)
class SeenPrints:
    """An upright photo, bgr (h, w, 3), the tags found in it and how far light spills over their ink; and what is known
    of the lens, of the parcel and of the card.
    """

    bgr: NDArray[np.uint8]
    tags: tuple[TagSquare, ...]
    shift: EdgeShift
    setup: PhotoSetup
    lens: Lens

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the photo, px."""
        return self.bgr.shape[1], self.bgr.shape[0]

    def plane(self, lines: Sequence[StraightLine] = (), start: Plane | None = None) -> Plane:
        """The plane that agrees best with them and with straight lines seen besides; start is an earlier one."""
        return estimate_plane(self.tags, self.shift, self.size, self.setup, self.lens, lines, start)
