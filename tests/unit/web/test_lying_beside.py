"""A job's folder that was made by hand: which of its files may be put on the map, and that they are read as if dropped."""

from __future__ import annotations

import shutil
from pathlib import Path

import geopandas
from conftest import SAMPLES

from fieldplan.web.arrived import sources_in
from fieldplan.web.intake import read
from fieldplan.web.lying_beside import outlines_beside, taken_from


def test_outlines_are_offered_and_nothing_else(tmp_path: Path) -> None:
    """No job file, record or rate card, none that the job names for something else, no link and no folder."""
    for name in ("farm.geojson", "ponds.gpkg", "farm.toml", "rates.toml", "station.csv"):
        shutil.copy(SAMPLES / name, tmp_path / name)
    for name in ("fields.gpkg", "exclusions.gpkg", ".hidden.kml"):
        shutil.copy(SAMPLES / "ponds.gpkg", tmp_path / name)
    (tmp_path / "folder.kml").mkdir()
    (tmp_path / "link.kml").symlink_to(SAMPLES / "pivot.kml")
    assert outlines_beside(tmp_path, {}) == ("farm.geojson", "ponds.gpkg")
    named = {"field": {"ell": {"exclusions": "ponds.gpkg"}}}
    assert outlines_beside(tmp_path, named) == ("farm.geojson",)
    assert outlines_beside(None, {}) == outlines_beside(tmp_path / "gone", {}) == ()


def test_what_is_taken_is_what_a_drop_would_bring(tmp_path: Path) -> None:
    """A Shapefile comes with all its parts: three fields of the farm, with their ids."""
    farm = geopandas.read_file(SAMPLES / "farm.geojson")
    (tmp_path / "job").mkdir()
    farm.to_file(tmp_path / "job" / "farm.shp")
    (name,) = outlines_beside(tmp_path / "job", {})
    place = tmp_path / "place"
    place.mkdir()
    (source,) = sources_in(taken_from(tmp_path / "job", name), place)
    found = read(source, "fields")
    assert [one.field_id for one in found.fields] == farm["field_id"].tolist()
