"""Two challenges: an ordinary one, and one with long names, 20 zones and 25 rules."""

from __future__ import annotations

from itertools import pairwise

QUARRY = """
title = "Quarry Lake Village"
unit = "in"
rules = [
  "there is a market",
  "there are exactly 3 pieces of cottages",
  "library covers at most 1/5 of the parcel",
  "meadow covers between 20% and 30% of the parcel",
  "market covers exactly 1/6 of the parcel, within 2%",
  "cottages and workshops together cover at most half of the parcel",
  "landing covers at least 12 sq in",
  "the perimeter of meadow is at most 40 in",
  "market covers at least 40% more than stables",
  "stables are at least 4 1/2 in from library",
  "every zone is at least 1 in from the edge",
  "meadow does not touch market",
  "nothing overlaps crusher",
  "no structure is taller than 7 in",
  "stables hold at least 200 cubic cm",
  "cottages house at least 600 people at 8 people per cubic cm",
  "by eye: every street can be walked from end to end and crosses no meadow",
]

[parcel]
width = 18
depth = 14

[[zone]]
name = "library"
swatch = 1

[[zone]]
name = "stables"
swatch = 1
tile = 50

[[zone]]
name = "meadow"
swatch = 2
tile = 51

[[zone]]
name = "landing"
swatch = 3

[[zone]]
name = "market"
swatch = 4

[[zone]]
name = "workshops"
swatch = 5

[[zone]]
name = "cottages"
swatch = 6

[[zone]]
name = "crusher"
swatch = 8
kind = "keep-clear"
place = [9.0, 6.5]
place_within = 0.5
size = [4, 3]
size_within = 0.5
"""


def crowded_toml() -> str:
    """20 zones with names of 40 characters, 25 rules."""
    names = [f"the {n:02d} long terraces above the upper quarry" for n in range(1, 21)]
    names = [name[:40].strip().ljust(40, "x") for name in names]
    rules = [f"{name} covers between 1% and 5% of the parcel" for name in names[:12]]
    rules += [f"{a} is at least 1 1/2 in from {b}" for a, b in pairwise(names[:13])]
    rules += ["by eye: every street of every terrace can be walked from its upper end to its lower end without a stair"]
    zones = "".join(
        f'[[zone]]\nname = "{name}"\nswatch = {1 + n % 8}\ntile = {50 + n}\n' for n, name in enumerate(names)
    )
    listed = ",\n".join(f'  "{rule}"' for rule in rules)
    title = "Upper Quarry Terraces, second term, all of the lower school together"
    return f'title = "{title}"\nunit = "cm"\nrules = [\n{listed},\n]\n[parcel]\nwidth = 60\ndepth = 45\n{zones}'
