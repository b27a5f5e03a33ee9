"""The season for the wall: a page a month, a row a week, a bar for each booking across its days, to be read from two
metres.

Letters that a person with normal sight can tell apart subtend 5 minutes of arc (H. Snellen's chart, as the American
Academy of Ophthalmology describes it): 2.9 mm at two metres, which capitals of 14 points are.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fieldplan.model.booked import Placement
from fieldplan.model.season import Season
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import fitted, plain, width

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MAX_LANES = 3
"""Bars below each other in a week; further ones stand on a page of their own."""
DAY_LETTERS, MARK_LETTERS = 12, 3
"""Letters of the type that fit across a day, and what of them the mark of the drill takes."""


@dataclass(frozen=True, slots=True)
class _Bar:
    """A booking within one week: its drill's mark, the first of its days there and how many they are."""

    mark: str
    booked: Placement
    since: date
    n_days: int

    def drawn(self, week: Sequence[date]) -> dict[str, object]:
        off = [
            day
            for k in range(self.n_days)
            if (day := self.since + timedelta(days=k)) not in self.booked.days
        ]
        room, name = DAY_LETTERS * self.n_days - MARK_LETTERS, self.booked.request.renter
        note = f" (off {' '.join(f'{day:%a}' for day in off)})"
        if off and self.n_days == 1:
            name = f"({_short(name, room - 2)})"
        elif off:
            name = _short(name, max(MARK_LETTERS, room - len(note))) + note
        else:
            name = _short(name, room)
        return {
            "column": week.index(self.since),
            "days": self.n_days,
            "mark": self.mark,
            "name": name,
            "first": self.since == self.booked.days[0],
        }


def month_board(season: Season, paper: Paper) -> bytes:
    """The month board as a PDF: landscape pages for each month; more than one where more bookings lie side by side.

    A booking's name is in bold where its drill is collected.
    """
    terms = season.program.terms
    return compiled(
        "month",
        {
            "title": plain(terms.name),
            "head": [plain(line) for line in terms.letterhead],
            "paper": paper,
            "weekdays": list(calendar.day_abbr),
            "pages": month_pages(season),
        },
    )


def month_pages(season: Season) -> list[dict[str, object]]:
    """The content of each page: month, the drills that are out, and its weeks with their days and lanes of bars."""
    marked = {
        drill.name: LETTERS[k] if k < len(LETTERS) else str(k + 1)
        for k, drill in enumerate(season.program.drills)
    }
    terms = season.program.terms
    pages: list[dict[str, object]] = []
    for first, weeks in _months(terms.opens, terms.closes):
        inside = [
            [day for day in week if day.month == first.month and terms.opens <= day <= terms.closes]
            for week in weeks
        ]
        lanes = [_lanes(season.placements, days, marked) for days in inside]
        n_pages = max(1, -(-max(map(len, lanes), default=0) // MAX_LANES))
        for nth in range(n_pages):
            shown = [some[nth * MAX_LANES : (nth + 1) * MAX_LANES] for some in lanes]
            drills = {bar.booked.drill for some in shown for lane in some for bar in lane}
            named = [f"{mark} {name}" for name, mark in marked.items() if name in drills or n_pages == 1]
            pages.append(
                {
                    "name": f"{first:%B %Y}" + (f" ({nth + 1} of {n_pages})" if n_pages > 1 else ""),
                    "drills": "   ".join(plain(text) for text in named),
                    "weeks": [
                        {
                            "days": [
                                {
                                    "day": str(day.day) if day.month == first.month else "",
                                    "inside": day in days,
                                }
                                for day in week
                            ],
                            "lanes": [[bar.drawn(week) for bar in lane] for lane in some],
                        }
                        for week, days, some in zip(weeks, inside, shown, strict=True)
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


def _lanes(
    placements: Sequence[Placement], days: Sequence[date], marked: dict[str, str]
) -> list[list[_Bar]]:
    """The bookings of a week in lanes, drill by drill; two that share a day lie in different ones."""
    lanes: list[list[_Bar]] = []
    for name, mark in marked.items():
        begun = len(lanes)
        for booked in (one for one in placements if one.drill == name):
            own = [day for day in days if booked.days[0] <= day <= booked.days[-1]]
            if not own:
                continue
            bar = _Bar(mark, booked, own[0], len(own))
            free = (
                lane for lane in lanes[begun:] if lane[-1].since + timedelta(days=lane[-1].n_days) <= own[0]
            )
            lane = next(free, None)
            if lane is None:
                lanes.append([bar])
            else:
                lane.append(bar)
    return lanes


def _short(name: str, letters: int) -> str:
    """A renter's name, cut to what fits into a bar."""
    name = plain(name)
    return name if width(name) <= letters else fitted(name, letters - 1)[0].rstrip() + "…"


OUTPUT: Output[SeasonAsked] = Output(
    name="month-board",
    words="PDF, one page a month for the wall",
    always=("month-board.pdf",),
    make=lambda asked: {"month-board.pdf": ready(month_board(asked.season, asked.paper))},
    extra="sheets",
)
