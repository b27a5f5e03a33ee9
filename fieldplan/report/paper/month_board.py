"""The season on a wall: a page a month, a square a day, a line a drill with who has it."""

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
"""Drills of one page: a square holds no more lines that can be read from a step away."""
SIZES = (9.5, 9.5, 9.5, 9.5, 9.5, 8.5, 7.5, 6.5, 6.0, 5.5, 5.0)
"""Points of type by how many of them are out on the busiest day."""
NAME_LETTERS = 19
"""Letters of a renter's name that a square holds on one line."""


def month_board(season: Season, paper: Paper) -> bytes:
    """A PDF, a landscape page a month from the season's first day to its last, ten drills at most on one;
    the first day of each booking is in bold.
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
    """What stands on each page: the month, its drills with their marks, the size of type, and squares by
    week and day.
    """
    terms, held = season.program.terms, _held(season.placements)
    every = [
        (LETTERS[k] if k < len(LETTERS) else str(k + 1), drill.name)
        for k, drill in enumerate(season.program.drills)
    ]
    pages: list[dict[str, object]] = []
    for first, weeks in _months(terms.opens, terms.closes):
        for k in range(0, len(every), MAX_DRILLS):
            marks = {name: mark for mark, name in every[k : k + MAX_DRILLS]}
            maximum = min(
                MAX_DRILLS, max(Counter(day for name, day in held if name in marks).values(), default=0)
            )
            pages.append(
                {
                    "name": f"{first:%B %Y}",
                    "drills": "   ".join(plain(f"{mark} {name}") for name, mark in marks.items()),
                    "size": SIZES[maximum],
                    "weeks": [
                        [_square(day, first.month, season, held, marks) for day in week] for week in weeks
                    ],
                }
            )
    return pages


def _months(opens: date, closes: date) -> Iterator[tuple[date, list[list[date]]]]:
    """The first day of each month of a season, and its weeks from Monday to Sunday."""
    year, month = opens.year, opens.month
    while (year, month) <= (closes.year, closes.month):
        yield date(year, month, 1), calendar.Calendar().monthdatescalendar(year, month)
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)


def _held(placements: Sequence[Placement]) -> Mapping[tuple[str, date], list[Placement]]:
    """Who has which drill on which day, days off within a booking too."""
    held: dict[tuple[str, date], list[Placement]] = {}
    for placement in placements:
        for ordinal in range(placement.days[0].toordinal(), placement.days[-1].toordinal() + 1):
            held.setdefault((placement.drill, date.fromordinal(ordinal)), []).append(placement)
    return held


def _square(
    day: date,
    month: int,
    season: Season,
    held: Mapping[tuple[str, date], list[Placement]],
    marks: Mapping[str, str],
) -> dict[str, object]:
    """A day: its number, whether it is of this month and season, and a line for each drill that is out."""
    terms = season.program.terms
    inside = day.month == month and terms.opens <= day <= terms.closes
    lines = [
        {
            "mark": mark,
            "name": _short(one.request.renter),
            "first": day == one.days[0],
            "idle": day not in one.days,
        }
        for name, mark in marks.items()
        for one in (held.get((name, day), []) if inside else [])
    ]
    return {"day": str(day.day) if day.month == month else "", "inside": inside, "lines": lines}


def _short(name: str) -> str:
    """A renter's name, cut where a square has no room for it."""
    name = plain(name)
    return name if width(name) <= NAME_LETTERS else fitted(name, NAME_LETTERS - 1)[0].rstrip() + "…"


OUTPUT: Output[SeasonAsked] = Output(
    name="month-board",
    words="PDF, a page a month for the wall",
    always=("month-board.pdf",),
    make=lambda asked: {"month-board.pdf": ready(month_board(asked.season, asked.paper))},
    extra="sheets",
)
