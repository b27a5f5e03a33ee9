"""Fields as they were read, as a layer in longitude and latitude."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fieldplan.model.field import Field
from fieldplan.plane.date_line import as_written

if TYPE_CHECKING:
    from geopandas import GeoDataFrame


def boundary_frame(fields: Sequence[Field]) -> GeoDataFrame:
    """A row a field in EPSG:4326, with ``field_id`` as its index and areas in m².

    ``priority`` is a whole number or missing; a field cut by longitude 180 is written in parts.
    """
    import geopandas
    import pandas

    columns = {
        "name": pandas.Series([field.name for field in fields], dtype="object"),
        "mix": pandas.Series([field.mix for field in fields], dtype="object"),
        "priority": pandas.Series([field.priority for field in fields], dtype="Int64"),
        "mapped_m2": pandas.Series([field.mapped_m2 for field in fields], dtype=float),
        "excluded_m2": pandas.Series([field.excluded_m2 for field in fields], dtype=float),
        "plantable_m2": pandas.Series([field.plantable_m2 for field in fields], dtype=float),
    }
    frame = geopandas.GeoDataFrame(
        columns, geometry=[as_written(field.ground) for field in fields], crs="EPSG:4326"
    )
    return frame.set_index(
        pandas.Index([field.field_id for field in fields], name="field_id", dtype="object")
    )
