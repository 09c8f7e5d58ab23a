"""`tapeplat lens`: a phone camera's lens from photos of the printed lens sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

if TYPE_CHECKING:
    from tapeplat.lens.lens_making import MadeProfile

_REFUSED = 3


@click.command(cls=OwnCommand)
@click.argument("photos", metavar="[PHOTO...]", type=Given("photo"), nargs=-1)
@click.option("--list", "listing", is_flag=True, help="Show what is kept: profiles, and what classes' photos tell.")
@click.option("--forget", metavar="CAMERA", help="Delete all that is kept of a camera.")
@reporting_options
def lens(photos: tuple[Path, ...], listing: bool, forget: str | None, as_json: bool, quiet: bool) -> None:
    """Learn a phone camera's lens from photos of the lens sheet.

    PHOTO: about 10 photos of the printed lens sheet, slanted, from all sides, filling the picture. `measure` then uses
    the profile for every whole photo of this camera.
    """
    asked = [bool(photos), listing, forget is not None]
    if sum(asked) != 1:
        raise click.UsageError("give photos of the lens sheet, or --list, or --forget CAMERA")
    if listing:
        _list(as_json=as_json, quiet=quiet)
    elif forget is not None:
        _forget(forget, as_json=as_json, quiet=quiet)
    else:
        _make(photos, as_json=as_json, quiet=quiet)


def _make(photos: tuple[Path, ...], *, as_json: bool, quiet: bool) -> None:
    from calib.lens.lens_sheet import LensRefused
    from tapeplat.lens.lens_making import make_profile
    from tapeplat.lens.lens_store import store

    try:
        made = make_profile(photos)
    except LensRefused as refusal:
        click.echo(f"no lens profile made: {refusal}", err=True)
        raise SystemExit(_REFUSED) from refusal
    file = store(made.profile)
    last = f"kept in {file}; measure uses it for whole photos of this camera"
    tell(_said(made), last=last, as_json=as_json, quiet=quiet, content=lambda: made.profile)


def _said(made: MadeProfile) -> str:
    from tapeplat.lens.lens_words import profile_in_words

    lines = []
    for photo in made.photos:
        became = f"left out: {photo.left_out}" if photo.residual is None else f"{photo.residual:.2f} pixels off"
        lines.append(f"{photo.file}: {became}")
    return "\n".join([*lines, profile_in_words(made.profile)])


def _list(*, as_json: bool, quiet: bool) -> None:
    from tapeplat.lens.class_lens_store import class_lenses, damaged_class_lenses
    from tapeplat.lens.lens_store import damaged, stored
    from tapeplat.lens.lens_words import class_lens_in_words, profile_in_words

    for path in damaged():
        click.echo(f"warning: {path} is damaged and is not used; delete the file and make the profile anew", err=True)
    for path in damaged_class_lenses():
        click.echo(f"warning: {path} is damaged and is not used; the next class writes it anew", err=True)
    profiles, lenses = stored(), class_lenses()
    none = "no lens profile is kept; print the lens sheet (sheets --only lens), then tapeplat lens PHOTO ..."
    said = [*map(profile_in_words, profiles), *(class_lens_in_words(lens, profiles) for lens in lenses)]
    tell("\n".join(said) or none, as_json=as_json, quiet=quiet, content=lambda: (*profiles, *lenses))


def _forget(camera: str, *, as_json: bool, quiet: bool) -> None:
    from measure.errors import InputMistakes, Mistake
    from tapeplat.lens.class_lens_store import class_lenses, forget_class_lenses
    from tapeplat.lens.lens_store import forget, stored

    cameras = {p.camera for p in stored()} | {lens.name for lens in class_lenses()}
    profiles, told = forget(camera), forget_class_lenses(camera)
    if profiles == told == 0:
        known = ", ".join(sorted(cameras)) or "none"
        raise InputMistakes([Mistake("--forget", f'no profile of "{camera}" is kept; there are: {known}')])
    gone = [f"{profiles} profile{'s' if profiles > 1 else ''}"] if profiles else []
    gone += [f"what photos told of {'its lens' if told == 1 else f'{told} of its lenses'}"] if told else []
    content = {"camera": camera, "profiles": profiles, "told_by_photos": told}
    said = f"forgotten: {' and '.join(gone)} of {camera}"
    tell(said, as_json=as_json, quiet=quiet, content=lambda: content)
