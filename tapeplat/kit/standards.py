"""Published standards that a kind of rule touches, named from memory; the teacher checks them in the school's edition.

CCSS-M: Common Core State Standards for Mathematics (2010). NGSS: Next Generation Science Standards (2013).
"""

from __future__ import annotations

from collections.abc import Mapping

from measure.challenge import Challenge, RuleLine
from measure.rules.kinds.sizes.size_difference import DIFFERENCE
from measure.rules.told import in_per_cent

_ABOUT: Mapping[str, str] = {
    "2.MD.A.1": "measure lengths with a ruler",
    "3.MD.B.4": "measure lengths to halves and fourths of an inch",
    "3.MD.C.6": "measure areas by counting unit squares",
    "3.MD.C.7": "area by multiplication, and by cutting into rectangles",
    "3.MD.D.8": "perimeters of polygons",
    "3.G.A.2": "parts of a whole area as fractions",
    "4.MD.A.2": "problems about lengths, with fractions and decimals",
    "4.MD.A.3": "area and perimeter formulas for rectangles",
    "4.OA.A.2": "times as much as: comparing by multiplication",
    "5.MD.C.4": "volumes by counting unit cubes",
    "5.MD.C.5": "volume by multiplication",
    "5.NF.B.6": "multiplying fractions in real problems",
    "6.G.A.1": "areas of triangles, quadrilaterals and polygons",
    "6.G.A.4": "surfaces of solids by their nets",
    "6.RP.A.1": "ratios",
    "6.RP.A.3": "percents and rates",
    "7.G.A.1": "scale drawings",
    "3-5-ETS1-1": "a design problem with criteria and constraints",
    "3-5-ETS1-2": "several solutions compared by the criteria",
    "3-5-ETS1-3": "fair tests that show what to improve",
}
_OF_KIND: Mapping[str, tuple[str, ...]] = {
    "share": ("3.G.A.2", "3.MD.C.7", "5.NF.B.6"),
    "size": ("3.MD.C.6", "3.MD.C.7", "4.MD.A.3", "6.G.A.1"),
    "empty land": ("3.G.A.2", "3.MD.C.7"),
    "comparison": ("4.OA.A.2", "6.RP.A.1"),
    "distance": ("2.MD.A.1", "3.MD.B.4", "4.MD.A.2"),
    "structures": ("3.MD.B.4",),
    "volume": ("5.MD.C.4", "5.MD.C.5"),
    "surface": ("6.G.A.4",),
    "people": ("5.MD.C.5", "6.RP.A.3"),
}
ALWAYS = ("3-5-ETS1-1", "3-5-ETS1-2", "3-5-ETS1-3")
"""What the whole challenge is about: it states criteria, and teams plan, measure and improve."""


def standards_of(stated: RuleLine) -> tuple[str, ...]:
    """The mathematics standards that a rule touches; none for rules about place and by eye."""
    kind, rule = stated.rule.kind_name, stated.rule
    found = list(_OF_KIND.get(kind, ()))
    if rule.kind.counted:
        found = []
    elif rule.kind == DIFFERENCE:
        found = ["3.MD.C.7", "4.MD.A.2"]
    elif rule.size == "perimeter":
        found = ["3.MD.D.8", "4.MD.A.3"]
    elif rule.size in ("length", "width"):
        found = ["2.MD.A.1", "3.MD.B.4"]
    elif rule.size == "volume":
        found = list(_OF_KIND["volume"])
    if kind in ("share", "empty land") and in_per_cent(stated.text):
        found.append("6.RP.A.3")
    return tuple(found)


def about(code: str) -> str:
    """What a standard is about, in short."""
    return _ABOUT[code]


def touched(challenge: Challenge) -> tuple[str, ...]:
    """All standards that a challenge touches, each once, mathematics first; with a plan at a scale."""
    found = [code for stated in challenge.rules for code in standards_of(stated)]
    ordered = [code for code in _ABOUT if code in found]
    return (*ordered, "7.G.A.1", *ALWAYS)
