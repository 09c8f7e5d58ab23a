"""Terms about what stands on the land: volumes, heights, people and numbers of structures."""

from __future__ import annotations

from measure.rules.formula.formula_terms import DifferentSolids, HeightOfStructure, People, Size, StructuresOn
from measure.rules.formula.formula_things import Term, Thing
from measure.rules.formula.judging.numbers_found import Exact, Measured, NotKnown, Number
from measure.rules.formula.judging.numbers_reckoned import Ordered, added
from measure.rules.formula.judging.things_found import Names, Scene
from measure.rules.measured_sizes import NO_STRUCTURES, built, counted_in
from measure.rules.rule_context import Built
from measure.rules.verdict import Mark, Unknown

SAY_HOW_MANY = "how many people live in how much is not said; write `the people in homes at 8 people per cubic cm`"


def built_found(term: Term, scene: Scene) -> Number | Unknown | None:
    """The term on this plat; None where it is about the land alone."""
    match term:
        case HeightOfStructure():
            return scene.structure_height()
        case StructuresOn(on, solid):
            return _count(on, solid, scene)
        case DifferentSolids(on):
            return _different(on, scene)
        case People(_, None):
            return Unknown(SAY_HOW_MANY)
        case People(of, rate):
            assert rate is not None
            volume = _volume(of, scene)
            return volume if isinstance(volume, Unknown) else added([volume], [rate.value / rate.mm])
        case Size("volume", of):
            return _volume(of, scene)
        case Size("height", of):
            return _height(of, scene)
    return None


def _names(of: Thing | None, scene: Scene) -> Names | Unknown:
    if of is None:
        return ()
    names = scene.names(of)
    return Unknown(NO_STRUCTURES, names) if scene.context.structures is None and isinstance(names, tuple) else names


def _volume(of: Thing, scene: Scene) -> Number | Unknown:
    names = _names(of, scene)
    if isinstance(names, Unknown):
        return names
    found = built("volume", names, scene.context)
    if found.value is None:
        return Unknown(found.more, names)
    known = Measured((found.value,), names, Mark("zone", tuple((name, 0) for name in names)))
    return _with_more(known, found.more, names)


def _with_more(known: Number, more: str, names: Names) -> Number:
    """What is known, and what is not known beside it, which could only make it larger."""
    return added([known, NotKnown(Unknown(more, names), low=0.0)], [1.0, 1.0]) if more else known


def _height(of: Thing, scene: Scene) -> Number | Unknown:
    """That of the tallest structure."""
    names = _names(of, scene)
    if isinstance(names, Unknown):
        return names
    found: list[Number] = []
    for name in names:
        assert scene.context.structures is not None
        heights = scene.context.structures.heights(name, None)
        found += [Measured((height,), (name,), Mark("zone", ((name, 0),))) for height in heights.known]
        found += [NotKnown(Unknown(heights.more, (name,)), low=0.0)] if heights.more else []
    return Ordered("largest", tuple(found)) if found else Unknown("there is no structure in {}", names)


def _different(on: Thing | None, scene: Scene) -> Number | Unknown:
    names = _names(on, scene)
    if isinstance(names, Unknown):
        return names
    if scene.context.structures is None:
        return Unknown(NO_STRUCTURES)
    if len(names) > 1:
        return Unknown("different solids are counted in one zone, or on the parcel")
    return _exact(scene.context.structures.different_solids(names[0] if names else None), names)


def _count(on: Thing | None, solid: str, scene: Scene) -> Number | Unknown:
    names = _names(on, scene)
    if isinstance(names, Unknown):
        return names
    if scene.context.structures is None:
        return Unknown(NO_STRUCTURES)
    return _exact(counted_in(scene.context.structures, names, solid or None), names)


def _exact(found: Built, names: Names) -> Number | Unknown:
    if found.value is None:
        return Unknown(found.more, names)
    return _with_more(Exact(found.value.value), found.more, names)
