"""A season's bookings for a spreadsheet: with the mark by which it knows UTF-8."""

from __future__ import annotations

import csv
import io

from fieldplan.model.season import Placement, Season
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.words.plain import plain, safe
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from

COLUMNS = (
    "drill",
    "first_day",
    "last_day",
    "working_days",
    "request",
    "renter",
    "acres",
    "hours",
    "waiting_days",
    "collect_from",
    "tow_m",
    "reason",
    "shares_with",
)


def season_csv(season: Season, q: Quantities) -> str:
    """One row a booking."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(name if name != "acres" else q.area_word for name in COLUMNS)
    rows.writerows([safe(cell) for cell in booking_cells(placement, q)] for placement in season.placements)
    return out.getvalue()


def booking_cells(one: Placement, q: Quantities) -> list[str]:
    """A booking's cells under `COLUMNS`."""
    cells = [
        one.drill,
        one.days[0].isoformat(),
        one.days[-1].isoformat(),
        str(len(one.days)),
        one.request.request_id,
        one.request.renter,
        q.area(one.duration.ground_m2, 1),
        f"{one.duration.job_s / 3600:.1f}",
        str(one.waiting_days),
        collected_from(one),
        f"{one.tow_m:.0f}",
        sentence(one.reason, q),
        ", ".join(one.shares_with),
    ]
    return [plain(cell) for cell in cells]


OUTPUT: Output[SeasonAsked] = Output(
    name="csv",
    words="a row a booking",
    always=("bookings.csv",),
    make=lambda asked: {"bookings.csv": ready(season_csv(asked.season, asked.q).encode("utf-8-sig"))},
)
