"""How a planned season turns out over many simulated weathers.

Each drill keeps the order and the first days of its bookings. A booking begins on its first day, or as soon
after it as the drill is free. Every working day that is a fieldwork day gives the drill's hours of work. A
booking not done by its renter's last day is given up, and the drill goes on. Weather also runs through days
off. All drills share one weather: one number is drawn for each day, and the day is a fieldwork day for a
drill if that number is below the drill's own chance. So drills side by side get wet together. Fieldwork
days come in spells as in `work.booking`. Where the drills have a weather record, nothing is drawn: the season
runs through each of its years.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from fieldplan.model.booked import Placement
from fieldplan.model.capacity import Chances
from fieldplan.model.job import BookingTerms
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.model.season import Season
from fieldplan.season.sky import same_sky
from fieldplan.season.windows import working_days

_ROUNDING_S = 1e-6
Bools = NDArray[np.bool_]


def chances_of(season: Season, n_drawn: int, generator: np.random.Generator) -> Chances:
    """Chances of a planned season, from simulated weathers.

    Parameters
    ----------
    n_drawn
        Weathers to simulate. A share p found in n of them has a standard error of √(p(1 − p)/n).
    generator
        Source of the random numbers.
    """
    years, fit = skies_of(season.program, n_drawn, generator)
    n_drawn = fit[0].shape[1]
    hours_drawn = generator.random((len(season.placements), n_drawn))
    done: dict[str, Bools] = {}
    start = 0
    for drill, fit_days in zip(season.program.drills, fit, strict=True):
        of_drill = [placement for placement in season.placements if placement.drill == drill.name]
        done |= _worked(season, drill, of_drill, fit_days, hours_drawn[start : start + len(of_drill)])
        start += len(of_drill)
    each = {name: float(found.mean()) for name, found in done.items()}
    booked = np.logical_and.reduce(list(done.values())) if done else np.ones(n_drawn, dtype=bool)
    booked_prob = float(booked.mean())
    return Chances(
        all_prob=0.0 if season.refusals else booked_prob,
        booked_prob=booked_prob,
        each_prob=each,
        n_drawn=n_drawn,
        years=years,
    )


def skies_of(
    program: RentalProgram, n_drawn: int, generator: np.random.Generator
) -> tuple[tuple[int, ...], list[Bools]]:
    """Years of the record, if every drill has one, and fieldwork days of each drill over the season.

    Returns
    -------
    tuple of (tuple of int, list of ndarray)
        For each drill an array of shape (days of the season, years or weathers drawn).
    """
    terms = program.terms
    years, fit = same_sky(program.drills, terms)
    if not years:
        weather = generator.random(((terms.closes - terms.opens).days + 1, n_drawn))
        fit = [_drawn(weather, drill.job.booking) for drill in program.drills]
    return years, fit


def _drawn(weather: NDArray[np.float64], booking: BookingTerms) -> Bools:
    """Fieldwork days of a drill in drawn weathers, both of shape (days, n_drawn)."""
    # a fieldwork day follows a fieldwork day with p + ρ(1 − p), any other day with p(1 − ρ)
    p, rho = booking.chance_prob, booking.persistence_frac
    fit = weather < p
    for day in range(1, len(weather)):
        fit[day] = weather[day] < np.where(fit[day - 1], p + rho * (1 - p), p * (1 - rho))
    return fit


def _worked(
    season: Season,
    drill: SeasonDrill,
    bookings: Sequence[Placement],
    fit_days: Bools,
    hours_drawn: NDArray[np.float64],
) -> dict[str, Bools]:
    """Which bookings of a drill are done in time, by request, each of shape (n_drawn,).

    Bookings that share their days are one group of work. ``fit_days`` is (days, n_drawn), ``hours_drawn``
    (bookings, n_drawn), even from 0 to 1.
    """
    opens, booking = season.program.terms.opens, drill.job.booking
    n_drawn = fit_days.shape[1]
    groups = [list(group) for _, group in groupby(range(len(bookings)), key=lambda k: bookings[k].days)]
    first = np.array([(bookings[group[0]].days[0] - opens).days for group in groups], dtype=int)
    last = np.array(
        [min((_last(season, bookings[k]) - opens).days for k in group) for group in groups],
        dtype=int,
    )
    work_s = np.array(
        [
            sum(
                bookings[k].duration.job_s * _stretched(hours_drawn[k], booking.uncertainty_frac)
                for k in group
            )
            for group in groups
        ]
    ).reshape(len(groups), n_drawn)
    done = np.zeros((len(groups), n_drawn), dtype=bool)
    working = {(day - opens).days for day in working_days(drill, season.program)}
    weathers = np.arange(n_drawn)
    # at: index of the group that each weather is working on; left_s: its work left
    at, left_s = np.zeros(n_drawn, dtype=int), work_s[0].copy() if groups else np.zeros(n_drawn)
    for day, fit in enumerate(fit_days):
        if not groups:
            continue
        k = np.minimum(at, len(groups) - 1)  # weathers past the last group are masked by `here`
        here = (at < len(groups)) & (day >= first[k])
        if day in working:
            left_s[here & fit] -= booking.day_s
        finished = here & (left_s <= _ROUNDING_S)
        done[k[finished], weathers[finished]] = True
        # the next group may be past its last day already, so go on until none is
        while (over := (finished | ((at < len(groups)) & (last[k] <= day)))).any():
            at[over] += 1
            k = np.minimum(at, len(groups) - 1)
            left_s[over] = work_s[k[over], weathers[over]]
            finished = np.zeros(n_drawn, dtype=bool)
    return {bookings[k].request.request_id: done[i] for i, group in enumerate(groups) for k in group}


def _last(season: Season, placement: Placement) -> date:
    """The last day on which a booking may still be worked."""
    return min(placement.request.until, season.program.terms.closes)


def _stretched(u: NDArray[np.float64], uncertainty_frac: float) -> NDArray[np.float64]:
    """Factors of the hours: triangular from 1 − s to 1 + s with its peak at 1, by the inverse of its
    cumulative distribution; ``u`` is drawn evenly from 0 to 1.
    """
    return 1 + uncertainty_frac * np.where(u < 0.5, np.sqrt(2 * u) - 1, 1 - np.sqrt(2 * (1 - u)))
