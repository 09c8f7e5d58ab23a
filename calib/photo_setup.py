"""What is known before looking: about parcel and card from the challenge, about the camera from the photo's file."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

TYPICAL_FOCAL = 26 / float(np.hypot(36, 24))
"""Focal length over diagonal where nothing else is known: a phone's main camera, 26 mm in 35 mm terms."""
USUAL_BOW = 0.2
"""How far hands lay a strip of tape off straight in its middle, mm (common practice, no source)."""
Surface = Literal["parcel", "table"]


@dataclass(frozen=True)
class Priors:
    """Standard uncertainties in mm, as in the challenge file; curl: of the card, where more is known of it than that it
    lies flat.
    """

    printed_line: float = 0.15
    tile: float = 0.3
    parcel: float = 0.5
    thickness: float = 0.2
    flatness: float = 0.3
    curl: float | None = None


@dataclass(frozen=True)
class PhotoSetup:
    """What the challenge says about parcel and card: lengths in mm; printed_line is (along, up) as measured.

    along is the check line of nominally 100 mm, up that of 80 mm; None where it was not measured.  bow is how far the
    outlines' straight strips are expected to be off straight in their middle, mm: 0 where they are printed.
    """

    width: float
    depth: float
    thickness: float | None = None
    surface: Surface = "parcel"
    printed_line: tuple[float | None, float | None] = (None, None)
    priors: Priors = field(default_factory=Priors)
    bow: float = USUAL_BOW


@dataclass(frozen=True)
class Lens:
    """What is known of the camera before looking: focal length in px or None, and whether the picture is whole.

    None elsewhere: what is usual for phones (`calib.lens.lens_prior`).  From a lens profile, where there is one, come
    the focal length's relative spread, the optical centre's place from the picture's centre and its spread, px, and the
    radial terms (k1 to k5) with the rows of their covariance.
    """

    focal: float | None = None
    whole: bool = True
    radial: tuple[float, ...] | None = None
    radial_covariance: tuple[tuple[float, ...], ...] | None = None
    focal_spread: float | None = None
    centre: tuple[float, float] = (0.0, 0.0)
    centre_spread: float | None = None
