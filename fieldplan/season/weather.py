"""How a planned season goes over many drawn weathers.

Each drill keeps the order and the first days of its bookings. A booking begins on its first day, or as soon
after as the drill is free; every working day that is fit gives the drill's hours of work; one that is not
done by its renter's last day is given up then and the drill goes on. Weather runs through days off. It is
one weather for all drills: on each day one number is drawn, and a day is fit for a drill if that number is
below its own chance, so drills that stand side by side get wet together. Fit days come in spells as in
`work.booking`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from fieldplan.model.capacity import Chances
from fieldplan.model.season import Placement, Season, SeasonDrill
from fieldplan.season.windows import working_days

_ROUNDING_S = 1e-6
Bools = NDArray[np.bool_]


def chances_of(season: Season, n_drawn: int, chance: np.random.Generator) -> Chances:
    """The chances of a season as it is planned, from ``n_drawn`` weathers.

    A share p found so is off by about √(p(1 − p)/n).
    """
    terms = season.program.terms
    n_days = (terms.closes - terms.opens).days + 1
    weather = chance.random((n_days, n_drawn))
    spread = chance.random((len(season.placements), n_drawn))
    done: dict[str, Bools] = {}
    start = 0
    for drill in season.program.drills:
        own = [placement for placement in season.placements if placement.drill == drill.name]
        done |= _worked(season, drill, own, weather, spread[start : start + len(own)])
        start += len(own)
    each = {name: float(found.mean()) for name, found in done.items()}
    booked = np.logical_and.reduce(list(done.values())) if done else np.ones(n_drawn, dtype=bool)
    booked_prob = float(booked.mean())
    return Chances(
        all_prob=0.0 if season.refusals else booked_prob,
        booked_prob=booked_prob,
        each_prob=each,
        n_drawn=n_drawn,
    )


def _worked(
    season: Season,
    drill: SeasonDrill,
    own: Sequence[Placement],
    weather: NDArray[np.float64],
    spread: NDArray[np.float64],
) -> dict[str, Bools]:
    """Which bookings of a drill are done in time, (n_drawn,) each. Those that share their days are worked
    off together.
    """
    opens, booking = season.program.terms.opens, drill.job.booking
    n_drawn = weather.shape[1]
    shared_bookings = [list(group) for _, group in groupby(range(len(own)), key=lambda k: own[k].days)]
    first = np.array(
        [(own[shared_booking[0]].days[0] - opens).days for shared_booking in shared_bookings], dtype=int
    )
    last = np.array(
        [
            min((_last(season, own[k]) - opens).days for k in shared_booking)
            for shared_booking in shared_bookings
        ],
        dtype=int,
    )
    work_s = np.array(
        [
            sum(
                own[k].duration.job_s * _stretched(spread[k], booking.uncertainty_frac)
                for k in shared_booking
            )
            for shared_booking in shared_bookings
        ]
    ).reshape(len(shared_bookings), n_drawn)
    done = np.zeros((len(shared_bookings), n_drawn), dtype=bool)
    works = {(day - opens).days for day in working_days(drill, season.program)}
    p, rho = booking.fieldwork_day_prob, booking.persistence_frac
    column = np.arange(n_drawn)
    at, left_s = np.zeros(n_drawn, dtype=int), work_s[0].copy() if shared_bookings else np.zeros(n_drawn)
    fit = np.zeros(n_drawn, dtype=bool)
    for day in range(weather.shape[0]):
        fit = weather[day] < (p if day == 0 else np.where(fit, p + rho * (1 - p), p * (1 - rho)))
        if not shared_bookings:
            continue
        k = np.minimum(at, len(shared_bookings) - 1)
        here = (at < len(shared_bookings)) & (day >= first[k])
        if day in works:
            left_s[here & fit] -= booking.day_s
        finished = here & (left_s <= _ROUNDING_S)
        done[k[finished], column[finished]] = True
        while (over := (finished | ((at < len(shared_bookings)) & (last[k] <= day)))).any():
            at[over] += 1
            k = np.minimum(at, len(shared_bookings) - 1)
            left_s[over] = work_s[k[over], column[over]]
            finished = np.zeros(n_drawn, dtype=bool)
    return {
        own[k].request.request_id: done[i]
        for i, shared_booking in enumerate(shared_bookings)
        for k in shared_booking
    }


def _last(season: Season, one: Placement) -> date:
    """The last day on which a booking may still be worked."""
    return min(one.request.until, season.program.terms.closes)


def _stretched(u: NDArray[np.float64], uncertainty_frac: float) -> NDArray[np.float64]:
    """Factors of the hours: triangular between 1 − s and 1 + s, the likeliest 1; from numbers drawn evenly
    from 0 to 1.
    """
    return 1 + uncertainty_frac * np.where(u < 0.5, np.sqrt(2 * u) - 1, 1 - np.sqrt(2 * (1 - u)))
