"""Which photos show one model: by subfolder, else by the file's name, else by the printed team label in the photo."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from measure.teams import team_key
from tapeplat.classroom.photo_folder import FoundPhoto
from tapeplat.classroom.team_names import in_order, team_of_folder, teams_of_names
from vision.picture.photo import name_of

_FEW = 6
"""Photos that are named with their teams; of more a list would fill the screen before anything is measured."""


@dataclass(frozen=True)
class Group:
    """One team's model and the photos of it."""

    team: str
    photos: tuple[Path, ...]


@dataclass(frozen=True)
class Grouping:
    """The groups, numbered teams first; warnings say what was inferred."""

    groups: tuple[Group, ...]
    warnings: tuple[str, ...]


def nameless(photos: Sequence[FoundPhoto]) -> tuple[Path, ...]:
    """The photos whose team neither folder nor name tells: their labels are to be read."""
    named = _by_name(photos)
    return tuple(photo.path for photo in photos if not photo.folder and named[photo.path] is None)


def grouped(photos: Sequence[FoundPhoto], labels: Mapping[Path, tuple[int, ...]]) -> Grouping:
    """Every photo in one group. labels are the teams' numbers whose labels the nameless photos show."""
    named = _by_name(photos)
    groups: dict[str, tuple[str, list[Path]]] = {}
    warnings, by_name, by_label = list[str](), dict[str, list[str]](), dict[str, list[str]]()
    for photo in photos:
        path, seen = photo.path, labels.get(photo.path, ())
        name = named[path]
        if photo.folder:
            team = team_of_folder(photo.folder)
        elif name is not None:
            team = name
            by_name.setdefault(team_key(team), []).append(name_of(path))
        elif len(seen) == 1:
            team = str(seen[0])
            by_label.setdefault(team, []).append(name_of(path))
        else:
            team = _stem(path)
            warnings.append(_unknown(path, seen))
        groups.setdefault(team_key(team), (team, []))[1].append(path)
    inferred = {"file names": by_name, "labels in the photos": by_label}
    said = [_inferred(source, found, groups) for source, found in inferred.items() if found]
    made = tuple(Group(team, tuple(paths)) for team, paths in groups.values())
    ordered = sorted(made, key=lambda group: in_order(group.team))
    return Grouping(tuple(ordered), (*said, *_two_sources(photos, groups), *warnings))


def _by_name(photos: Sequence[FoundPhoto]) -> Mapping[Path, str | None]:
    loose = [photo.path for photo in photos if not photo.folder]
    teams = teams_of_names(set(map(_stem, loose)))
    return {path: teams[_stem(path)] for path in loose} | {photo.path: None for photo in photos if photo.folder}


def _stem(path: Path) -> str:
    return PurePosixPath(name_of(path)).stem


def _inferred(source: str, found: Mapping[str, list[str]], groups: Mapping[str, tuple[str, list[Path]]]) -> str:
    """`teams read from the file names: 3 (3a.jpg, 3b.jpg); Blue Herons (Blue Herons 1.jpg)`."""
    teams, photos = sorted(found, key=in_order), sum(map(len, found.values()))
    if photos > _FEW:
        names = ", ".join(groups[team][0] for team in teams)
        return f"teams read from the {source} of {photos} photos: {names}; class.json says which photo is whose"
    return f"teams read from the {source}: " + "; ".join(f"{groups[k][0]} ({', '.join(found[k])})" for k in teams)


def _two_sources(photos: Sequence[FoundPhoto], groups: Mapping[str, tuple[str, list[Path]]]) -> Iterator[str]:
    """Photos of one team that lie in several places are taken together, which is said."""
    where = {photo.path: photo.folder for photo in photos}
    for team, paths in groups.values():
        places = dict.fromkeys(f'the folder "{where[p]}"' if where[p] else name_of(p) for p in paths)
        if len({where[p] for p in paths}) > 1:
            yield f"team {team}: {' and '.join(places)} are taken as photos of one model"


def _unknown(path: Path, seen: tuple[int, ...]) -> str:
    why = f"the labels of teams {' and '.join(map(str, seen))} are in it" if seen else "no team label is in it"
    return (
        f"{name_of(path)} does not say whose model it shows: its name is no team's and {why}; it is measured by itself "
        f'as "{_stem(path)}". Rename the file (team-3.jpg), or put it into a folder with the team\'s name'
    )
