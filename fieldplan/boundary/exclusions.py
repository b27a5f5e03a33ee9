"""Ground that is not planted, from a file of areas, lines and points with a reason and a set-back each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import shapely
from shapely import GeometryCollection, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.attributes import one_line, text_of
from fieldplan.boundary.choose import attribute
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.lines import closed, joined, lines_in
from fieldplan.boundary.outlines import polygons_in
from fieldplan.boundary.read import layers_in
from fieldplan.boundary.reference import Reference, settle
from fieldplan.boundary.repair import mended
from fieldplan.boundary.source import name_of
from fieldplan.boundary.terms import LARGEST_SET_BACK_M, ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, Problem, QuantityError, placed
from fieldplan.facts import fact
from fieldplan.model.field import HeadlandWord
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.spelling import slips
from fieldplan.plane.date_line import HALF_TURN_DEG, together
from fieldplan.units import FOOT_M, parse_quantity

if TYPE_CHECKING:
    from fieldplan.boundary.source import Source

_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")
_SET_BACK_NAMES = ("set_back", "setback")
_KNOWN = (
    *_SET_BACK_NAMES,
    *(f"{name}_{unit}" for name in _SET_BACK_NAMES for unit in ("m", "ft")),
    "cross",
    "headland",
)
_REASON_NAMES = ("reason", "exclusion", "why", "kind", "type", "name")


@dataclass(frozen=True, slots=True, kw_only=True)
class Exclusion:
    """Ground that is not planted, and why.

    Parameters
    ----------
    drawn
        In longitude and latitude.
    set_back_m
        Ground nearer than this to ``drawn`` is excluded too.
    cross
        "lifted" if the drill may be driven over it lifted, else empty.
    headland
        Whether headland rounds are laid along it although the drill may be driven over it; ``None`` if
        nothing is said.
    """

    reason: str
    drawn: BaseGeometry
    set_back_m: float
    cross: Literal["", "lifted"] = ""
    headland: HeadlandWord | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ExclusionFile:
    """The exclusions of one file.

    Parameters
    ----------
    field_id
        The only field they apply to; ``None`` if they apply to all.
    """

    path: Path
    exclusions: tuple[Exclusion, ...]
    notes: tuple[Note, ...]
    field_id: str | None = None


def load_exclusions(
    source: Source, terms: ReadingTerms, *, set_back_m: float = 0.0, field_id: str | None = None
) -> ExclusionFile:
    """The exclusions in a file of any format that a boundary may have, or in a GeoDataFrame.

    Areas and closed lines are ground as drawn; open lines and points get their width from the set-back. The
    reason comes from the attribute ``reason`` (or ``exclusion``, ``why``, ``kind``, ``type``, ``name``), or
    else is the name of the layer. The set-back comes from the attribute ``set_back`` or ``setback`` (text with a
    unit), or the same with ``_m`` or ``_ft``. Ground with the attribute ``cross = "lifted"`` may be driven over, lifted;
    with ``headland = "no"`` passes go on across it, with "yes" rounds are laid along it, else what is quicker.

    Parameters
    ----------
    terms
        How the file is read. Its reference system is used only where the file leaves that in doubt.
    set_back_m
        The set-back of exclusions that have none of their own.
    field_id
        The only field the exclusions apply to; ``None`` for all.

    Raises
    ------
    BoundaryError
        With every exclusion that cannot be used (left out, with a note, if ``terms.skip_bad``).
    """
    path = name_of(source, "exclusions")
    _, layers = layers_in(source, "exclusions", terms.encoding, fact("called/exclusions"))
    return exclusions_in(path, layers, terms, set_back_m=set_back_m, field_id=field_id)


def exclusions_in(
    path: Path,
    layers: Sequence[Layer],
    terms: ReadingTerms,
    *,
    set_back_m: float = 0.0,
    field_id: str | None = None,
) -> ExclusionFile:
    """The exclusions in layers that have been read already; see `load_exclusions`.

    Parameters
    ----------
    path
        The file that they are from, or what it is called.

    Raises
    ------
    BoundaryError
        As `load_exclusions`.
    """
    found: list[Exclusion] = []
    notes: list[Note] = []
    problems: list[Problem] = []
    empty = 0
    for layer in layers:
        notes += [
            Note(code=remark.code, values={"file": path.name, **remark.values}) for remark in layer.remarks
        ]
        problems += [placed(loss, file=str(path)) for loss in layer.losses]
        reference = _settled(layer, terms, str(path))
        notes += [note for note in reference.notes if note.code not in ("feet", "datum-accuracy")]
        for number, feature in enumerate(layer.features, start=1):
            if not feature.unreadable and (feature.geometry is None or feature.geometry.is_empty):
                empty += 1
                continue
            reason = _reason(feature, layer.name)
            about = f'exclusion {number}{f" of {layer.name}" if len(layers) > 1 else ""} ("{reason}")'
            try:
                drawn = _drawn(feature, reference, about)
                found.append(
                    _exclusion(feature, drawn, reason, f"{path}: {about}", set_back_m, terms, notes)
                )
            except FieldplanError as error:
                problems += [placed(problem, file=str(path), about=about) for problem in error.problems]
    if problems and not terms.skip_bad:
        raise BoundaryError(tuple(problems))
    notes += [Note(code="feature-left-out", values={"problem": problem}) for problem in problems]
    if empty:
        notes.append(
            Note(
                code="features-left-out",
                case="exclusions",
                values={"n_exclusions": empty, "exclusions": path.name},
            )
        )
    return ExclusionFile(path=path, exclusions=tuple(found), notes=tuple(notes), field_id=field_id)


def exclusions_of_job(job: Job, terms: ReadingTerms, set_back_m: float) -> list[ExclusionFile]:
    """The exclusion files that a job names, each for its field."""
    return [
        load_exclusions(notes_of_repair.exclusions, terms, set_back_m=set_back_m, field_id=field_id)
        for field_id, notes_of_repair in job.fields.items()
        if notes_of_repair.exclusions
    ]


def _settled(layer: Layer, terms: ReadingTerms, file_label: str) -> Reference:
    """The layer's own reference system, or, where it leaves that in doubt, the one given in ``terms``."""
    try:
        return settle(layer, replace(terms, crs=None if layer.crs else terms.crs, axes=None), file_label)
    except BoundaryError:
        if terms.axes is None:
            raise
        return settle(layer, replace(terms, crs=None if layer.crs else terms.crs), file_label)


def _reason(feature: Feature, layer: str) -> str:
    """Why the ground is not planted, or else the name of its layer."""
    return next(
        (one_line(text) for name in _REASON_NAMES if (text := text_of(feature.attributes, name))), layer
    )


def _exclusion(
    feature: Feature,
    drawn: BaseGeometry,
    reason: str,
    file_label: str,
    set_back_m: float,
    terms: ReadingTerms,
    notes: list[Note],
) -> Exclusion:
    for named, known in slips(feature.attributes, _KNOWN):
        note = Note(code="attribute-like", warning=True, values={"named": named, "known": known})
        if note not in notes:
            notes.append(note)
    cross, headland = _cross(feature, file_label, notes), _headland(feature, file_label, notes)
    of_feature_m = _set_back_m(feature)
    set_back_m = set_back_m if of_feature_m is None else of_feature_m
    areas, thin = _areas_and_thin(drawn)
    if thin and set_back_m <= 0:
        if not areas:
            raise BoundaryError.of("exclusion-no-width")
        notes.append(Note(code="exclusion-no-width", case="in-part", values={"exclusion": file_label}))
        thin = []
    whole: BaseGeometry = GeometryCollection(thin)
    if areas:
        ground, notes_of_repair = mended(areas, "", repair=terms.repair)
        notes += [
            replace(note, field_id=None, values={**note.values, "exclusion": file_label})
            for note in notes_of_repair
        ]
        whole = GeometryCollection([*ground.geoms, *thin]) if thin else ground
    return Exclusion(reason=reason, drawn=whole, set_back_m=set_back_m, cross=cross, headland=headland)


def _cross(feature: Feature, file_label: str, notes: list[Note]) -> Literal["", "lifted"]:
    given = text_of(feature.attributes, "cross") or ""
    if given.casefold() == "lifted":
        return "lifted"
    if given:
        notes.append(
            Note(code="cross-unreadable", warning=True, values={"exclusion": file_label, "given": given})
        )
    return ""


def _headland(feature: Feature, file_label: str, notes: list[Note]) -> HeadlandWord | None:
    given = text_of(feature.attributes, "headland") or ""
    word = given.casefold()
    if word in _YES:
        return "yes"
    if given and word not in _NO:
        notes.append(
            Note(code="headland-unreadable", warning=True, values={"exclusion": file_label, "given": given})
        )
    return "no" if word in _NO else None


def _drawn(feature: Feature, reference: Reference, about: str) -> BaseGeometry:
    """The geometry in longitude and latitude, whole where it lies across the date line."""
    if feature.geometry is None:
        raise BoundaryError.of("geometry-unreadable", reason=feature.unreadable)
    drawn = reference.to_lonlat(feature.geometry, about)
    if not np.isfinite(shapely.get_coordinates(drawn)).all():
        raise BoundaryError.of("coordinates-not-finite")
    west, _, east, _ = drawn.bounds
    if east - west <= HALF_TURN_DEG:
        return drawn
    whole = together(drawn, short_edges=reference.crs.is_projected)
    if whole is None:
        raise BoundaryError.of("across-date-line")
    return whole


def _areas_and_thin(drawn: BaseGeometry) -> tuple[list[Polygon], list[BaseGeometry]]:
    """Polygons and the ground in closed lines; then open lines and points."""
    areas, thin = polygons_in(drawn), list[BaseGeometry]()
    lines = lines_in(drawn)
    for line in joined(lines) if lines else []:
        ground = closed(line)
        if ground is None:
            thin.append(line)
        else:
            areas.append(ground)
    return areas, thin + _points_in(drawn)


def _points_in(geometry: BaseGeometry) -> list[BaseGeometry]:
    if isinstance(geometry, Point):
        return [] if geometry.is_empty else [geometry]
    if hasattr(geometry, "geoms"):
        return [point for part in geometry.geoms for point in _points_in(part)]
    return []


def _of_set_back(feature: Feature, ending: str) -> Any:
    values = (attribute(feature.attributes, f"{name}{ending}") for name in _SET_BACK_NAMES)
    return next((value for value in values if value is not None), None)


def _set_back_m(feature: Feature) -> float | None:
    text, meters, feet = (_of_set_back(feature, ending) for ending in ("", "_m", "_ft"))
    try:
        if text is not None:
            value = parse_quantity(str(text), "length")
        elif meters is not None or feet is not None:
            value = float(meters) if meters is not None else float(feet) * FOOT_M
        else:
            return None
    except (QuantityError, ValueError, TypeError):
        raise BoundaryError.of("set-back-unreadable", given=str(text or meters or feet)) from None
    if not 0 <= value <= LARGEST_SET_BACK_M:
        raise BoundaryError.of("set-back-unreadable/range", set_back_m=value, most_m=LARGEST_SET_BACK_M)
    return value
