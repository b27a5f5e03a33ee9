"""Names of the layers of a file that the guard has accepted, by pyogrio with remote access switched off."""

from __future__ import annotations

from pathlib import Path

NOTHING_REMOTE = {
    "GML_DOWNLOAD_SCHEMA": "NO",
    "CPL_VSIL_CURL_ALLOWED_FILENAME": "/vsicurl/none",
    "GDAL_HTTP_MAX_RETRY": "0",
}


def layer_names(place: Path) -> tuple[str, ...] | None:
    """Names of the layers of a file, in their order.

    fiona's listing takes no allow-list of drivers, and would fetch what a file names.

    Returns
    -------
    tuple or None
        ``None`` if a layer has mixed geometries with heights, for which the library has no name.
    """
    import pyogrio
    from pyogrio.errors import GeometryError

    pyogrio.set_gdal_config_options(NOTHING_REMOTE)
    try:
        return tuple(str(name) for name, _ in pyogrio.list_layers(place))
    except GeometryError:
        return None
