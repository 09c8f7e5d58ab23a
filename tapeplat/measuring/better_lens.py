"""Whether a filed result's lens is known better by now, and which verdicts would change: the result itself stays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calib.edges import FloatArray
from calib.estimate.parameters import RADIAL
from calib.lens.class_lens import FALSE_ALARM, RadialEvidence, ToldByOthers, chance_of_agreement
from calib.radial_terms import HALF_WAY
from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.plat.plat import LensRecord, PhotoRecord, Piece, Plat, Ring, Rows, Terms
from measure.result.result import Result
from measure.result.result_plat import plat_of
from tapeplat.lens.class_lens_store import lens_told
from tapeplat.lens.told_lens import lens_said
from tapeplat.measuring.measured_model import MeasuredModel, judged

WORTH = 0.9
"""A lens is known better where that is known to this share of its former uncertainty, or less."""


@dataclass(frozen=True, eq=False)
class BetterLens:
    """A photo of a result whose lens more photos tell by now, and what they say."""

    photo: PhotoRecord
    record: LensRecord
    told: ToldByOthers


def better_lenses(result: Result) -> tuple[BetterLens, ...]:
    """The photos of a result whose lenses are known better by now, by what is kept of their cameras."""
    own = [photo.sha256 for photo in result.photos]
    return tuple(
        BetterLens(photo, photo.radial, told)
        for photo in result.photos
        if photo.radial is not None
        and (told := lens_told(photo.radial.camera, own)) is not None
        and _is_better(photo.radial, told)
    )


def changed_verdicts(result: Result, challenge: Challenge, better: Sequence[BetterLens]) -> tuple[str, ...] | None:
    """`"RULE": too close to call, would be met`: what measuring again would change.

    None where it cannot be said beforehand, as the result comes of several photos or was repaired by hand.
    """
    if not _can_be_told(result, better):
        return None
    plat = _told_anew(plat_of(result), better[0])
    anew = judged(challenge, plat, team=result.team, earlier=result, built=result)
    before = {rule.text: rule.verdict for rule in result.rules}
    return tuple(
        f'"{rule.text}": {before[rule.text]}, would be {rule.verdict}'
        for rule in anew.rules
        if rule.text in before and rule.verdict != before[rule.text] and rule.by_hand is None
    )


def measured_again(model: MeasuredModel, better: Sequence[BetterLens]) -> MeasuredModel:
    """The model with what others say of its lens by now, judged anew; what was said by hand stays.

    The same edges and marks in the photo, with more known beforehand of the lens: the least squares of all that was
    seen, whether the photo is there or not. Its picture stays as the former lens corrected it, which differs by less
    than its outlines' uncertainty. Raises InputMistakes where the outlines come of several photos, or were repaired.
    """
    if not _can_be_told(model.result, better):
        what = "its outlines come of several photos, or were repaired by hand"
        raise InputMistakes([Mistake("the model", what, "take a new photo to measure it by the better lens")])
    plat = _told_anew(model.plat, better[0])
    photos = tuple(_known_better(photo, better[0]) for photo in plat.photos)
    return judged(
        model.challenge,
        replace(plat, photos=photos),
        model.picture,
        model.picture_file,
        team=model.team,
        table=model.structures_table,
        earlier=model.result,
        built=model.result,
    )


def _can_be_told(result: Result, better: Sequence[BetterLens]) -> bool:
    return len(result.photos) == len(better) == 1 and not result.has_repaired_pieces


def _known_better(photo: PhotoRecord, better: BetterLens) -> PhotoRecord:
    """The record with the lens as it is known now, so that the same is not offered again."""
    record, told = better.record, better.told
    factor, turn, mean = _update(better)
    said, turned = told.evidence.of_first(len(record.terms)), factor @ turn
    now = replace(
        record,
        terms=_row(np.array(record.terms) + factor @ mean),
        covariance=_rows(turned @ turned.T),
        others=told.photos,
        told_information=_rows(said.information),
        told_vector=_row(said.vector),
    )
    return replace(photo, radial=now, lens=lens_said(record.title, told.photos))


def _row(values: FloatArray) -> Terms:
    return tuple(values.tolist())


def _rows(matrix: FloatArray) -> Rows:
    return tuple(map(_row, matrix))


def _is_better(record: LensRecord, told: ToldByOthers) -> bool:
    """Whether more photos say more, and the photo agrees with them."""
    own = RadialEvidence.kept(record.information, record.vector)
    if told.photos <= record.others or chance_of_agreement(own, told.evidence) < FALSE_ALARM:
        return False
    before = np.array(record.covariance)
    more, half_way = _more(record, told), HALF_WAY[: len(before)]
    after = np.linalg.inv(np.linalg.inv(before) + more.information)
    return bool(np.sqrt(half_way @ after @ half_way) < WORTH * np.sqrt(half_way @ before @ half_way))


def _more(record: LensRecord, told: ToldByOthers) -> RadialEvidence:
    """What others say now beyond what they said then, of the terms that the photo was measured with."""
    then, count = RadialEvidence.kept(record.told_information, record.told_vector), len(record.terms)
    return told.evidence.of_first(count) - then.of_first(count)


def _told_anew(plat: Plat, better: BetterLens) -> Plat:
    """The plat with what others say now in place of what they said then.

    The terms depend on their own sources alone, as the upper triangular factor of their covariance says.
    """
    columns = [[s.name for s in plat.sources].index(name) for name in RADIAL[: len(better.record.terms)]]
    _, turn, mean = _update(better)
    pieces = tuple(_moved(piece, columns, turn, mean) for piece in plat.pieces)
    parcel = None if plat.parcel is None else _ring(plat.parcel, columns, turn, mean)
    return replace(plat, pieces=pieces, parcel=parcel)


def _update(better: BetterLens) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The factor of the terms' covariance then, and what turns and moves the sources that they depend on."""
    factor = _upper(np.array(better.record.covariance))
    more = _more(better.record, better.told)
    normal = np.eye(len(factor)) + factor.T @ more.information @ factor
    turn = np.asarray(np.linalg.inv(np.linalg.cholesky(normal)).T)
    mean = turn @ turn.T @ factor.T @ (more.vector - more.information @ np.array(better.record.terms))
    return factor, turn, mean


def _upper(covariance: FloatArray) -> FloatArray:
    """The upper triangular F with F F' = covariance, its diagonal positive."""
    return np.asarray(np.linalg.inv(np.linalg.cholesky(np.linalg.inv(covariance))).T)


def _moved(piece: Piece, columns: list[int], turn: FloatArray, mean: FloatArray) -> Piece:
    holes = tuple(_ring(hole, columns, turn, mean) for hole in piece.holes)
    return replace(piece, ring=_ring(piece.ring, columns, turn, mean), holes=holes)


def _ring(ring: Ring, columns: list[int], turn: FloatArray, mean: FloatArray) -> Ring:
    sensitivity = ring.sensitivity.copy()
    sensitivity[:, :, columns] = ring.sensitivity[:, :, columns] @ turn
    return replace(ring, points=ring.points + ring.sensitivity[:, :, columns] @ mean, sensitivity=sensitivity)
