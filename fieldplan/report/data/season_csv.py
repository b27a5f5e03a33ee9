"""A season's bookings as CSV, with the mark by which spreadsheets recognize UTF-8."""

from __future__ import annotations

import csv
import io

from fieldplan.model.booked import Placement
from fieldplan.model.season import Season
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
    """The bookings as CSV, one row each."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(name if name != "acres" else q.area_word for name in COLUMNS)
    rows.writerows([safe(cell) for cell in booking_cells(placement, q)] for placement in season.placements)
    return out.getvalue()


def booking_cells(placement: Placement, q: Quantities) -> list[str]:
    """The cells of a booking, in the order of `COLUMNS`."""
    cells = [
        placement.drill,
        placement.days[0].isoformat(),
        placement.days[-1].isoformat(),
        str(len(placement.days)),
        placement.request.request_id,
        placement.request.renter,
        q.area(placement.duration.ground_m2, 1),
        f"{placement.duration.job_s / 3600:.1f}",
        str(placement.waiting_days),
        collected_from(placement),
        f"{placement.tow_m:.0f}",
        sentence(placement.reason, q),
        ", ".join(placement.shares_with),
    ]
    return [plain(cell) for cell in cells]


OUTPUT: Output[SeasonAsked] = Output(
    name="csv",
    words="one row a booking",
    always=("bookings.csv",),
    make=lambda asked: {"bookings.csv": ready(season_csv(asked.season, asked.q).encode("utf-8-sig"))},
)
