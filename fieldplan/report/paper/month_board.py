"""The season for the wall: one page a month, one square a day, one line for each drill that is out."""

from __future__ import annotations

import calendar
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from fieldplan.model.season import Placement, Season
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import fitted, plain, width

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MAX_DRILLS = 10
"""Drills on one page: more lines in a square could not be read from a step away."""
SIZES = (9.5, 9.5, 9.5, 9.5, 9.5, 8.5, 7.5, 6.5, 6.0, 5.5, 5.0)
"""Type size in points, by how many drills are out on the busiest day."""
NAME_LETTERS = 19
"""Letters of a renter's name that fit on one line of a square."""


def month_board(season: Season, paper: Paper) -> bytes:
    """The month board as a PDF: a landscape page for each month and up to ten drills.

    The first day of each booking is in bold.
    """
    return compiled(
        "month",
        {
            "title": plain(season.program.terms.name),
            "paper": paper,
            "weekdays": list(calendar.day_name),
            "pages": month_pages(season),
        },
    )


def month_pages(season: Season) -> list[dict[str, object]]:
    """The content of each page: month, drills with their marks, type size, and squares by week and day."""
    terms, booked = season.program.terms, _booked(season.placements)
    marked = [
        (LETTERS[k] if k < len(LETTERS) else str(k + 1), drill.name)
        for k, drill in enumerate(season.program.drills)
    ]
    pages: list[dict[str, object]] = []
    for first, weeks in _months(terms.opens, terms.closes):
        for k in range(0, len(marked), MAX_DRILLS):
            marks = {name: mark for mark, name in marked[k : k + MAX_DRILLS]}
            busiest = min(
                MAX_DRILLS, max(Counter(day for name, day in booked if name in marks).values(), default=0)
            )
            pages.append(
                {
                    "name": f"{first:%B %Y}",
                    "drills": "   ".join(plain(f"{mark} {name}") for name, mark in marks.items()),
                    "size": SIZES[busiest],
                    "weeks": [
                        [_square(day, first.month, season, booked, marks) for day in week] for week in weeks
                    ],
                }
            )
    return pages


def _months(opens: date, closes: date) -> Iterator[tuple[date, list[list[date]]]]:
    """First day of each month of a season, with the weeks of that month from Monday to Sunday."""
    year, month = opens.year, opens.month
    while (year, month) <= (closes.year, closes.month):
        yield date(year, month, 1), calendar.Calendar().monthdatescalendar(year, month)
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)


def _booked(placements: Sequence[Placement]) -> Mapping[tuple[str, date], list[Placement]]:
    """Who has which drill on which day; days off within a booking count too."""
    booked: dict[tuple[str, date], list[Placement]] = {}
    for placement in placements:
        for ordinal in range(placement.days[0].toordinal(), placement.days[-1].toordinal() + 1):
            booked.setdefault((placement.drill, date.fromordinal(ordinal)), []).append(placement)
    return booked


def _square(
    day: date,
    month: int,
    season: Season,
    booked: Mapping[tuple[str, date], list[Placement]],
    marks: Mapping[str, str],
) -> dict[str, object]:
    """A day: its number, whether it is in this month and season, and a line for each drill that is out."""
    terms = season.program.terms
    inside = day.month == month and terms.opens <= day <= terms.closes
    lines = [
        {
            "mark": mark,
            "name": _short(placement.request.renter),
            "first": day == placement.days[0],
            "idle": day not in placement.days,
        }
        for name, mark in marks.items()
        for placement in (booked.get((name, day), []) if inside else [])
    ]
    return {"day": str(day.day) if day.month == month else "", "inside": inside, "lines": lines}


def _short(name: str) -> str:
    """A renter's name, cut to what fits into a square."""
    name = plain(name)
    return name if width(name) <= NAME_LETTERS else fitted(name, NAME_LETTERS - 1)[0].rstrip() + "…"


OUTPUT: Output[SeasonAsked] = Output(
    name="month-board",
    words="PDF, one page a month for the wall",
    always=("month-board.pdf",),
    make=lambda asked: {"month-board.pdf": ready(month_board(asked.season, asked.paper))},
    extra="sheets",
)
