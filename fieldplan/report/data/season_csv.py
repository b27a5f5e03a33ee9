"""A season's bookings for a spreadsheet: with the mark by which it knows UTF-8."""

from __future__ import annotations

from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.text.season_page import season_csv

OUTPUT: Output[SeasonAsked] = Output(
    name="csv",
    words="a row a booking",
    always=("bookings.csv",),
    make=lambda asked: {"bookings.csv": ready(season_csv(asked.season, asked.q).encode("utf-8-sig"))},
)
