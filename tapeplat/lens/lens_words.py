"""What is said of a lens profile, and of a self-check: for the terminal and for the page."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from calib.lens.class_lens import FALSE_ALARM, RadialEvidence, ToldByOthers, chance_of_agreement, told_by_all
from calib.lens.lens_prior import radial_prior, with_measured
from calib.radial_terms import HALF_WAY
from tapeplat.lens.class_lens_store import ClassLens
from tapeplat.lens.lens_store import RADIAL_FLOOR, LensProfile, in_35_mm
from tapeplat.lens.selfcheck import OutlineCheck, SelfCheck

NOMINAL = (100.0, 80.0)
PLAUSIBLE = 0.1
"""No usable print's lines are off by more than this share."""
WIDE = 0.01
"""Expanded uncertainty of an area from which the self-check says what it is."""
Lines = tuple[float | None, float | None]


def profile_in_words(profile: LensProfile) -> str:
    """What the lens does, in two sentences a teacher can compare between phones."""
    width, height = profile.size
    mm, u_mm = in_35_mm(profile.focal), 2 * in_35_mm(profile.focal) * profile.focal_spread
    moved, u_moved = 100 * sum(profile.radial), 200 * float(profile.covariance().sum()) ** 0.5
    places = 1 if u_moved >= 0.1 else 2
    way = "outwards" if moved > 0 else "inwards"
    u_moved = max(u_moved, 10**-places)
    return (
        f"{profile.title}: made {profile.made} from {profile.photos} photos of {width} x {height} pixels, "
        f"{profile.residual:.2f} pixels off on average.\n"
        f"  Focal length {mm:.1f} mm in 35 mm terms, within {max(u_mm, 0.1):.1f} mm. The lens moves the picture's "
        f"corners {way} by {abs(moved):.{places}f} % of their distance from the middle, within {u_moved:.{places}f} %."
    )


def class_lens_in_words(lens: ClassLens, profiles: Sequence[LensProfile]) -> str:
    """What a camera's photos tell of its lens, and whether its profile says the same."""
    told = told_by_all([photo.evidence for photo in lens.photos])
    if told is None:
        return f"{lens.title}: {len(lens.photos)} photos of models do not agree on its lens; they tell nothing."
    terms = told.evidence.with_prior(radial_prior())
    moved, u = (100 * value for value in (HALF_WAY @ terms.mean, 2 * np.sqrt(HALF_WAY @ terms.covariance @ HALF_WAY)))
    way = "outwards" if moved > 0 else "inwards"
    photos = "1 photo of a model" if told.photos == 1 else f"{told.photos} photos of models"
    return (
        f"{lens.title}: told by {photos}.\n"
        f"  The lens moves what lies half way to the corner {way} by {abs(moved):.2f} % of its distance from the "
        f"middle, within {max(u, 0.01):.2f} %.{_against_profile(lens, told, profiles)}"
    )


def _against_profile(lens: ClassLens, told: ToldByOthers, profiles: Sequence[LensProfile]) -> str:
    """Whether photos of models and the lens sheet say the same of a lens; they are not mixed."""
    own = [p for p in profiles if p.camera == lens.name and p.title in lens.title]
    if not own:
        return ""
    # A profile's terms are as certain as focusing leaves them for another photo.
    covariance = own[0].covariance() + np.diag(np.square(RADIAL_FLOOR))
    sheet = with_measured((*own[0].radial, 0.0)[:3], covariance)
    chance = chance_of_agreement(RadialEvidence.of(sheet, radial_prior()), told.evidence)
    if chance < FALSE_ALARM:
        return " Its profile says otherwise: make the profile anew, of a flat sheet."
    return " Its profile, which is used, says the same."


def selfcheck_in_words(check: SelfCheck, printed_line: Lines) -> str:
    """The one line."""
    area, length = _worst(check)
    if not check.likely:
        lens = "" if check.lens_from else "; if that does not help, make a lens profile (tapeplat lens)"
        return (
            f"areas are off by up to {area} %, lengths by up to {length} mm, more than the program claims: lay the "
            f"sheet flat, photograph it sharp and from straight above{lens}"
        )
    if check.print_is_off and check.paper is not None:
        return _print_off(check.paper.scale, printed_line)
    agree = f"areas agree within {area} %, lengths within {length} mm"
    good = "as good as the program claims"
    if not check.as_claimed:
        good = (
            f"{check.beyond} of {check.count} {'is' if check.beyond == 1 else 'are'} more than the program claims, as "
            "one in twenty may be; take a second photo to be sure"
        )
    good += _wide(check)
    if check.paper is None:
        return (
            f"{agree}: {good}, if the check lines are as long as stated (the paper's edges do not show, so measure "
            "the lines with a ruler)"
        )
    return f"{agree}, the paper's size within {_up(100 * abs(check.paper.scale - 1), 1)} %: {good}"


def _wide(check: SelfCheck) -> str:
    """What is claimed, where that is little."""
    claimed = max(2 * o.u_area for o in check.outlines)
    if claimed < WIDE:
        return ""
    surer = "" if check.lens_from else "; a lens profile makes it surer (tapeplat lens)"
    return f", which is no more than {_up(100 * claimed, 1)} % of an area here{surer}"


def _print_off(scale: float, printed_line: Lines) -> str:
    """The paper tells that the check lines are not as long as stated or assumed."""
    percent = 100 * (scale**2 - 1)
    way = "large" if percent > 0 else "small"
    stated = [length or nominal for length, nominal in zip(printed_line, NOMINAL, strict=True)]
    likely = " and ".join(f"{length / scale:.1f}" for length in stated)
    return (
        f"areas come out {abs(percent):.1f} % too {way} everywhere: measure the check lines again and set printed_line "
        f"(by the paper's size they are about {likely} mm long)"
    )


def _worst(check: SelfCheck) -> tuple[str, str]:
    area = max(abs(o.area) for o in check.outlines)
    length = max(float(abs(o.sides).max()) for o in check.outlines)
    return _up(100 * area, 1), _up(length, 1)


def _up(value: float, places: int) -> str:
    """Rounded up, so that "within" holds."""
    return f"{max(1, math.ceil(value * 10**places - 1e-9)) / 10**places:.{places}f}"


def outline_in_words(outline: OutlineCheck) -> str:
    """One of the sheet's outlines: how far it is off, and how far off the program says that it may be."""
    sides = ", ".join(f"{d:+.1f}" for d in outline.sides)
    u95 = _up(200 * outline.u_area, 1)
    return f"  {outline.name}: area {100 * outline.area:+.1f} % (the program claims {u95} %), sides {sides} mm"
