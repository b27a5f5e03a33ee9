"""A boundary file → fields: chosen, placed, mended, named, measured, with exclusions cut out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely
from pyproj import CRS
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import acreage_of, distance_m, geodesic_area_m2
from fieldplan.boundary.attributes import field_attributes, id_and_name
from fieldplan.boundary.choose import Condition, chosen_layers, conditions, holds, values_there
from fieldplan.boundary.cut import without_exclusions
from fieldplan.boundary.edge_lines import EdgeLine, edge_lines, says_edges, with_edge_lines
from fieldplan.boundary.edges import n_rings
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.guard import MAX_FEATURES
from fieldplan.boundary.guide_lines import guide_lines, says_guides, with_guides
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.outlines import Placed, outlines_of, point_in
from fieldplan.boundary.overlaps import without_overlaps
from fieldplan.boundary.places import FAR_FROM_HOME_M, doubtful_places
from fieldplan.boundary.read import layers_in
from fieldplan.boundary.reference import MAX_RINGS, MAX_VERTICES, Reference, settle
from fieldplan.boundary.repair import mended
from fieldplan.boundary.source import name_of, terms_of
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, FieldplanError, Problem, placed, problem
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.boundary import BoundaryFile, Examination, LayerFound
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import HALF_TURN_DEG, past, together, turned
from fieldplan.plane.frame import frame_near

if TYPE_CHECKING:
    from fieldplan.boundary.source import Source

LARGEST_FRAME_ERROR = 1e-6
_ROUNDED_M2 = 1e-4
"""How exactly degrees with fifteen digits give the area of a field of a few square feet."""
_LAST = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outline:
    """One field's outline, mended, before overlaps are settled."""

    name: str
    ground: MultiPolygon
    feature: Feature
    crs: CRS


class _Findings:
    """What is gathered while a file is read: outlines, notes, and problems (with ``skip_bad``, notes about
    what is left out instead).
    """

    def __init__(self, path: Path, terms: ReadingTerms) -> None:
        self.path, self.terms = path, terms
        self.drawn: dict[str, _Outline] = {}
        self.layers: list[LayerFound] = []
        self.notes: list[Note] = []
        self.problems: list[Problem] = []
        self.ids: Counter[str] = Counter()
        self.edge_lines: list[EdgeLine] = []
        self.guides: list[LineString] = []
        self.number = 0

    def refuse(self, problems: Sequence[Problem], about: str = "") -> None:
        """Record problems of one feature or field: the file is refused for them, or the feature left out.

        Parameters
        ----------
        about
            Which feature or field, if the problems do not say so themselves.
        """
        if about:
            problems = [placed(problem, file=str(self.path), about=about) for problem in problems]
        if self.terms.skip_bad:
            self.notes += [
                Note(code="feature-left-out", values={"problem": problem}) for problem in problems
            ]
        else:
            self.problems += problems


def load_fields(
    source: Source, terms: ReadingTerms | None = None, exclusions: Sequence[ExclusionFile] = ()
) -> BoundaryFile:
    """The fields of a boundary file, in any format that `fieldplan.boundary.guard` recognizes, or of a
    GeoDataFrame.

    Parameters
    ----------
    source
        The path of the file (or of the folder of a File Geodatabase), or the GeoDataFrame. A named index
        gives the fields' ids.
    terms
        How the file is read; the defaults leave everything to the file.
    exclusions
        Ground that is not planted, from `fieldplan.boundary.exclusions.load_exclusions`.

    Returns
    -------
    BoundaryFile
        Fields in longitude and latitude on WGS84, with areas in m², in the order they are drilled.

    Raises
    ------
    BoundaryError
        With every problem found, each naming the feature and what to do about it.
    """
    found = examine(source, terms, exclusions)
    if found.problems:
        raise BoundaryError(found.problems)
    return BoundaryFile(path=found.path, fields=found.fields, notes=found.notes)


def examine(
    source: Source, terms: ReadingTerms | None = None, exclusions: Sequence[ExclusionFile] = ()
) -> Examination:
    """Everything found in a boundary file or GeoDataFrame, including the problems that `load_fields` would
    raise.

    Parameters
    ----------
    source, terms, exclusions
        As for `load_fields`.
    """
    path, terms = name_of(source, "fields"), terms_of(source, terms or ReadingTerms())
    return _examined(
        _Findings(path, terms), lambda: layers_in(source, "fields", terms.encoding), exclusions
    )


def examine_layers(
    path: Path,
    kind: str,
    layers: tuple[Layer, ...],
    terms: ReadingTerms,
    exclusions: Sequence[ExclusionFile] = (),
    *,
    n_before: int = 0,
) -> Examination:
    """Everything found in layers that have been read already, such as those of a part of a large file.

    Parameters
    ----------
    path, kind
        The file that they are from, and its format.
    layers, terms, exclusions
        As for `examine`.
    n_before
        Outlines of the file before these: a field without an id is named for its number in the file.
    """
    findings = _Findings(path, terms)
    findings.number = n_before
    return _examined(findings, lambda: (kind, layers), exclusions)


def _examined(
    findings: _Findings,
    read: Callable[[], tuple[str, tuple[Layer, ...]]],
    exclusions: Sequence[ExclusionFile],
) -> Examination:
    path, terms = findings.path, findings.terms
    kind, fields = "", tuple[Field, ...]()
    try:
        kind, layers = read()
        if sum(len(layer.features) for layer in layers) > MAX_FEATURES:
            raise BoundaryError.of("too-many-features/in-all", file=str(path), n_most=MAX_FEATURES)
        layers, of_edges, of_guides = parted(layers)
        layers = chosen_layers(path, layers, terms)
        wanted = conditions(path, layers, terms)
        for layer in layers:
            _read_layer(layer, findings, wanted, alone=len(layers) + len(of_edges) + len(of_guides) == 1)
        for layer in of_edges:
            findings.edge_lines += edge_lines(_lines_of(layer, findings), findings.notes)
        for layer in of_guides:
            findings.guides += guide_lines(_lines_of(layer, findings))
        for file in terms.guides:
            _, in_file = layers_in(file, "guides", terms.encoding, fact("called/guides"))
            for layer in in_file:
                findings.guides += guide_lines(_lines_of(layer, findings, file))
        fields = _fields(findings, exclusions)
        if not fields and not findings.problems:
            findings.problems.append(_nothing(findings, values_there(layers, wanted)))
    except BoundaryError as error:
        findings.problems += error.problems
    return Examination(
        path=path,
        format=kind,
        layers=tuple(findings.layers),
        fields=fields,
        notes=tuple(findings.notes),
        problems=tuple(findings.problems),
    )


def _read_layer(layer: Layer, findings: _Findings, wanted: tuple[Condition, ...], *, alone: bool) -> None:
    """Add a layer's outlines, notes and problems to the findings."""
    of_layer = "" if alone else f' of layer "{layer.name}"'
    file_label = f"{findings.path}" if alone else f'{findings.path}, layer "{layer.name}"'
    findings.notes += [Note(code=remark.code, values=remark.values) for remark in layer.remarks]
    left_out: Counter[Fact] = Counter()
    kept = {
        n: feature
        for n, feature in enumerate(layer.features, start=1)
        if all(holds(condition, feature) for condition in wanted)
    }
    if len(kept) < len(layer.features):
        left_out[fact("left-out/not-chosen")] += len(layer.features) - len(kept)
    before = len(findings.drawn)
    name = "none"
    try:
        findings.refuse([placed(loss, file=file_label) for loss in layer.losses])
        reference = settle(replace(layer, features=tuple(kept.values())), findings.terms, file_label)
        name = reference.name
        findings.notes += [note for note in reference.notes if note not in findings.notes]
        outlines = outlines_of(_placed(kept, reference, of_layer, findings, left_out))
        left_out += outlines.left_out
        findings.notes += outlines.remarks
        findings.refuse(outlines.problems, f"a line{of_layer}")
        for feature, polygons in outlines.found:
            _draw(feature, polygons, layer, reference, of_layer, findings)
    except BoundaryError as error:
        findings.problems += error.problems
    findings.layers.append(
        LayerFound(
            name=layer.name,
            reference_system=name,
            n_features=len(layer.features),
            n_fields=len(findings.drawn) - before,
            left_out=dict(left_out),
        )
    )
    of_which: dict[str, Value] = {} if alone else {"layer": layer.name}
    findings.notes += [
        Note(
            code="features-left-out",
            case="" if alone else "layer",
            values={**of_which, "n_features": n, "reason": reason},
        )
        for reason, n in left_out.items()
    ]


def parted(layers: tuple[Layer, ...]) -> tuple[tuple[Layer, ...], tuple[Layer, ...], tuple[Layer, ...]]:
    """The layers of outlines; and beside others, those of edges and of guides."""
    if len(layers) == 1:
        return layers, (), ()
    of_edges = tuple(layer for layer in layers if says_edges(layer))
    of_guides = tuple(layer for layer in layers if says_guides(layer))
    return tuple(layer for layer in layers if layer not in (*of_edges, *of_guides)), of_edges, of_guides


def _lines_of(layer: Layer, findings: _Findings, file: Path | None = None) -> list[Placed]:
    """The lines of a layer of edges or guides, placed; its notes and problems are added to the findings.

    Parameters
    ----------
    file
        Where the layer is, if not in the boundary file.
    """
    of_layer, left_out, name = f' of layer "{layer.name}"', Counter[Fact](), "none"
    lines: list[Placed] = []
    findings.notes += [Note(code=remark.code, values=remark.values) for remark in layer.remarks]
    try:
        reference = settle(layer, findings.terms, f'{file or findings.path}, layer "{layer.name}"')
        name = reference.name
        findings.notes += [note for note in reference.notes if note not in findings.notes]
        numbered = dict(enumerate(layer.features, start=1))
        lines = _placed(numbered, reference, of_layer, findings, left_out)
    except BoundaryError as error:
        findings.problems += error.problems
    findings.layers.append(
        LayerFound(
            name=layer.name,
            reference_system=name,
            n_features=len(layer.features),
            n_fields=0,
            left_out=dict(left_out),
        )
    )
    return lines


def _placed(
    kept: Mapping[int, Feature],
    reference: Reference,
    of_layer: str,
    findings: _Findings,
    left_out: Counter[Fact],
) -> list[Placed]:
    """Features with their geometry in longitude and latitude; those without one, or that cannot be placed,
    are recorded.
    """
    found = []
    for number, feature in kept.items():
        about = f"feature {number}{of_layer}"
        wrong = _wrong(feature)
        if wrong is not None:
            findings.refuse([wrong], about)
        elif feature.geometry is None or feature.geometry.is_empty:
            left_out[fact("left-out/no-geometry")] += 1
        else:
            try:
                geometry = reference.to_lonlat(feature.geometry, about)
            except BoundaryError as error:
                findings.refuse(error.problems, about)
                continue
            whole = _whole(geometry, reference)
            if whole is None:
                findings.refuse([problem("across-date-line")], about)
            elif np.isfinite(shapely.get_coordinates(whole)).all():
                found.append((feature, whole))
            else:
                findings.refuse([problem("coordinates-off-earth/feature", reference=reference.name)], about)
    return found


def _whole(drawn: BaseGeometry, reference: Reference) -> BaseGeometry | None:
    """The geometry put together where it lies across the date line; ``None`` if it cannot be."""
    west, _, east, _ = drawn.bounds
    if east - west > HALF_TURN_DEG:
        return together(drawn, short_edges=reference.crs.is_projected)
    return drawn


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
    if not np.isfinite(shapely.get_coordinates(feature.geometry)).all():
        return problem("coordinates-not-finite")
    return None


def _draw(
    feature: Feature,
    polygons: list[Polygon],
    layer: Layer,
    reference: Reference,
    of_layer: str,
    findings: _Findings,
) -> None:
    """Add one outline to the findings, mended and named, or its problems."""
    findings.number += 1
    field_id, name = id_and_name(
        feature.attributes, findings.number, layer.name, findings.ids, findings.terms, findings.notes
    )
    try:
        ground, notes = mended(polygons, field_id, repair=findings.terms.repair)
    except BoundaryError as error:
        findings.refuse(error.problems, f'field "{field_id}"{of_layer}')
        return
    if feature.ring_unclosed:
        notes.append(_closed(polygons, field_id))
    findings.notes += notes
    findings.drawn[field_id] = _Outline(name=name, ground=ground, feature=feature, crs=reference.crs)


def _closed(polygons: list[Polygon], field_id: str) -> Note:
    """The note that a ring which the file left open was closed; with a single ring, also where."""
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


def _fields(findings: _Findings, exclusions: Sequence[ExclusionFile]) -> tuple[Field, ...]:
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
    fields, notes = with_edge_lines(fields, findings.edge_lines)
    findings.notes += notes
    fields, notes = with_guides(fields, findings.guides)
    findings.notes += notes
    if not exclusions:
        return tuple(fields)
    cut, notes = without_exclusions(fields, exclusions)
    findings.notes += notes
    return cut


def _field(
    field_id: str, drawn: _Outline, ground: MultiPolygon, terms: ReadingTerms, notes: list[Note]
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


def _nothing(findings: _Findings, values: tuple[Fact, ...]) -> Problem:
    """The problem of a file without a single field."""
    left_out: Counter[Fact] = Counter()
    for layer in findings.layers:
        left_out.update(layer.left_out)
    found = tuple(fact("left-out/counted", n_features=n, reason=reason) for reason, n in left_out.items())
    cure = fact("another-where", values=values) if values else None
    if cure is None and any(note.code == "links-not-followed" for note in findings.notes):
        cure = fact("try/what-is-linked")
    return problem("no-fields", file=str(findings.path), cure=cure, found=found or fact("left-out/nothing"))
