"""Lens profiles in the user's configuration folder: one small JSON file for each lens of each camera."""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
import platformdirs
from pydantic import TypeAdapter, ValidationError

from calib.edges import FloatArray
from calib.lens.lens_prior import with_measured
from calib.photo_setup import Lens
from tapeplat.output.result_folder import FolderNotWritable
from vision.picture.photo import Photo, PhotoSource, read_photo

FORMAT = "tapeplat/lens-2"
OF_TWO_TERMS = "tapeplat/lens-1"
"""Format of the profiles made while the lens had two radial terms; they are read as before."""
FOLDER_VARIABLE = "TAPEPLAT_CONFIG"
FULL_FRAME = float(np.hypot(36, 24))
"""Diagonal in mm of the picture that "35 mm terms" refer to."""
SAME_SHAPE, SAME_LENS = 0.01, 0.03
"""How far width over height, and EXIF's focal length, may differ (relative) for the profile still to hold."""
FOCUSING = 0.01
"""Relative spread of the focal length by focusing nearer or farther than on the lens sheet: a thin lens of 5.6 mm moves
by f / (distance - f), 1.9 % at 300 mm and 0.9 % at 600 mm."""
STEADYING = 0.0015
"""Spread of the optical centre by a lens that moves against shaking, in diagonals (common practice, no source)."""
RADIAL_FLOOR = (0.002, 0.001, 0.001)
"""What focusing does to k1, k2 and k3 (common practice, no source)."""


@dataclass(frozen=True)
class LensProfile:
    """One lens of one camera. Lengths in diagonals of the picture, which is as the camera took it, not turned upright.

    stated_focal is EXIF's focal length, None where it gives none; focal the measured one with its relative spread;
    centre (x, y) is the optical centre from the picture's; radial (k1, k2, k3) with r in half diagonals, or (k1, k2),
    with their spreads and the correlations of 1 with 2, 1 with 3, 2 with 3; residual in px.
    """

    camera: str
    made: str
    photos: int
    size: tuple[int, int]
    stated_focal: float | None
    focal: float
    focal_spread: float
    centre: tuple[float, float]
    centre_spread: float
    radial: tuple[float, ...]
    radial_spread: tuple[float, ...]
    residual: float
    radial_correlation: tuple[float, ...] = ()
    format: str = FORMAT

    def __post_init__(self) -> None:
        spreads = (self.focal_spread, self.centre_spread, *self.radial_spread)
        sound = 0.1 < self.focal < 10 and min(self.size) > 0 and all(0 <= s < 1 for s in spreads)
        terms = 2 if self.format == OF_TWO_TERMS else 3
        whole = len(self.radial) == len(self.radial_spread) == terms and len(self.radial_correlation) in (0, 3)
        known = self.format in (FORMAT, OF_TWO_TERMS) and all(-1 <= c <= 1 for c in self.radial_correlation)
        finite = np.isfinite([*self.centre, *self.radial]).all()
        if not (known and sound and whole and finite) or np.linalg.eigvalsh(self.covariance()).min() < -1e-6:
            raise ValueError("these are no numbers of a camera")

    def covariance(self) -> FloatArray:
        """Covariance (3, 3) of k1, k2, k3; of a profile of two terms the third is taken for 0."""
        spread = np.zeros(3)
        spread[: len(self.radial_spread)] = self.radial_spread
        together = np.eye(3)
        for (i, j), c in zip(((0, 1), (0, 2), (1, 2)), self.radial_correlation, strict=False):
            together[i, j] = together[j, i] = c
        return np.asarray(together * np.outer(spread, spread))

    @property
    def title(self) -> str:
        """The camera and which of its lenses."""
        return self.camera if self.stated_focal is None else f"{self.camera}, {in_35_mm(self.stated_focal):.0f} mm lens"

    @property
    def lens_from(self) -> str:
        """What a result says of where the knowledge of the lens comes from."""
        return f"profile of {self.title}, made {self.made}"


def folder() -> Path:
    """Where the profiles are kept."""
    named = os.environ.get(FOLDER_VARIABLE)
    return (Path(named) if named else platformdirs.user_config_path("tapeplat", appauthor=False)) / "lenses"


def stored() -> tuple[LensProfile, ...]:
    """All profiles that can be read, by camera; `damaged` names the others."""
    return tuple(profile for _, profile in _read_all())


def damaged() -> tuple[Path, ...]:
    """The files among the profiles that cannot be read as one: nothing is measured with them."""
    return tuple(path for path in sorted(folder().glob("*.json")) if _read(path) is None)


def store(profile: LensProfile) -> Path:
    """Keep a profile, in place of an older one of the same lens; returns its file. Raises FolderNotWritable."""
    text = json.dumps(asdict(profile), indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    return write_whole(folder() / _file_name(profile), text)


def write_whole(target: Path, text: str) -> Path:
    """Write a file of the configuration folder, whole or not at all; returns it. Raises FolderNotWritable."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".lens-")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            os.replace(name, target)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        reason = error.strerror or error
        raise FolderNotWritable(
            f"{target.parent} cannot be written ({reason}); name another folder in {FOLDER_VARIABLE}"
        ) from error
    return target


def forget(camera: str) -> int:
    """Delete the profiles of all lenses of a camera; returns how many there were."""
    wanted = camera.strip().casefold()
    files = [path for path, profile in _read_all() if profile.camera.strip().casefold() == wanted]
    for path in files:
        path.unlink()
    return len(files)


def read_photo_with_profile(source: PhotoSource, profiles: Sequence[LensProfile]) -> Photo:
    """As read_photo, the lens from the stored profile where there is one of the photo's camera."""
    photo = read_photo(source)
    profile = next((p for p in profiles if fits(p, photo)), None)
    if profile is None:
        return photo
    return replace(photo, lens=lens_of(profile, photo), lens_from=profile.lens_from, by_file=photo.lens)


def fits(profile: LensProfile, photo: Photo) -> bool:
    """Whether the photo is a whole one, of the same shape, by the same camera and lens."""
    if photo.camera != profile.camera or not photo.lens.whole or photo.zoom > 1.0 or photo.quarter_turns is None:
        return False
    same_shape = _same_shape(profile, photo) or _turned_already(profile, photo)
    return same_shape and same_lens(stated_focal(photo), profile.stated_focal)


def _same_shape(profile: LensProfile, photo: Photo) -> bool:
    width, height = taken_size(photo)
    return abs(width / height * profile.size[1] / profile.size[0] - 1) < SAME_SHAPE


def _turned_already(profile: LensProfile, photo: Photo) -> bool:
    """Whether the photo was turned by a quarter before its file was written, which then does not say which way."""
    width, height = taken_size(photo)
    return not _same_shape(profile, photo) and abs(height / width * profile.size[1] / profile.size[0] - 1) < SAME_SHAPE


def lens_of(profile: LensProfile, photo: Photo) -> Lens:
    """What the profile says about this photo's lens, px, the picture upright."""
    diagonal = float(np.hypot(*photo.size))
    x, y = profile.centre
    centre_spread = float(np.hypot(profile.centre_spread, STEADYING))
    if _turned_already(profile, photo):
        x, y, centre_spread = 0.0, 0.0, float(np.hypot(centre_spread, np.hypot(x, y)))
    for _ in range(photo.quarter_turns or 0):
        x, y = -y, x
    terms = (*profile.radial, 0.0)[:3]
    radial = with_measured(terms, profile.covariance() + np.diag(np.square(RADIAL_FLOOR)))
    return Lens(
        focal=profile.focal * diagonal,
        whole=True,
        radial=tuple(radial.mean.tolist()),
        radial_covariance=tuple(tuple(row) for row in radial.covariance.tolist()),
        focal_spread=float(np.hypot(profile.focal_spread, FOCUSING)),
        centre=(x * diagonal, y * diagonal),
        centre_spread=centre_spread * diagonal,
    )


def stated_focal(photo: Photo) -> float | None:
    """EXIF's focal length in diagonals."""
    return None if photo.lens.focal is None else photo.lens.focal / float(np.hypot(*photo.size))


def same_lens(one: float | None, other: float | None) -> bool:
    """Whether two focal lengths are one lens's, which a phone with several lenses tells apart by nothing else."""
    if one is None or other is None:
        return one is other
    return abs(one / other - 1) < SAME_LENS


def taken_size(photo: Photo) -> tuple[int, int]:
    """Width and height as the camera took it."""
    width, height = photo.size
    return (height, width) if (photo.quarter_turns or 0) % 2 else (width, height)


def in_35_mm(focal: float) -> float:
    """Focal length in 35 mm terms, mm, of one in diagonals."""
    return focal * FULL_FRAME


def _read_all() -> list[tuple[Path, LensProfile]]:
    read = [(path, _read(path)) for path in sorted(folder().glob("*.json"))]
    found = [(path, profile) for path, profile in read if profile is not None]
    return sorted(found, key=lambda pair: (pair[1].camera.casefold(), pair[1].focal))


def _read(path: Path) -> LensProfile | None:
    try:
        return TypeAdapter(LensProfile).validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None


def _file_name(profile: LensProfile) -> str:
    words = re.sub(r"[^0-9a-z]+", "-", profile.title.casefold()).strip("-")
    # Names that differ only in signs that a file's name cannot have stay apart.
    return f"{words[:60]}-{hashlib.sha256(profile.title.encode()).hexdigest()[:6]}.json"
