"""Fields with ground that may be crossed with the drill raised, in plane meters."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.crossings import Crossing, with_lifted
from fieldplan.coverage.edges import EdgeTerms, edges_of
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.through import driven_through
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.offsets import polygons_of


def site_across(
    outline: BaseGeometry,
    crossable: BaseGeometry,
    rig: Rig,
    working: WorkingTerms,
    *,
    headland: bool = False,
) -> Site:
    """A field with ground that may be crossed; with ``headland``, rounds are laid along it all the same."""
    field = polygons_of(outline)
    ground = polygons_of(shapely.difference(field, crossable))
    crossed = polygons_of(shapely.intersection(field, crossable))
    site = Site(
        field_id="f",
        ground=ground,
        rig=rig,
        working=working,
        excluded=(crossed,),
        fenced=edges_of(field, EdgeTerms(), 0.0).fenced(field, ground, [crossed], rig),
    )
    through = MultiPolygon() if headland else driven_through(ground, [crossed])
    return with_lifted(site, field, [Crossing(reason="grass", ground=through)])
