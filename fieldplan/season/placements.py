"""The runs that were given as placements: who collects which drill from whom on which days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fieldplan.model.season import Placement
from fieldplan.season.odds import odds_within
from fieldplan.season.reasons import placed_reason
from fieldplan.season.standing import Book


def placements(book: Book, tow: Mapping[int, Sequence[Sequence[int]]]) -> Iterator[Placement]:
    """Drill by drill, day by day; those that share days in the order that the drill goes to them.

    Parameters
    ----------
    tow
        For each drill, metres of road from request to request; the last row and column is its home.
    """
    home = len(book.requests)
    for d, drill in enumerate(book.lending.drills):
        before = home
        for run in (one for one in book.given if one.drill == d):
            work_s = sum(book.length_in(run, i).job_s for i in run.requests)
            odds_prob = odds_within(work_s, run.length, drill, book.lending)
            for i in run.requests:
                yield Placement(
                    request=book.requests[i], drill=drill.name, days=tuple(book.days[d][run.first : run.end]),
                    length=book.length_in(run, i), waiting_days=book.waiting_days(run, i), tow_m=tow[d][before][i],
                    collect_from=drill.name + "'s home" if before == home else book.requests[before].renter,
                    reason=placed_reason(book, run, i), party=tuple(book.requests[one].request_id for one in run.requests),
                    confirmed=i in book.confirmed, farthest_m=book.farthest_m[i][drill.name], odds_prob=odds_prob,
                )  # fmt: skip
                before = i
