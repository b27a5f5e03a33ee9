"""Places given for a field, a gate or a stand of seed, that are nowhere near it."""

from __future__ import annotations

from dataclasses import replace

import shapely
from pyproj import Geod

from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms
from fieldplan.model.notes import Note

_WGS84 = Geod(ellps="WGS84")
FARTHEST_M = 5_000.0
"""A gate or a stand of seed farther than this from its field is a slip."""


def places_kept(field: Field, terms: FieldTerms) -> tuple[FieldTerms, tuple[Note, ...]]:
    """What the job file says of a field; places that are nowhere near it are left aside, each with a
    warning.
    """
    notes = []
    if (gate_m := _away_m(field, terms.gate)) > FARTHEST_M:
        terms = replace(terms, gate=None)
        notes.append(
            Note(code="gate-astray", field_id=field.field_id, warning=True, values={"away_m": gate_m})
        )
    if (seed_m := _away_m(field, terms.seed_at)) > FARTHEST_M:
        terms = replace(terms, seed_at=None)
        notes.append(
            Note(code="seed-astray", field_id=field.field_id, warning=True, values={"away_m": seed_m})
        )
    return terms, tuple(notes)


def _away_m(field: Field, lonlat: tuple[float, float] | None) -> float:
    """How far a place, if there is one, lies from the nearest corner of a field."""
    if lonlat is None:
        return 0.0
    corners = shapely.get_coordinates(field.ground)
    n = len(corners)
    return float(min(_WGS84.inv(corners[:, 0], corners[:, 1], [lonlat[0]] * n, [lonlat[1]] * n)[2]))
