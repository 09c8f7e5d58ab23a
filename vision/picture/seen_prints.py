"""What a photo shows of the printed paper, and what is known beforehand: all that ties pixels to the plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.bare_dots import bare_dots
from calib.card.card_view import CardView
from calib.estimate.adjustment import StraightLine
from calib.estimate.plane import Plane, estimate_plane
from calib.photo_setup import Lens, PhotoSetup
from calib.printed import CARD_TAG
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

    def at_uncertainty(self, parcel: float) -> SeenPrints:
        """The same where the parcel's stated size has this standard uncertainty, mm."""
        return replace(self, setup=replace(self.setup, priors=replace(self.setup.priors, parcel=parcel)))

    def with_dots(self, plane: Plane, view: CardView) -> SeenPrints:
        """The same with the card's bare dots, seen in the view that `plane` gives of it; itself where it has none."""
        grey = np.asarray(cv2.cvtColor(self.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
        dots = bare_dots(view, grey, plane)
        if dots is None:
            return self
        return replace(self, tags=tuple(replace(t, dots=dots) if t.tag == CARD_TAG else t for t in self.tags))
