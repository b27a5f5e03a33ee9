"""Where fields and exclusions come from: a file, or features that a program holds already."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

import shapely

from fieldplan.boundary.guard import MAX_FEATURES, MAX_FILE_VERTICES, refuse_features, refuse_vertices
from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

    Source = str | PathLike[str] | GeoDataFrame


def name_of(source: Source, name: str) -> Path:
    """The path of a file; for a GeoDataFrame, the ``name`` by which messages and pages speak of it.

    Raises
    ------
    TypeError
        If it is neither.
    """
    if isinstance(source, str | PathLike):
        return Path(source)
    import geopandas

    if not isinstance(source, geopandas.GeoDataFrame):
        raise TypeError(f"{name} must be a path or a GeoDataFrame, not {type(source).__name__}")
    return Path(name)


def terms_of(source: Source, terms: ReadingTerms) -> ReadingTerms:
    """How to read a source: a named index of a GeoDataFrame gives the ids, unless ``terms`` say what does."""
    index = None if isinstance(source, str | PathLike) or not len(source) else source.index.name
    return terms if index is None or terms.id_field else replace(terms, id_field=str(index))


def layer_of(frame: GeoDataFrame, name: str) -> Layer:
    """The rows of a GeoDataFrame as they stand, its named indexes among their attributes.

    Raises
    ------
    BoundaryError
        If no column holds the geometry, two columns have one name, or there is too much of it.
    """
    if frame.active_geometry_name is None:
        raise BoundaryError.of("frame-without-geometry")
    twice = frame.columns[frame.columns.duplicated()]
    if len(twice):
        raise BoundaryError.of("frame-column-twice", name=str(twice[0]))
    if len(frame) > MAX_FEATURES:
        refuse_features()
    crs, crs_statement = declared_crs(None if frame.crs is None else frame.crs.to_wkt())
    return Layer(name=name, crs=crs, crs_statement=crs_statement, features=tuple(features_of(frame)))


def features_of(frame: GeoDataFrame) -> Iterator[Feature]:
    """A feature for each row.

    Raises
    ------
    BoundaryError
        If they have too many vertices together.
    """
    if shapely.get_num_coordinates(frame.geometry.to_numpy()).sum() > MAX_FILE_VERTICES:
        refuse_vertices()
    rows = frame.drop(columns=frame.geometry.name).to_dict("records")
    indexes = {name: level for level, name in enumerate(frame.index.names) if name is not None}
    labels = {str(name): frame.index.get_level_values(level) for name, level in indexes.items()}
    for number, (row, geometry) in enumerate(zip(rows, frame.geometry, strict=True)):
        attributes: dict[str, Any] = {str(key): value for key, value in row.items()}
        attributes |= {name: values[number] for name, values in labels.items()}
        yield Feature(attributes=attributes, geometry=geometry)
