"""An outline gives the same verdict and the same acres in degrees, metres and feet, drawn right or
wrong.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import boundary_builders as s
import pytest
from hypothesis import HealthCheck, given, settings
from outlines import FIXED, outlines, polygons
from shapely import MultiPolygon
from shapely.geometry import mapping

from fieldplan.boundary.exclusions import load_exclusions
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError
from fieldplan.plane.frame import Frame

PLACE = Frame(-90.20, 46.50)
SYSTEMS = {
    "degrees": None,
    "UTM": 32615,
    "US survey feet": 2287,
    "international feet": 2251,
    "Albers": 5070,
}
"""Five systems that are all in use at the place."""
FIELD = polygons([[[(-500.0, -500.0), (-500.0, 600.0), (600.0, 600.0), (600.0, -500.0), (-500.0, -500.0)]]])
CLOSE, ROUNDED_M2 = 1e-5, 1e-4
Verdict = tuple[str, ...] | float


def _written(shape: MultiPolygon, code: int | None, path: Path) -> Path:
    lonlat = PLACE.to_lonlat(shape)
    if code is None:
        return s.geojson(path, mapping(lonlat))
    return s.geojson(
        path,
        mapping(s.in_crs(lonlat, code)),
        crs={"type": "name", "properties": {"name": f"urn:ogc:def:crs:EPSG::{code}"}},
    )


def _verdict(path: Path, *, repair: bool) -> Verdict:
    try:
        return sum(field.mapped_m2 for field in load_fields(path, ReadingTerms(repair=repair)).fields)
    except BoundaryError as error:
        return tuple(sorted(problem.code for problem in error.problems))


def _excluded(field: Path, path: Path, *, repair: bool) -> Verdict:
    try:
        cut = load_fields(field, None, [load_exclusions(path, ReadingTerms(repair=repair))]).fields
        return sum(one.excluded_m2 for one in cut)
    except BoundaryError as error:
        return tuple(sorted(problem.code for problem in error.problems))


def _same(verdicts: dict[str, Verdict]) -> bool:
    first = verdicts["degrees"]
    if isinstance(first, tuple):
        return all(verdict == first for verdict in verdicts.values())
    return all(
        isinstance(verdict, float | int) and abs(verdict - first) <= CLOSE * first + ROUNDED_M2
        for verdict in verdicts.values()
    )


def _everywhere(shape: MultiPolygon, folder: Path, *, repair: bool) -> dict[str, Verdict]:
    return {
        name: _verdict(_written(shape, code, folder / "fields.geojson"), repair=repair)
        for name, code in SYSTEMS.items()
    }


@settings(
    max_examples=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
@given(shape=outlines())
def test_any_outline_means_the_same_in_five_systems(shape: MultiPolygon) -> None:
    """Accepted in all with the same acres, or refused in all for the same reason; mended as asked, to the
    same acres.
    """
    with TemporaryDirectory() as folder:
        for repair in (False, True):
            verdicts = _everywhere(shape, Path(folder), repair=repair)
            assert _same(verdicts), verdicts


@settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(shape=outlines())
def test_any_exclusion_means_the_same_in_five_systems(shape: MultiPolygon) -> None:
    """The same outlines as ground that is not to be sown: the same acres cut, or the same refusal."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        field = _written(FIELD, None, folder / "fields.geojson")
        for repair in (False, True):
            verdicts = {
                system: _excluded(field, _written(shape, code, folder / "wet.geojson"), repair=repair)
                for system, code in SYSTEMS.items()
            }
            assert _same(verdicts), verdicts


@pytest.mark.parametrize("name", FIXED)
def test_each_kind_of_outline_means_the_same_in_five_systems(name: str, tmp_path: Path) -> None:
    """Every kind once, and in a GeoPackage in feet besides."""
    shape = polygons(FIXED[name], turned_deg=11.3)
    verdicts = _everywhere(shape, tmp_path, repair=False)
    feet = s.in_crs(PLACE.to_lonlat(shape), 2287)
    verdicts["GeoPackage"] = _verdict(
        s.vector(tmp_path / "fields.gpkg", feet, driver="GPKG", crs=2287), repair=False
    )
    assert _same(verdicts), verdicts
