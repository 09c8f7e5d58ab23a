"""The teacher's page: what to lay out, the order of work, cautions, and which limits to loosen or tighten."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from measure.challenge import Challenge, Line
from measure.units import format_length
from tapeplat.paper.exercises.rule_facts import speaks_of_structures
from tapeplat.paper.exercises.tuning import tuned
from tapeplat.paper.pdf.flow import bulleted, flow_fitted, numbered, para, section, table, text_size
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "For the teacher"
_SIZE = 9.5
_TUNED = 42.0
"""Width of a column of changed limits, in mm."""


def draw(pages: Pages, job: Job) -> None:
    """All of it, on one page where the challenge is small."""
    width = pages.paper.width - 2 * MARGIN

    def story(factor: float) -> list[Flowable]:
        size = text_size(_SIZE, factor)
        return [
            *section("What to lay out for each team"),
            *bulleted(_things(job.challenge), size),
            *section("Order of work"),
            *numbered(_order(job.challenge), size),
            *section("Take care"),
            *bulleted(_cautions(), size),
            *_limits(job.challenge, width, size),
        ]

    flow_fitted(pages, HEADING, story)


def _things(challenge: Challenge) -> list[str]:
    parcel, unit = challenge.parcel, challenge.unit
    board = f"A parcel: flat board or stiff sheet, {format_length(parcel.width, unit)} wide and "
    board += f"{format_length(parcel.depth, unit)} deep. Mark its top edge."
    tapes = sorted({zone.swatch for zone in challenge.zones})
    lines = [
        board,
        f"{len(tapes)} tapes of clearly different colours (the zone key says which zone takes which), 6 to 50 mm wide.",
        "The card with its tapes stuck in, the four corner tiles, and the team's label.",
    ]
    if any(zone.tile is not None for zone in challenge.zones):
        lines.append("Zone tiles for the zones that share a tape: one inside each outline.")
    lines += [_for_line(line) for line in challenge.lines]
    lines += [_keep_clear_line(name, place) for name, place in _keep_clear(challenge)]
    lines.append("Ruler, clear grid, the rule list, the scale drawing, paper, scissors, and what the team builds from.")
    return lines


def _for_line(line: Line) -> str:
    """What a pipe, a cable or a road is laid of, and how the photo knows it."""
    made = " or ".join(", ".join(line.made_of).rsplit(", ", 1)) or "string, pipe cleaner, yarn or marker"
    told = f"a piece or a stroke of it in box {line.swatch}" if line.swatch else f"{line.colour}, as no tape is"
    return f"For {line.name}: {made}, 1 to 12 mm wide; {told}."


def _keep_clear(challenge: Challenge) -> list[tuple[str, str]]:
    """Every keep-clear zone and where its centre is, from the parcel's left and top edges; empty where not stated."""
    found = []
    for zone in challenge.zones:
        if zone.kind == "keep-clear":
            place = ""
            if zone.place is not None:
                across, down = (format_length(value, challenge.unit) for value in zone.place)
                place = f"its centre {across} from the left edge and {down} from the top edge"
            found.append((zone.name, place))
    return found


def _keep_clear_line(name: str, place: str) -> str:
    return f"Keep clear: tape {name} on the parcel before the team starts" + (f", {place}." if place else ".")


def _order(challenge: Challenge) -> list[str]:
    built = "For heights and volumes: two or three photos, one from above, others 20 to 40 degrees from other sides."
    return [
        "Print at 100 % and check the card's lines with a ruler. Cut out, stick the tapes into the card's boxes.",
        "Read the rules together. The questions sheet shows whether a team has understood what they ask for.",
        "Plan on the scale drawing, then on the full-size sheet.",
        "Tape the outlines on the parcel, corner tiles first. Pull the tape straight; cut it, do not fold it.",
        "Measure by hand and fill in the rule list before any photo is measured.",
        "Take the photo before tall buildings hide the tape, and another one when the model is done.",
        *([built] if speaks_of_structures(challenge) else []),
        "Compare: where the photo and the hand disagree, measure again. Then improve the model and repeat.",
    ]


def _cautions() -> list[str]:
    return [
        "Your school's and your local safety rules come first. These lines only remind.",
        "Hot glue: nozzle and glue can reach 195 °C, and low-temperature guns burn too. An adult shows it and stays "
        "with it; cold water within reach; glue on skin is cooled in water, not pulled off.",
        "Craft knives: an adult cuts, or pupils cut as your school allows: on a mat, along a metal ruler, away from "
        "the body, blades counted out and back in.",
        "Nobody stands on a chair, table or box for a photo. Put the model on the floor and hold the phone out.",
        "No faces, no names and no name tags in photos. On the sheets pupils write initials only.",
    ]


def _limits(challenge: Challenge, width: float, size: float) -> list[Flowable]:
    """A table of the rules whose limits can be changed, each with an easier and a harder one; empty without any."""
    rows: list[Sequence[Flowable | str]] = [("", "Rule", "For younger children", "For older children")]
    for n, stated in enumerate(challenge.rules, start=1):
        change = tuned(stated)
        if change is not None:
            rows.append((str(n), stated.text, change.easier, change.harder))
    if len(rows) == 1:
        return []
    words = "Starting points: how hard a limit is depends on the others. Change one at a time and try it first."
    return [
        *section("Limits to loosen or tighten"),
        para(words, size),
        table(rows, (10, width - 10 - 2 * _TUNED, _TUNED, _TUNED), size=size - 0.5),
    ]
