"""Where the parcels of a region lie: squares of degrees, made larger when they become too many."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import shapely

from fieldplan.model.region import Cell
from fieldplan.plane.date_line import HALF_TURN_DEG, together, wrapped_deg
from fieldplan.region.columns import Row

SMALLEST_DEG = 2.0**-8
"""Some 400 m. Squares are doubled from here, so that larger ones hold smaller ones whole."""
MOST = 20_000

_Counts = tuple[float, int, int]


@dataclass(slots=True)
class Squares:
    """Time, planned and refused parcels by square."""

    side_deg: float = SMALLEST_DEG
    _counts: dict[tuple[int, int], _Counts] = field(default_factory=dict)

    def add(self, row: Row, weight: float = 1.0) -> None:
        """Add a row that stands for so many; one without an outline lies nowhere."""
        if row["geometry"] is None:
            return
        ground: Any = shapely.from_wkb(row["geometry"])
        west, south, east, north = shapely.bounds(ground).tolist()
        if east - west > HALF_TURN_DEG:  # cut where it crosses longitude 180
            west, south, east, north = (together(ground, short_edges=True) or ground).bounds
        at = (
            math.floor(wrapped_deg((west + east) / 2) / self.side_deg),
            math.floor((south + north) / 2 / self.side_deg),
        )
        refused = bool(row["code"])
        self._put(at, (0.0 if refused else weight * row["job_s"], int(not refused), int(refused)))
        while len(self._counts) > MOST:
            self._double()

    def _put(self, at: tuple[int, int], more: _Counts) -> None:
        so_far = self._counts.get(at, (0.0, 0, 0))
        self._counts[at] = (so_far[0] + more[0], so_far[1] + more[1], so_far[2] + more[2])

    def _double(self) -> None:
        before, self._counts, self.side_deg = self._counts, {}, 2 * self.side_deg
        for (column, line), counts in before.items():
            self._put((column // 2, line // 2), counts)

    def cells(self) -> tuple[Cell, ...]:
        """All squares that hold a parcel, from west to east."""
        return tuple(
            Cell(
                lon_deg=column * self.side_deg,
                lat_deg=line * self.side_deg,
                job_s=job_s,
                n_planned=n_planned,
                n_refused=n_refused,
            )
            for (column, line), (job_s, n_planned, n_refused) in sorted(self._counts.items())
        )
