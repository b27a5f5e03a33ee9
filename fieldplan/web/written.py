"""A draft as the files of a job, and these as a draft: ``fields.gpkg``, ``exclusions.gpkg`` and ``job.toml``."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.exclusions import Exclusion, ExclusionFile
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.read import read_layers
from fieldplan.boundary.terms import LARGEST_SET_BACK_M
from fieldplan.errors import BoundaryError
from fieldplan.jobfile.load import read_toml
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Field
from fieldplan.web.draft import Draft, Drawn, LayerName

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

FIELDS, EXCLUSIONS, JOB = "fields.gpkg", "exclusions.gpkg", "job.toml"
OF_FILE: tuple[tuple[str, tuple[LayerName, ...]], ...] = (
    (FIELDS, ("fields", "edges", "guides")),
    (EXCLUSIONS, ("exclusions",)),
)
"""Layers of each file of the map; the job file names that of the exclusions."""
Writer = Callable[[Path], None]
_FIXED_DATE = "2000-01-01T00:00:00.000Z"
"""Written instead of today's, so that the same draft gives the same bytes."""
_VERSION = "1.2"
WGS84_EPSG = 4326
_NEAR_DEG = 0.02
"""Fields so near to an exclusion name its file: wider than the longest set-back up to latitude 60°."""


def ground_writers(draft: Draft) -> tuple[tuple[str, tuple[LayerName, ...], Writer], ...]:
    """The files of a draft's map: name, layers and writer of each; that of exclusions is there even without any."""
    return tuple(
        (file, layers, partial(_write, layers=[(name, draft.of_layer(name)) for name in layers]))
        for file, layers in OF_FILE
    )


def ground_in(folder: Path) -> tuple[Drawn, ...]:
    """What is drawn in the files of a job's folder.

    Raises
    ------
    BoundaryError
        If one of them cannot be read, or has layers that a draft has no place for.
    """
    found: list[Drawn] = []
    for file, names in OF_FILE:
        if not (folder / file).exists():
            continue
        _, layers = read_layers(folder / file)
        if any(not _ours(layer, names) for layer in layers):
            raise BoundaryError.of("desk-map-other", file=str(folder / file), layers=tuple(names))
        by_name = {layer.name: layer for layer in layers}
        for name in names:
            if name in by_name:
                found += _drawn_in(by_name[name], name)
    return tuple(found)


def _ours(layer: Layer, names: Sequence[str]) -> bool:
    """Whether a layer is one that the page writes: what it does not know it would write away."""
    return layer.name in names and layer.crs is not None and layer.crs.to_epsg() == WGS84_EPSG


def tables_in(folder: Path) -> dict[str, Any]:
    """The tables of the job file, without the keys that name the draft's own exclusions.

    Raises
    ------
    JobFileError
        If it cannot be read.
    """
    if not (folder / JOB).exists():
        return {}
    return without_exclusion_keys(read_toml(folder / JOB))


def without_exclusion_keys(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Tables without the keys that `with_exclusion_keys` adds."""
    fields = tables.get("field")
    if not isinstance(fields, Mapping):
        return dict(tables)
    kept = {
        field_id: _without_own(terms) if isinstance(terms, Mapping) else terms
        for field_id, terms in fields.items()
    }
    kept = {field_id: terms for field_id, terms in kept.items() if terms != {} or fields[field_id] == {}}
    left = {key: table for key, table in tables.items() if key != "field"}
    return {**left, "field": kept} if kept else left


def _without_own(terms: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in terms.items() if not (key == "exclusions" and value == EXCLUSIONS)}


def with_exclusion_keys(draft: Draft) -> dict[str, Any]:
    """The tables of a draft; fields that lie near an exclusion name the file of exclusions."""
    named = fields_with_exclusions(draft)
    if not named:
        return dict(draft.tables)
    given = draft.tables.get("field")
    fields = dict(given) if isinstance(given, Mapping) else {}
    for field_id in named:
        terms = fields.get(field_id, {})
        if isinstance(terms, Mapping):
            fields[field_id] = {**terms, "exclusions": EXCLUSIONS}
    return {**draft.tables, "field": fields}


def fields_with_exclusions(draft: Draft) -> tuple[str, ...]:
    """The ids of fields that an exclusion, with its set-back, may reach."""
    exclusions = [drawn.geometry for drawn in draft.of_layer("exclusions") if not drawn.geometry.is_empty]
    if not exclusions:
        return ()
    tree = shapely.STRtree(exclusions)
    return tuple(
        str(drawn.attributes["id"])
        for drawn in draft.of_layer("fields")
        if "id" in drawn.attributes and len(tree.query(_around(drawn.geometry)))
    )


def _around(geometry: BaseGeometry) -> BaseGeometry:
    west, south, east, north = geometry.bounds
    wide = _NEAR_DEG / max(math.cos(math.radians(min(89.0, max(abs(south), abs(north))))), 0.01)
    return shapely.box(west - wide, south - _NEAR_DEG, east + wide, north + _NEAR_DEG)


assert LARGEST_SET_BACK_M < _NEAR_DEG * 110_000.0


def job_text(tables: Mapping[str, Any], before: str = "") -> str:
    """The job file as text; remarks, order and spelling of what was there before stay where values did not change.

    Parameters
    ----------
    tables
        By their names, as TOML gives them.
    before
        The text of the job file so far.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(before)
    except TOMLKitError:
        document = tomlkit.document()
    _settle(document, tables)
    return tomlkit.dumps(document)


def _settle(there: Any, wanted: Mapping[str, Any]) -> None:
    """Make a table say what is wanted, touching only what differs."""
    for key in [key for key in there if key not in wanted]:
        del there[key]
    for key, value in wanted.items():
        now = there.get(key)
        if isinstance(value, Mapping) and isinstance(now, Mapping):
            _settle(now, value)
        elif _tables(value) and _tables(now) and len(value) == len(now):
            for one, other in zip(now, value, strict=True):
                _settle(one, other)
        elif key not in there or now != value or isinstance(now, bool) != isinstance(value, bool):
            there[key] = value


def _tables(value: Any) -> bool:
    return (
        isinstance(value, Sequence)
        and not isinstance(value, str)
        and bool(value)
        and all(isinstance(one, Mapping) for one in value)
    )


def drawn_of(boundary: BoundaryFile, exclusions: Iterable[ExclusionFile] = ()) -> tuple[Drawn, ...]:
    """Fields that were read, with their edges, guides and exclusions, as features of a draft."""
    found = [_field(field, n) for n, field in enumerate(boundary.fields, start=1)]
    edges = [line for field in boundary.fields for line in _edges(field)]
    guides = {guide.wkb: guide for field in boundary.fields for guide in field.guides}
    cuts = {one.drawn.wkb: one for file in exclusions for one in file.exclusions}
    return (
        *found,
        *_numbered("edges", [(line, {"edge": edge}) for line, edge in dict.fromkeys(edges)]),
        *_numbered("guides", [(guide, {}) for guide in guides.values()]),
        *_numbered("exclusions", [(one.drawn, _of_exclusion(one)) for one in cuts.values()]),
    )


def _numbered(
    layer: LayerName, features: Iterable[tuple[BaseGeometry, Mapping[str, str | int | float]]]
) -> Iterator[Drawn]:
    for n, (geometry, attributes) in enumerate(features, start=1):
        yield Drawn(key=f"{layer}-{n}", layer=layer, geometry=simple(geometry), attributes=attributes)


def _field(field: Field, n: int) -> Drawn:
    attributes: dict[str, str | int | float] = {"id": field.field_id, "name": field.name}
    said = {
        "mix": field.mix,
        "priority": field.priority,
        "edge": field.edge,
        "pattern": field.pattern,
        "exclusions": None
        if field.exclusion_reasons is None
        else ", ".join(field.exclusion_reasons or ("none",)),
    }
    attributes |= {key: value for key, value in said.items() if value is not None}
    if field.gate_lonlat is not None:
        attributes |= {"gate_lat": field.gate_lonlat[1], "gate_lon": field.gate_lonlat[0]}
    return Drawn(key=f"fields-{n}", layer="fields", geometry=simple(field.ground), attributes=attributes)


def simple(geometry: BaseGeometry) -> BaseGeometry:
    """The only part of a geometry that has one, else the geometry: as it is read again, whatever a file makes of it."""
    parts = shapely.get_parts(geometry)
    return parts[0] if len(parts) == 1 else geometry


def _edges(field: Field) -> Iterator[tuple[BaseGeometry, str]]:
    for edge, lines in (("open", field.open_edges), ("fenced", field.fenced_edges)):
        yield from ((line, edge) for line in lines.geoms)


def _of_exclusion(one: Exclusion) -> dict[str, str | int | float]:
    said = {"reason": one.reason, "cross": one.cross, "headland": one.headland or ""}
    set_back = {"set_back_m": one.set_back_m} if one.set_back_m else {}
    return {**{key: value for key, value in said.items() if value}, **set_back}


def _drawn_in(layer: Layer, name: LayerName) -> Iterator[Drawn]:
    for n, feature in enumerate(layer.features, start=1):
        if feature.geometry is not None and not feature.geometry.is_empty:
            attributes = {
                key: plain
                for key, value in feature.attributes.items()
                if (plain := _plain(value)) is not None
            }
            yield Drawn(
                key=f"{name}-{n}", layer=name, geometry=simple(feature.geometry), attributes=attributes
            )


def _plain(value: Any) -> str | int | float | None:
    """A value as Python has it; nothing for what is missing."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, float) and math.isnan(value):
        return None
    return value if isinstance(value, str | int | float) else None


def _write(path: Path, layers: Sequence[tuple[LayerName, Sequence[Drawn]]]) -> None:
    """Write layers to a new GeoPackage; the first is there even if it is empty."""
    import pyogrio

    date_before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": _FIXED_DATE, "OGR_SQLITE_SYNCHRONOUS": "OFF"})
    try:
        for n, (layer, features) in enumerate(layers):
            if n and not features:
                continue
            pyogrio.write_dataframe(
                _frame(features),
                path,
                layer=layer,
                driver="GPKG",
                dataset_options={} if n else {"VERSION": _VERSION},
                geometry_type="Unknown",
                append=n > 0,
            )
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": date_before, "OGR_SQLITE_SYNCHRONOUS": None})


def _frame(features: Sequence[Drawn]) -> GeoDataFrame:
    import geopandas
    import pandas

    names = dict.fromkeys(key for drawn in features for key in drawn.attributes)
    columns = {
        name: pandas.Series(_column([drawn.attributes.get(name) for drawn in features])) for name in names
    }
    geometry = [drawn.geometry for drawn in features]
    return geopandas.GeoDataFrame(columns, geometry=geometry, crs="EPSG:4326")


def _column(values: Sequence[Any]) -> Any:
    import pandas

    given = [value for value in values if value is not None]
    if all(isinstance(value, int) for value in given):
        return pandas.array(values, dtype="Int64")
    if all(isinstance(value, int | float) for value in given):
        return pandas.array(
            [math.nan if value is None else float(value) for value in values], dtype="float64"
        )
    return pandas.array([None if value is None else str(value) for value in values], dtype="object")
