"""Slope and heights against printed windows, closed forms, and a grid that a plotting library carries."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from pyproj import Transformer
from shapely import MultiPolygon, box

from fieldplan.errors import InputError
from fieldplan.plane.frame import Frame
from fieldplan.terrain import raster
from fieldplan.terrain.heights import Heights
from fieldplan.terrain.raster import heights_about
from fieldplan.terrain.relief import relief_of

rasterio = pytest.importorskip("rasterio", reason="reads heights: the extra hills")
Affine = pytest.importorskip("affine").Affine
FRAME = Frame(-95.0, 44.0)


def _window(rows: list[list[float]], cell_m: float) -> Heights:
    """A window as it is printed: its first row is the northern one."""
    return Heights(0.0, 0.0, cell_m, np.array(rows[::-1], dtype=float))


@pytest.mark.parametrize(
    ("rows", "cell_m", "slope_deg", "within"),
    [
        # a geographic vendor's help on slope prints 75.25762, with a rounded degree in a radian
        ([[50, 45, 50], [30, 30, 30], [8, 10, 10]], 5, 75.25762, 1e-4),
        # a university course on terrain prints 22.79
        ([[42, 45, 47], [40, 44, 49], [44, 48, 52]], 10, 22.79, 0.005),
        # closed form: 10 % to the north
        ([[3, 3, 3], [2, 2, 2], [1, 1, 1]], 10, math.degrees(math.atan(0.1)), 1e-9),
    ],
)
def test_horns_slope_is_as_printed(
    rows: list[list[float]], cell_m: float, slope_deg: float, within: float
) -> None:
    """Of the middle of nine heights."""
    slope = _window(rows, cell_m).slope_frac[1, 1]
    assert math.degrees(math.atan(slope)) == pytest.approx(slope_deg, abs=within)


def test_the_downhill_bearing_is_as_printed() -> None:
    """The same vendor's help on aspect prints 92.64 degrees for this window."""
    east, north = _window([[101, 92, 85], [101, 92, 85], [101, 91, 84]], 10).gradient[:, 1, 1]
    assert math.degrees(math.atan2(-east, -north)) % 360 == pytest.approx(92.64, abs=0.005)


def test_unknown_heights_leave_slope_unknown() -> None:
    """A node with an unknown neighbor has no slope; smoothing spreads no unknown height, and moves no plane."""
    x, y = np.meshgrid(np.arange(12.0), np.arange(12.0))
    plane = 3 * x + 2 * y
    holed = plane.copy()
    holed[5, 5] = np.nan
    heights = Heights(0.0, 0.0, 1.0, holed)
    assert np.isnan(heights.slope_frac[4:7, 4:7]).all()
    assert np.isfinite(heights.slope_frac[1:4, 1:-1]).all()
    smooth = Heights(0.0, 0.0, 1.0, plane).smoothed(1.0)
    assert smooth.z_m[4:8, 4:8] == pytest.approx(plane[4:8, 4:8])
    assert np.isnan(heights.smoothed(1.0).z_m[5, 5])


@pytest.mark.parametrize(
    ("slope", "more"), [(0.02, 0.00020), (0.08, 0.00319), (0.10, 0.00499), (0.20, 0.01980), (0.25, 0.03078)]
)
def test_a_slope_has_more_surface_than_its_plan(slope: float, more: float) -> None:
    """√(1 + s²): the figures of the formula; 5:1 is printed as 1.0198 in an erosion-control article."""
    x, y = np.meshgrid(np.arange(0.0, 50, 5), np.arange(0.0, 50, 5))
    heights = Heights(0.0, 0.0, 5.0, slope * y + 0 * x)
    relief = relief_of(heights, MultiPolygon([box(8, 8, 37, 37)]), 0.0, "plane")
    assert relief is not None
    assert relief.surface_frac == pytest.approx(more, abs=5e-6)
    assert relief.median_frac == pytest.approx(slope)
    assert relief.fall_deg == pytest.approx(180.0)


def _cells(west: float, north: float, wide: float, high: float) -> Affine:
    """Where the cells of a grid lie, from its northwestern corner."""
    return Affine(wide, 0.0, west, 0.0, -high, north)


def _written(path: Path, z: np.ndarray, crs: str | None, transform: object, **more: object) -> Path:
    rows, columns = z.shape
    options = {"height": rows, "width": columns, "count": 1, "dtype": z.dtype, **more}
    with rasterio.open(path, "w", driver="GTiff", crs=crs, transform=transform, **options) as out:
        out.write(z, 1)
    return path


@pytest.fixture
def tilted(tmp_path: Path) -> Path:
    """4 km of a plane that falls 7 % to the south, heights in meters, cells in degrees: the usual trap."""
    lat, lon = np.meshgrid(44.0 + 1e-4 * np.arange(200, -201, -1), -95.0 + 1e-4 * np.arange(-200, 201))
    z = (0.07 * 111_106.0 * (lat.T - 44.0) + 300 + 0 * lon.T).astype("float64")
    transform = _cells(-95.02005, 44.02005, 1e-4, 1e-4)
    return _written(tmp_path / "tilted.tif", z, "EPSG:4326", transform)


def test_degrees_against_meters_are_no_trap(tilted: Path) -> None:
    """Heights are placed in the plane of the field before slope is taken: 7 %, not nearly 90 degrees."""
    ground = MultiPolygon([box(-200, -200, 200, 200)])
    heights = heights_about(tilted, ground, FRAME)
    relief = relief_of(heights, ground, 0.0, "tilted.tif")
    assert relief is not None
    assert relief.known_frac == 1.0
    assert relief.median_frac == pytest.approx(0.07, rel=2e-3)
    assert relief.fall_deg == pytest.approx(180.0, abs=0.2)


def test_only_a_window_is_read(tilted: Path) -> None:
    """As many heights as a field needs, at cells no finer than slope bears."""
    heights = heights_about(tilted, MultiPolygon([box(-50, -50, 50, 50)]), FRAME)
    assert heights.z_m.size < 2_000
    assert heights.cell_m == pytest.approx(11.1, abs=0.1)


def test_feet_are_told_by_the_band(tmp_path: Path) -> None:
    """A band in feet is a third as steep as if they were meters."""
    x, y = np.meshgrid(np.arange(60.0), np.arange(60.0))
    z = 100 + 2.0 * x[::-1] + 0 * y
    transform = _cells(500_000 - 300, 4_872_600 + 300, 10, 10)
    path = _written(tmp_path / "feet.tif", z, "EPSG:32615", transform)
    with rasterio.open(path, "r+") as out:
        out.units = ("foot",)
    # on the central meridian of the zone, 300 m north of the grid's southern edge
    lon, lat = Transformer.from_crs(32615, 4326, always_xy=True).transform(500_000, 4_872_600)
    frame = Frame(lon, lat)
    ground = MultiPolygon([box(-80, -80, 80, 80)])
    relief = relief_of(heights_about(path, ground, frame), ground, 0.0, "feet.tif")
    assert relief is not None
    assert relief.median_frac == pytest.approx(0.2 * 0.3048, rel=5e-3)


def test_files_that_cannot_be_heights_are_refused(tmp_path: Path) -> None:
    """No GeoTIFF, no reference system, an unknown unit, heights of no ground: each says what to do."""
    ground = MultiPolygon([box(-50, -50, 50, 50)])
    transform = _cells(-95.01, 44.01, 1e-4, 1e-4)
    flat = np.full((200, 200), 250.0)
    (tmp_path / "text.tif").write_text("no picture")
    _written(tmp_path / "nowhere.tif", flat, None, transform)
    _written(tmp_path / "high.tif", np.full((200, 200), 99_999.0), "EPSG:4326", transform)
    unit = _written(tmp_path / "unit.tif", flat, "EPSG:4326", transform)
    with rasterio.open(unit, "r+") as out:
        out.units = ("furlong",)
    codes = {
        "text.tif": "elevation-unreadable",
        "nowhere.tif": "elevation-no-crs",
        "high.tif": "elevation-heights",
        "unit.tif": "elevation-unit",
        "missing.tif": "elevation-not-found",
    }
    for name, code in codes.items():
        with pytest.raises(InputError) as caught:
            heights_about(tmp_path / name, ground, FRAME)
        assert caught.value.problems[0].code == code


def test_a_virtual_raster_under_another_name_is_refused(tmp_path: Path, tilted: Path) -> None:
    """It could point at files or hosts that nobody named."""
    text = (
        '<VRTDataset rasterXSize="9" rasterYSize="9"><VRTRasterBand dataType="Float64" band="1"><SimpleSource>'
        f"<SourceFilename>{tilted}</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>"
    )
    path = tmp_path / "named.tif"
    path.write_text(text)
    with pytest.raises(InputError):
        heights_about(path, MultiPolygon([box(-50, -50, 50, 50)]), FRAME)


def test_a_public_grid_is_read_in_its_own_units(tmp_path: Path) -> None:
    """The Jacksboro fault grid (carried by a plotting library): 3 arc-seconds, meters, north edge first.

    Horn's slope at its own cells has the median 22.56 %; bilinear heights on a square grid are a little flatter.
    """
    samples = pytest.importorskip("matplotlib.cbook", reason="carries the grid")
    with samples.get_sample_data("jacksboro_fault_dem.npz") as grid:
        z, west = grid["elevation"].astype("float64"), float(grid["xmin"])
        north = max(float(grid["ymin"]), float(grid["ymax"]))  # its keys say them the other way round
    transform = _cells(west, north, 1 / 1200, 1 / 1200)
    path = _written(tmp_path / "jacksboro.tif", z, "EPSG:4326", transform)
    frame = Frame(-84.25, 36.6)
    ground = MultiPolygon([box(-8_000, -8_000, 8_000, 8_000)])
    relief = relief_of(heights_about(path, ground, frame), ground, 0.0, "jacksboro.tif")
    assert relief is not None
    assert relief.median_frac == pytest.approx(0.2256, rel=0.15)


GROUND = MultiPolygon([box(-80, -80, 80, 80)])


def _rising(cell: str = "float32", n: int = 80) -> np.ndarray:
    """A plane that rises by half a meter from each cell to the next."""
    return np.asarray(300 + 0.5 * np.mgrid[0:n, 0:n][1]).astype(cell)


def _in_zone(path: Path, z: np.ndarray, cell_m: float = 10.0, **more: object) -> Path:
    """Square cells about the field, in meters of a zone."""
    east, north = Transformer.from_crs(4326, 32615, always_xy=True).transform(-95.0, 44.0)
    half_m = cell_m * len(z) / 2
    return _written(path, z, "EPSG:32615", _cells(east - half_m, north + half_m, cell_m, cell_m), **more)


def _code(path: Path, ground: MultiPolygon = GROUND) -> str:
    with pytest.raises(InputError) as caught:
        heights_about(path, ground, FRAME)
    problem = caught.value.problems[0]
    assert len(problem.text) < 250
    return problem.code


@pytest.mark.parametrize("stands_for_none", [-999.0, -9999.0, -32767.0, 1e20, -3.4028234663852886e38])
def test_cells_that_are_not_marked_as_unknown_are_refused(stands_for_none: float, tmp_path: Path) -> None:
    """Lower than any shore or higher than any top: a number that stands for no height."""
    z = _rising()
    z[40, 40] = stands_for_none
    assert _code(_in_zone(tmp_path / "z.tif", z)).startswith("elevation-heights")
    marked = heights_about(_in_zone(tmp_path / "marked.tif", z, nodata=stands_for_none), GROUND, FRAME)
    assert np.nanmin(marked.z_m) > 300


def test_one_such_cell_does_not_hide_among_those_it_is_averaged_with(tmp_path: Path) -> None:
    """Nine cells of 1 m become one of 3 m: with eight of 300 m, -9999 is -844, and in feet that could be ground."""
    z = _rising(n=400)
    z[200, 200] = -9999
    assert _code(_in_zone(tmp_path / "fine.tif", z, 1.0)).startswith("elevation-heights")
    feet = _in_zone(tmp_path / "feet.tif", z, 1.0)
    with rasterio.open(feet, "r+") as out:
        out.units = ("ft",)
    assert _code(feet).startswith("elevation-heights")


def test_a_stored_number_of_no_height_is_refused_though_scaled(tmp_path: Path) -> None:
    """Tenths of a meter in whole numbers: -32768 is -3,277 m."""
    z = (10 * _rising()).astype("int16")
    z[40, 40] = -32768
    path = _in_zone(tmp_path / "tenths.tif", z)
    with rasterio.open(path, "r+") as out:
        out.scales = (0.1,)
    assert _code(path) == "elevation-heights"


def test_a_picture_is_not_taken_for_heights(tmp_path: Path) -> None:
    """Three bands of colors; one band of shades, as steep as nothing that is drilled; an alpha band is no second grid."""
    shades = np.random.default_rng(5).integers(0, 255, (80, 80)).astype("uint8")
    photo = _in_zone(tmp_path / "photo.tif", shades, count=3, photometric="RGB")
    assert _code(photo) == "elevation-bands"
    assert _code(_in_zone(tmp_path / "shades.tif", shades)) == "elevation-steep"
    veiled = _in_zone(tmp_path / "veiled.tif", _rising(), count=2, ALPHA="YES")
    with rasterio.open(veiled, "r+") as out:
        out.write(np.full((80, 80), 255.0, "float32"), 2)
    assert np.isfinite(heights_about(veiled, GROUND, FRAME).z_m).all()


def test_heights_of_a_grid_in_feet_need_their_unit(tmp_path: Path) -> None:
    """Places in feet and no unit of heights: feet as meters would be 3.28 times as steep, so nobody guesses."""
    east, north = Transformer.from_crs(4326, 26851, always_xy=True).transform(-95.0, 44.0)
    transform = _cells(east - 1200, north + 1200, 30, 30)
    path = _written(tmp_path / "state.tif", _rising(), "EPSG:26851", transform)
    assert _code(path) == "elevation-unit"
    told = relief_of(heights_about(path, GROUND, FRAME, 0.3048), GROUND, 0.0, "state.tif")
    assert told is not None
    assert told.median_frac == pytest.approx(0.5 / 30, rel=0.01)


def test_a_place_that_leads_nowhere_is_refused(tmp_path: Path) -> None:
    """A grid of a building site has meters, and no place on Earth."""
    path = _written(
        tmp_path / "local.tif", _rising(), 'LOCAL_CS["site",UNIT["metre",1]]', _cells(0, 0, 10, 10)
    )
    assert _code(path) == "elevation-no-crs"


def test_a_field_between_nodes_has_the_slope_of_its_middle(tmp_path: Path) -> None:
    """A strip narrower than a cell of 90 m."""
    path = _in_zone(tmp_path / "coarse.tif", _rising(), 90.0)
    strip = MultiPolygon([box(11, 11, 41, 20)])
    relief = relief_of(heights_about(path, strip, FRAME), strip, 0.0, "coarse.tif")
    assert relief is not None
    assert relief.median_frac == pytest.approx(0.5 / 90, rel=0.01)
    assert relief.known_frac == 1.0


def test_a_fine_grid_needs_no_more_memory_than_a_strip(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cells of 30 cm are read some rows at a time, with the same result as at once."""
    path = _in_zone(tmp_path / "fine.tif", 0.1 * _rising(n=900), 0.3)
    at_once = heights_about(path, GROUND, FRAME).z_m
    most = 0
    cells = raster._cells

    def watched(*words: object) -> np.ndarray:
        nonlocal most
        found = np.asarray(cells(*words))  # type: ignore[arg-type]
        most = max(most, found.size)
        return found

    monkeypatch.setattr(raster, "_cells", watched)
    monkeypatch.setattr(raster, "STRIP_CELLS", 20_000)
    assert (heights_about(path, GROUND, FRAME).z_m == at_once).all()
    assert 0 < most <= 20_000
