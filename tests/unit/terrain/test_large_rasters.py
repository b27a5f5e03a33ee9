"""A raster of 30 by 30 km at 10 m is read by a window: planning needs no more memory than with one of 1 km."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pyproj import Geod, Transformer
from shapely import MultiPolygon, box

from fieldplan.plane.frame import Frame
from fieldplan.terrain.raster import heights_about

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the unit of ru_maxrss differs by system")
rasterio = pytest.importorskip("rasterio", reason="reads heights: the extra hills")
Affine = pytest.importorskip("affine").Affine
WHOLE = 3001
"""Cells a side of 30 km at 10 m: 36 MB as they are stored, 72 MB as numbers of twice that width."""
FRAME = Frame(-93.0, 44.0)
FIELD = MultiPolygon([box(0, 0, 400, 400)])
MEASURED = """
import resource, sys
from pathlib import Path
from shapely import MultiPolygon, box
from fieldplan.plane.frame import Frame
from fieldplan.terrain.raster import heights_about
heights_about(Path(sys.argv[1]), MultiPolygon([box(0, 0, 400, 400)]), Frame(-93.0, 44.0))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


@dataclass(frozen=True)
class Kind:
    """A way to store heights; all rise by 5 % to the east."""

    name: str
    cells: int
    degrees: bool
    options: dict[str, Any]

    def write(self, folder: Path) -> Path:
        """The file, with the field near its middle."""
        path = folder / f"{self.name}.tif"
        middle = self.cells / 2
        if self.degrees:
            step = 0.0001
            transform = Affine(step, 0, -93.0 - middle * step, 0, -step, 44.0 + middle * step)
            cell_m, crs = 8.0, "EPSG:4269"
        else:
            east, north = Transformer.from_crs(4326, 32615, always_xy=True).transform(-93.0, 44.0)
            transform = Affine(10.0, 0, east - middle * 10, 0, -10.0, north + middle * 10)
            cell_m, crs = 10.0, "EPSG:32615"
        size = {"width": self.cells, "height": self.cells, "count": 1, "dtype": "float32"}
        row = (0.05 * cell_m * np.arange(self.cells)).astype("float32")[np.newaxis]
        with rasterio.open(
            path, "w", driver="GTiff", crs=crs, transform=transform, **size, **self.options
        ) as out:
            for first in range(0, self.cells, 256):
                n = min(256, self.cells - first)
                window = rasterio.windows.Window(0, first, self.cells, n)
                out.write(np.repeat(row, n, axis=0), 1, window=window)
        return path


TILED = {"tiled": True, "blockxsize": 256, "blockysize": 256, "compress": "deflate"}
SMALL = Kind("small", 101, False, TILED)
LARGE = (
    Kind("tiled", WHOLE, False, TILED),
    Kind("striped", WHOLE, False, {"compress": "deflate"}),
    Kind("degrees-striped", WHOLE, True, {"compress": "deflate"}),
    Kind("degrees-tiled", WHOLE, True, TILED),
    Kind("one-strip", WHOLE, False, {"blockysize": WHOLE, "compress": "deflate"}),
)


def _peak_mb(path: Path) -> float:
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, str(path)], capture_output=True, text=True, check=True
    )
    return float(run.stdout)


@pytest.fixture(scope="module")
def small_mb(tmp_path_factory: pytest.TempPathFactory) -> float:
    """Peak memory with the raster of 1 km."""
    return _peak_mb(SMALL.write(tmp_path_factory.mktemp("small")))


@pytest.mark.parametrize("kind", LARGE, ids=lambda kind: kind.name)
def test_a_large_raster_is_read_by_a_window(kind: Kind, small_mb: float, tmp_path: Path) -> None:
    """Less than a third of the raster more than with the small one (buffers of the library that reads it), and the slope is right; a file of one strip can
    only be unpacked whole, once, as it is stored.
    """
    path = kind.write(tmp_path)
    more_mb = _peak_mb(path) - small_mb
    print(f"{kind.name}: {more_mb:+.1f} MB over {small_mb:.0f}")
    assert more_mb < (WHOLE**2 * 4 / 1e6 * 1.4 if kind.name == "one-strip" else WHOLE**2 * 4 / 3e6)
    slope = heights_about(path, FIELD, FRAME).slope_frac
    cell_m = Geod(ellps="GRS80").inv(-93.0, 44.0, -93.0 + 0.0001, 44.0)[2]
    wanted = (
        0.05 * 8.0 / cell_m if kind.degrees else 0.05 * 0.9996
    )  # the scale of the zone on its central meridian
    assert np.nanmedian(slope) == pytest.approx(wanted, rel=2e-3)
