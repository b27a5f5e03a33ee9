"""Field capacity: what width, speed and efficiency give, and the handbook's hours."""

from __future__ import annotations


def theoretical_capacity_m2_per_s(width_m: float, speed_m_per_s: float) -> float:
    """Ground passed over at full width and speed without a stop, width × speed.

    In trade units, acres per hour = feet × mph / 8.25 and hectares per hour = metres × km/h / 10
    (Iowa State University Extension A3-24; University of Kentucky AEN-73, 1991).
    """
    return width_m * speed_m_per_s


def effective_capacity_m2_per_s(width_m: float, speed_m_per_s: float, efficiency_frac: float) -> float:
    """Ground done per hour in the field with everything that interrupts, width × speed × field efficiency.

    Source: A. K. Srivastava et al., Engineering Principles of Agricultural Machines, 2nd edition (2006),
    equation 15.1.
    """
    return theoretical_capacity_m2_per_s(width_m, speed_m_per_s) * efficiency_frac


def handbook_s(
    area_m2: float, width_m: float, speed_m_per_s: float, efficiency_frac: tuple[float, float]
) -> tuple[float, float]:
    """Handbook time for an area, least and most: area / (width × speed × efficiency).

    It already holds turns, overlap and refills: it stands beside a clock that walks the route and never
    multiplies it.
    """
    low, high = efficiency_frac
    return (
        area_m2 / effective_capacity_m2_per_s(width_m, speed_m_per_s, high),
        area_m2 / effective_capacity_m2_per_s(width_m, speed_m_per_s, low),
    )


def capacity_with_turns_and_stops_m2_per_s(
    width_m: float,
    speed_m_per_s: float,
    run_m: float,
    swath_used_frac: float,
    stops_s_per_m2: float,
    turn_s: float,
) -> float:
    """Capacity of parallel runs with a turn after each and stops by the area.

    1/C = 1/(S·w·E) + t/(L·w·E) + D, with speed S, width w, run length L, share of the swath used E, time a
    turn t and stops D for each unit of area. A refill is a stop: D = stop time / area a fill.

    Source: D. Hunt, Farm Power and Machinery Management, chapter 1.
    """
    swath_m = width_m * swath_used_frac
    return 1 / (1 / (speed_m_per_s * swath_m) + turn_s / (run_m * swath_m) + stops_s_per_m2)
