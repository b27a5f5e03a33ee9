"""Map layers as files of other formats: RFC 7946 GeoJSON, FlatGeobuf, GeoParquet; one file per layer.

They are made in memory: on a full disk the library cuts GeoJSON and FlatGeobuf short and raises nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.report.files import Writer
from fieldplan.report.gis.layers import kind_of, layers_of
from fieldplan.report.output import Output, PlanAsked


def write_geojson(layer: str, frame: Any, path: Path) -> None:
    """Write RFC 7946 GeoJSON: longitude first, outer rings counterclockwise, a bounding box.

    Parameters
    ----------
    layer
        A key of `KINDS`, which sets the kind of geometry.
    frame
        The layer as a GeoDataFrame in EPSG:4326.
    path
        The file to write.
    """
    import pyogrio

    options = {"RFC7946": "YES", "WRITE_BBOX": "YES", "COORDINATE_PRECISION": "8"}
    made = BytesIO()
    pyogrio.write_dataframe(
        frame,
        made,
        driver="GeoJSON",
        geometry_type=kind_of(layer, frame),
        layer=path.stem,
        layer_options=options,
    )
    path.write_bytes(made.getvalue())


def write_flatgeobuf(layer: str, frame: Any, path: Path) -> None:
    """Write FlatGeobuf with its spatial index.

    Parameters
    ----------
    layer
        A key of `KINDS`, which sets the kind of geometry.
    frame
        The layer as a GeoDataFrame in EPSG:4326.
    path
        The file to write.
    """
    import pyogrio

    made = BytesIO()
    pyogrio.write_dataframe(
        frame, made, driver="FlatGeobuf", geometry_type=kind_of(layer, frame), layer=layer
    )
    path.write_bytes(made.getvalue())


def write_geoparquet(layer: str, frame: Any, path: Path) -> None:
    """Write GeoParquet 1.1 with a covering box for each feature.

    Parameters
    ----------
    layer
        Not used: the kind of geometry follows from the frame.
    frame
        The layer as a GeoDataFrame in EPSG:4326.
    path
        The file to write.

    Raises
    ------
    MissingExtra
        If pyarrow is not installed.
    """
    del layer
    try:
        import pyarrow  # noqa: F401
    except ImportError:
        raise MissingExtra.named("scale", fact("extra-for/geoparquet-out")) from None
    made = BytesIO()
    frame.to_parquet(made, schema_version="1.1.0", write_covering_bbox=True)
    path.write_bytes(made.getvalue())


def _layers(ending: str, write: Callable[[str, Any, Path], None], asked: PlanAsked) -> dict[str, Writer]:
    """A file for each layer that has a feature."""
    frames = {layer: frame for layer, frame in layers_of(asked.plan, asked.q).items() if len(frame)}
    return {f"layer-{layer}.{ending}": partial(write, layer, frame) for layer, frame in frames.items()}


GEOJSON: Output[PlanAsked] = Output(
    name="geojson", words="one file per layer", make=partial(_layers, "geojson", write_geojson)
)
GEOPARQUET: Output[PlanAsked] = Output(
    name="parquet",
    words="one file per layer",
    make=partial(_layers, "parquet", write_geoparquet),
    extra="scale",
)
FLATGEOBUF: Output[PlanAsked] = Output(
    name="fgb", words="one file per layer", make=partial(_layers, "fgb", write_flatgeobuf)
)
