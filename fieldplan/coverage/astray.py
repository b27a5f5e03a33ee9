"""Places given for a field, its gate or its seed, that are nowhere near the field."""

from __future__ import annotations

from dataclasses import replace

import shapely
from pyproj import Geod

from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms
from fieldplan.model.notes import Note

_WGS84 = Geod(ellps="WGS84")
FARTHEST_M = 5_000.0
"""A gate or a place for seed farther than this from its field is a mistake in the file."""


def places_kept(field: Field, terms: FieldTerms) -> tuple[FieldTerms, tuple[Note, ...]]:
    """The terms of a field without places that are nowhere near it, and a warning for each of those.

    A place counts as near up to `FARTHEST_M` from the nearest corner of the field.
    """
    field_id = field.field_id
    notes = []
    if (gate_m := _away_m(field, terms.gate)) > FARTHEST_M:
        terms = replace(terms, gate=None)
        notes.append(Note(code="gate-astray", field_id=field_id, warning=True, values={"away_m": gate_m}))
    if (seed_m := _away_m(field, terms.seed_at)) > FARTHEST_M:
        terms = replace(terms, seed_at=None)
        notes.append(Note(code="seed-astray", field_id=field_id, warning=True, values={"away_m": seed_m}))
    return terms, tuple(notes)


def _away_m(field: Field, lonlat: tuple[float, float] | None) -> float:
    """Geodesic distance of a place from the nearest corner of a field; 0 if no place is given."""
    if lonlat is None:
        return 0.0
    corners = shapely.get_coordinates(field.ground)
    n = len(corners)
    _, _, distance_m = _WGS84.inv(corners[:, 0], corners[:, 1], [lonlat[0]] * n, [lonlat[1]] * n)
    return float(min(distance_m))
