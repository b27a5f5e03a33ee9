"""Held bookings with too few days left, and what the clerk could do: each choice was planned before it is printed."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fieldplan.facts import fact
from fieldplan.model.booked import Booked
from fieldplan.model.replanned import Change, Choice, Clash
from fieldplan.model.request import Request
from fieldplan.season.docket import Docket
from fieldplan.season.moving import Moving
from fieldplan.season.scheduling_problem import Run

_HOPELESS_PROB = 0.005
"""Odds that are printed as none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What a held booking has left.

    Parameters
    ----------
    odds_prob
        Odds of being done within it; ``None`` if they are not known.
    asked_prob
        The odds that it should have.
    short_days
        Working days that it lacks for them.
    lost
        Days lost inside it, with why.
    """

    odds_prob: float | None
    asked_prob: float
    short_days: int
    lost: tuple[tuple[date, str], ...]


def clashes_of(
    docket: Docket,
    changes: Sequence[Change],
    left: Mapping[str, Left],
    moving: Moving,
    held: Sequence[Run],
    *,
    out: Collection[str] = (),
    unknown: Collection[str] = (),
) -> Iterator[Clash]:
    """Every held booking that lacks days, with the booking after it.

    Parameters
    ----------
    moving
        The bookings that are not held, to plan them again with each choice.
    held
        The runs that are held.
    out
        Ids of the requests that a drill is out with.
    unknown
        Ids of those begun of which nobody said how much is done.
    """
    now = {change.request.request_id: change for change in changes if change.now is not None}
    for change in changes:
        name = change.request.request_id
        found = left.get(name)
        if found is None or not found.short_days or found.odds_prob is None or change.now is None:
            continue
        last = change.now.days[-1]
        after = sorted(
            (other.now.days[0], other.request.request_id)
            for other in now.values()
            if other.now is not None and other.now.drill == change.now.drill and other.now.days[0] > last
        )
        behind = now[after[0][1]] if after else None
        yield Clash(
            request=change.request,
            booked=change.now,
            behind=behind.request if behind else None,
            behind_booked=behind.now if behind else None,
            odds_prob=found.odds_prob,
            asked_prob=found.asked_prob,
            lost=found.lost,
            short_days=found.short_days,
            choices=(
                *_choices(docket, change, behind, found.short_days, now, moving, held),
                *_gives_up(change, found, out=name in out),
            ),
            unknown=name in unknown,
        )


def _gives_up(change: Change, found: Left, *, out: bool) -> Iterator[Choice]:
    """What is left where no days are: to leave it as it is; with no hope at all, to wait, to withdraw, or to split the work."""
    name = change.request.request_id
    if found.odds_prob is not None and found.odds_prob < _HOPELESS_PROB:
        if out:
            yield Choice(what=fact("choice-split", request=name), command="")
        else:
            cause = ' cause="days lost"' if found.lost else ""
            code = "choice-waits/first" if found.lost else "choice-waits"
            yield Choice(what=fact(code, request=name), command=f"cancel request={name}{cause}")
            yield Choice(what=fact("choice-withdraws", request=name), command=f"withdraw request={name}")
    yield Choice(what=fact("choice-as-it-is", request=name), command="")


def _choices(
    docket: Docket,
    change: Change,
    behind: Change | None,
    short_days: int,
    now: Mapping[str, Change],
    moving: Moving,
    held: Sequence[Run],
) -> Iterator[Choice]:
    """More days at the end, if no held booking has them; else other days for the one behind; other days for itself."""
    booked, name = change.now, change.request.request_id
    assert booked is not None
    d = next(d for d, drill in enumerate(docket.program.drills) if drill.name == booked.drill)
    after = [day for day in docket.days[d] if day > booked.days[-1]]
    days = tuple(sorted({*change.was.days, *booked.days, *after[:short_days]}))
    more = _More(request=name, n_days=short_days, days=days)
    if _n_free(after, booked.drill, now) >= short_days:
        yield Choice(what=fact("choice-longer", **more.values), command=more.command)
    elif (longer := _longer(docket, change, short_days, held)) is not None:
        n_moved, lost = moving.comes_of(longer)
        gone = tuple(docket.requests[i].request_id for i in lost)
        what = fact(
            "choice-longer-moves", n_moved=n_moved, **more.values, **({"lost": gone} if gone else {})
        )
        yield Choice(what=what, command=more.command, again=True)
    elif behind is not None and behind.now is not None:
        yield from _other_moves(docket, behind.request, behind.now, more, now)
    if not change.begun:
        yield from _itself_moves(docket, change.request, booked, now)


@dataclass(frozen=True, slots=True, kw_only=True)
class _More:
    """A booking with more days at its end: ``days`` are all of them, ``n_days`` those that are new."""

    request: str
    n_days: int
    days: tuple[date, ...]

    @property
    def values(self) -> dict[str, Any]:
        return {"request": self.request, "n_days": self.n_days, "last_typed_day": self.days[-1]}

    @property
    def command(self) -> str:
        return f'confirm request={self.request} days="{" ".join(map(str, self.days))}"'


def _n_free(days: Sequence[date], drill: str, now: Mapping[str, Change]) -> int:
    """How many of the days nobody has the drill, up to the first on which somebody has."""
    taken = {
        day
        for other in now.values()
        if other.now is not None and other.now.drill == drill
        for day in other.now.days
    }
    return next((n for n, day in enumerate(days) if day in taken), len(days))


def _other_moves(
    docket: Docket, behind: Request, booked: Booked, more: _More, now: Mapping[str, Change]
) -> Iterator[Choice]:
    """Other days for the booking behind, clear of those that the one before it lacks."""
    place = _elsewhere(docket, behind, booked, set(more.days), now)
    if place is not None:
        drill, first, last = place
        yield Choice(
            what=fact(
                "choice-other-moves",
                request=behind.request_id,
                drill=drill,
                first_typed_day=first,
                last_typed_day=last,
                for_request=more.request,
                n_days=more.n_days,
            ),
            command=_moved(behind.request_id, booked, drill, first),
        )


def _itself_moves(
    docket: Docket, request: Request, booked: Booked, now: Mapping[str, Change]
) -> Iterator[Choice]:
    """Other days for a booking that has not begun."""
    place, name = _elsewhere(docket, request, booked, set(), now), request.request_id
    if place is not None and place[:2] != (booked.drill, booked.days[0]):
        drill, first, last = place
        yield Choice(
            what=fact(
                "choice-itself-moves", request=name, drill=drill, first_typed_day=first, last_typed_day=last
            ),
            command=_moved(name, booked, drill, first),
        )


def _moved(name: str, booked: Booked, drill: str, first: date) -> str:
    """What to enter to have a booking elsewhere: one that is confirmed must be released first."""
    release = f"release request={name}; " if booked.confirmed else ""
    return f'{release}confirm request={name} drill="{drill}" first={first}'


def _longer(docket: Docket, change: Change, n_more: int, held: Sequence[Run]) -> list[Run] | None:
    """The runs that are held, with one longer; ``None`` if another held one stands in its way, or the season ends."""
    i = next(i for i, one in enumerate(docket.requests) if one.request_id == change.request.request_id)
    own = next((run for run in held if i in run.requests), None)
    if own is None or own.end + n_more > len(docket.days[own.drill]):
        return None
    longer = replace(own, n_days=own.n_days + n_more)
    others = [run for run in held if run is not own]
    if any(run.drill == own.drill and own.end <= run.first < longer.end for run in others):
        return None
    return [longer, *others]


def _elsewhere(
    docket: Docket, request: Request, booked: Booked, wanted: set[date], now: Mapping[str, Change]
) -> tuple[str, date, date] | None:
    """The first run of free days that a booking could have instead, with its drill; ``None`` if there is none."""
    i = next(i for i, one in enumerate(docket.requests) if one.request_id == request.request_id)
    earliest, last = docket.windows[i]
    found = []
    for d in docket.able(i):
        drill = docket.program.drills[d].name
        taken = {
            day
            for other in now.values()
            if other.now is not None
            and other.now.drill == drill
            and other.request.request_id != request.request_id
            for day in other.now.days
        } | (wanted if drill == booked.drill else set())
        n_days = len(booked.days) if drill == booked.drill else docket.duration(i, d).days
        days = docket.days[d]
        for k in range(len(days) - n_days + 1):
            run = days[k : k + n_days]
            if run[0] >= earliest and run[-1] <= last and taken.isdisjoint(run):
                found.append((run[0], drill, run[-1]))
                break
    return (min(found)[1], min(found)[0], min(found)[2]) if found else None
