"""What the coverage of one field starts from: its ground, the rig, and the working terms."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from shapely import LineString, MultiPolygon, Point

from fieldplan.coverage.contour import Contours
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.frame import heading_vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Ground to sow, the rig that sows it, and the working terms; all in plane meters.

    Parameters
    ----------
    ground
        Plantable ground, with its holes.
    gate
        Where the drill enters and leaves; if ``None``, a corner of the field that saves travel is taken,
        with a note.
    convergence_deg
        True azimuth of grid north at the field.
    excluded
        Ground cut out because it must not be sown; the drill goes around it however small it is.
    fenced
        The ground whose edges are hard: also that outside open edges, and that which may be crossed with the
        drill lifted. ``None`` if it is the plantable ground.
    edge_marked
        Whether somebody has said that edges are fenced: then no line to drive lies outside them.
    lifted
        Excluded ground that passes are driven through with the drill raised.
    fill_m2, seed_at
        Ground that one fill of the boxes sows, infinite if no trip to the seed is counted; and where the seed
        stands, if not at the gate.
    guides
        Lines that somebody has drawn for passes to follow.
    contours
        What passes across the slope keep to, where heights are known.
    joined
        The plantable ground with ``lifted`` joined to it; ``None`` if there is none.
    """

    field_id: str
    ground: MultiPolygon
    rig: Rig
    working: WorkingTerms
    gate: Point | None = None
    convergence_deg: float = 0.0
    excluded: tuple[MultiPolygon, ...] = ()
    fenced: MultiPolygon | None = None
    edge_marked: bool = False
    lifted: MultiPolygon = field(default_factory=MultiPolygon)
    joined: MultiPolygon | None = None
    fill_m2: float = math.inf
    seed_at: Point | None = None
    guides: tuple[LineString, ...] = ()
    contours: Contours | None = None

    @property
    def whole(self) -> MultiPolygon:
        """What passes are laid over: the plantable ground, and what is driven through."""
        return self.ground if self.joined is None else self.joined

    @property
    def gate_xy(self) -> Array | None:
        """The place of the gate, (2,), if it is known."""
        return None if self.gate is None else np.array([self.gate.x, self.gate.y])

    @property
    def along_wanted(self) -> Array | None:
        """The heading asked for as a unit vector of the plane, (2,); ``None`` if it is open."""
        return None if self.working.heading_deg is None else self.along(self.working.heading_deg)

    def along(self, heading_deg: float) -> Array:
        """A true heading, clockwise from true north, as a unit vector of the plane, (2,)."""
        return np.asarray(heading_vector(heading_deg - self.convergence_deg))

    def heading_deg(self, along: Array) -> float:
        """The true heading of a unit vector of the plane, in [0, 180): either direction is the same."""
        bearing_deg = math.degrees(math.atan2(along[0], along[1])) + self.convergence_deg
        # rounded, so that a bearing just under 180 by rounding error is 0
        return round(bearing_deg % 180.0, 9) % 180.0
