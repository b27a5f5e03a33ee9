"""The plan as a GeoPackage: what a desktop map or a cab display can draw."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

from fieldplan.model.plan import Plan
from fieldplan.report.gis.layers import kind_of, layers_of
from fieldplan.report.gis.styles import add_styles
from fieldplan.report.output import Output, PlanAsked
from fieldplan.report.words.quantities import Quantities

VERSION = "1.2"
"""Of the standard: desktop maps of some years ago warn of later ones, and nothing here needs those."""
_FIXED_DATE = "2000-01-01T00:00:00.000Z"
"""Written instead of today's date, so that the same plan gives the same bytes."""


_MORE_THAN_A_BLOCK = b"\0" * 1_000_000


def write_geopackage(plan: Plan, q: Quantities, path: Path) -> None:
    """Write all layers of a plan, each with a default style, to a new GeoPackage.

    Parameters
    ----------
    plan
        The plan to write.
    q
        Units of the texts that stand on the map.
    path
        A file that does not exist yet.

    Raises
    ------
    OSError
        If it could not be written whole.
    """
    import pyogrio
    from pyogrio.errors import DataLayerError, DataSourceError

    frames = layers_of(plan, q)
    date_before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": _FIXED_DATE})
    try:
        for layer, frame in frames.items():
            pyogrio.write_dataframe(
                frame,
                path,
                layer=layer,
                driver="GPKG",
                dataset_options={} if path.exists() else {"VERSION": VERSION},
                geometry_type=kind_of(layer, frame),
                append=path.exists(),
            )
        add_styles(path)
        _require_whole(path, {layer: len(frame) for layer, frame in frames.items()})
    except (DataSourceError, DataLayerError, sqlite3.Error) as problem:
        _look_for_room(path.with_suffix(".room"))
        raise OSError(errno.EIO, str(problem).splitlines()[0]) from problem
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": date_before})


def _require_whole(path: Path, n_rows: Mapping[str, int]) -> None:
    """Count the rows again: the library has been seen to lose rows that it could not write, with no error."""
    with closing(sqlite3.connect(path)) as base:
        for layer, n_wanted in n_rows.items():
            (n_written,) = base.execute(f'SELECT count(*) FROM "{layer}"').fetchone()
            if n_written != n_wanted:
                raise sqlite3.DatabaseError(f"{n_written} of {n_wanted} {layer}")


def _look_for_room(path: Path) -> None:
    """Raise the system's own reason, such as a full disk: the libraries only say that something failed."""
    try:
        with path.open("wb") as probe:
            probe.write(_MORE_THAN_A_BLOCK)
    finally:
        path.unlink(missing_ok=True)


OUTPUT: Output[PlanAsked] = Output(
    name="gpkg",
    words="map layers for a desktop map",
    make=lambda asked: {"plan.gpkg": lambda path: write_geopackage(asked.plan, asked.q, path)},
)
