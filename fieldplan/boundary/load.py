"""A boundary file → fields: chosen, placed, mended, named, measured, with exclusions cut out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from shapely import Polygon

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.aside import Aside, aside_of, parted
from fieldplan.boundary.attributes import id_and_name
from fieldplan.boundary.choose import Condition, chosen_layers, conditions, holds, values_there
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.fields import fields_of
from fieldplan.boundary.findings import Findings, Outline
from fieldplan.boundary.guard import MAX_FEATURES
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.located import located
from fieldplan.boundary.outlines import outlines_of
from fieldplan.boundary.read import layers_in
from fieldplan.boundary.reference import Reference, settle
from fieldplan.boundary.repair import mended
from fieldplan.boundary.source import name_of, terms_of
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, Problem, placed, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.boundary import BoundaryFile, Examination
from fieldplan.model.field import Field
from fieldplan.model.notes import Note

if TYPE_CHECKING:
    from fieldplan.boundary.source import Source


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
    return _examined(Findings(path, terms), lambda: layers_in(source, "fields", terms.encoding), exclusions)


def examine_layers(
    path: Path,
    kind: str,
    layers: tuple[Layer, ...],
    terms: ReadingTerms,
    exclusions: Sequence[ExclusionFile] = (),
    *,
    aside: Aside | None = None,
    attributes: Sequence[str] = (),
    n_before: int = 0,
    first: list[Polygon] | None = None,
) -> Examination:
    """Everything found in layers that have been read already, such as those of a part of a large file.

    Parameters
    ----------
    path, kind
        The file that they are from, and its format.
    layers, terms, exclusions
        As for `examine`.
    aside
        What lies beside the outlines, made ready before, if none of the layers does.
    attributes
        Names of attributes of the file that the features here may lack.
    n_before
        Outlines of the file before these: a field without an id is named for its number in the file.
    first
        Takes the polygons of the first outline as drawn, in longitude and latitude, whatever comes of it.
    """
    findings = Findings(path, terms)
    findings.number = n_before
    found = _examined(findings, lambda: (kind, layers), exclusions, aside, attributes)
    if first is not None:
        first += findings.first
    return found


def _examined(
    findings: Findings,
    read: Callable[[], tuple[str, tuple[Layer, ...]]],
    exclusions: Sequence[ExclusionFile],
    aside: Aside | None = None,
    attributes: Sequence[str] = (),
) -> Examination:
    path, terms = findings.path, findings.terms
    kind, fields = "", tuple[Field, ...]()
    try:
        kind, layers = read()
        if sum(len(layer.features) for layer in layers) > MAX_FEATURES:
            raise BoundaryError.of("too-many-features/in-all", file=str(path), n_most=MAX_FEATURES)
        beside: tuple[Layer, ...] = ()
        if aside is None:
            layers, beside = parted(layers)
        layers = chosen_layers(path, layers, terms)
        wanted = conditions(path, layers, terms, attributes)
        for layer in layers:
            _read_layer(layer, findings, wanted, alone=len(layers) + len(beside) == 1)
        aside = aside or aside_of(path, beside, terms)
        findings.take(aside.notes, aside.problems, aside.layers)
        fields = fields_of(findings, aside, exclusions)
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


def _read_layer(layer: Layer, findings: Findings, wanted: tuple[Condition, ...], *, alone: bool) -> None:
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
        outlines = outlines_of(located(kept, reference, of_layer, findings, left_out))
        left_out += outlines.left_out
        findings.notes += outlines.remarks
        findings.refuse(outlines.problems, f"a line{of_layer}")
        for feature, polygons in outlines.found:
            _draw(feature, polygons, layer, reference, of_layer, findings)
    except BoundaryError as error:
        findings.problems += error.problems
    findings.take_layer(layer, name, len(findings.drawn) - before, left_out, alone=alone)


def _draw(
    feature: Feature,
    polygons: list[Polygon],
    layer: Layer,
    reference: Reference,
    of_layer: str,
    findings: Findings,
) -> None:
    """Add one outline to the findings, mended and named, or its problems."""
    findings.number += 1
    findings.first = findings.first or polygons
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
    findings.drawn[field_id] = Outline(name=name, ground=ground, feature=feature, crs=reference.crs)


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


def _nothing(findings: Findings, values: tuple[Fact, ...]) -> Problem:
    """The problem of a file without a single field."""
    left_out: Counter[Fact] = Counter()
    for layer in findings.layers:
        left_out.update(layer.left_out)
    found = tuple(fact("left-out/counted", n_features=n, reason=reason) for reason, n in left_out.items())
    cure = fact("another-where", values=values) if values else None
    if cure is None and any(note.code == "links-not-followed" for note in findings.notes):
        cure = fact("try/what-is-linked")
    return problem("no-fields", file=str(findings.path), cure=cure, found=found or fact("left-out/nothing"))
