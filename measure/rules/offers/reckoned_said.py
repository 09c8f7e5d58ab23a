"""So many people of so much volume each, so many floors of such a height each, in whichever order they stand."""

from __future__ import annotations

import re

from measure.rules.offers.gist import Gist, Much, Who

_PEOPLE = frozenset(
    re.findall(
        r"\S+",
        """
        people person persons resident residents colonist colonists astronaut astronauts guest guests visitor
        visitors student students child children kids family families athlete athletes worker workers villager
        villagers neighbor neighbors neighbour neighbours settler settlers inhabitant inhabitants crew member
        members patient patients camper campers bed beds citizen citizens farmer farmers sailor sailors miner miners
        scientist scientists tourist tourists head heads pop population soul souls occupant occupants tenant tenants
        sleeper sleepers passenger passengers
        """,
    )
)
_BESIDE = frozenset(
    re.findall(
        r"\S+",
        """
        host hosts expect expecting expects welcome welcomes serving serve check that add adds assuming assume got
        hosting
        colony city town village settlement camp island project crew
        at per each apiece for a an every one of them who that need needs takes take requires require space room
        volume built building buildings housing and so make sure hold holds house houses accommodate accommodates
        shelter shelters sleep sleeps live lives living fit fits provide has is in with there all total enough up
        counting reckoning reckon count counts we you will do math build home homes altogether together @ = ( ) , ;
        : - / going to moving coming which means figure capacity big large as it they then therefore give gives get
        gets allow plan calculate using where if
        """,
    )
)


_FLOORS = frozenset(
    re.findall(
        r"\S+",
        """
        cube cubes floor floors story stories storey storeys block blocks level levels brick bricks
        """,
    )
)
_BESIDE_FLOORS = frozenset(
    re.findall(
        r"\S+",
        """
        tall has high in height of a an is are may up to reach go stacked rise with if where each every one building
        buildings structure structures = ( ) , ; : equals means counts as on and we say unit only measures
        """,
    )
)


def reckoned_said(form: str, gist: Gist) -> str:
    """The sentence of a clause in one form; empty where another word, zone or amount stands in it."""
    return _housed(form, gist) or _stacked(form, gist)


def _stacked(form: str, gist: Gist) -> str:
    """`up to 5 stories, one story = 3/4 in`: every structure."""
    words = form.split()
    signs = [word for word in words if re.fullmatch(r"[A-Z]\d+", word)]
    if any(word not in signs and word not in _FLOORS | _BESIDE_FLOORS for word in words) or not _FLOORS & set(words):
        return ""
    meant = [gist.of(sign) for sign in signs]
    zones = {each.name for each in meant if isinstance(each, Who)}
    amounts = [each for each in meant if isinstance(each, Much)]
    lengths = [each for each in amounts if each.bound.measure == "length"]
    numbers = [each for each in amounts if each.bound.measure == "number" and not each.bound.times]
    many = [each for each in numbers if each.bound.amount.number > 1 or each.bound.relation != "bare"]
    if len(zones) > 1 or len(lengths) != 1 or len(many) != 1 or len(lengths) + len(numbers) != len(amounts):
        return ""
    (count,), (height,) = many, lengths
    if height.bound.relation not in ("bare", "exactly") or height.bound.upper or count.bound.upper:
        return ""
    relation = count.bound.relation
    if relation == "bare" and " may " not in f" {form} ":
        return ""
    note = f"; with {count.number} as the most" if relation == "bare" else ""
    where = f"in {zones.pop()}" if zones else "on the parcel"
    limit = "at most" if relation == "bare" else count.rel
    said = f"the height of that structure is {limit} {count.number} times {height.n}"
    return f"for every structure {where}: {said} // as so many times as high{note}"


def _housed(form: str, gist: Gist) -> str:
    if re.search(r"\b(?:every|each|any|a|an|per|to) Z\d", form):
        return ""  # so many in each piece
    words = form.split()
    signs = [word for word in words if re.fullmatch(r"[A-Z]\d+", word)]
    if any(word not in signs and word not in _PEOPLE | _BESIDE for word in words) or not _PEOPLE & set(words):
        return ""
    meant = [gist.of(sign) for sign in signs]
    zones = {each.name for each in meant if isinstance(each, Who)}
    amounts = [each for each in meant if isinstance(each, Much)]
    volumes = [each for each in amounts if each.bound.measure == "volume"]
    numbers = [each for each in amounts if each.bound.measure == "number" and not each.bound.times]
    many = [each for each in numbers if each.bound.amount.number > 1]
    if len(zones) != 1 or len(volumes) != 1 or len(many) != 1 or len(volumes) + len(numbers) != len(amounts):
        return ""
    (count,), (volume,) = many, volumes
    if (
        volume.bound.relation not in ("bare", "exactly")
        or volume.bound.upper
        or count.bound.upper
        or count.bound.amount.number < 1
    ):
        return ""
    note = "as so many times as much volume"
    note += f"; with {count.number} as the least" if count.bound.relation == "bare" else ""
    return f"the volume of {zones.pop()} is {count.rel_least} {count.number} times {volume.n} // {note}"
