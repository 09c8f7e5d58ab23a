"""One model from one or more photos of it, all in one frame.

Each photo is traced by itself.  A photo that cannot be used is left out with a remark; one that shows another model is
refused.  Photos whose frame is the parcel's lie over one another as they are; others are laid on by their outlines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import LinearRing, Polygon

from calib.edges import FloatArray
from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from vision.fit.source_columns import piece_over, ring_over
from vision.lines.merged_lines import merged_lines, moved_lines
from vision.picture.photo import Photo, PhotoSource
from vision.picture.remarks import Remark, remark
from vision.picture.traced import Cause, TapeSpec, Traced, TracedPiece, TracedRing
from vision.picture.traced_lines import LineSpec
from vision.profile_trust import trace_with_profile
from vision.view_combination import combined

SAME_PIECE = 0.5
"""Overlap over union from which two photos' outlines of one zone are the same piece."""
SAME_MODEL = 0.6
"""Share of the outlines that must be found again for a photo to show the same model."""
CONTRADICT, LEAST_APART = 6.0, 3.0
"""Photos contradict each other about an outline where it lies further apart than so many standard uncertainties of its
corners, and mm at the least.
"""
DISAGREE = 3.0
"""Photos disagree about a corner when it differs by more than this many of its own standard uncertainties."""
LEAST_DISAGREEMENT = 0.6
"""Differences below this are never worth a remark, mm."""


@dataclass(frozen=True, eq=False)
class Model:
    """The pieces that all photos together show, in one frame, and each photo with what was traced in it by itself."""

    traced: Traced
    photos: tuple[tuple[Photo, Traced], ...]


@dataclass(frozen=True, eq=False)
class Views:
    """The photos of one model that can be used, each with what was traced in it, and remarks on those left out."""

    seen: tuple[tuple[Photo, Traced], ...]
    left_out: tuple[Remark, ...]


def model_from(
    sources: Sequence[PhotoSource], read: Callable[[PhotoSource], Photo], setup: PhotoSetup, tapes: Sequence[TapeSpec],
    lines: Sequence[LineSpec] = (),
) -> Model:  # fmt: skip
    """Trace every photo and lay them together. Raises PhotoRefused where none can be used or one is another model's."""
    return laid_together(views_of(sources, read, setup, tapes, lines))


def views_of(
    sources: Sequence[PhotoSource], read: Callable[[PhotoSource], Photo], setup: PhotoSetup, tapes: Sequence[TapeSpec],
    lines: Sequence[LineSpec] = (),
) -> Views:  # fmt: skip
    """Trace every photo by itself. Raises PhotoRefused where none can be used."""
    traced: list[tuple[Photo, Traced]] = []
    refused: list[tuple[PhotoSource, PhotoRefused]] = []
    for source in sources:
        try:
            traced.append(trace_with_profile(read(source), setup, tapes, lines))
        except PhotoRefused as refusal:
            refused.append((source, refusal))
    if not traced:
        raise refused[0][1]
    left_out = tuple(
        remark("photo-left-out", photo=source.name, reason=refusal.reason, advice=refusal.advice)
        for source, refusal in refused
    )
    return Views(tuple(traced), left_out)


def laid_together(views: Views) -> Model:
    """All views of a model in one frame. Raises PhotoRefused where one is of another model."""
    model = _merged([traced for _, traced in views.seen])
    return Model(replace(model, remarks=(*model.remarks, *views.left_out)), views.seen)


def _merged(all_traced: Sequence[Traced]) -> Traced:
    """All photos in the frame of the one that shows most, every piece from the views that show it best."""
    order = sorted(all_traced, key=lambda t: (t.frame == "card", sum(p.bridged for p in t.pieces), -len(t.pieces)))
    first = order[0]
    laid = [first, *(_laid_on(first, other) for other in order[1:])]
    for other in laid[1:]:
        _check_same(first, other)
    causes, columns = _common_causes(laid)
    views = [[piece_over(p, columns[i], len(causes)) for p in t.pieces] for i, t in enumerate(laid)]
    groups = _grouped(views)
    chosen = [_agreeing(g) for g in groups]
    remarks = [r for t in laid for r in t.remarks] + [r for g in chosen for r in _disagreements(g)]
    remarks += [
        remark("photos-contradict", g[0].zone)
        for g, kept in zip(groups, chosen, strict=True)
        if any(v.measurable for v in g) and not any(v.measurable for v in kept)
    ]
    return replace(
        first,
        pieces=tuple(combined(g) if len(g) > 1 else g[0] for g in chosen),
        causes=causes,
        parcel=None if first.parcel is None else ring_over(first.parcel, columns[0], len(causes)),
        unread=tuple(z for z in first.unread if all(z in t.unread for t in laid)),
        remarks=tuple(dict.fromkeys(remarks)),
        lines=merged_lines([t.lines for t in laid], columns, len(causes)),
    )


def _laid_on(first: Traced, other: Traced) -> Traced:
    """The other photo's pieces in the first one's frame, turned and moved by their outlines where no parcel ties
    them.
    """
    if first.frame != "card" and other.frame != "card":
        return other
    here, there = _common_corners(first, other)
    if len(here) < 3:
        raise _other_model()
    a, b = there - there.mean(axis=0), here - here.mean(axis=0)
    turn = float(np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b)))
    c, s = np.cos(turn), np.sin(turn)
    axes = np.array([[c, s], [-s, c]])
    move = here.mean(axis=0) - there.mean(axis=0) @ axes

    def moved(ring: TracedRing) -> TracedRing:
        turned = np.einsum("nik,ij->njk", ring.sensitivity, axes)
        return replace(ring, points=ring.points @ axes + move, sensitivity=turned)

    pieces = [replace(p, ring=moved(p.ring), holes=tuple(map(moved, p.holes))) for p in other.pieces]
    return replace(other, pieces=tuple(pieces), lines=moved_lines(other.lines, axes, move))


def _common_corners(first: Traced, other: Traced) -> tuple[FloatArray, FloatArray]:
    """Centroids (n, 2) of zones that both photos show in one piece each."""
    here, there = (dict(_single_pieces(t)) for t in (first, other))
    both = [z for z in here if z in there]
    centres = [[np.array(Polygon(t[z].ring.points).centroid.coords[0]) for z in both] for t in (here, there)]
    return np.array(centres[0]).reshape(-1, 2), np.array(centres[1]).reshape(-1, 2)


def _single_pieces(traced: Traced) -> list[tuple[str, TracedPiece]]:
    zones = [p.zone for p in traced.pieces]
    return [(p.zone, p) for p in traced.pieces if zones.count(p.zone) == 1]


def _check_same(one: Traced, other: Traced) -> None:
    again = sum(any(_same(p, q) for q in other.pieces) for p in one.pieces)
    if again < SAME_MODEL * min(len(one.pieces), max(1, len(other.pieces))):
        raise _other_model()


def _other_model() -> PhotoRefused:
    return PhotoRefused("other-model", "the photos show different models; give photos of one model only")


def _same(one: TracedPiece, other: TracedPiece) -> bool:
    if one.zone != other.zone:
        return False
    a, b = (Polygon(p.ring.points).buffer(0) for p in (one, other))
    return bool(a.intersection(b).area > SAME_PIECE * a.union(b).area)


def _common_causes(laid: Sequence[Traced]) -> tuple[tuple[Cause, ...], list[list[int]]]:
    """All photos' causes, the shared ones once; and where each photo's own columns stand among them."""
    causes: list[Cause] = []
    columns: list[list[int]] = []
    for number, traced in enumerate(laid, 1):
        own = []
        for cause in traced.causes:
            name = cause.name if cause.shared or len(laid) == 1 else f"photo {number}: {cause.name}"
            named = Cause(name, cause.kind)
            if not cause.shared or named not in causes:
                causes.append(named)
                own.append(len(causes) - 1)
            else:
                own.append(causes.index(named))
        columns.append(own)
    return tuple(causes), columns


def _grouped(views: Sequence[Sequence[TracedPiece]]) -> list[list[TracedPiece]]:
    """Views of the same piece together."""
    groups: list[list[TracedPiece]] = []
    for piece in (p for view in views for p in view):
        twin = next((g for g in groups if _same(g[0], piece)), None)
        if twin is None:
            groups.append([piece])
        else:
            twin.append(piece)
    return groups


def _agreeing(views: Sequence[TracedPiece]) -> list[TracedPiece]:
    """The views of a piece that more than half of them agree with; else one view that is not measurable.

    Views that show the piece's own tape on all sides say more than those in which a side is a neighbour's.
    """
    most = _most_alike(views)
    own = [v for v in views if not v.ring.taped]
    if 2 * len(most) <= len(views) and own:
        views, most = own, _most_alike(own)
    return most if 2 * len(most) > len(views) else [replace(views[0], measurable=False)]


def _most_alike(views: Sequence[TracedPiece]) -> list[TracedPiece]:
    """The largest group of views that one of them does not contradict."""
    return max(([v for v in views if not _contradict(one, v)] for one in views), key=len)


def _contradict(one: TracedPiece, other: TracedPiece) -> bool:
    """Whether two views cannot both be right."""
    apart = LinearRing(one.ring.points).hausdorff_distance(LinearRing(other.ring.points))
    spread = max(float(np.sqrt((v.ring.sensitivity**2).sum(axis=(1, 2)).max())) for v in (one, other))
    return bool(apart > max(CONTRADICT * spread, LEAST_APART))


def _disagreements(views: Sequence[TracedPiece]) -> list[Remark]:
    """A remark where two photos put a piece's corner apart by more than their uncertainty."""
    found = []
    for view in views[1:]:
        here, there = views[0].ring, view.ring
        if here.curved or there.curved or len(here.points) != len(there.points):
            continue
        for i, point in enumerate(here.points):
            j = int(np.argmin(np.linalg.norm(there.points - point, axis=1)))
            apart = float(np.linalg.norm(there.points[j] - point))
            own = float(np.sqrt(((here.sensitivity[i] - there.sensitivity[j]) ** 2).sum()))
            if apart > max(DISAGREE * own, LEAST_DISAGREEMENT):
                found.append(remark("photos-disagree", view.zone, apart=apart))
                break
    return found
