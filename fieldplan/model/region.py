"""What a region comes to: sums over its parcels, in all and by the values of attributes, and fleets for them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A sum over parcels.

    Parameters
    ----------
    total
        Of all parcels or, from a sample, the estimate for all.
    error
        Standard error of a sample's estimate; 0 if all were planned.
    """

    total: float
    error: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedOrder:
    """Seed of a lot, in kg, and the whole bags of it to order."""

    species: str
    lot: str
    sown_kg: float
    sown_pls_kg: float
    need_kg: float
    bag_kg: float

    @property
    def bags(self) -> int:
        """Whole bags that hold what is needed."""
        return math.ceil(self.need_kg / self.bag_kg - 1e-9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """Drills of one job file for the parcels that it plans.

    Parameters
    ----------
    job
        The job file.
    width_m, boxes
        Effective width of its drill, and kinds of the boxes that its mixes ride in.
    n_parcels
        Parcels that are drilled.
    plantable_m2
        Their ground to sow.
    work_s
        Time of all parcels, each as a job by itself.
    field_s
        The part of it between entering and leaving the parcels.
    n_drills
        Drills asked about.
    fieldwork_days
        Fieldwork days that each of them needs.
    days
        Days in which each is done with the wanted confidence; ``None`` if a year is not enough.
    confidence_prob
        The wanted confidence.
    start, finish_by
        The season; ``None`` if the job file does not say.
    season_prob
        The odds that the drills asked about are done by the end of the season; ``None`` without one.
    range_prob
        The range of these odds, where they are counted over years of weather.
    needed
        Fewest drills that are done by then with the wanted confidence; ``None`` if no number is, or without
        an end.
    needed_prob
        The odds with so many.
    """

    job: str
    width_m: float
    boxes: tuple[str, ...]
    n_parcels: int
    plantable_m2: float
    work_s: float
    field_s: float
    n_drills: int
    fieldwork_days: int
    days: int | None
    confidence_prob: float
    start: date | None = None
    finish_by: date | None = None
    season_prob: float | None = None
    range_prob: tuple[float, float] | None = None
    needed: int | None = None
    needed_prob: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Parcels that have one value of an attribute, or all of them.

    Parameters
    ----------
    by, value
        The attribute and its value; empty for all parcels.
    n_rows
        Rows of the file or, of a sample, rows drawn.
    n_planned
        Of these, parcels that are planned.
    refused
        Of these, parcels that are not, by the code of the reason.
    refused_m2
        Ground of those whose outline can be measured.
    amounts
        Sums by column.
    seed
        Seed by lot.
    carriers_kg
        Carrier needed, by name.
    fleets
        Drills by job file.
    """

    by: str
    value: str
    n_rows: int
    n_planned: int
    refused: Mapping[str, int]
    refused_m2: float
    amounts: Mapping[str, Amount]
    seed: tuple[SeedOrder, ...]
    carriers_kg: Mapping[str, float]
    fleets: tuple[Fleet, ...]

    @property
    def n_refused(self) -> int:
        """Parcels that are not planned."""
        return sum(self.refused.values())

    @property
    def if_refused_too_s(self) -> float:
        """Time of all jobs if the refused ground took as long as the rest, acre by acre."""
        work_s, mapped_m2 = self.amounts["job_s"].total, self.amounts["mapped_m2"].total
        return work_s * (1 + self.refused_m2 / mapped_m2) if mapped_m2 else work_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Parcels whose middles lie in one square of degrees.

    Parameters
    ----------
    lon_deg, lat_deg
        Its south-west corner.
    job_s
        Time of the parcels there, each as a job by itself.
    n_planned, n_refused
        Parcels that are planned, and that are not.
    """

    lon_deg: float
    lat_deg: float
    job_s: float
    n_planned: int
    n_refused: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """The sums of a region.

    Parameters
    ----------
    name
        The file of the parcels.
    n_rows
        Rows of the file.
    n_drawn
        Rows of the sample; ``None`` if all are planned.
    groups
        All parcels first, then those by each value of each attribute asked for.
    notes
        How many parcels have each note, by its code.
    cells, cell_deg
        Where the parcels lie, in squares of this side.
    """

    name: str
    n_rows: int
    n_drawn: int | None
    groups: tuple[Group, ...]
    notes: Mapping[str, int] = field(default_factory=dict)
    cells: tuple[Cell, ...] = ()
    cell_deg: float = 0.0

    @property
    def all(self) -> Group:
        """All parcels."""
        return self.groups[0]


Bounds = tuple[float, float, float, float]
"""West, south, east and north, in degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """What a region's file holds and what is left to plan of it.

    Parameters
    ----------
    n_groups
        Row groups of the file.
    n_drawn
        Rows of the sample; ``None`` if all are to be planned.
    n_empty, n_vertices
        Rows that have no outline, and the vertices of the others.
    bounds_deg
        Around all of them; ``None`` if the file does not say where they are.
    attributes
        Names of the attributes, by any of which sums can be made.
    values
        How many rows have each value, by attribute.
    """

    name: str
    kind: str
    attributes: tuple[str, ...]
    n_rows: int
    n_groups: int
    n_drawn: int | None
    n_parts: int
    n_parts_done: int
    n_rows_done: int
    n_empty: int
    n_vertices: int
    bounds_deg: Bounds | None
    values: Mapping[str, Mapping[str, int]]
