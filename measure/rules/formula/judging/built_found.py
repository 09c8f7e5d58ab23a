"""Terms about what stands on the land: volumes, heights, people and numbers of structures."""

from __future__ import annotations

from measure.rules.formula.formula_terms import DifferentSolids, HeightOfStructure, People, Size, StructuresOn
from measure.rules.formula.formula_things import Term, Thing
from measure.rules.formula.judging.numbers_found import Exact, Measured, NotKnown, Number
from measure.rules.formula.judging.numbers_reckoned import Ordered, added
from measure.rules.formula.judging.things_found import Names, Scene
from measure.rules.measured_sizes import NO_STRUCTURES, measured
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
    found = names if isinstance(names, Unknown) else measured("volume", names, scene.context)
    if isinstance(found, Unknown):
        return found
    assert isinstance(names, tuple)
    return Measured((found,), names, Mark("zone", tuple((name, 0) for name in names)))


def _height(of: Thing, scene: Scene) -> Number | Unknown:
    """That of the tallest structure."""
    names = _names(of, scene)
    if isinstance(names, Unknown):
        return names
    found: list[Number] = []
    for name in names:
        assert scene.context.structures is not None
        heights = scene.context.structures.heights(name, None)
        if heights is None:
            return Unknown("how tall the structures are is not known", (name,))
        mark = Mark("zone", ((name, 0),))
        for height in heights:
            unknown = Unknown("how tall some of the structures are is not known", (name,))
            found.append(NotKnown(unknown, low=0.0) if height is None else Measured((height,), (name,), mark))
    return Ordered("largest", tuple(found)) if found else Unknown("there is no structure in {}", names)


def _different(on: Thing | None, scene: Scene) -> Number | Unknown:
    names = _names(on, scene)
    if isinstance(names, Unknown):
        return names
    if scene.context.structures is None:
        return Unknown(NO_STRUCTURES)
    if len(names) > 1:
        return Unknown("different solids are counted in one zone, or on the parcel")
    found = scene.context.structures.different_solids(names[0] if names else None)
    return Unknown("how many different solids there are is not known", names) if found is None else Exact(float(found))


def _count(on: Thing | None, solid: str, scene: Scene) -> Number | Unknown:
    names = _names(on, scene)
    if isinstance(names, Unknown):
        return names
    if scene.context.structures is None:
        return Unknown(NO_STRUCTURES)
    counts = [scene.context.structures.count(name, solid or None) for name in names or (None,)]
    if any(count is None for count in counts):
        return Unknown("how many structures there are is not known", names)
    return Exact(float(sum(count for count in counts if count is not None)))
