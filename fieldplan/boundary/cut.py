"""Exclusions cut out of fields: each piece of ground once, under the first reason that covers it."""

from __future__ import annotations

import operator
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from shapely import GeometryCollection, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.choose import listed
from fieldplan.boundary.exclusions import Exclusion, ExclusionFile
from fieldplan.boundary.outlines import point_in, polygons_in
from fieldplan.facts import Value, fact
from fieldplan.model.field import ExcludedGround, Field
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import past, turned
from fieldplan.plane.frame import Frame, frame_near

_ROUND_SEGMENTS = 32
"""Edges of a quarter circle: the set-back is nowhere short by more than 0.03 %."""
_MIN_PIECE_M2 = 1e-3
_DEGREE_M = 111_000.0
_NO_REASON = "none"


def without_exclusions(
    fields: Sequence[Field], files: Sequence[ExclusionFile]
) -> tuple[tuple[Field, ...], list[Note]]:
    """The fields with the exclusions cut out, and the notes about them.

    A field of which nothing is left is kept, with no plantable ground.

    Parameters
    ----------
    files
        Their order decides under which reason ground that two exclusions share is counted; ground that may
        be crossed comes last, so that what it shares with other ground may not.
    """
    notes = [note for file in files for note in file.notes]
    ready = _ready(files, any(past(field.ground) for field in fields))
    every, n, places, tree, reasons = ready.every, ready.n, ready.places, ready.tree, ready.reasons
    used: set[int] = set()
    fields_left = []
    for field in fields:
        wanted = _wanted(field)
        unknown = sorted((wanted or set()) - reasons.keys())
        if unknown:
            values = {"unknown": listed(unknown), "known": listed(reasons.values())}
            notes.append(Note(code="exclusion-reason-unknown", field_id=field.field_id, values=values))
        near = sorted(tree.query(field.ground).tolist(), key=lambda i: (every[i][1].cross, i))
        apply = [i for i in near if _applies(*every[i], field=field, wanted=wanted)]
        cut, touched = _cut(field, [every[i][1] for i in apply])
        used |= {apply[k] % n for k in touched}  # turned copies follow in the same order
        fields_left.append(cut)
        notes += _notes(cut)
    # a file that several fields name has each exclusion several times: none lies elsewhere that reaches one of them
    reached = {places[i] for i in used}
    elsewhere = {places[i]: every[i][1] for i in range(n) if places[i] not in reached}
    if elsewhere:
        notes.append(_elsewhere(list(elsewhere.values())))
    return tuple(fields_left), notes


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ready:
    """The exclusions of some files, ready to be looked through for one field after the other.

    Parameters
    ----------
    across
        Whether fields may lie across longitude 180.
    every
        Exclusions, each with the id of the only field that it is for; after the first ``n`` the same turned around.
    places
        What tells each of the first ``n`` from others.
    tree
        The ground that each reaches.
    reasons
        Their reasons by these in small letters.
    """

    files: tuple[ExclusionFile, ...]
    across: bool
    every: list[tuple[str | None, Exclusion]]
    n: int
    places: list[tuple[Path, str, bytes]]
    tree: shapely.STRtree
    reasons: dict[str, str]


_last_ready: list[_Ready] = []
"""Of the files that were looked through last: the fields of a large file come one at a time, with the same exclusions."""


def _ready(files: Sequence[ExclusionFile], across: bool) -> _Ready:
    for last in _last_ready:
        same = len(last.files) == len(files) and all(map(operator.is_, last.files, files))
        if same and last.across == across:
            return last
    every = [(file.field_id, exclusion) for file in files for exclusion in file.exclusions]
    n = len(every)
    if across or any(past(exclusion.drawn) for _, exclusion in every):
        every += _turned_around(every)
    ready = _Ready(
        files=tuple(files),
        across=across,
        every=every,
        n=n,
        places=[(file.path, one.reason, one.drawn.wkb) for file in files for one in file.exclusions],
        tree=shapely.STRtree([_reach(exclusion) for _, exclusion in every]),
        reasons={exclusion.reason.lower(): exclusion.reason for _, exclusion in every},
    )
    _last_ready[:] = [ready]
    return ready


def _turned_around(every: Sequence[tuple[str | None, Exclusion]]) -> list[tuple[str | None, Exclusion]]:
    """The exclusions 360° east and west: a field across the date line may have either beside it."""
    return [
        (field_id, replace(exclusion, drawn=turned(exclusion.drawn, k)))
        for k in (1, -1)
        for field_id, exclusion in every
    ]


def _wanted(field: Field) -> set[str] | None:
    """The reasons that apply to a field, in small letters; ``None`` if all do."""
    if field.exclusion_reasons is None:
        return None
    return {reason.lower() for reason in field.exclusion_reasons} - {_NO_REASON}


def _applies(only: str | None, exclusion: Exclusion, *, field: Field, wanted: set[str] | None) -> bool:
    return only in (None, field.field_id) and (wanted is None or exclusion.reason.lower() in wanted)


def _elsewhere(exclusions: Sequence[Exclusion]) -> Note:
    first = exclusions[0]
    values: dict[str, Value] = {"n_exclusions": len(exclusions), "reason": first.reason}
    return Note(code="exclusion-elsewhere", values=values, places={"first": point_in(first.drawn)})


def _cut(field: Field, exclusions: Sequence[Exclusion]) -> tuple[Field, list[int]]:
    """The field with exclusions cut out, and which of them reach its ground."""
    frame = frame_near(field.ground)
    ground = frame.to_plane(field.ground)
    to_m2 = field.mapped_m2 / ground.area  # so that excluded and plantable add up to the geodesic acres
    zones = np.array([_zone(exclusion, field, frame) for exclusion in exclusions], dtype=object)
    touched = np.flatnonzero(shapely.intersects(zones, ground)).tolist()
    tree = shapely.STRtree(zones)
    pieces, taken = [], []
    for i in touched:
        earlier = zones[[k for k in tree.query(zones[i]).tolist() if k < i]]
        new = shapely.difference(zones[i], shapely.union_all(earlier)) if len(earlier) else zones[i]
        piece = _pieces(shapely.intersection(ground, new))
        if not piece.is_empty:
            taken.append(zones[i])
            pieces.append(
                ExcludedGround(
                    reason=exclusions[i].reason,
                    ground=frame.to_lonlat(piece),
                    area_m2=piece.area * to_m2,
                    cross=exclusions[i].cross,
                    headland=exclusions[i].headland,
                    set_back_m=exclusions[i].set_back_m,
                )
            )
    kept = _pieces(shapely.difference(ground, shapely.union_all(taken)))
    if not pieces:
        return field, touched
    return replace(field, plantable=frame.to_lonlat(kept), excluded=tuple(pieces)), touched


def _pieces(ground: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([piece for piece in polygons_in(ground) if piece.area >= _MIN_PIECE_M2])


def _zone(exclusion: Exclusion, field: Field, frame: Frame) -> BaseGeometry:
    """The ground of an exclusion near a field, with its set-back, in the field's plane."""
    near = shapely.box(*_widened(field.ground.bounds, exclusion.set_back_m + _DEGREE_M / 10))
    drawn = exclusion.drawn
    if not near.covers(shapely.box(*drawn.bounds)):  # far ground has no place in a plane near the field
        drawn = GeometryCollection([shapely.intersection(part, near) for part in shapely.get_parts(drawn)])
        polygons = polygons_in(drawn)
        drawn = MultiPolygon(polygons) if polygons and exclusion.set_back_m <= 0 else drawn
    zone = frame.to_plane(drawn)
    if exclusion.set_back_m > 0:
        return shapely.buffer(zone, exclusion.set_back_m, quad_segs=_ROUND_SEGMENTS)
    if zone.is_valid:
        return zone
    # rounding on the way to the plane can break it
    return MultiPolygon(polygons_in(shapely.make_valid(zone)))


def _reach(exclusion: Exclusion) -> BaseGeometry:
    """A box in degrees around the exclusion with its set-back."""
    return shapely.box(*_widened(exclusion.drawn.bounds, exclusion.set_back_m))


def _widened(bounds: tuple[float, float, float, float], by_m: float) -> tuple[float, float, float, float]:
    west, south, east, north = bounds
    lat_deg = 1.1 * by_m / _DEGREE_M
    lon_deg = lat_deg / max(0.05, float(np.cos(np.radians(min(89.0, max(abs(south), abs(north)))))))
    return west - lon_deg, south - lat_deg, east + lon_deg, north + lat_deg


def _notes(field: Field) -> list[Note]:
    if not field.excluded:
        return []
    if field.plantable.is_empty:
        mapped = {"mapped_m2": field.mapped_m2}
        return [Note(code="field-all-excluded", field_id=field.field_id, warning=True, values=mapped)]
    parts = tuple(
        fact("ground-excluded/part", reason=reason, area_m2=area)
        for reason, area in field.excluded_by_reason_m2.items()
    )
    return [
        Note(
            code="ground-excluded",
            field_id=field.field_id,
            values={"parts": parts, "left_m2": field.plantable_m2, "mapped_m2": field.mapped_m2},
        )
    ]
