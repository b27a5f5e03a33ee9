"""A boundary file → fields: chosen, placed, mended, named, measured, and without ground that is not to be
sown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from pyproj import CRS
from shapely import MultiPolygon, Polygon

from fieldplan.boundary.acreage import acreage_of, distance_m, geodesic_area_m2
from fieldplan.boundary.attributes import field_attributes, names
from fieldplan.boundary.choose import Condition, chosen_layers, conditions, holds, values_there
from fieldplan.boundary.cut import without
from fieldplan.boundary.edges import n_rings
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.guard import MAX_FEATURES
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.outlines import Placed, outlines_of, point_in
from fieldplan.boundary.overlaps import without_overlaps
from fieldplan.boundary.places import FAR_FROM_HOME_M, doubtful_places
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.reference import MAX_RINGS, MAX_VERTICES, Reference, settle
from fieldplan.boundary.repair import mended
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, Problem, placed, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.boundary import BoundaryFile, Examination, LayerFound
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import HALF_TURN_DEG, past, together, turned
from fieldplan.plane.frame import frame_near

LARGEST_FRAME_ERROR = 1e-6
_ROUNDED_M2 = 1e-4
"""What degrees with fifteen digits leave in doubt of a field of a few square feet."""
_LAST = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """One field's outline, mended, before overlaps are settled."""

    name: str
    ground: MultiPolygon
    feature: Feature
    crs: CRS


class _Desk:
    """What is gathered while a file is read: fields drawn, notes, and problems (or, with ``skip_bad``, what
    is left out).
    """

    def __init__(self, path: Path, terms: ReadingTerms) -> None:
        self.path, self.terms = path, terms
        self.drawn: dict[str, _Drawn] = {}
        self.layers: list[LayerFound] = []
        self.notes: list[Note] = []
        self.problems: list[Problem] = []
        self.ids: Counter[str] = Counter()
        self.number = 0

    def refuse(self, problems: Sequence[Problem], about: str = "") -> None:
        """Record problems of one feature or field: the file is refused for them, or the feature left out.

        ``about`` says which, if they do not know where they are.
        """
        if about:
            problems = [placed(one, file=str(self.path), about=about) for one in problems]
        if not self.terms.skip_bad:
            self.problems += problems
        else:
            self.notes += [Note(code="feature-left-out", values={"problem": one}) for one in problems]


def load_fields(
    path: Path, terms: ReadingTerms | None = None, exclusions: Sequence[ExclusionFile] = ()
) -> BoundaryFile:
    """The fields of a boundary file of any format that `fieldplan.boundary.guard` recognises.

    Parameters
    ----------
    terms
        How the file is to be read.
    exclusions
        Ground that is not to be sown, from `fieldplan.boundary.exclusions.load_exclusions`.

    Raises
    ------
    BoundaryError
        With every problem found, each naming the feature and what would be right.
    """
    found = examine(path, terms, exclusions)
    if found.problems:
        raise BoundaryError(found.problems)
    return BoundaryFile(path=path, fields=found.fields, notes=found.notes)


def examine(
    path: Path, terms: ReadingTerms | None = None, exclusions: Sequence[ExclusionFile] = ()
) -> Examination:
    """Everything found in a boundary file, the problems that `load_fields` would raise among it."""
    terms = terms or ReadingTerms()
    desk = _Desk(path, terms)
    kind, fields = "", tuple[Field, ...]()
    try:
        kind, layers = read_layers(path, terms.encoding)
        if sum(len(layer.features) for layer in layers) > MAX_FEATURES:
            raise BoundaryError.of("too-many-features/in-all", file=str(path), n_most=MAX_FEATURES)
        layers = chosen_layers(path, layers, terms)
        wanted = conditions(path, layers, terms)
        for layer in layers:
            _read_layer(layer, desk, wanted, alone=len(layers) == 1)
        fields = _fields(desk, exclusions)
        if not fields and not desk.problems:
            desk.problems.append(_nothing(desk, values_there(layers, wanted)))
    except BoundaryError as error:
        desk.problems += error.problems
    return Examination(
        path=path,
        format=kind,
        layers=tuple(desk.layers),
        fields=fields,
        notes=tuple(desk.notes),
        problems=tuple(desk.problems),
    )


def _read_layer(layer: Layer, desk: _Desk, wanted: tuple[Condition, ...], *, alone: bool) -> None:
    """Take a layer's features to the desk: as outlines drawn, notes or problems."""
    of_layer = "" if alone else f' of layer "{layer.name}"'
    file_label = f"{desk.path}" if alone else f'{desk.path}, layer "{layer.name}"'
    desk.notes += [Note(code=remark.code, values=remark.values) for remark in layer.remarks]
    left_out: Counter[Fact] = Counter()
    kept = {
        n: feature
        for n, feature in enumerate(layer.features, start=1)
        if all(holds(one, feature) for one in wanted)
    }
    if len(kept) < len(layer.features):
        left_out[fact("left-out/not-chosen")] += len(layer.features) - len(kept)
    before = len(desk.drawn)
    name = "none"
    try:
        desk.refuse([placed(loss, file=file_label) for loss in layer.losses])
        reference = settle(replace(layer, features=tuple(kept.values())), desk.terms, file_label)
        name = reference.name
        desk.notes += [note for note in reference.notes if note not in desk.notes]
        outlines = outlines_of(_placed(kept, reference, of_layer, desk, left_out))
        left_out += outlines.left_out
        desk.notes += outlines.remarks
        desk.refuse(outlines.problems, f"a line{of_layer}")
        for feature, polygons in outlines.found:
            _draw(feature, polygons, layer, reference, of_layer, desk)
    except BoundaryError as error:
        desk.problems += error.problems
    desk.layers.append(
        LayerFound(
            name=layer.name,
            reference_system=name,
            n_features=len(layer.features),
            n_fields=len(desk.drawn) - before,
            left_out=dict(left_out),
        )
    )
    whose: dict[str, Value] = {} if alone else {"layer": layer.name}
    desk.notes += [
        Note(
            code="features-left-out",
            case="" if alone else "layer",
            values={**whose, "n_features": n, "reason": reason},
        )
        for reason, n in left_out.items()
    ]


def _placed(
    kept: Mapping[int, Feature], reference: Reference, of_layer: str, desk: _Desk, left_out: Counter[Fact]
) -> list[Placed]:
    """Features with their geometry in longitude and latitude; those that have none or cannot be placed are
    told.
    """
    placed = []
    for number, feature in kept.items():
        about = f"feature {number}{of_layer}"
        wrong = _wrong(feature)
        if wrong is not None:
            desk.refuse([wrong], about)
        elif feature.geometry is None or feature.geometry.is_empty:
            left_out[fact("left-out/no-geometry")] += 1
        else:
            try:
                geometry = reference.to_lonlat(feature.geometry, about)
            except BoundaryError as error:
                desk.refuse(error.problems, about)
                continue
            west, _, east, _ = geometry.bounds
            whole = (
                together(geometry, short_edges=reference.crs.is_projected)
                if east - west > HALF_TURN_DEG
                else geometry
            )
            if whole is None:
                desk.refuse([problem("across-date-line")], about)
            elif np.isfinite(shapely.get_coordinates(whole)).all():
                placed.append((feature, whole))
            else:
                desk.refuse([problem("coordinates-off-earth/feature", reference=reference.name)], about)
    return placed


def _wrong(feature: Feature) -> Problem | None:
    """Why a feature's geometry cannot be used, wherever it lies."""
    if feature.unreadable:
        return problem("geometry-unreadable", reason=feature.unreadable)
    if feature.geometry is None or feature.geometry.is_empty:
        return None
    if shapely.get_num_coordinates(feature.geometry) > MAX_VERTICES:
        return problem("too-many-vertices/feature", n_most=MAX_VERTICES)
    if (n_parts := n_rings(feature.geometry)) > MAX_RINGS:
        return problem("too-many-parts", n_parts=n_parts, n_most=MAX_RINGS)
    return (
        None
        if np.isfinite(shapely.get_coordinates(feature.geometry)).all()
        else problem("coordinates-not-finite")
    )


def _draw(
    feature: Feature,
    polygons: list[Polygon],
    layer: Layer,
    reference: Reference,
    of_layer: str,
    desk: _Desk,
) -> None:
    """Take one outline to the desk, mended and named, or its problems."""
    desk.number += 1
    field_id, name = names(feature.attributes, desk.number, layer.name, desk.ids, desk.terms, desk.notes)
    try:
        ground, notes = mended(polygons, field_id, repair=desk.terms.repair)
    except BoundaryError as error:
        desk.refuse(error.problems, f'field "{field_id}"{of_layer}')
        return
    if feature.ring_unclosed:
        notes.append(_closed(polygons, field_id))
    desk.notes += notes
    desk.drawn[field_id] = _Drawn(name=name, ground=ground, feature=feature, crs=reference.crs)


def _closed(polygons: list[Polygon], field_id: str) -> Note:
    """That a ring which the file left open was closed, and where and over what distance if there is only
    one ring.
    """
    if len(polygons) > 1 or polygons[0].interiors:
        return Note(code="ring-closed", field_id=field_id)
    (x0, y0), (x1, y1) = polygons[0].exterior.coords[-2][:2], polygons[0].exterior.coords[-1][:2]
    return Note(
        code="ring-closed",
        case="edge",
        field_id=field_id,
        values={"edge_m": distance_m((x0, y0), (x1, y1))},
        places={"start": (x0, y0), "end": (x1, y1)},
    )


def _fields(desk: _Desk, exclusions: Sequence[ExclusionFile]) -> tuple[Field, ...]:
    """The fields drawn, in the order they are to be drilled."""
    file_label = str(desk.path)
    if any(past(one.ground) for one in desk.drawn.values()):
        desk.notes.append(Note(code="date-line"))
        for field_id, one in desk.drawn.items():
            west = one.ground.bounds[0]
            desk.drawn[field_id] = replace(one, ground=turned(one.ground)) if west < 0 else one
    places = [(field_id, point_in(one.ground)) for field_id, one in desk.drawn.items()]
    desk.problems += doubtful_places(places, desk.terms, file_label)
    grounds, notes, problems = without_overlaps(
        {field_id: one.ground for field_id, one in desk.drawn.items()}, repair=desk.terms.repair
    )
    desk.notes += notes
    desk.problems += [placed(one, file=file_label) for one in problems]
    fields = []
    for field_id, ground in grounds.items():
        try:
            fields.append(_field(field_id, desk.drawn[field_id], ground, desk.terms, desk.notes))
        except FieldplanError as error:
            desk.refuse(error.problems, f'field "{field_id}"')
    if any(field.priority is not None for field in fields):
        fields.sort(key=lambda field: _LAST if field.priority is None else field.priority)
        desk.notes.append(Note(code="priority-order"))
    if not exclusions:
        return tuple(fields)
    cut, notes = without(fields, exclusions)
    desk.notes += notes
    return cut


def _field(
    field_id: str, drawn: _Drawn, ground: MultiPolygon, terms: ReadingTerms, notes: list[Note]
) -> Field:
    attributes = field_attributes(drawn.feature.attributes, terms, field_id, notes)
    mapped_m2 = geodesic_area_m2(ground)
    off_m2 = abs(frame_near(ground).to_plane(ground).area - mapped_m2)
    if not (mapped_m2 > 0 and off_m2 <= LARGEST_FRAME_ERROR * mapped_m2 + _ROUNDED_M2):
        raise BoundaryError.of("field-too-large")
    gate = attributes.gate_lonlat
    if gate and distance_m(gate, point_in(ground)) > FAR_FROM_HOME_M:
        away_m = distance_m(gate, point_in(ground))
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
    )


def _nothing(desk: _Desk, values: tuple[Fact, ...]) -> Problem:
    """What to say of a file without a single field."""
    left_out: Counter[Fact] = Counter()
    for layer in desk.layers:
        left_out.update(layer.left_out)
    found = tuple(fact("left-out/counted", n_features=n, reason=reason) for reason, n in left_out.items())
    cure = fact("another-where", values=values) if values else None
    return problem("no-fields", file=str(desk.path), cure=cure, found=found or fact("left-out/nothing"))
