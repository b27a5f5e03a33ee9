"""Map layers as files of other formats: RFC 7946 GeoJSON, FlatGeobuf, GeoParquet; one layer a file.

They are made in memory: on a full disk the library cuts GeoJSON and FlatGeobuf short without a word.
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
    """RFC 7946: longitude first, rings wound as it asks, a bounding box, no reference system named."""
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
    """FlatGeobuf with its index."""
    import pyogrio

    made = BytesIO()
    pyogrio.write_dataframe(
        frame, made, driver="FlatGeobuf", geometry_type=kind_of(layer, frame), layer=layer
    )
    path.write_bytes(made.getvalue())


def write_geoparquet(layer: str, frame: Any, path: Path) -> None:
    """GeoParquet 1.1 with a covering box of each feature."""
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
    name="geojson", words="a file a layer", make=partial(_layers, "geojson", write_geojson)
)
GEOPARQUET: Output[PlanAsked] = Output(
    name="parquet",
    words="a file a layer",
    make=partial(_layers, "parquet", write_geoparquet),
    extra="scale",
)
FLATGEOBUF: Output[PlanAsked] = Output(
    name="fgb", words="a file a layer", make=partial(_layers, "fgb", write_flatgeobuf)
)
