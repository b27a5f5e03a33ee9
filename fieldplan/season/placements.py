"""The runs of days given, as placements: who collects which drill from whom, on which days."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.booked import Placement
from fieldplan.season.as_booked import Book
from fieldplan.season.odds import odds_within
from fieldplan.season.reasons import placed_reason


def placements(book: Book) -> Iterator[Placement]:
    """Placements drill by drill, in the order of days; those who share days in the order they get the drill."""
    docket = book.docket
    requests, home, tow_m = docket.requests, len(docket.requests), docket.tow_m
    for d, drill in enumerate(docket.program.drills):
        before = home
        for run in (run for run in book.given if run.drill == d):
            days = docket.days_of(run)
            odds_prob = odds_within(docket.work_s(run), days, drill, docket.program)
            for i in run.requests:
                yield Placement(
                    request=requests[i],
                    drill=drill.name,
                    days=days,
                    duration=docket.duration_in(run, i),
                    waiting_days=docket.waiting_days(days[0], i),
                    tow_m=tow_m[d][before][i],
                    collect_from="" if before == home else requests[before].renter,
                    reason=placed_reason(book, run, i),
                    shared_booking=tuple(requests[request].request_id for request in run.requests),
                    confirmed=i in book.confirmed,
                    farthest_m=docket.farthest_m[i][drill.name],
                    odds_prob=odds_prob,
                )
                before = i
