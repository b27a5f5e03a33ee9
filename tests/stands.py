"""A stand of seed to which the drill drives straight from where a line ends, and from it to where one starts."""

from __future__ import annotations

from shapely import LineString, Point

from fieldplan.model.coverage import Leg, SeedStand


def straight_transfer(start: tuple[float, ...], end: tuple[float, ...]) -> Leg:
    """A transfer in a straight line."""
    line = LineString([start, end])
    return Leg(kind="transfer", line=line, length_m=line.length)


def stand_reached_straight(at: Point) -> SeedStand:
    """The stand at a place."""
    return SeedStand(
        at,
        to_seed=lambda lines: [straight_transfer(line.coords[-1], at.coords[0]) for line in lines],
        from_seed=lambda lines: [straight_transfer(at.coords[0], line.coords[0]) for line in lines],
    )
