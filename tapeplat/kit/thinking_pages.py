"""For children after they measured: the analysis, long and short, a visit to another team, a talk."""

from __future__ import annotations

from tapeplat.kit.kit_blocks import Block, Bullets, Grid, Heading, KitPage, Lines, Text
from tapeplat.kit.kit_job import KitJob


def analysis_page(job: KitJob) -> KitPage:
    """What we planned, measured, changed, and would do next."""
    blocks: tuple[Block, ...] = (
        Heading("What we planned"),
        Text("We put this zone here, because:"),
        Lines(3),
        Heading("What we measured"),
        Grid(
            (("rule", "our number", "photo says", "same?"), *(("", "", "", "") for _ in range(4))), (4, 2, 2, 1.4), 11
        ),
        Heading("What we changed"),
        Grid((("what we changed", "why", "did it help?"), *(("", "", "") for _ in range(3))), (4, 4, 2), 13),
        Heading("What we would do next"),
        Lines(3),
    )
    return KitPage("analysis", "Our model: what we found out", "children", blocks)


def short_analysis_page(job: KitJob) -> KitPage:
    """The same in four lines."""
    blocks: tuple[Block, ...] = (
        Text("We planned:"),
        Lines(2),
        Text("We measured:"),
        Lines(2),
        Text("We changed:"),
        Lines(2),
        Text("Next we would:"),
        Lines(2),
    )
    return KitPage("short-analysis", "Our model in four lines", "children", blocks)


def review_page(job: KitJob) -> KitPage:
    """A visit to another team: what is right, a question, an idea; kind words."""
    rules = tuple((str(n), rule.text, "", "") for n, rule in enumerate(job.challenge.rules[:_MOST], start=1))
    blocks: tuple[Block, ...] = (
        Text("We visit team: ______        We are team: ______"),
        Bullets(("Look first. Then talk.", "Be kind. Be clear. Be helpful.", "Talk about the model, not the people.")),
        Text("Pick two rules. Measure them on this model."),
        Grid((("", "rule", "our number", "met?"), *rules), (0.6, 5, 2.2, 1.2), 10),
        Text("This works well:"),
        Lines(2),
        Text("We have a question:"),
        Lines(1),
        Text("You could try:"),
        Lines(2),
    )
    return KitPage("review", "We visit another team", "children", blocks)


_MOST = 8
"""Rules on a visitor's sheet: two of them are measured."""


def talk_page(job: KitJob) -> KitPage:
    """A talk of two minutes, its parts shared out."""
    blocks: tuple[Block, ...] = (
        Text("You have two minutes. Each of you says one part."),
        Grid(
            (
                ("part", "who", "what we say"),
                ("This is our place. Who lives here?", "", ""),
                ("This rule was hard. This is how we met it.", "", ""),
                ("We measured this. Our number was:", "", ""),
                ("We changed this. It helped, or it did not.", "", ""),
                ("Next time we would:", "", ""),
            ),
            (3.4, 1.2, 5),
            24,
        ),
        Bullets(("Point at the model while you talk.", "Say your numbers with their unit.", "Look at the class.")),
    )
    return KitPage("talk", "Our talk", "children", blocks)
