"""From photos of the lens sheet to a camera's profile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import cv2
import numpy as np

from calib.edges import FloatArray
from calib.lens.lens_profile import LensCalibration, calibrate
from calib.lens.lens_sheet import LensRefused, SheetView, find_sheet
from calib.photo_refused import PhotoRefused
from tapeplat.lens.lens_store import LensProfile, in_35_mm, same_lens, stated_focal, taken_size
from vision.picture.photo import Photo, read_photo

HALF_WAY, LEAST_KNOWN = 0.5, 0.0025
"""A profile must tell this well, as a share of the radius, how far the lens moves what lies half way to the corner."""


@dataclass(frozen=True)
class PhotoUsed:
    """One photo: its file, how far its corners are off, px, or why it is left out."""

    file: str
    residual: float | None
    left_out: str = ""


@dataclass(frozen=True, eq=False)
class MadeProfile:
    """A profile and what became of each photo."""

    profile: LensProfile
    photos: tuple[PhotoUsed, ...]


@dataclass(frozen=True, eq=False)
class _Seen:
    file: str
    camera: str
    focal: float | None
    view: SheetView


def make_profile(files: Sequence[Path]) -> MadeProfile:
    """Find the lens sheet in every photo and fit the lens. Raises LensRefused, saying what became of each photo."""
    seen: list[_Seen] = []
    left_out: list[PhotoUsed] = []
    for file in files:
        try:
            seen.append(_look(read_photo(file)))
        except (LensRefused, PhotoRefused) as refusal:
            left_out.append(PhotoUsed(file.name, None, _why(refusal)))
    try:
        _check_one_camera(seen)
        fit = calibrate([s.view for s in seen])
        profile = _profile(seen, fit)
    except LensRefused as refusal:
        why = [f"{p.file} is left out: {p.left_out}" for p in left_out]
        raise LensRefused("\n".join([str(refusal), *why])) from refusal
    return MadeProfile(profile, (*map(_used, seen, fit.residuals), *left_out))


def _why(refusal: LensRefused | PhotoRefused) -> str:
    return refusal.advice if isinstance(refusal, PhotoRefused) else str(refusal)


def _look(photo: Photo) -> _Seen:
    """The sheet in one photo, as the camera took it."""
    if photo.camera is None:
        raise LensRefused("its file does not say which camera took it; use the original photo from the phone")
    if photo.zoom > 1.0:
        raise LensRefused(f"it is digitally zoomed ({photo.zoom:.1f} times); photograph without zoom")
    if photo.quarter_turns is None:
        raise LensRefused("it is mirrored; use the camera on the phone's back")
    if not photo.lens.whole:
        raise LensRefused("it is cropped, or nothing says that it is whole; use the original photo from the phone")
    view = find_sheet(np.asarray(cv2.cvtColor(photo.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8))
    size = taken_size(photo)
    pixels = _as_taken(view.pixels, photo.size, photo.quarter_turns)
    return _Seen(photo.file, photo.camera, stated_focal(photo), SheetView(view.board, pixels, size))


def _as_taken(pixels: FloatArray, size: tuple[int, int], turns: int) -> FloatArray:
    """Pixels (n, 2) of the upright picture in the picture before it was turned to the right `turns` times."""
    (x, y), (width, height) = pixels.T, size
    for _ in range(turns):
        x, y, width, height = y, width - 1 - x, height, width
    return np.column_stack([x, y])


def _check_one_camera(seen: Sequence[_Seen]) -> None:
    cameras = sorted({s.camera for s in seen})
    if len(cameras) > 1:
        raise LensRefused(f"the photos are from different cameras ({', '.join(cameras)}); make one profile at a time")
    if any(not same_lens(s.focal, seen[0].focal) for s in seen):
        lenses = sorted({"unknown" if s.focal is None else f"{in_35_mm(s.focal):.0f} mm" for s in seen})
        raise LensRefused(f"the photos are from different lenses of a phone ({', '.join(lenses)}); zoom to 1x for all")


def _profile(seen: Sequence[_Seen], fit: LensCalibration) -> LensProfile:
    covariance = np.array(fit.radial_covariance)
    spread = np.sqrt(np.diag(covariance))
    half_way = HALF_WAY ** np.array([2, 4, 6])
    if np.sqrt(half_way @ covariance @ half_way) > LEAST_KNOWN:
        raise LensRefused("the photos do not tell the lens well enough; take 10, slanted, that the sheet fills")
    diagonal = float(np.hypot(*fit.size))
    offset = (fit.centre - (np.array(fit.size) - 1) / 2) / diagonal
    return LensProfile(
        camera=seen[0].camera,
        made=date.today().isoformat(),
        photos=int(np.isfinite(fit.residuals).sum()),
        size=fit.size,
        stated_focal=_rounded(seen[0].focal),
        focal=round(fit.focal / diagonal, 6),
        focal_spread=round(fit.focal_spread, 6),
        centre=(round(float(offset[0]), 6), round(float(offset[1]), 6)),
        centre_spread=round(fit.centre_spread / diagonal, 6),
        radial=tuple(round(k, 6) for k in fit.radial),
        radial_spread=tuple(round(float(u), 6) for u in spread),
        residual=round(fit.residual, 3),
        radial_correlation=tuple(_correlation(covariance, i, j) for i, j in ((0, 1), (0, 2), (1, 2))),
    )


def _correlation(covariance: FloatArray, one: int, other: int) -> float:
    spread2 = covariance[one, one] * covariance[other, other]
    return round(float(covariance[one, other] / np.sqrt(spread2)), 9) if spread2 > 0 else 0.0


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def _used(seen: _Seen, residual: float) -> PhotoUsed:
    if np.isnan(residual):
        return PhotoUsed(seen.file, None, "it does not agree with the other photos; the sheet may have been bent")
    return PhotoUsed(seen.file, residual)
