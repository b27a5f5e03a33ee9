"""Field capacity from width, speed and efficiency, and the hours by the handbook."""

from __future__ import annotations


def theoretical_capacity_m2_per_s(width_m: float, speed_m_per_s: float) -> float:
    """Ground covered at full width and speed without a stop, in m²/s: width × speed.

    In trade units: acres per hour = feet × mph / 8.25; hectares per hour = meters × km/h / 10
    (Iowa State University Extension A3-24; University of Kentucky AEN-73, 1991).

    Examples
    --------
    A 3 m drill at 2 m/s covers 2.16 ha/h:

    >>> theoretical_capacity_m2_per_s(3.0, 2.0) * 3600 / 1e4
    2.16
    """
    return width_m * speed_m_per_s


def effective_capacity_m2_per_s(width_m: float, speed_m_per_s: float, efficiency_frac: float) -> float:
    """Ground drilled per time in the field, stops and turns included: width × speed × field efficiency.

    Parameters
    ----------
    efficiency_frac
        Field efficiency: theoretical time / time in the field.

    Source: A. K. Srivastava et al., Engineering Principles of Agricultural Machines, 2nd edition (2006),
    equation 15.1.
    """
    return theoretical_capacity_m2_per_s(width_m, speed_m_per_s) * efficiency_frac


def handbook_s(
    area_m2: float, width_m: float, speed_m_per_s: float, efficiency_frac: tuple[float, float]
) -> tuple[float, float]:
    """Shortest and longest time for an area by the handbook, in s: area / (width × speed × efficiency).

    Field efficiency already covers turns, overlap and refills. So the result stands beside a clock of the
    route and must not be multiplied with it.

    Parameters
    ----------
    efficiency_frac
        Lowest and highest field efficiency.
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
    """Capacity of parallel passes with a turn after each and stops in proportion to the area, in m²/s.

    1/C = 1/(S·w·E) + t/(L·w·E) + D, with speed S, width w, pass length L, used share of the swath E, time
    per turn t and stop time per area D. For refills D = stop time / area per fill.

    Parameters
    ----------
    run_m
        Length of a pass.
    swath_used_frac
        Share of the width that is new ground, 1 without overlap.
    stops_s_per_m2
        Time of all stops, per area.

    Source: D. Hunt, Farm Power and Machinery Management, chapter 1.
    """
    swath_m = width_m * swath_used_frac
    return 1 / (1 / (speed_m_per_s * swath_m) + turn_s / (run_m * swath_m) + stops_s_per_m2)
