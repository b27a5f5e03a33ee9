"""Fields of a GeoDataFrame go the way of those of a file."""

from __future__ import annotations

from pathlib import Path

import geopandas as gpd
import pandas as pd
import pytest
import shapely
from conftest import SAMPLES, TODAY

import fieldplan

FARM, JOB = SAMPLES / "farm.geojson", SAMPLES / "farm.toml"


def test_frame_gives_the_plan_of_its_file(planned: fieldplan.Plan, farm: gpd.GeoDataFrame) -> None:
    """Every number and note, ids from the column that a file would have them in."""
    assert fieldplan.plan(farm, JOB, today=TODAY).to_dict() == planned.to_dict()


def test_named_index_gives_the_ids(planned: fieldplan.Plan, farm: gpd.GeoDataFrame) -> None:
    """Also under a name that no file would have ids under, and before a column that would."""
    indexed = farm.set_index("field_id")
    assert fieldplan.plan(indexed, JOB, today=TODAY).to_dict() == planned.to_dict()
    parcels = farm.assign(parcel=["c", "b", "a"]).set_index("parcel")
    assert list(fieldplan.read_fields(parcels).to_frame().index) == ["c", "b", "a"]


def test_id_field_names_the_column_of_ids(farm: gpd.GeoDataFrame) -> None:
    """Before a named index."""
    parcels = farm.assign(parcel=["c", "b", "a"]).set_index("field_id")
    assert [one.field_id for one in fieldplan.read_fields(parcels, id_field="parcel")] == ["c", "b", "a"]
    planned = fieldplan.plan(parcels, JOB, id_field="parcel", name_field="parcel", today=TODAY)
    assert [(key, one.field.name) for key, one in planned.fields.items()] == [
        (one, one) for one in ("c", "b", "a")
    ]


def test_reprojected_frame_measures_the_same(farm: gpd.GeoDataFrame) -> None:
    """In UTM, which is 0.03 % off here: areas are those of the ellipsoid, to a square centimeter an acre."""
    degrees, projected = (
        fieldplan.read_fields(one).to_frame()["mapped_m2"] for one in (farm, farm.to_crs("EPSG:32615"))
    )
    assert projected.to_dict() == pytest.approx(degrees.to_dict(), rel=1e-6)


def test_frame_without_reference_system_is_refused_like_a_file(
    farm: gpd.GeoDataFrame, tmp_path: Path
) -> None:
    """With the same code, and read once it is told which it is."""
    bare = farm.set_crs(None, allow_override=True)
    with pytest.raises(fieldplan.BoundaryError, match="fields: declares no reference system") as refused:
        fieldplan.read_fields(bare)
    farm.to_file(tmp_path / "bare.shp")
    (tmp_path / "bare.prj").unlink()
    with pytest.raises(fieldplan.BoundaryError) as of_file:
        fieldplan.read_fields(tmp_path / "bare.shp")
    assert [one.code for one in refused.value.problems] == [one.code for one in of_file.value.problems]
    assert len(fieldplan.read_fields(bare, crs="EPSG:4326")) == 3


def test_attributes_mean_what_they_mean_in_a_file(farm: gpd.GeoDataFrame) -> None:
    """Mix, priority, gate and exclusions."""
    told = farm.assign(
        mix="oats and alfalfa",
        priority=[3, 1, 2],
        gate=["44.6166, -95.7250", None, None],
        exclusions=["wet, rock", None, None],
    )
    fields = fieldplan.read_fields(told)
    assert [one.field_id for one in fields] == ["ell", "creek", "quarter"]
    quarter = fields["quarter"]
    assert quarter.gate_lonlat == (-95.7250, 44.6166)
    assert quarter.mix == "oats and alfalfa"
    assert quarter.exclusion_reasons == ("wet", "rock")


def test_rows_without_geometry_are_said_and_left_out(farm: gpd.GeoDataFrame) -> None:
    """Both missing and empty ones; a frame with no other is refused."""
    holed = farm.copy()
    holed.loc[0, "geometry"] = None
    holed.loc[1, "geometry"] = shapely.Polygon()
    fields = fieldplan.read_fields(holed)
    assert [one.field_id for one in fields] == ["creek"]
    (note,) = [one for one in fields.model.notes if one.code == "features-left-out"]
    assert note.values["n_features"] == 2
    for nothing in (holed.iloc[:2], farm.iloc[:0], farm.set_index("field_id").iloc[:0]):
        with pytest.raises(fieldplan.BoundaryError) as refused:
            fieldplan.read_fields(nothing)
        assert [one.code for one in refused.value.problems] == ["no-fields"]


def test_outlines_are_repaired_and_overlaps_refused_as_in_a_file(farm: gpd.GeoDataFrame) -> None:
    """A bow tie stops, and is mended if that is asked for; ground that is there twice stops."""
    west, south, east, north = farm.geometry.iloc[0].bounds
    bow = shapely.Polygon(
        [(west, south), (east, north), (east, south), (west, north * 0.9999 + south * 0.0001)]
    )
    crossed = gpd.GeoDataFrame({"field_id": ["bow"]}, geometry=[bow], crs=farm.crs)
    with pytest.raises(fieldplan.BoundaryError, match="bow"):
        fieldplan.read_fields(crossed)
    assert fieldplan.read_fields(crossed, repair=True).notes
    twice = pd.concat([farm, farm.iloc[:1].assign(field_id="again")], ignore_index=True)
    with pytest.raises(fieldplan.BoundaryError, match="the same ground drawn twice"):
        fieldplan.read_fields(twice)


def test_frames_that_cannot_be_read_are_refused_in_words(farm: gpd.GeoDataFrame) -> None:
    """No geometry set, and two columns of one name."""
    with pytest.raises(fieldplan.BoundaryError, match="fields: has no column of geometry"):
        fieldplan.read_fields(gpd.GeoDataFrame({"field_id": ["a"]}))
    doubled = farm.rename(columns={"name": "field_id"})
    with pytest.raises(fieldplan.BoundaryError, match='fields: has two columns "field_id"'):
        fieldplan.read_fields(doubled)


def test_other_types_are_refused_by_name() -> None:
    """What is neither a path nor a GeoDataFrame, and a text that is no file."""
    with pytest.raises(TypeError, match="fields must be a path or a GeoDataFrame, not int"):
        fieldplan.plan(5, JOB)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="exclusions must be a path or a GeoDataFrame, not dict"):
        fieldplan.read_fields(FARM, exclusions={})  # type: ignore[arg-type]
    with pytest.raises(fieldplan.BoundaryError, match=r"no\.geojson: there is no such file"):
        fieldplan.read_fields("no.geojson")
    with pytest.raises(fieldplan.UsageError, match="set_back"):
        fieldplan.read_fields(FARM, set_back="30")


def test_exclusions_may_be_a_frame(farm: gpd.GeoDataFrame, tmp_path: Path) -> None:
    """With the result of the same ground in a file; several may be given."""
    spots = farm.geometry.to_crs("EPSG:32615").representative_point().buffer(30).to_crs(farm.crs)
    wet = gpd.GeoDataFrame({"reason": "wet"}, index=spots.index, geometry=spots)
    wet.to_file(tmp_path / "wet.geojson")
    own = fieldplan.read_fields(farm, exclusions=wet).to_frame()["excluded_m2"]
    assert (own > 2_500).all()
    of_file = fieldplan.read_fields(farm, exclusions=tmp_path / "wet.geojson").to_frame()["excluded_m2"]
    in_parts = fieldplan.read_fields(farm, exclusions=[wet.iloc[:1], wet.iloc[1:]]).to_frame()[
        "excluded_m2"
    ]
    assert own.to_dict() == pytest.approx(of_file.to_dict(), rel=1e-6)
    assert own.to_dict() == pytest.approx(in_parts.to_dict(), rel=1e-9)


def test_fields_read_before_are_planned_with_the_exclusions_of_the_job(samples: Path) -> None:
    """Which the job names for one field."""
    wet = gpd.read_file("farm.geojson").iloc[[1]].to_crs("EPSG:32615")
    wet.assign(reason="wet", geometry=wet.representative_point().buffer(30)).to_file("wet.gpkg")
    text = (samples / "farm.toml").read_text(encoding="utf-8")
    (samples / "wet.toml").write_text(f'{text}\n[field.ell]\nexclusions = "wet.gpkg"\n', encoding="utf-8")
    fields = fieldplan.read_fields("farm.geojson")
    planned = fieldplan.plan(fields, "wet.toml", today=TODAY)
    assert list(planned.fields["ell"].field.excluded_by_reason_m2) == ["wet"]
    assert planned.to_dict() == fieldplan.plan("farm.geojson", "wet.toml", today=TODAY).to_dict()
    with pytest.raises(TypeError, match="id_field: give this to read_fields"):
        fieldplan.plan(fields, "wet.toml", id_field="name")


def test_frame_of_fields_goes_back_in(planned: fieldplan.Plan, farm: gpd.GeoDataFrame) -> None:
    """What `to_frame` gives is read as the same fields."""
    frame = fieldplan.read_fields(farm).to_frame()
    assert frame.index.name == "field_id"
    assert frame.crs == "EPSG:4326"
    assert fieldplan.plan(frame, JOB, today=TODAY).to_dict()["fields"] == planned.to_dict()["fields"]


def test_fields_describe_themselves(farm: gpd.GeoDataFrame) -> None:
    """A line a field, in the units asked for."""
    fields = fieldplan.read_fields(farm, units="metric")
    assert repr(fields).splitlines()[0] == "3 fields of fields, 107.22 hectares"
    assert fields._repr_html_().count("<tr>") == 4


def test_plain_loaders_take_text() -> None:
    """As well as paths."""
    assert fieldplan.load_fields(str(FARM)).fields == fieldplan.load_fields(FARM).fields
    assert fieldplan.load_job(str(JOB)) == fieldplan.load_job(JOB)
