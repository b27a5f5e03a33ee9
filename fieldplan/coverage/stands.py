"""Where seed may stand beside a field, and how the drill is driven there and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LinearRing, LineString, MultiPolygon, Point

from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.model.coverage import Array, Coverage, Leg, SeedStand
from fieldplan.plane.offsets import polygons_of

N_PLACES = 32
"""Places along the edge that are weighed as a further stand of seed."""


@dataclass(frozen=True)
class Stands:
    """Stands of seed beside one field.

    Parameters
    ----------
    ground
        Its ground, and ``fenced`` that whose edges are hard, as the coverage has them.
    """

    ground: MultiPolygon
    fenced: MultiPolygon
    rig: Rig

    @classmethod
    def of(cls, coverage: Coverage, rig: Rig) -> Stands:
        """Those beside a field that is driven so."""
        return cls(coverage.ground, coverage.fenced, rig)

    @cached_property
    def room(self) -> InsideFence:
        """Where trips are driven; a field that one fill sows has none."""
        # what is driven over while sowing, since it is small, is no way for a drill that is lifted
        ground = polygons_of(shapely.intersection(self.ground, self.fenced))
        return InsideFence(ground, self.rig, self.fenced)

    def at(self, place: Point) -> SeedStand:
        """A stand at a place, with the trips from ends of sown lines and to starts of others."""
        seed = np.array([place.x, place.y, np.nan])

        def to_seed(lines: Sequence[LineString]) -> list[Leg]:
            leave = _poses(lines)[1]
            return self._legs(seed, leave, np.tile(seed, (len(leave), 1)))

        def from_seed(lines: Sequence[LineString]) -> list[Leg]:
            enter = _poses(lines)[0]
            return self._legs(seed, np.tile(seed, (len(enter), 1)), enter)

        return SeedStand(place, to_seed, from_seed)

    def along_edge(self) -> list[SeedStand]:
        """`N_PLACES` stands spread evenly along the outer edge of the ground."""
        rings = [part.exterior for part in self.room.ground.geoms]
        return [self.at(place) for place in _spread(rings)]

    def beside(self, near: Point) -> list[SeedStand]:
        """Stands at the edge of that part of the field from which no way as wide as the drill needs leads out, and
        in which some place lies.
        """
        parts = self.room.clear.geoms
        part = min(parts, key=near.distance, default=self.room.ground.geoms[0])
        edge = self.room.ground.boundary
        places = _spread([part.exterior])
        return [self.at(Point(shapely.shortest_line(edge, place).coords[0])) for place in places]

    def _legs(self, seed: Array, leave: Array, enter: Array) -> list[Leg]:
        found = transfers_at(self.room, seed[:2]).between(leave, enter)
        return [transfer.leg("transfer") for transfer in found]


def _spread(rings: Sequence[LinearRing]) -> list[Point]:
    """`N_PLACES` places spread evenly along rings."""
    since_m = np.concatenate([[0.0], np.cumsum([ring.length for ring in rings])])
    at_m = since_m[-1] * (np.arange(N_PLACES) + 0.5) / N_PLACES
    ring = since_m.searchsorted(at_m) - 1
    return [rings[i].interpolate(m - since_m[i]) for i, m in zip(ring, at_m, strict=True)]


def _poses(lines: Sequence[LineString]) -> tuple[Array, Array]:
    return poses(np.array(lines, dtype=object)) if lines else (np.zeros((0, 3)), np.zeros((0, 3)))
