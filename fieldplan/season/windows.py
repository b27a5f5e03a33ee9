"""When a request may have a drill, when a drill works, and every run of days that fits both."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from fieldplan.model.season import Lending, Length, Request, SeasonDrill
from fieldplan.season.claims import Run


def window_of(request: Request, lending: Lending) -> tuple[date, date]:
    """The first and the last day that a request can have: within its own, the season, and the notice."""
    terms = lending.terms
    noticed = request.asked + timedelta(days=terms.notice_days) if request.asked else terms.opens
    return max(request.ready, terms.opens, noticed), min(request.until, terms.closes)


def working_days(drill: SeasonDrill, lending: Lending) -> list[date]:
    """The days of the season on which a drill works."""
    terms = lending.terms
    every = [terms.opens + timedelta(days=k) for k in range((terms.closes - terms.opens).days + 1)]
    return [day for day in every if day.weekday() not in drill.weekdays_off and day not in drill.dates_off]


def runs_of(
    requests: tuple[int, ...],
    drill: int,
    length: Length,
    windows: Sequence[tuple[date, date]],
    days: Sequence[date],
    longest_days: int,
) -> Iterable[Run]:
    """Every run of working days of a drill that a request, or a party, could get; it costs the waiting of all."""
    if length.cannot or length.days > longest_days:
        return
    earliest, last = max(windows[i][0] for i in requests), min(windows[i][1] for i in requests)
    for first in range(len(days) - length.days + 1):
        if days[first] >= earliest and days[first + length.days - 1] <= last:
            waiting = sum((days[first] - windows[i][0]).days for i in requests)
            yield Run(requests=requests, drill=drill, first=first, length=length.days, costs=(waiting,))
