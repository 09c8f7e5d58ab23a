"""The zone key: which tape means which zone, and the rules in which each zone occurs."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from measure.challenge import Challenge, Zone
from tapeplat.paper.exercises.rule_facts import zones_of
from tapeplat.paper.pdf.flow import PUPIL, flow_fitted, para, space, table, text_size
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "Zone key"
_TAPE, _BOX, _RULES = 34.0, 16.0, 40.0


def draw(pages: Pages, job: Job) -> None:
    """One row for each zone, with room for a piece of its tape."""
    width = pages.paper.width - 2 * MARGIN
    rows: list[Sequence[Flowable | str]] = [("tape", "box", "zone", "in rules")]
    for zone in job.challenge.zones:
        rows.append(("", str(zone.swatch), _name(zone), rule_numbers(job.challenge, zone.name)))
    words = "Stick a piece of each zone's tape beside its name. The numbers are those of the rule list."
    widths = (_TAPE, _BOX, width - _TAPE - _BOX - _RULES, _RULES)

    def story(factor: float) -> list[Flowable]:
        size = text_size(PUPIL, factor)
        return [para(words, size), space(2), table(rows, widths, size=size, row_height=14 * factor)]

    flow_fitted(pages, HEADING, story)


def rule_numbers(challenge: Challenge, zone: str) -> str:
    """The numbers of the rules that speak of a zone, as `1, 4, 7`; a dash where none does."""
    found = [str(n) for n, rule in enumerate(challenge.rules, start=1) if zone in zones_of(rule.rule, challenge)]
    return ", ".join(found) or "–"


def _name(zone: Zone) -> str:
    name = zone.name if zone.kind != "keep-clear" else f"{zone.name} (keep clear: do not build or move)"
    return name if zone.tile is None else f"{name} (zone tile {zone.tile})"
