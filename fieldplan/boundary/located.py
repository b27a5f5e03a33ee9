"""Features where they lie: in longitude and latitude, whole across the date line, and fit to be used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.edges import n_rings
from fieldplan.boundary.findings import Findings
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.lines import lines_in
from fieldplan.boundary.outlines import Placed, polygons_in
from fieldplan.boundary.reference import MAX_RINGS, MAX_VERTICES, Reference, settle
from fieldplan.errors import BoundaryError, Problem, placed, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import HALF_TURN_DEG, together


def lines_of(layer: Layer, findings: Findings, file: Path | None = None) -> list[Placed]:
    """The lines of a layer of edges or guides, placed; its notes and problems are added to the findings.

    Parameters
    ----------
    file
        Where the layer is, if not in the boundary file.
    """
    of_layer, left_out, name = f' of layer "{layer.name}"', Counter[Fact](), "none"
    lines: list[Placed] = []
    findings.notes += [Note(code=remark.code, values=remark.values) for remark in layer.remarks]
    file_label = f'{file or findings.path}, layer "{layer.name}"'
    findings.refuse([placed(loss, file=file_label) for loss in layer.losses])
    try:
        reference = settle(layer, findings.terms, file_label)
        name = reference.name
        findings.notes += [note for note in reference.notes if note not in findings.notes]
        numbered = dict(enumerate(layer.features, start=1))
        for feature, geometry in located(numbered, reference, of_layer, findings, left_out):
            if lines_in(geometry):
                lines.append((feature, geometry))
            else:
                left_out[fact("left-out/areas" if polygons_in(geometry) else "left-out/points")] += 1
    except BoundaryError as error:
        findings.problems += error.problems
    findings.take_layer(layer, name, 0, left_out, alone=False)
    return lines


def located(
    kept: Mapping[int, Feature],
    reference: Reference,
    of_layer: str,
    findings: Findings,
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
