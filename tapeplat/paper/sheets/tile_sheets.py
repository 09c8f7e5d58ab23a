"""Corner tiles, zone tiles and team labels, to be cut out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from calib.printed import (
    CORNER_TAGS,
    CORNER_TILE,
    CORNER_TILE_SQUARE,
    TEAM_LABEL,
    TEAM_LABEL_SQUARE,
    ZONE_TILE,
    ZONE_TILE_SQUARE,
    Box,
    team_tag,
)
from measure.challenge import Zone
from tapeplat.paper.pdf.check_lines import page_check_lines
from tapeplat.paper.pdf.flow import flow, numbered, para, set_in_box
from tapeplat.paper.pdf.pdf_canvas import HEADER, MARGIN, Pages
from tapeplat.paper.pdf.tag_paths import draw_tag
from tapeplat.paper.sheets.card_sheet import CUT_GREY
from tapeplat.paper.sheets.sheet_job import Job

CORNERS_HEADING = "Corner tiles"
ZONES_HEADING = "Zone tiles"
TEAMS_HEADING = "Team labels"
_CORNERS = ("top left", "top right", "bottom right", "bottom left")
_SETS = 3
"""Sets of corner tiles on a page."""
_PER_ZONE = 4
"""Tiles of each zone: it may lie in several pieces, and tiles get lost."""
_LEFT = 18.0
_FOOT = 26.0
"""Height kept free for the check line and the footer."""
_T = TypeVar("_T")


def draw_corner_tiles(pages: Pages, job: Job) -> None:
    """Sets of the four tiles at the parcel's corners, and how to lay them."""
    pages.start(CORNERS_HEADING)
    page_check_lines(pages)
    step = CORNER_TILE.width + 10
    for row in range(_SETS):
        for column, (tag, corner) in enumerate(zip(CORNER_TAGS, _CORNERS, strict=True)):
            x, y = _LEFT + column * step, HEADER + 4 + row * (step + 2)
            _draw_tile(pages, tag, CORNER_TILE, CORNER_TILE_SQUARE, x, y)
            pages.text(x, y - 1.5, f"{tag}  {corner}", size=9)
    below = HEADER + 4 + _SETS * (step + 2)
    flow(pages, CORNERS_HEADING, numbered(_laying_corners()), top=below, left=_LEFT, bottom=_FOOT)


def draw_zone_tiles(pages: Pages, job: Job) -> None:
    """A row of tiles for every zone that is named by a tile."""
    zones = [zone for zone in job.challenge.zones if zone.tile is not None]
    pitch = ZONE_TILE.height + 8
    first = HEADER + 18
    per_page = int((pages.paper.height - _FOOT - first) // pitch)
    for group in _grouped(zones, per_page):
        pages.start(ZONES_HEADING)
        page_check_lines(pages)
        how = "Cut along the grey lines. Lay one inside each outline of its zone, flat, where nothing hides it."
        set_in_box(pages, Box(_LEFT, HEADER, pages.paper.width - _LEFT - MARGIN, 16), [para(how)])
        for row, zone in enumerate(group):
            _draw_zone_row(pages, zone, first + row * pitch)


def draw_team_labels(pages: Pages, job: Job) -> None:
    """A label for every team: its tag and its number, large."""
    pitch = TEAM_LABEL.height + 4
    first = HEADER + 10
    rows = int((pages.paper.height - _FOOT - first) // pitch)
    for group in _grouped(job.teams, 2 * rows):
        pages.start(TEAMS_HEADING)
        page_check_lines(pages)
        how = "Cut out. Lay your team's label beside the model, flat, so that it is in the photo."
        pages.fitted(_LEFT, HEADER + 5, how, pages.paper.width - _LEFT - MARGIN, size=11)
        for n, team in enumerate(group):
            _draw_team_label(pages, team, _LEFT + n % 2 * (TEAM_LABEL.width + 4), first + n // 2 * pitch)


def _draw_tile(pages: Pages, tag: int, tile: Box, square: Box, x: float, y: float) -> None:
    pages.box(Box(x, y, tile.width, tile.height), width=0.15, grey=CUT_GREY)
    draw_tag(pages, tag, Box(x + square.x, y + square.y, square.width, square.height))


def _draw_zone_row(pages: Pages, zone: Zone, y: float) -> None:
    assert zone.tile is not None
    for n in range(_PER_ZONE):
        _draw_tile(pages, zone.tile, ZONE_TILE, ZONE_TILE_SQUARE, _LEFT + n * (ZONE_TILE.width + 3), y)
    x = _LEFT + _PER_ZONE * (ZONE_TILE.width + 3) + 2
    name = [para(zone.name, 14, bold=True), para(f"tile {zone.tile}")]
    set_in_box(pages, Box(x, y, pages.paper.width - MARGIN - x, ZONE_TILE.height), name)


def _draw_team_label(pages: Pages, team: int, x: float, y: float) -> None:
    _draw_tile(pages, team_tag(team), TEAM_LABEL, TEAM_LABEL_SQUARE, x, y)
    middle = x + (TEAM_LABEL_SQUARE.x * 2 + TEAM_LABEL_SQUARE.width + TEAM_LABEL.width) / 2
    pages.text(middle, y + 14, "team", size=16, align="centre")
    pages.text(middle, y + 39, str(team), size=64, bold=True, align="centre")


def _laying_corners() -> list[str]:
    return [
        "Before you cut, write each tile's number and an arrow to its top on the back.",
        "Cut along the grey lines; the white around the black square belongs to the tile.",
        "Lay tile 1 at the parcel's top left, 2 top right, 3 bottom right, 4 bottom left. The tile's outer corner lies "
        "exactly on the parcel's corner, its sides along the parcel's edges.",
        "All tiles stand upright: their tops point to the parcel's top. Fix them with a dot of removable glue.",
    ]


def _grouped(items: Sequence[_T], size: int) -> list[Sequence[_T]]:
    return [items[n : n + size] for n in range(0, len(items), size)]
