"""The way of a season: the drills and the requests in, who has which drill when out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from pyproj import Geod

from fieldplan.errors import InputError, Problem
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.notes import Note
from fieldplan.model.season import Confirmed, Lending, Placement, Proof, Request, Season
from fieldplan.season.claims import Asked, Claims, Run, cost_of, served_by, tow_of
from fieldplan.season.doubts import season_doubts
from fieldplan.season.lengths import Progress, boundary_of, every_length
from fieldplan.season.parties import MOST_SHARING, parties_of
from fieldplan.season.placements import placements
from fieldplan.season.reasons import refusal
from fieldplan.season.requests import column_notes
from fieldplan.season.roads import farthest_of, roads_of
from fieldplan.season.schedule import Steps, solve
from fieldplan.season.standing import Book
from fieldplan.season.turns import levels_of
from fieldplan.season.windows import runs_of, window_of, working_days
from fieldplan.units import shown_distance

_WGS84 = Geod(ellps="WGS84")
FARTHEST_M = 200_000.0
"""A place farther from every drill than this is a slip of the pen."""


def plan_season(
    lending: Lending,
    requests: Sequence[Request],
    progress: Progress = iter,
    confirmed: Mapping[str, Confirmed] | None = None,
    steps: Steps = iter,
) -> Season:
    """The season that the rules ask for, with a reason for every placement and every refusal.

    Parameters
    ----------
    confirmed
        Bookings that renters have said yes to, by request: they stay where they are, and all others go round them.
    progress
        Wraps the requests as their lengths are reckoned, to show how far the work is.
    steps
        Wraps the steps of settling who gets which days, likewise.

    Raises
    ------
    InputError
        If a rule names a column that the list of requests has not, a boundary file cannot be read, or a confirmed booking cannot stay.
    MissingExtra
        If the solver is not installed.
    """
    fixed = {i: confirmed[one.request_id] for i, one in enumerate(requests) if confirmed and one.request_id in confirmed}
    levels = [list(fixed), *([i for i in level if i not in fixed] for level in levels_of(requests, lending.terms.rules))]
    levels = [level for level in levels if level]
    boundaries = boundaries_of(lending, requests)
    roads = {drill.name: roads_of(requests, drill, lending.distances) for drill in lending.drills}
    farthest_m = farthest_of(requests, lending.drills, lending.distances)
    lengths = every_length(requests, boundaries, lending, farthest_m, progress)
    windows = [window_of(request, lending) for request in requests]
    days = [working_days(drill, lending) for drill in lending.drills]
    parties = {
        (d, party.requests): party
        for d, drill in enumerate(lending.drills)
        for party in parties_of(drill, lending, {i: one[drill.name] for i, one in enumerate(lengths)}, windows, roads[drill.name])
    }
    asked: list[Asked] = [
        ((i,), d, lengths[i][drill.name]) for i in range(len(requests)) for d, drill in enumerate(lending.drills)
    ]
    asked += [(party.requests, d, party.lengths[0]) for (d, _), party in parties.items()]
    runs = [run for own, d, length in asked for run in runs_of(own, d, length, windows, days[d], lending.terms.longest_days)]
    runs = [run for run in runs if all(i not in fixed or _stays(run, fixed[i], lending, days) for i in run.requests)]
    tow = {d: [[round(metres) for metres in row] for row in roads[drill.name]] for d, drill in enumerate(lending.drills)}
    solved = solve(Claims(levels=levels, runs=runs, tow_m=tow), steps)
    book = Book(
        lending=lending, requests=requests, lengths=lengths, parties=parties, windows=windows, days=days, given=solved.given,
        levels=levels, boundaries=boundaries, farthest_m=farthest_m, confirmed=frozenset(fixed),
    )  # fmt: skip
    served = served_by(solved.given)
    placed = tuple(placements(book, tow))
    _all_stay(fixed, served, requests, lending)
    return Season(
        lending=lending,
        placements=placed,
        refusals=tuple(refusal(book, i) for level in levels for i in level if i not in served),
        proof=Proof(
            served_proven=solved.served_proven, waiting_days=cost_of(solved.given, 0) if solved.given else 0,
            waiting_bound_days=solved.cost_bounds[0] if solved.cost_bounds else 0, tow_m=tow_of(solved.given, tow), tow_bound_m=solved.tow_bound_m,
        ),
        notes=(*_in_part(placed), *_notes(lending, requests)),
    )  # fmt: skip


def _stays(run: Run, booked: Confirmed, lending: Lending, days: Sequence[Sequence[date]]) -> bool:
    """Whether a run is the booking that was confirmed: its drill and its first day."""
    return lending.drills[run.drill].name == booked.drill and days[run.drill][run.first] == booked.first


def _all_stay(fixed: Mapping[int, Confirmed], served: Collection[int], requests: Sequence[Request], lending: Lending) -> None:
    gone = [i for i in fixed if i not in served]
    if gone:
        raise InputError(tuple(
            Problem(
                code="confirmed-cannot-stay",
                told=f"{requests[i].renter} ({requests[i].request_id}) is confirmed with {fixed[i].drill} from {fixed[i].first}, and cannot stay there: "
                f"its dates, its length, {lending.path.name} or another confirmed booking are in the way.",
                told_hint="put the list, the season's file or the confirmation right: fieldplan season record … confirm … corrects=…",
            )
            for i in gone
        ))  # fmt: skip


def boundaries_of(lending: Lending, requests: Sequence[Request]) -> list[BoundaryFile]:
    """The fields of every request; all that cannot be used are refused together, by row."""
    found: list[BoundaryFile] = []
    problems: list[Problem] = []
    nearest_m = [
        min((float(_WGS84.inv(*request.place_lonlat, *drill.home_lonlat)[2]) for request in requests), default=0.0)
        for drill in lending.drills
    ]
    for drill, away_m in zip(lending.drills, nearest_m, strict=True):
        if away_m > FARTHEST_M >= min(nearest_m):  # where all are far, the requests are
            problems.append(Problem(
                code="drill-far", told=f'{lending.path}: the home of drill "{drill.name}" lies {shown_distance(away_m)} from every request.',
                told_hint="home = { lat = 44.25, lon = -95.75 }: latitude and longitude in degrees, west of Greenwich below nothing"))  # fmt: skip
    if problems:
        raise InputError(tuple(problems))
    for request in requests:
        away_m = min(float(_WGS84.inv(*request.place_lonlat, *drill.home_lonlat)[2]) for drill in lending.drills)
        if away_m > FARTHEST_M:
            problems.append(Problem(
                code="request-far", told=f"{lending.requests_path}: row {request.row}, lat and lon lie {shown_distance(away_m)} from any drill.",
                told_hint="latitude and longitude in degrees, each in its own column, west of Greenwich below nothing"))  # fmt: skip
        try:
            found.append(boundary_of(request))
        except InputError as error:
            where = f'{lending.requests_path}: row {request.row}, column "fields": '
            problems += [Problem(code=one.code, told=where + one.text, told_hint=one.hint) for one in error.problems]
    if problems:
        raise InputError(tuple(problems))
    return found


def _in_part(placed: Sequence[Placement]) -> Iterable[Note]:
    """A warning for each request that is served but for some of its fields."""
    for one in placed:
        if one.length.undrilled:
            yield Note(code="request-in-part", field_id=one.request.request_id, warning=True, told=(
                f"nothing is drilled on {', '.join(one.length.undrilled)} with {one.drill}; the days booked are for its other fields."))  # fmt: skip


def _notes(lending: Lending, requests: Sequence[Request]) -> Iterable[Note]:
    yield from lending.notes
    yield from column_notes(requests)
    yield from season_doubts(lending, requests)
    bare = [request.request_id for request in requests if request.fields is None]
    if bare:
        yield Note(
            code="acres-only",
            told=(
                f"Planned as a rectangle twice as long as wide, its long side east and west, because only their size is known: {', '.join(bare)}."
            ),
        )
    yield Note(
        code="season-lengths",
        told=(
            "Days to book hold the inspection and the road from the farthest place that the drill could come from; whoever had it before, they hold."
        ),
    )
    if lending.distances:
        yield Note(
            code="season-roads",
            told="Roads are those of the table of distances; where it has none, the straight distance times the drill's road factor.",
        )
    if lending.terms.share_days:
        yield Note(
            code="season-sharing",
            told=(
                f"Up to {MOST_SHARING} short jobs share a drill's days where their hours, with set-up, clean-out, inspection and the road "
                "between them, fit in one working day. They are booked for the same days and work on the same fit day, in the order given."
            ),
        )
    yield Note(
        code="season-waiting",
        told="Waiting is counted in days from the first day that the request could begin, by its own dates, the season and the notice.",
    )
