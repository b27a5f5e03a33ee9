"""Several seasons in one report: sums of each ledger, what the fleet could have served, and what one more drill would."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from fieldplan.errors import UsageError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.records import Board, Ground
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.model.years import Demand, Offered, OneMore, SeasonYear, Years
from fieldplan.office.office import Office
from fieldplan.records.accounts import accounts_of
from fieldplan.records.board import board_of
from fieldplan.records.current_entries import current_entries
from fieldplan.season.capacity import with_another
from fieldplan.season.docket import Docket, docket_of
from fieldplan.season.durations import boundary_of
from fieldplan.season.plan import season_of
from fieldplan.season.windows import working_days

Progress = Callable[[Iterable[Office]], Iterable[Office]]


def years_of(
    offices: Sequence[Office],
    as_of: date,
    by: Sequence[str] = ("practice",),
    offered: Offered | None = None,
    progress: Progress = iter,
) -> Years:
    """Several seasons, the earliest first.

    Parameters
    ----------
    as_of
        Entries up to this day count.
    by
        Columns of the lists of requests to group by.
    offered
        A drill that could be bought.
    progress
        Wraps the seasons while they are planned, to show progress.

    Raises
    ------
    UsageError
        If a season is given twice, or the rate cards have several currencies.
    FieldplanError
        With what is wrong with a season.
    """
    ids = [office.season_id for office in offices]
    for k, name in enumerate(ids):
        if name in ids[:k]:
            raise UsageError.of("years-twice", season=offices[k].program.terms.name)
    in_order = sorted(offices, key=lambda office: (office.program.terms.opens, office.program.terms.name))
    seasons = tuple(season_year(office, as_of, by) for office in progress(in_order))
    currencies = list(dict.fromkeys(one.board.currency for one in seasons if one.board.currency))
    if len(currencies) > 1:
        raise UsageError.of("years-currencies", currencies=tuple(currencies))
    return Years(seasons=seasons, as_of=as_of, offered=offered)


def season_year(office: Office, as_of: date, by: Sequence[str] = ("practice",)) -> SeasonYear:
    """One season of the report; see `years_of`."""
    board = _board(office, as_of, by)
    withdrawn = {name for name, row in office.standing.rows.items() if row.withdrawn}
    requests = [one for one in office.every_request if one.request_id not in withdrawn]
    docket = docket_of(office.program, requests)
    planned = season_of(docket, {})
    return SeasonYear(
        name=office.program.terms.name,
        opens=office.program.terms.opens,
        board=board,
        by=board.groups,
        demand=_demand(
            office, docket, planned, {request.request_id for request, _, _ in board.turned_away}
        ),
        one_more=_one_more(office, requests, planned),
    )


def _board(office: Office, as_of: date, by: Sequence[str]) -> Board:
    entries = [entry for entry in current_entries(office.entries) if entry.day <= as_of]
    requests = office.every_request
    card = None if office.program.card_path is None else load_rate_card(office.program.card_path)
    return board_of(
        entries,
        accounts_of(entries, requests),
        {request.request_id: _grounds(request) for request in requests},
        [drill.name for drill in office.program.drills],
        card,
        as_of,
        by,
        office.program.works,
    )


def _grounds(request: Request) -> tuple[Ground, ...]:
    return tuple(
        Ground(field_id=field.field_id, mapped_m2=field.mapped_m2, plantable_m2=field.plantable_m2)
        for field in boundary_of(request).fields
    )


def _demand(office: Office, docket: Docket, planned: Season, away: set[str]) -> Demand:
    days, away_days, unable = 0, 0, []
    longest = docket.program.terms.longest_days
    for i, request in enumerate(docket.requests):
        able = [n for d in docket.able(i) if (n := docket.duration(i, d).days) <= longest]
        if not able:
            unable.append(request.request_id)
            continue
        days += min(able)
        away_days += min(able) if request.request_id in away else 0
    return Demand(
        requests=len(docket.requests),
        days=days,
        unable=tuple(unable),
        away_days=away_days,
        fleet_days=sum(len(working_days(drill, office.program)) for drill in office.program.drills),
        served=len(planned.placements),
        served_m2=sum(one.duration.ground_m2 for one in planned.placements),
        served_proven=planned.proof.served_proven,
    )


def _one_more(office: Office, requests: Sequence[Request], planned: Season) -> OneMore:
    """One more of each drill in turn; nothing more where everybody is served already."""
    best = OneMore(drill=office.program.drills[0].name, requests=0, ground_m2=0.0)
    if not planned.refusals:
        return best
    now_m2 = sum(one.duration.ground_m2 for one in planned.placements)
    for drill in office.program.drills:
        more = season_of(docket_of(with_another(office.program, drill), requests), {})
        found = OneMore(
            drill=drill.name,
            requests=len(more.placements) - len(planned.placements),
            ground_m2=sum(one.duration.ground_m2 for one in more.placements) - now_m2,
        )
        if found.ground_m2 > best.ground_m2:
            best = found
    return best
