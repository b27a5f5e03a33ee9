"""Ground that is not to be sown: a second file of areas, lines and points, each with a reason and a set-back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.attributes import one_line, text_of
from fieldplan.boundary.choose import attribute
from fieldplan.boundary.layer import Feature
from fieldplan.boundary.outlines import point_in, polygons_in
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.reference import settle
from fieldplan.boundary.repair import mended
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, Problem, QuantityError
from fieldplan.model.field import ExcludedGround, Field
from fieldplan.model.notes import Note
from fieldplan.plane.frame import frame_near
from fieldplan.units import FOOT_M, parse_quantity, shown_acres, shown_place

LARGEST_SET_BACK_M = 1_000.0
_ROUND_SEGMENTS = 32
"""A quarter circle in this many edges: the set-back is nowhere short by more than 0.03 %."""
_LEAST_PIECE_M2 = 1e-3
_DEGREE_M = 111_000.0
_REASON_NAMES = ("reason", "exclusion", "why", "kind", "type", "name")


@dataclass(frozen=True, slots=True, kw_only=True)
class Exclusion:
    """Ground that is not to be sown: ``drawn`` in longitude and latitude, and all within ``set_back_m`` of it."""

    reason: str
    drawn: BaseGeometry
    set_back_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ExclusionFile:
    """The exclusions of one file; ``field_id`` is the only field they apply to, if not all."""

    path: Path
    exclusions: tuple[Exclusion, ...]
    notes: tuple[Note, ...]
    field_id: str | None = None


def load_exclusions(path: Path, terms: ReadingTerms, *, set_back_m: float = 0.0, field_id: str | None = None) -> ExclusionFile:
    """The exclusions in a file of any format that a boundary may have.

    The reason of each comes from its attribute ``reason`` (or ``exclusion``, ``kind``, ``type``, ``name``), or else is the
    name of its layer; its set-back from ``set_back`` as text with a unit, from ``set_back_m`` or from ``set_back_ft``, or
    else is ``set_back_m``. The file's reference system is its own; ``terms.crs`` counts only where it declares none.

    Raises
    ------
    BoundaryError
        With every exclusion that cannot be used.
    """
    _, layers = read_layers(path, terms.encoding)
    found: list[Exclusion] = []
    notes: list[Note] = []
    problems: list[Problem] = []
    for layer in layers:
        own = replace(terms, crs=None if layer.crs else terms.crs, near=None, axes=None if layer.crs else terms.axes)
        try:
            reference = settle(layer, own, f"{path}")
        except BoundaryError as error:
            problems += error.problems
            continue
        notes += [note for note in reference.notes if note.code != "feet"]
        for number, feature in enumerate(layer.features, start=1):
            where = f"{path}: exclusion {number}" + (f" of {layer.name}" if len(layers) > 1 else "")
            if feature.geometry is None or feature.geometry.is_empty:
                problems.append(Problem(code="exclusion-empty", text=f"{where} has no geometry ({feature.unreadable or 'none is drawn'}).",
                                        hint="draw it again or take it out"))  # fmt: skip
                continue
            try:
                found.append(
                    _exclusion(feature, reference.to_lonlat(feature.geometry), layer.name, where, set_back_m, terms, notes)
                )
            except FieldplanError as error:
                problems += error.problems
    if problems:
        raise BoundaryError(tuple(problems))
    return ExclusionFile(path=path, exclusions=tuple(found), notes=tuple(notes), field_id=field_id)


def _exclusion(
    feature: Feature, drawn: BaseGeometry, layer: str, where: str, set_back_m: float, terms: ReadingTerms, notes: list[Note]
) -> Exclusion:
    reason = next((one_line(v) for key in _REASON_NAMES if (v := text_of(feature.attributes, key))), layer)
    own_m = _set_back_m(feature, where)
    set_back_m = set_back_m if own_m is None else own_m
    if not np.isfinite(shapely.get_coordinates(drawn)).all():
        raise BoundaryError.of("coordinates-not-finite", f"{where} has coordinates that are no numbers.", "draw it again")
    polygons = polygons_in(drawn)
    if polygons:
        drawn, said = mended(polygons, f'{where} ("{reason}")', "", repair=terms.repair)
        notes += [replace(note, field_id=None, text=f"{where}: {note.text}") for note in said]
    elif set_back_m <= 0:
        raise BoundaryError.of("exclusion-no-width", f'{where} ("{reason}") is a line or a point and takes up no ground.',
                               'give it a set-back: an attribute set_back = "30 ft", or --set-back "30 ft" for all')  # fmt: skip
    return Exclusion(reason=reason, drawn=drawn, set_back_m=set_back_m)


def _set_back_m(feature: Feature, where: str) -> float | None:
    text = attribute(feature.attributes, "set_back")
    metres, feet = attribute(feature.attributes, "set_back_m"), attribute(feature.attributes, "set_back_ft")
    try:
        if text is not None:
            value = parse_quantity(str(text), "length")
        elif metres is not None or feet is not None:
            value = float(metres) if metres is not None else float(feet) * FOOT_M
        else:
            return None
    except (QuantityError, ValueError, TypeError):
        raise BoundaryError.of("set-back-unreadable", f'{where} has the set-back "{text or metres or feet}".',
                               'with a unit, such as "30 ft"') from None  # fmt: skip
    if not 0 <= value <= LARGEST_SET_BACK_M:
        raise BoundaryError.of("set-back-unreadable", f"{where} has a set-back of {value:,.0f} m.", "from 0 to 1000 m")
    return value


def without(
    fields: Sequence[Field], files: Sequence[ExclusionFile], shown: str
) -> tuple[tuple[Field, ...], list[Note], list[Problem]]:
    """The fields with the exclusions cut out, each piece of ground once, under the reason that comes first."""
    notes = [note for file in files for note in file.notes]
    problems: list[Problem] = []
    used: set[int] = set()
    numbered = [(file.field_id, exclusion) for file in files for exclusion in file.exclusions]
    tree = shapely.STRtree([_reach(exclusion) for _, exclusion in numbered])
    made = []
    for field in fields:
        near = sorted(int(i) for i in tree.query(field.ground))
        wanted = {reason.lower() for reason in field.exclusion_reasons or ()}
        apply = [
            i for i in near
            if numbered[i][0] in (None, field.field_id)
            and (field.exclusion_reasons is None or numbered[i][1].reason.lower() in wanted)
        ]  # fmt: skip
        cut, hit, left_m2 = _cut(field, [numbered[i][1] for i in apply])
        used |= {apply[k] for k in hit}
        if cut is None:
            problems.append(Problem(code="field-all-excluded", text=(
                f'{shown}: field "{field.field_id}" has no ground left: all {shown_acres(field.mapped_m2)} are excluded.'),
                hint="leave the field out with --where or --skip-bad, or check the set-backs"))  # fmt: skip
            continue
        made.append(cut)
        notes += _said(cut, left_m2)
    for i, (_, exclusion) in enumerate(numbered):
        if i not in used:
            at = shown_place(point_in(exclusion.drawn))
            notes.append(
                Note(
                    code="exclusion-elsewhere", text=f'The exclusion "{exclusion.reason}" at {at} lies on no field it applies to.'
                )
            )
    return tuple(made), notes, problems


def _reach(exclusion: Exclusion) -> BaseGeometry:
    """A box in degrees that holds the exclusion with its set-back."""
    west, south, east, north = exclusion.drawn.bounds
    lat_deg = 1.1 * exclusion.set_back_m / _DEGREE_M
    lon_deg = lat_deg / max(0.05, float(np.cos(np.radians(max(abs(south), abs(north))))))
    return shapely.box(west - lon_deg, south - lat_deg, east + lon_deg, north + lat_deg)


def _cut(field: Field, exclusions: Sequence[Exclusion]) -> tuple[Field | None, list[int], float]:
    """The field with exclusions cut out (``None`` if nothing is left), which of them took ground, and what is left in m²."""
    frame = frame_near(field.ground)
    left: BaseGeometry = frame.to_plane(field.ground)
    to_m2 = field.mapped_m2 / left.area
    pieces, hit = [], []
    for i, exclusion in enumerate(exclusions):
        zone = frame.to_plane(exclusion.drawn)
        if exclusion.set_back_m > 0:
            zone = shapely.buffer(zone, exclusion.set_back_m, quad_segs=_ROUND_SEGMENTS)
        piece = MultiPolygon([p for p in polygons_in(shapely.intersection(left, zone)) if p.area >= _LEAST_PIECE_M2])
        if piece.is_empty:
            continue
        hit.append(i)
        left = shapely.difference(left, zone)
        area_m2 = piece.area * to_m2
        pieces.append(ExcludedGround(reason=exclusion.reason, ground=frame.to_lonlat(piece), area_m2=area_m2))
    kept = MultiPolygon([p for p in polygons_in(left) if p.area >= _LEAST_PIECE_M2])
    if not pieces:
        return field, hit, field.mapped_m2
    if kept.is_empty:
        return None, hit, 0.0
    return replace(field, plantable=frame.to_lonlat(kept), excluded=tuple(pieces)), hit, kept.area * to_m2


def _said(field: Field, left_m2: float) -> list[Note]:
    if not field.excluded:
        return []
    parts = ", ".join(f"{reason} {shown_acres(area)}" for reason, area in field.excluded_by_reason_m2.items())
    return [Note(code="ground-excluded", field_id=field.field_id, text=(
        f"Not to be sown: {parts}; {shown_acres(left_m2)} of {shown_acres(field.mapped_m2)} are left."))]  # fmt: skip
