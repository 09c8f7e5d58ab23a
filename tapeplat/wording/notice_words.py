"""What each notice says, in words: the one place where they are made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import cast

from measure.notices import PLAIN, Fact, Notice
from measure.units import LengthUnit, format_area, format_length

Facts = Mapping[str, Fact]


def words(notice: Notice) -> str:
    """A notice as a sentence without its full stop; of one that a later version wrote, its code and facts."""
    facts = {**vars(notice.subject), "name": _name(notice), **notice.facts}
    try:
        made = _WORDS[notice.code]
        return made.format(**facts) if isinstance(made, str) else made(facts)
    except (KeyError, TypeError, ValueError):
        known = ", ".join(f"{name} {fact}" for name, fact in facts.items() if fact not in ("", None))
        return f"{notice.code}: {known}" if known else notice.code


def worded_codes() -> frozenset[str]:
    """The codes that have words."""
    return frozenset(_WORDS)


def _name(notice: Notice) -> str:
    """`piece 2 of stables`, `stables`."""
    zone, piece = notice.subject.zone, notice.subject.piece
    return zone if piece is None else f"piece {piece} of {zone}"


def _shared_strip(facts: Facts) -> str:
    return f"{facts['zone']} and {facts['other'] or 'a neighbour'} share a strip of tape"


def _tags_disagree(facts: Facts) -> str:
    tiles = cast(tuple[int, ...], facts["tiles"])
    names = ", ".join(f"corner tile {tile}" for tile in tiles) or "the corner tiles"
    return f"the card and {names} disagree by more than their uncertainty; check the tiles and printed_line"


def _size_differs(facts: Facts) -> str:
    """Of results from before the uncertainty was told, the numbers alone."""
    unit, u95 = cast(LengthUnit, facts.get("unit", "mm")), cast(float, facts.get("u95", 0.1))
    measured, stated = (cast(float, facts[name]) for name in ("measured", "stated"))
    margin = f" ± {format_length(u95, unit, u95)}" if "u95" in facts else ""
    return (
        f"the parcel's {facts['size']} is measured as {format_length(measured, unit, u95)}{margin} "
        f"and stated as {format_length(stated, unit)}"
    )


def _other_parcel(facts: Facts) -> str:
    """Of results from before the sizes were told, that they differ."""
    if "measured_width" not in facts:
        return "the parcel is not as large as when the model was measured: shares are of the challenge's"
    unit = cast(LengthUnit, facts["unit"])
    was, now = (_size(facts, before, unit) for before in ("measured_", ""))
    return f"the parcel was {was} when the model was measured, and is {now} in the challenge: shares are of that"


def _size(facts: Facts, before: str, unit: LengthUnit) -> str:
    """`30.5 by 30.5 cm (12 by 12 in)`: in the unit now, and in that in which it was stated then."""
    width, depth = (cast(float, facts[before + side]) for side in ("width", "depth"))
    stated = cast(LengthUnit, facts[f"{before}unit"])
    written = [f"{format_length(width, one)} by {format_length(depth, one)}" for one in dict.fromkeys((unit, stated))]
    return written[0] if len(written) == 1 else f"{written[0]} ({written[1]})"


def _structures_shown(facts: Facts) -> str:
    count = cast(int, facts["count"])
    shown = "1 structure is measured" if count == 1 else f"{count} structures are measured"
    return f"{shown} from the photos"


def _place_shown(facts: Facts) -> str:
    """`the structure at 12.3, 4.5 cm`, from the parcel's top-left corner."""
    unit = cast(LengthUnit, facts["unit"])
    x, y = (format_length(cast(float, facts[name]), unit, 20.0) for name in ("x", "y"))
    return f"{x} from the parcel's left edge and {y} from its top"


def _one_more_photo(facts: Facts) -> str:
    return (
        f"add a photo taken from the {facts['side']} side of the parcel, {facts['degrees']} degrees off straight above"
    )


def _structure_not_measured(facts: Facts) -> str:
    return f"the photos do not tell the size of the structure {_place_shown(facts)}: {_one_more_photo(facts)}"


def _structure_doubtful(facts: Facts) -> str:
    return f"something may stand {_place_shown(facts)} that the photos do not measure: {_one_more_photo(facts)}"


def _more_may_stand(why: str) -> Callable[[Facts], str]:
    return lambda facts: (
        f"more structures may stand there than are measured: {why} {_place_shown(facts)}; {_one_more_photo(facts)}"
    )


def _no_more_structures(facts: Facts) -> str:
    count = cast(int, facts["count"])
    these = (
        "the 1 structure measured is taken as all"
        if count == 1
        else f"the {count} structures measured are taken as all"
    )
    return (
        f"{these} that stands there, as the photos show all of the land and nothing else on it: look whether that is so"
    )


def _photo_added(facts: Facts) -> str:
    count, sharper = cast(int, facts["count"]), cast(float, facts["sharper"])
    shown = "1 structure" if count == 1 else f"{count} structures"
    if sharper < 1.1:
        return f"{facts['photo']} shows {shown} and makes heights hardly more certain"
    return f"{facts['photo']} shows {shown}; without it heights are {sharper:.1f} times as uncertain"


def _not_in_table(facts: Facts) -> str:
    where = f" in {facts['zone']}" if facts.get("zone") else " in no zone"
    return f"the photos show a {facts['solid']}{where} that the table does not have; it counts as the photos show it"


def _not_all(facts: Facts) -> str:
    return (
        "the photos need not show every structure, so rules that hang on what else may stand there are not measured: "
        "look at the picture, and if nothing is missing say that those are all, or give the table of structures"
    )


def _lens_apart(facts: Facts) -> str:
    others = "another photo of it does" if facts["photos"] == 1 else f"{facts['photos']} other photos of it do"
    return (
        f"{facts['photo']} says that it is by {facts['camera']}, but does not show its lens as {others}; "
        "it is measured by itself"
    )


def _enclosed(facts: Facts) -> str:
    inside = " and ".join(cast(tuple[str, ...], facts["inside"]))
    taken = "its land is taken off" if facts["subtracted"] else "its land counts for both"
    return f"{inside} lies wholly inside {facts['zone']}: {taken}"


def _outline_by_hand(facts: Facts) -> str:
    numbers = [str(number) for number in cast(tuple[int, ...], facts["corners"])]
    listed = " and ".join([", ".join(numbers[:-1]), numbers[-1]] if len(numbers) > 1 else numbers)
    corners = f": {'corner' if len(numbers) == 1 else 'corners'} {listed}" if numbers else ""
    return f"the outline of {facts['name']} was changed by hand{corners}"


def _no_team(facts: Facts) -> str:
    teams = ", ".join(cast(tuple[str, ...], facts["teams"]))
    there = f"its teams are {teams}" if teams else "it has no rows"
    return f"{facts['file']} has no structures of team {facts['team']}; {there}"


def _tent(facts: Facts) -> str:
    rows = " and ".join(map(str, cast(tuple[int, ...], facts["rows"])))
    return f"{facts['file']}, row {rows}: the surface is a tent's, the ridge above the middle of its base"


def _base_does_not_fit(facts: Facts) -> str:
    unit = cast(LengthUnit, facts["unit"])
    there = f"the largest piece of {facts['zone']}" if facts["several"] else facts["zone"]
    mine, most = cast(float, facts["base"]), cast(float, facts["room"])
    if facts["extent"] == "area":
        base = format_area(mine, unit, cast(float, facts["base_u95"]))
        problem = f"covers {base}, and {there} only {format_area(most, unit, cast(float, facts['room_u95']))}"
    else:
        margin = cast(float, facts["base_u95"])
        base = f"{format_length(mine, unit, margin)} {facts['extent']}"
        problem = f"is {base}, and {there} at most {format_length(most, unit, margin)}"
    who = f"team {facts['team']}, {facts['zone']}" if facts["team"] else facts["zone"]
    hint = f" (in {facts['fits_in']} it would fit)" if facts["fits_in"] else ""
    row = f"{facts['file']}, row {facts['row']} ({who})"
    slip = f"a probable slip: check the sizes and their unit{hint}"
    return f"{row}: the base of the {facts['solid']} {problem}; {slip}"


_UNCOVER = "move what hides it, or photograph the model from another side"
_WORDS: dict[str, str | Callable[[Facts], str]] = {
    PLAIN: "{text}",
    # the challenge
    "rule": "rule {rule}: {text}",
    "challenge": "{text}",
    # photos
    "empty-swatch": "the card's box {swatch} is empty, so nothing is known of {zone}",
    "doubtful-swatch": "whether the card's box {swatch} holds tape is not clear, so nothing is known of {zone}; "
    "cover its dots with tape, keep shadow and glare off the card and photograph again",
    "tapes-alike": "the tapes of {zone} (box {swatch}) and {other} (box {other_swatch}) look alike in this light, so "
    "one may be taken for the other; take another tape for one of them, or a whiter light",
    "tape-like-ground": "the tape of {zone} (box {swatch}) looks like something that covers much of the parcel; "
    "take another tape, or paper of another colour",
    "no-parcel-edges": "the parcel's edges were not found: places on the parcel are not measured",
    "top-taken": "the card lies across the parcel, so which side is the parcel's top is not certain: the one that the "
    "card's {side} faces is taken; lay the card upright or use corner tiles where rules are about places",
    "zone-out-of-sight": "{zone} is not measured: no outline of it was found, and where the parcel ends is not seen; "
    "photograph the whole parcel, on a table of another colour or with corner tiles",
    "no-zone-tile": "an outline in the tape of box {swatch} has no zone tile in it and is left out",
    "unknown-zone-tile": "zone tile {tile} is no zone's of this challenge",
    "tile-in-no-outline": "the tile of {zone} lies in no closed outline of its tape",
    "tile-not-seen": "the tile of {zone} is not seen, and an outline of its tape has none",
    "outline-open": "{zone} is not measured: its tape shows, but its outline does not close, most of all towards the "
    "{side}; look for tape there that is missing, hidden or washed out by glare, or photograph from that side",
    "loose-tape": "{zone} is not measured: besides an outline that closes, a strip of its tape lies loose, which may "
    "be of a piece that is not seen whole; take that strip away, or close its outline, and photograph again",
    "tape-goes-on": f"{{zone}} is not measured: its tape goes on beyond the outline that closes; {_UNCOVER}",
    "over-bare-board": f"{{zone}} is not measured: its outline would run over bare board; {_UNCOVER}",
    "laid-twice": "{zone} is not measured: along one side two strips of its tape lie beside or partly over each other; "
    "either may be meant: take one of them away",
    "laid-partly-over": "along a side of {zone} a second strip of its tape lies partly over the first; either may be "
    "meant, and the uncertainty covers both: take one of them away for a surer measurement",
    "closes-in-two-ways": "{zone} is not measured: its tape closes in two ways, as something of its colour lies "
    "between its strips; move that and photograph again",
    "like-board": "{zone} is not measured: its tape looks like the board in this light; take tape of "
    "another colour for it",
    "like-unread-tape": "{zone} is not measured: an outline in nearly its colour may be of another tape, whose box "
    "is empty or which looks alike; fill the box, or take a tape of another colour",
    "paper-of-its-colour": "{zone} is not measured: its tape does not show along the border of a patch of its colour; "
    "if that is paper, take another colour, or leave a gap between paper and tape; else cover it",
    "outer-edge-alone": "paper of the tape's own colour lies against {sides} of the {of} sides of {zone}, so only the "
    "tape's outer edge shows there: the outline is that edge less half the tape's width, and less certain",
    "width-doubtful": "the inner edge of {zone}'s tape hardly shows, so it may be narrower than it seems: the outline "
    "is far less certain; take paper of another colour, or leave a gap between paper and tape",
    "parcel-edge-bounds": "{zone} has no tape along the parcel's {edge} edge: the edge itself bounds it",
    "shared-strip": _shared_strip,
    "tags-disagree": _tags_disagree,
    "prints-not-flat": "the prints' edges do not lie as on flat paper, so the uncertainty is stated wider; press card "
    "and tiles flat and keep glare off them",
    "print-not-measured": "nobody measured the card's check lines, so its print is trusted to {percent:g} % only; "
    "measure them with a ruler and state `printed_line`: results become surer",
    "parcel-size-differs": _size_differs,
    "line-unread": "the card's box for {line} is empty or not clear, so nothing is known of {line}; stick a piece of "
    "it into the box so that it covers the dots, or state its colour in a word",
    "line-like-print": "{line} is not measured: something printed or drawn over and over, such as a grid or mortar "
    "between bricks, has its colour, so nobody can tell which is the line; take a line of another colour, or cover "
    "the print",
    "line-too-thin": "something of {line} shows, but too thin in the photo to be measured; go nearer, or take a "
    "thicker string or pen",
    "line-two-ways": "under something, {line} could go on in more than one way, so its ends there are left apart; "
    "move what hides it, or photograph the model from another side",
    "line-not-tape": "an outline in nearly the colour of the tape of {zone} is none of it, but {line} by its colour",
    "line-or-tape": "{zone} is not measured: an outline in nearly the colour of its tape may be {line}; take a line of "
    "another colour, or put a piece of it into a box of the card",
    "photos-disagree": "the photos put a corner of {zone} {apart:.1f} mm apart, more than their uncertainty",
    "photos-contradict": f"{{zone}} is not measured: the photos show its outline in two ways; {_UNCOVER}",
    "photo-left-out": "{photo} is left out ({reason}): {advice}",
    "lens-profile-damaged": "the lens profile {profile} is damaged and was not used: delete that file among the "
    "lens profiles, and make the profile anew",
    "lens-apart": _lens_apart,
    "profile-apart": "{photo} does not show the lens of the {profile}, so it is measured without; another phone "
    "of that name may have made the profile: make it anew with this one",
    "structures-shown": _structures_shown,
    "structure-not-measured": _structure_not_measured,
    "doubtful-structure": _structure_doubtful,
    "photo-added": _photo_added,
    "land-hidden": _more_may_stand("the photos do not show the land"),
    "land-differs": _more_may_stand("the photos differ about what lies"),
    "no-more-structures": _no_more_structures,
    "mark-not-kept": "a height marked in {photo} does not count any more: {reason}",
    # outlines
    "no-outline": "no outline of {zone} was found",
    "no-line": "nothing of {zone} was found; a line that a photo hardly shows can be drawn on the model's page",
    "zone-inside": _enclosed,
    "beyond-parcel": "{zone} reaches beyond the parcel; coordinates are in {unit} from the parcel's top-left corner, "
    "x to the right and y down",
    "other-parcel": _other_parcel,
    # repairs
    "drawn-by-hand": "{name} was drawn by hand",
    "outline-by-hand": _outline_by_hand,
    "line-by-hand": "the middle of {name} was changed by hand",
    "line-joined-by-hand": "{name} was joined by hand, of {pieces} pieces",
    "zone-by-hand": "{name} was measured as {measured_as} and was said by hand to be {zone}",
    "removed-by-hand": "{name} was taken away by hand",
    "tape-width-taken": "the width of the tape of {zone} is not known: {width:.0f} mm is taken",
    "scale-taken": "nothing else was measured in the picture: {percent:g} % is taken as the uncertainty of its scale",
    "verdict-by-hand-lost": 'the verdict by hand on "{text}" waits: the challenge has no such rule now',
    # structures
    "table": "{text}",
    "table-row": "{file}, row {row}: {text}",
    "no-structures-of-team": _no_team,
    "structures-disagree": "{text}",
    "structure-not-in-table": _not_in_table,
    "structures-not-all": _not_all,
    "tent-surface": _tent,
    "base-does-not-fit": _base_does_not_fit,
}
