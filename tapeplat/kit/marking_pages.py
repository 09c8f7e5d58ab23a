"""For the teacher: weights, a rubric, a table of marks, and the standards that the rules touch."""

from __future__ import annotations

from tapeplat.kit.kit_blocks import Grid, Heading, KitPage, Text
from tapeplat.kit.kit_job import KitJob
from tapeplat.kit.standards import about, standards_of, touched

WEIGHTS = (("measuring", 40), ("improvement", 30), ("explanation", 30))
"""Per cent; a beginning that the teacher changes."""
_RUBRIC = (
    ("", "4", "3", "2", "1"),
    (
        "measuring",
        "All numbers agree with the photo, or were measured again until they did; units stand beside them.",
        "Most numbers agree; units stand beside them.",
        "Some numbers agree; how they were found is shown.",
        "Numbers are there; how they were found is not shown.",
    ),
    (
        "improvement",
        "A change was planned from a measured number, made, and measured again.",
        "A change was made for a rule, and measured again.",
        "A change was made; why is not said.",
        "The first attempt stayed as it was.",
    ),
    (
        "explanation",
        "Says for each decision which rule or need it serves, with numbers.",
        "Says for most decisions why.",
        "Says what was built; seldom why.",
        "Names the zones.",
    ),
)


def marks_page(job: KitJob) -> KitPage:
    """Weights, the rubric, and a row for every team."""
    weights = tuple((name, f"{weight} %") for name, weight in WEIGHTS)
    head = ("team", *(f"{name} (1-4)" for name, _ in WEIGHTS), "mark")
    rows = tuple((str(team), "", "", "", "") for team in range(1, job.teams + 1))
    sums = " + ".join(f"{weight / 100:g} × {name}" for name, weight in WEIGHTS)
    note = (
        "How many rules are met is no mark by itself: a team that changes its model with reason learns more than one "
        "that was lucky. Change weights and words as you need them; the marks need not be shown."
    )
    blocks = (
        Heading("Weights"),
        Grid((("what", "weight"), *weights), (3, 2)),
        Heading("Rubric"),
        Grid(_RUBRIC, (1.6, 3, 2.6, 2.4, 2.4)),
        Heading("Marks"),
        Text(f"mark = {sums}"),
        Grid((head, *rows), (1, 2, 2, 2, 1.6), 7),
        Text(note),
    )
    return KitPage("marks", "Weights, rubric and marks", "teacher", blocks)


def standards_page(job: KitJob) -> KitPage:
    """Which standards each rule touches, and what those are about."""
    rows = [("", "rule", "mathematics standards it touches")]
    for number, stated in enumerate(job.challenge.rules, start=1):
        rows.append((str(number), stated.text, ", ".join(standards_of(stated)) or "–"))
    meanings = [("standard", "about"), *((code, about(code)) for code in touched(job.challenge))]
    note = (
        "CCSS-M: Common Core State Standards for Mathematics; codes with ETS: Next Generation Science Standards, which "
        "the challenge touches as a whole. Named from memory, in our own short words: check them in the edition that "
        "your school uses. A scale drawing touches 7.G.A.1 where pupils work with its scale."
    )
    blocks = (Grid(tuple(rows), (0.5, 5, 3)), Grid(tuple(meanings), (1.6, 5)), Text(note))
    return KitPage("standards", "Standards that the rules touch", "teacher", blocks)
