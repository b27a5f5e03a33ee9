"""The plan as a GeoPackage: what a desktop map or a cab display can draw."""

from __future__ import annotations

from pathlib import Path

from fieldplan.model.plan import Plan
from fieldplan.report.layers import kind_of, layers_of
from fieldplan.report.styles import add_styles

_FIXED_DATE = "2000-01-01T00:00:00.000Z"
"""Written instead of today's date, so that the same plan gives the same bytes."""


def write_geopackage(plan: Plan, path: Path) -> None:
    """Write all layers of a plan, each with a default style, to a new GeoPackage."""
    import pyogrio

    kept = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": _FIXED_DATE})
    try:
        for layer, frame in layers_of(plan).items():
            pyogrio.write_dataframe(
                frame, path, layer=layer, driver="GPKG", geometry_type=kind_of(layer, frame), append=path.exists()
            )
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": kept})
    add_styles(path)
