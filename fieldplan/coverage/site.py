"""A field as the drill comes to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon, Point

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.frame import heading_vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Ground to sow, the rig that comes to it, and the terms on which it is worked; all in plane metres.

    Parameters
    ----------
    ground
        Plantable ground, holes and all.
    gate
        Where the drill enters and leaves; if ``None`` a corner of the field that saves travel is taken,
        with a note.
    convergence_deg
        True azimuth of grid north at the field.
    excluded
        Ground that was cut out because it must not be sown: it is gone round however small it is.
    """

    field_id: str
    ground: MultiPolygon
    rig: Rig
    working: WorkingTerms
    gate: Point | None = None
    convergence_deg: float = 0.0
    excluded: tuple[MultiPolygon, ...] = ()

    @property
    def gate_xy(self) -> Array | None:
        """Where the gate is, (2,), if it is known."""
        return None if self.gate is None else np.array([self.gate.x, self.gate.y])

    @property
    def rounds_wanted(self) -> int:
        """Headland rounds asked for, or as many as hold a U turn."""
        given = self.working.headland_rounds
        return self.rig.rounds_for_u_turns if given is None else given

    @property
    def along_wanted(self) -> Array | None:
        """The heading asked for as a unit vector, (2,); ``None`` leaves the choice open."""
        return None if self.working.heading_deg is None else self.along(self.working.heading_deg)

    def along(self, heading_deg: float) -> Array:
        """A true heading as a unit vector of the plane, (2,)."""
        return np.asarray(heading_vector(heading_deg - self.convergence_deg))

    def heading_deg(self, along: Array) -> float:
        """The true heading of a unit vector of the plane, in [0, 180)."""
        bearing = math.degrees(math.atan2(along[0], along[1])) + self.convergence_deg
        return round(bearing % 180.0, 9) % 180.0
