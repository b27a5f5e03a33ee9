"""One field of a million vertices: measured exactly, planned from a copy thinned to a centimetre, in
bounded time and memory.

Seconds stand beside a yardstick from the same run: pyproj's geodesic area of the bare ring. The area is
compared with geographiclib's, vertex by vertex.

    python -m tests.benchmarks.large_outline [--vertices N]
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from datetime import date
from pathlib import Path

import geopandas
import numpy as np
import shapely
from geographiclib.geodesic import Geodesic
from pyproj import Transformer

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_job
from fieldplan.units import ACRE_M2

JOB = Path(__file__).resolve().parents[2] / "sample_fields" / "farm.toml"


def _outline(n: int) -> shapely.Polygon:
    """A five-lobed field of about 124 acres."""
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    radius_m = 400 + 20 * np.sin(5 * angle)
    to_lonlat = Transformer.from_crs("+proj=aeqd +lat_0=44.2 +lon_0=-95.7", 4326, always_xy=True).transform
    return shapely.Polygon(np.column_stack(to_lonlat(radius_m * np.cos(angle), radius_m * np.sin(angle))))


def _by_geographiclib(outline: shapely.Polygon) -> float:
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in outline.exterior.coords[:-1]:
        polygon.AddPoint(lat, lon)
    return abs(float(polygon.Compute()[2]))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--vertices", type=int, default=1_000_000)
    n = parser.parse_args().vertices
    outline = _outline(n)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.gpkg"
        geopandas.GeoDataFrame({"name": ["large"]}, geometry=[outline], crs=4326).to_file(
            path, driver="GPKG"
        )
        marks = [time.perf_counter()]
        area_m2 = geodesic_area_m2(outline)
        marks.append(time.perf_counter())
        boundary = load_fields(path)
        marks.append(time.perf_counter())
        plan = plan_job(boundary, load_job(JOB), today=date(2027, 4, 1))
        marks.append(time.perf_counter())
    yardstick_s, load_s, plan_s = np.diff(marks)
    (field,) = plan.fields
    known_m2 = _by_geographiclib(outline)
    print(
        f"{n:,} vertices, {field.field.mapped_m2 / ACRE_M2:.6f} acres; geographiclib {known_m2 / ACRE_M2:.6f} "
        f"({field.field.mapped_m2 / known_m2 - 1:+.1e}), bare ring {area_m2 / ACRE_M2:.6f}"
    )
    print(
        f"missed {field.coverage.audit.missed_m2:.2f} m², outside {field.coverage.audit.outside_m2:.2f} m²"
    )
    print(f"{'stage':<24}{'s':>8}{'× yardstick':>13}")
    for stage, seconds in (
        ("geodesic area", yardstick_s),
        ("read, clean, measure", load_s),
        ("plan", plan_s),
    ):
        print(f"{stage:<24}{seconds:>8.2f}{seconds / yardstick_s:>13.1f}")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MB")


if __name__ == "__main__":
    main()
