"""A field from degrees to the plane: what the drill covers of it, or why it covers nothing."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely import MultiPolygon, Point, Polygon

from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.contour import Contours
from fieldplan.coverage.crossing_notes import on_crossings
from fieldplan.coverage.crossings import Crossing, covered_across
from fieldplan.coverage.edges import Edges, EdgeTerms, edges_of
from fieldplan.coverage.notes import first_shaped, on_edges
from fieldplan.coverage.nothing import nothing_driven, parts_missed, why_nothing
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field, HeadlandWord
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.plane.frame import Frame
from fieldplan.terrain.heights import Heights

OUTLETS = ("waterway", "outlet")
"""Excluded ground with one of these words in its reason is an outlet for water."""


def cover_field(
    field: Field, job: Job, frame: Frame, fill_m2: float = math.inf, heights: Heights | None = None
) -> Coverage:
    """The coverage of a field in the plane of its frame.

    A field that the drill cannot work on is not refused: nothing is drilled there, all of its plantable
    ground is missed, and a note says why. If all of its ground was cut out, the boundary file's notes have
    said so already.

    Parameters
    ----------
    fill_m2
        Ground that one fill of the boxes sows; without it, trips to the seed count for nothing.
    heights
        Of the ground, in the plane of ``frame``, if they are known.
    """
    outline = frame.to_plane(field.ground)
    ground = outline if field.plantable is field.ground else frame.to_plane(field.plantable)
    edges = _edges(field, job, frame, outline)
    if ground.is_empty:
        return _undriven(field, job, frame, ground, ())
    try:
        coverage = _driven(field, job, frame, outline, ground, edges, fill_m2, heights)
    except PlanError as error:
        notes = tuple(why_nothing(field.field_id, problem, ground) for problem in error.problems)
        return _undriven(field, job, frame, ground, notes)
    edge_m = edges.open.length + edges.hard.length
    notes = on_edges(field.field_id, edges.open.length, edge_m)
    return replace(coverage, open_edge=edges.open, edge_m=edge_m, notes=(*notes, *coverage.notes))


def _edges(field: Field, job: Job, frame: Frame, outline: MultiPolygon) -> Edges:
    """The open and hard stretches of the outer edge: as the job file has them for this field, else as the
    boundary file has them, else as the job file has them for all fields.
    """
    own = job.terms_for(field.field_id)
    if own.edge is not None or own.open_sides:
        terms = EdgeTerms(edge=own.edge or "fenced", open_sides=own.open_sides)
    else:
        terms = EdgeTerms(
            edge=field.edge or job.working.edge,
            open_lines=frame.to_plane(field.open_edges),
            fenced_lines=frame.to_plane(field.fenced_edges),
        )
    center = outline.centroid
    return edges_of(outline, terms, frame.convergence_deg(center.x, center.y))


def _driven(
    field: Field,
    job: Job,
    frame: Frame,
    outline: MultiPolygon,
    ground: MultiPolygon,
    edges: Edges,
    fill_m2: float,
    heights: Heights | None,
) -> Coverage:
    """The coverage of a field that the drill can work on."""
    terms, astray = places_kept(field, job.terms_for(field.field_id))
    gate, center = terms.gate or field.gate_lonlat, ground.centroid
    rig, own_edge = Rig.of(job), terms.edge or field.edge
    crossings = _crossings(field, frame)
    all_hard = edges.open.is_empty and not crossings
    crossable = [crossing.ground for crossing in crossings]
    pattern = terms.pattern or field.pattern or job.working.pattern
    working = job.working if pattern == job.working.pattern else replace(job.working, pattern=pattern)
    limit = job.working.grade_limit
    marked = own_edge == "fenced" or not field.fenced_edges.is_empty
    site = Site(
        field_id=field.field_id,
        ground=ground,
        rig=rig,
        working=working,
        contours=None
        if heights is None or limit is None
        else Contours(heights, limit, outlets_of(field, frame)),
        guides=tuple(frame.to_plane(line) for line in field.guides),
        gate=frame.to_plane(Point(gate)) if gate else None,
        convergence_deg=frame.convergence_deg(center.x, center.y),
        excluded=tuple(frame.to_plane(excluded.ground) for excluded in field.excluded),
        fenced=None if all_hard else edges.fenced(outline, ground, crossable, rig),
        edge_marked=marked,
        fill_m2=math.inf if terms.seed_at is None and job.working.seed_follows else fill_m2,
        seed_at=frame.to_plane(Point(terms.seed_at)) if terms.seed_at else None,
    )
    crossed = covered_across(site, outline, crossings)
    coverage = crossed.coverage
    notes = (
        *astray,
        *on_crossings(field.field_id, crossed),
        *parts_missed(field.field_id, coverage),
        *(_placed(note, coverage, frame) for note in coverage.notes),
    )
    return replace(coverage, notes=notes)


def outlets_of(field: Field, frame: Frame) -> MultiPolygon:
    """Excluded ground on which water leaves a field without harm: that which may be crossed, and what is named so."""
    pieces = [
        frame.to_plane(excluded.ground)
        for excluded in field.excluded
        if excluded.cross or any(word in excluded.reason.casefold() for word in OUTLETS)
    ]
    return MultiPolygon([part for piece in pieces for part in piece.geoms])


def _crossings(field: Field, frame: Frame) -> list[Crossing]:
    """The excluded ground of a field that may be crossed."""
    found: dict[tuple[str, HeadlandWord | None], list[Polygon]] = {}
    for excluded in field.excluded:
        if excluded.cross:
            pieces = found.setdefault((excluded.reason, excluded.headland), [])
            pieces.extend(frame.to_plane(excluded.ground).geoms)
    return [
        Crossing(reason=reason, ground=MultiPolygon(pieces), headland=headland)
        for (reason, headland), pieces in found.items()
    ]


def _undriven(
    field: Field, job: Job, frame: Frame, ground: MultiPolygon, notes: tuple[Note, ...]
) -> Coverage:
    """The coverage of a field on which nothing is drilled; a corner stands for its gate."""
    corner = frame.to_plane(Point(field.ground.geoms[0].exterior.coords[0][:2]))
    return nothing_driven(ground, job.drill.effective_width_m, job.working.sowings, corner, notes)


def _placed(note: Note, coverage: Coverage, frame: Frame) -> Note:
    """The note with the place of what it is about: the largest piece of missed ground, the largest pocket, or the
    first leg that leads outside.
    """
    name, place = "", None
    if note.code == "ground-missed":
        name, place = "piece", _in_largest(coverage.audit.missed_ground)
    elif note.code == "pockets-left":
        name, place = "piece", _in_largest(coverage.pockets)
    elif note.code == "route-outside":
        name, place = "first", first_shaped(coverage, note.case, "outside")
    elif note.code == "turns-tight":
        name, place = "first", first_shaped(coverage, note.case, "tight")
    return note if place is None else replace(note, places={name: frame.point_to_lonlat(place.x, place.y)})


def _in_largest(ground: MultiPolygon) -> Point | None:
    """A place within the largest piece of some ground."""
    largest = max(ground.geoms, key=lambda piece: piece.area, default=None)
    return None if largest is None else largest.representative_point()
