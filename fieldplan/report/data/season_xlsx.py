"""The season as a spreadsheet: bookings, requests not served, and who has which drill on each day."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

from fieldplan.model.season import Season
from fieldplan.report.data.season_csv import COLUMNS, booking_cells
from fieldplan.report.data.workbook import set_head, workbook
from fieldplan.report.output import Output, SeasonAsked
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

_NUMBERS = ("working_days", "acres", "hours", "waiting_days", "tow_m")
_DAYS = ("first_day", "last_day")
_LINE_PT, _LETTERS = 15.0, 62
"""Height of a line, and letters of a wide column that fit one."""


def write_season(season: Season, q: Quantities, path: Path) -> None:
    """Write three sheets to ``path``. Dates are dates and numbers are numbers, so they sort and add up."""
    with workbook(path, season.program.terms.name) as book:
        bold = book.add_format({"bold": True})
        day_format = book.add_format({"num_format": "ddd yyyy-mm-dd"})
        wrapped = book.add_format({"text_wrap": True, "valign": "top"})
        sheet = _sheet(book, "bookings", [_heading(name, q) for name in COLUMNS], bold)
        for row, placement in enumerate(season.placements, start=1):
            for column, (name, text) in enumerate(zip(COLUMNS, booking_cells(placement, q), strict=True)):
                if name == "tow_m":
                    sheet.write_number(row, column, round(placement.tow_m / q.far_m, 1))
                elif name in _NUMBERS:
                    sheet.write_number(row, column, float(text.replace(",", "")))
                elif name in _DAYS:
                    sheet.write_datetime(row, column, datetime.fromisoformat(text), day_format)
                else:
                    sheet.write_string(row, column, text, wrapped)
            sheet.set_row(row, _height(sentence(placement.reason, q)))
        sheet.set_column(COLUMNS.index("reason"), COLUMNS.index("reason"), 60, wrapped)
        sheet = _sheet(book, "not served", ["request", "renter", "reason", "what would change it"], bold)
        for row, refused in enumerate(season.refusals, start=1):
            cells = (
                refused.request.request_id,
                refused.request.renter,
                sentence(refused.reason, q),
                "; ".join(sentence(change, q) for change in refused.changes),
            )
            for column, text in enumerate(cells):
                sheet.write_string(row, column, plain(text), wrapped)
            sheet.set_row(row, _height(*cells[2:]))
        sheet.set_column(2, 3, 60, wrapped)
        _days(
            season,
            _sheet(book, "days", ["day", *(plain(drill.name) for drill in season.program.drills)], bold),
            day_format,
        )
        for printed in book.worksheets():
            set_head(printed, season.program.terms.letterhead)


def _heading(name: str, q: Quantities) -> str:
    """The name of a column in words, with its unit."""
    if name == "acres":
        return q.area_word
    return f"tow, {q.far_word}" if name == "tow_m" else name.replace("_", " ")


def _height(*texts: str) -> float:
    """The height of a row whose wide columns hold these texts: no program fits it before it is shown."""
    return _LINE_PT * max(1 + len(text) // _LETTERS for text in texts)


def _days(season: Season, sheet: Any, day_format: Any) -> None:
    """One row a day of the season, one column a drill."""
    terms = season.program.terms
    for row, ordinal in enumerate(range(terms.opens.toordinal(), terms.closes.toordinal() + 1), start=1):
        day = date.fromordinal(ordinal)
        sheet.write_datetime(row, 0, datetime.combine(day, datetime.min.time()), day_format)
        for column, drill in enumerate(season.program.drills, start=1):
            renters = [
                placement.request.renter
                for placement in season.placements
                if placement.drill == drill.name and placement.days[0] <= day <= placement.days[-1]
            ]
            sheet.write_string(row, column, plain(", ".join(renters)))


def _sheet(book: Any, name: str, header: list[str], bold: Any) -> Any:
    sheet = book.add_worksheet(name)
    sheet.write_row(0, 0, header, bold)
    sheet.freeze_panes(1, 1)
    sheet.set_column(0, len(header) - 1, 18)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    return sheet


OUTPUT: Output[SeasonAsked] = Output(
    name="xlsx",
    words="spreadsheet of bookings, refusals and days",
    always=("season.xlsx",),
    make=lambda asked: {"season.xlsx": lambda path: write_season(asked.season, asked.q, path)},
    extra="sheets",
)
