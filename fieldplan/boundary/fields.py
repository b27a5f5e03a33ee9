"""Outlines → fields: overlaps settled, measured, with their attributes, edges, guides and exclusions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import MultiPolygon

from fieldplan.boundary.acreage import acreage_of, distance_m, geodesic_area_m2
from fieldplan.boundary.aside import Aside
from fieldplan.boundary.attributes import field_attributes
from fieldplan.boundary.cut import without_exclusions
from fieldplan.boundary.edge_lines import with_edge_lines
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.findings import Findings, Outline
from fieldplan.boundary.guide_lines import with_guides
from fieldplan.boundary.outlines import point_in
from fieldplan.boundary.overlaps import without_overlaps
from fieldplan.boundary.places import FAR_FROM_HOME_M, doubtful_places
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, placed
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import past, turned
from fieldplan.plane.frame import frame_near

LARGEST_FRAME_ERROR = 1e-6
_ROUNDED_M2 = 1e-4
"""How exactly degrees with fifteen digits give the area of a field of a few square feet."""
_LAST = 1_000_000


def fields_of(findings: Findings, aside: Aside, exclusions: Sequence[ExclusionFile]) -> tuple[Field, ...]:
    """The fields, in the order they are drilled."""
    file_label = str(findings.path)
    if any(past(outline.ground) for outline in findings.drawn.values()):
        findings.notes.append(Note(code="date-line"))
        for field_id, outline in findings.drawn.items():
            if outline.ground.bounds[0] < 0:
                findings.drawn[field_id] = replace(outline, ground=turned(outline.ground))
    places = [(field_id, point_in(outline.ground)) for field_id, outline in findings.drawn.items()]
    findings.problems += doubtful_places(places, findings.terms, file_label)
    grounds, notes, problems = without_overlaps(
        {field_id: outline.ground for field_id, outline in findings.drawn.items()},
        repair=findings.terms.repair,
    )
    findings.notes += notes
    findings.problems += [placed(problem, file=file_label) for problem in problems]
    fields = []
    for field_id, ground in grounds.items():
        try:
            fields.append(
                _field(field_id, findings.drawn[field_id], ground, findings.terms, findings.notes)
            )
        except FieldplanError as error:
            findings.refuse(error.problems, f'field "{field_id}"')
    if any(field.priority is not None for field in fields):
        fields.sort(key=lambda field: _LAST if field.priority is None else field.priority)
        findings.notes.append(Note(code="priority-order"))
    fields, notes = with_edge_lines(fields, aside.edges)
    findings.notes += notes
    fields, notes = with_guides(fields, aside.guides)
    findings.notes += notes
    if not exclusions:
        return tuple(fields)
    cut, notes = without_exclusions(fields, exclusions)
    findings.notes += notes
    return cut


def _field(
    field_id: str, drawn: Outline, ground: MultiPolygon, terms: ReadingTerms, notes: list[Note]
) -> Field:
    attributes = field_attributes(drawn.feature.attributes, terms, field_id, notes)
    mapped_m2 = geodesic_area_m2(ground)
    frame_error_m2 = abs(frame_near(ground).to_plane(ground).area - mapped_m2)
    if not (mapped_m2 > 0 and frame_error_m2 <= LARGEST_FRAME_ERROR * mapped_m2 + _ROUNDED_M2):
        raise BoundaryError.of("field-too-large/parts" if len(ground.geoms) > 1 else "field-too-large")
    gate = attributes.gate_lonlat
    away_m = distance_m(gate, point_in(ground)) if gate else 0.0
    if gate and away_m > FAR_FROM_HOME_M:
        notes.append(
            Note(code="gate-elsewhere", field_id=field_id, values={"away_m": away_m}, places={"gate": gate})
        )
        gate = None
    return Field(
        field_id=field_id,
        name=drawn.name,
        ground=ground,
        mapped_m2=mapped_m2,
        acreage=acreage_of(ground, drawn.crs),
        plantable=ground,
        mix=attributes.mix,
        priority=attributes.priority,
        gate_lonlat=gate,
        exclusion_reasons=attributes.exclusion_reasons,
        edge=attributes.edge,
        pattern=attributes.pattern,
    )
