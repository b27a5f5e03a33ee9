"""The columns of a region's rows: name, type, unit and meaning, in SI; and rows as GeoParquet."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any, Literal

import shapely

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.work.clock import KINDS

Row = dict[str, Any]
"""A row by the names of its columns; what is not there is null."""
Kind = Literal["text", "texts", "whole", "number", "numbers", "lots", "carriers", "geometry"]
SCHEMA = "fieldplan/region/1"
GEOPARQUET = "1.1.0"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of rows.

    Parameters
    ----------
    unit
        As UCUM writes it; empty for texts, counts and shares.
    """

    name: str
    kind: Kind
    unit: str
    meaning: str


AREAS = (
    ("mapped_m2", "outline less holes, on the ellipsoid; of a refused parcel what its outline holds"),
    ("excluded_m2", "mapped ground that is not to be sown"),
    ("plantable_m2", "mapped less excluded"),
    ("drilled_m2", "length drilled times width"),
    ("double_sown_m2", "overlap"),
    ("missed_m2", "plantable ground that no pass covers"),
    ("outside_m2", "sown outside the parcel"),
)
COUNTS = (
    ("sowings", "times the parcel is sown"),
    ("headland_rounds", "rounds along the edge"),
    ("passes", "passes"),
    ("turns", "turns"),
    ("turns_backing", "turns that back up"),
    ("refills", "stops to fill boxes"),
)
LENGTHS = (
    ("pass_m", "passes"),
    ("headland_m", "headland rounds"),
    ("turn_m", "turns"),
    ("reverse_m", "the part of turns in reverse"),
    ("travel_m", "driven with the drill lifted except turns"),
    ("for_seed_m", "the part of travel to the seed and back"),
)
TIMES = (
    *((f"{kind.key}_s", f"{kind.key}, a part of the field time") for kind in KINDS),
    ("field_s", "everything between entering and leaving the parcel"),
    ("job_s", "the parcel as a job by itself, from pick-up to return of the drill"),
    ("handbook_low_s", "shortest field time by the handbook"),
    ("handbook_high_s", "longest field time by the handbook"),
)
FIELDS: tuple[Column, ...] = (
    Column("row", "whole", "", "number of the row in the file, from 0"),
    Column("field_id", "text", "", "id of the parcel"),
    Column("name", "text", "", "name of the parcel"),
    Column("code", "text", "", "why it cannot be planned; empty if it is"),
    Column("detail", "text", "", "kind of a fault of the planner; else empty"),
    Column("notes", "texts", "", "codes of the notes of its plan"),
    Column("job", "text", "", "job file that it is planned with"),
    Column("mix", "text", "", "seed mix"),
    Column("pattern", "text", "", "how passes run"),
    *(Column(name, "number", "m2", meaning) for name, meaning in AREAS),
    *(Column(name, "whole", "", meaning) for name, meaning in COUNTS),
    *(Column(name, "number", "m", meaning) for name, meaning in LENGTHS),
    *(Column(name, "number", "s", meaning) for name, meaning in TIMES),
    Column("field_efficiency_frac", "number", "1", "plantable ground / (width * field speed * field time)"),
    Column("headings_deg", "numbers", "deg", "true headings of passes, longest first"),
    Column("gate_lon_deg", "number", "deg", "longitude of the gate"),
    Column("gate_lat_deg", "number", "deg", "latitude of the gate"),
    Column("seed", "lots", "kg", "seed by species and lot: sown, pure live seed in it, needed"),
    Column("carriers", "carriers", "kg", "inert carrier needed"),
    Column("attributes", "text", "", "attributes of the parcel in the file, as JSON"),
    Column("geometry", "geometry", "deg", "outline in longitude and latitude on WGS84"),
)
PASSES: tuple[Column, ...] = (
    Column("row", "whole", "", "number of the parcel's row in the file, from 0"),
    Column("field_id", "text", "", "id of the parcel"),
    Column("kind", "text", "", "headland or pass"),
    Column("leg", "whole", "", "place in the route, from 1"),
    Column("number", "whole", "", "of the pass or round"),
    Column("block", "whole", "", "block of the pass"),
    Column("length_m", "number", "m", "length driven with the openers in the ground"),
    Column("start_s", "number", "s", "since entering the parcel"),
    Column("geometry", "geometry", "deg", "line driven, in longitude and latitude on WGS84"),
)
SUMMED = tuple(
    column.name
    for column in FIELDS
    if column.kind in ("number", "whole")
    and column.name.endswith(("_m2", "_m", "_s", "passes", "turns", "turns_backing", "refills", "rounds"))
)
"""Columns that are added up."""


def with_arrow() -> tuple[Any, Any]:
    """The libraries that read and write Parquet.

    Raises
    ------
    MissingExtra
        If they are not installed.
    """
    try:
        import pyarrow
        from pyarrow import parquet
    except ImportError:
        raise MissingExtra.named("scale", fact("extra-for/region")) from None
    return pyarrow, parquet


def geoparquet(rows: Sequence[Row], columns: Iterable[Column]) -> bytes:
    """Rows as a GeoParquet file: units and meanings stand in the metadata of its columns.

    Parameters
    ----------
    rows
        With geometries as well-known binary, in longitude and latitude on WGS84.
    """
    pa, parquet = with_arrow()
    columns = tuple(columns)
    schema = _schema(columns).with_metadata(
        {b"fieldplan": SCHEMA.encode(), b"geo": json.dumps(_geo(rows), sort_keys=True).encode()}
    )
    arrays = [
        pa.array([row.get(column.name) for row in rows], type=field.type)
        for column, field in zip(columns, schema, strict=True)
    ]
    made = BytesIO()
    parquet.write_table(
        pa.Table.from_arrays(arrays, schema=schema), made, compression="zstd", row_group_size=len(rows) or 1
    )
    return made.getvalue()


@lru_cache(maxsize=2)
def _schema(columns: tuple[Column, ...]) -> Any:
    pa, _ = with_arrow()
    types = _types(pa)
    return pa.schema(
        [
            pa.field(
                column.name,
                types[column.kind],
                metadata={b"unit": column.unit.encode(), b"meaning": column.meaning.encode()},
            )
            for column in columns
        ]
    )


def _types(pa: Any) -> Mapping[Kind, Any]:
    number, text = pa.float64(), pa.string()
    lot = [
        ("species", text),
        ("lot", text),
        ("sown_kg", number),
        ("sown_pls_kg", number),
        ("need_kg", number),
    ]
    return {
        "text": text,
        "texts": pa.list_(text),
        "whole": pa.int64(),
        "number": number,
        "numbers": pa.list_(number),
        "lots": pa.list_(pa.struct(lot)),
        "carriers": pa.list_(pa.struct([("carrier", text), ("need_kg", number)])),
        "geometry": pa.binary(),
    }


def _geo(rows: Sequence[Row]) -> dict[str, Any]:
    """The metadata that GeoParquet asks for; without a reference system it means longitude and latitude."""
    shapes = shapely.from_wkb([row["geometry"] for row in rows if row.get("geometry") is not None])
    about: dict[str, Any] = {"encoding": "WKB", "geometry_types": sorted({one.geom_type for one in shapes})}
    if len(shapes):
        about["bbox"] = [float(edge) for edge in shapely.total_bounds(shapes)]
    return {"version": GEOPARQUET, "primary_column": "geometry", "columns": {"geometry": about}}
