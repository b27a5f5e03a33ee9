"""The files that a season is written to."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from fieldplan.model.season import Change, Placement, Season
from fieldplan.report.data.calendar import bookings_ics
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.season_xlsx import write_season
from fieldplan.report.files import Writer, write_bytes
from fieldplan.report.paper.handover import handover_sheets
from fieldplan.report.paper.month_board import month_board
from fieldplan.report.paper.typeset import Paper
from fieldplan.report.pictures.season_svg import season_svg
from fieldplan.report.text.season_page import season_csv, season_object
from fieldplan.report.words.plain import slugs
from fieldplan.report.words.quantities import Quantities

ALWAYS = ("season.json", "bookings.csv", "season.svg", "hand-over.pdf", "month-board.pdf", "season.xlsx")
"""Files of every season."""


def season_writers(
    season: Season, q: Quantities, paper: Paper, *, phones: bool = False, lost: Sequence[Change] = ()
) -> dict[str, Writer]:
    """Writers by file name: bookings as JSON, CSV and spreadsheet, the picture, hand-over sheets, the month board, and a calendar for each drill and each renter.

    Bookings that were ``lost`` to rain are cancelled in the calendars.
    """
    files = {
        "season.json": json_text(season_object(season)).encode(),
        "bookings.csv": season_csv(season, q).encode("utf-8-sig"),
        "season.svg": season_svg(season).encode(),
        "hand-over.pdf": handover_sheets(season, q, paper),
        "month-board.pdf": month_board(season, paper),
    }
    drills = list(dict.fromkeys(one.drill for one in season.placements))
    renters = list(dict.fromkeys(one.request.renter for one in season.placements))
    gone_from = {one.was.drill for one in lost}
    drills += [name for name in gone_from if name not in drills]
    renters += [one.request.renter for one in lost if one.request.renter not in renters]
    by_drill = {name: [one for one in season.placements if one.drill == name] for name in drills}
    by_renter = {name: [one for one in season.placements if one.request.renter == name] for name in renters}
    files |= _calendars(
        season, "drill", by_drill, phones, {name: [one for one in lost if one.was.drill == name] for name in drills}
    )
    files |= _calendars(
        season, "renter", by_renter, phones, {name: [one for one in lost if one.request.renter == name] for name in renters}
    )
    writers: dict[str, Writer] = {name: partial(write_bytes, content) for name, content in files.items()}
    return {"season.xlsx": partial(write_season, season, q), **writers}


def _calendars(
    season: Season, what: str, groups: dict[str, list[Placement]], phones: bool, lost: dict[str, list[Change]]
) -> dict[str, bytes]:
    names = slugs(list(groups))
    return {
        f"{what}-{name}.ics": bookings_ics(season, own, phones=phones, lost=lost[group])
        for name, (group, own) in zip(names, groups.items(), strict=True)
    }
