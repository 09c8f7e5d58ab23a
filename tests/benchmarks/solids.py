"""Solids measured from two and three drawn photos against their exact truth: a table by photos, tilt and height.

    python -m tests.benchmarks.solids [--models 20] [--first 500] [--kept FOLDER]

Each model is drawn from three sides, at 2 to 12, 15 to 35 and 30 to 45 degrees; all three photos are measured together,
and the first with the last.  Walls are plain, striped or of bricks, colours those of the tapes and of the board too,
some solids stand 0.5 mm from the next.  FOLDER keeps what was traced, so that a second run starts from there: one
pickled `Case` a model, which may come from elsewhere.  Only solids taller than 15 mm count; a solid within 20 mm of a
true one is that one, others are invented.  In brackets: Wilson's interval at 95 %.
"""

from __future__ import annotations

import argparse
import pickle
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.helpers.scenes.built_models import built_model
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.solids import Solid
from vision.picture.photo import Photo
from vision.picture.traced import Traced
from vision.solids.seen_solids import MeasuredBody, SolidsShown, solids_shown
from vision.tracing import trace

LOWEST, NEAR = 15.0, 20.0
QUANTITIES = ("height", "volume", "floor")


@dataclass(frozen=True, eq=False)
class Case:
    """One model: its photos as they were traced, the parcel's size, mm, and what stands on it."""

    name: str
    seen: tuple[tuple[Photo, Traced], ...]
    size: tuple[float, float]
    solids: tuple[Solid, ...]


@dataclass(frozen=True, eq=False)
class Row:
    """A true solid and what was measured of it, if it was found; tilt: of the most oblique photo, degrees."""

    case: str
    photos: int
    tilt: float
    true: Solid
    found: MeasuredBody | None

    @property
    def measured(self) -> bool:
        return self.found is not None and self.found.height_known

    def error(self, name: str) -> float:
        assert self.found is not None
        return float(getattr(self.found.body, name)) - float(getattr(self.true, name))

    def z(self, name: str) -> float:
        assert self.found is not None
        return self.error(name) / float(getattr(self.found.spread, name))


def main() -> None:
    """Print the tables."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--models", type=int, default=20)
    ask.add_argument("--first", type=int, default=500)
    ask.add_argument("--kept", type=Path)
    ask.add_argument("--each", action="store_true", help="a line for each solid")
    given = ask.parse_args()
    rows, invented, taken = list[Row](), {2: 0, 3: 0}, {2: 0.0, 3: 0.0}
    closed: dict[int, list[bool]] = {2: [], 3: []}
    cases = list(_kept(given.kept)) if given.kept and any(given.kept.glob("*.pickle")) else None
    for case in cases or _drawn(given.first, given.models, given.kept):
        for photos, seen in ((3, case.seen), (2, (case.seen[0], case.seen[-1]))):
            start = time.process_time()
            shown = solids_shown(seen, case.size)
            found = shown.bodies
            taken[photos] += time.process_time() - start
            new, extra = _rows(case, photos, max(t.tilt_deg for _, t in seen), found)
            rows += new
            invented[photos] += extra
            if shown.whole:
                closed[photos].append(len(found) == len(case.solids) and not extra)
            if given.each:
                for row in new:
                    print(_told(row), flush=True)
                print(f"{case.name} {photos} photos: {extra} invented, list {_closed(shown)}", flush=True)
    count = len({r.case for r in rows})
    for photos in (3, 2):
        print(f"{photos} photos: {invented[photos]} invented, {taken[photos] / max(count, 1):.1f} s a model")
        print(
            f"{photos} photos: list closed by itself of {len(closed[photos])} models, rightly of {sum(closed[photos])}"
        )
    table(rows)


def _closed(shown: SolidsShown) -> str:
    if shown.whole:
        return "closed"
    place = shown.open.place if shown.open else None
    return "open" if place is None else f"open: {place.why}, {place.width:.0f} mm at {place.x:.0f} {place.y:.0f}"


def _drawn(first: int, models: int, keep: Path | None) -> Iterator[Case]:
    for seed in range(first, first + models):
        random = np.random.default_rng([seed, 71])
        tilts = [float(random.uniform(*span)) for span in ((2, 12), (15, 35), (30, 45))]
        scenes = built_model(seed, tilts)
        try:
            seen = tuple((p, trace(p, photo_setup_of(s), tapes_of(s))) for s in scenes for p in (photo_of(s),))
        except Exception as refused:
            print(f"drawn-{seed}: {refused}")
            continue
        case = Case(f"drawn-{seed}", seen, (scenes[0].width, scenes[0].depth), scenes[0].solids)
        if keep:
            keep.mkdir(parents=True, exist_ok=True)
            (keep / f"{case.name}.pickle").write_bytes(pickle.dumps(case))
        yield case


def _kept(folder: Path) -> Iterator[Case]:
    for path in sorted(folder.glob("*.pickle")):
        yield pickle.loads(path.read_bytes())


def _rows(case: Case, photos: int, tilt: float, found: Sequence[MeasuredBody]) -> tuple[list[Row], int]:
    """Every true solid that counts with what was found of it, and how many are none of the true ones."""
    rows, used = list[Row](), set[int]()
    for true in sorted(case.solids, key=lambda s: -s.height):
        away = [float(np.hypot(m.body.x - true.centre[0], m.body.y - true.centre[1])) for m in found]
        near = min((a, i) for i, a in enumerate(away) if i not in used) if len(used) < len(away) else (np.inf, -1)
        match = found[near[1]] if near[0] <= NEAR else None
        if match is not None:
            used.add(near[1])
        if true.height > LOWEST:
            rows.append(Row(case.name, photos, tilt, true, match))
    return rows, len(found) - len(used)


def _told(row: Row) -> str:
    t = row.true
    size = f"{t.length:3.0f}x{t.width:3.0f}x{t.height:3.0f} at {t.centre[0]:4.0f} {t.centre[1]:4.0f}"
    what = f"{row.case} {row.photos} {t.kind:8} {size}"
    if row.found is None:
        return f"{what} MISSED"
    parts = [
        f"{n[0]} {row.error(n) / (1 if n == 'height' else getattr(t, n) / 100):+.1f} z {row.z(n):+.1f}"
        for n in QUANTITIES
    ]
    return f"{what} {row.found.body.kind:8} {'' if row.measured else 'UNKNOWN '}{', '.join(parts)}"


def table(rows: Sequence[Row]) -> None:
    """Print one line for all of each number of photos, and one for each kind, height and tilt."""
    print(f"{'':26}{'measured':22}{'height mm':>12}{'volume %':>12}{'floor %':>12}   within u95: h, v, f    kind right")
    for photos in (3, 2):
        of = [r for r in rows if r.photos == photos]
        groups: list[tuple[str, Callable[[Row], bool]]] = [("all", lambda r: True)]
        groups += [
            (kind, lambda r, k=kind: r.true.kind == k) for kind in ("box", "prism", "pyramid", "cylinder", "cone")
        ]  # type: ignore[misc]
        groups += [
            (f"{a}-{b} mm", lambda r, a=a, b=b: a <= r.true.height < b) for a, b in ((15, 30), (30, 50), (50, 120))
        ]  # type: ignore[misc]
        groups += [(f"{a}-{b} deg", lambda r, a=a, b=b: a <= r.tilt < b) for a, b in ((0, 34), (34, 40), (40, 51))]  # type: ignore[misc]
        for name, belongs in groups:
            if group := [r for r in of if belongs(r)]:
                print(f"{photos} photos {name:16} {_line(group)}")


def _line(rows: Sequence[Row]) -> str:
    known = [r for r in rows if r.measured]
    right = [r.found.body.kind == r.true.kind for r in rows if r.found is not None]
    cells = [_share([r.measured for r in rows])]
    for name in QUANTITIES:
        off = [abs(r.error(name)) / (1 if name == "height" else getattr(r.true, name) / 100) for r in known]
        cells.append(f"{np.median(off):5.1f}/{np.percentile(off, 95):5.1f}" if off else f"{'':11}")
    within = " ".join(f"{100 * np.mean([abs(r.z(n)) <= 2 for r in known]):4.0f}" if known else "" for n in QUANTITIES)
    return "  ".join([*cells, within, _share(right)])


def _share(hits: Sequence[bool]) -> str:
    """Hits of all, with Wilson's interval at 95 %."""
    n, k, z = len(hits), sum(hits), 1.96
    if not n:
        return f"{'':22}"
    p = k / n
    middle, half = (p + z * z / (2 * n)), z * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    low, high = ((middle + s * half) / (1 + z * z / n) for s in (-1, 1))
    return f"{k:4}/{n:<4}{100 * p:4.0f} [{100 * low:3.0f},{100 * high:4.0f}]"


if __name__ == "__main__":
    main()
