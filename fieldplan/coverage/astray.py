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
GATE_ASTRAY, SEED_ASTRAY = "gate-astray", "seed-astray"


def places_kept(field: Field, terms: FieldTerms) -> tuple[FieldTerms, tuple[Note, ...]]:
    """What the job file says of a field; places that are nowhere near it are left aside, each with a warning."""
    kept, notes = terms, []
    for key, code in (("gate", GATE_ASTRAY), ("seed_at", SEED_ASTRAY)):
        place = getattr(terms, key)
        away_m = 0.0 if place is None else _away_m(field, place)
        if away_m > FARTHEST_M:
            kept = replace(kept, **{key: None})
            notes.append(Note(code=code, field_id=field.field_id, warning=True, values={"away_m": away_m}, told=(
                f"its {key} in the job file lies {{away_m}} from the field and is left aside: planned as if none were given. "
                "Give latitude and longitude of a place beside the field.")))  # fmt: skip
    return kept, tuple(notes)


def _away_m(field: Field, lonlat: tuple[float, float]) -> float:
    """How far a place lies from the nearest corner of a field."""
    corners = shapely.get_coordinates(field.ground)
    n = len(corners)
    return float(min(_WGS84.inv(corners[:, 0], corners[:, 1], [lonlat[0]] * n, [lonlat[1]] * n)[2]))
