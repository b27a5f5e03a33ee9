"""The layers of a file that the guard has let through, by pyogrio with everything remote switched off."""

from __future__ import annotations

from pathlib import Path

NOTHING_REMOTE = {
    "GML_DOWNLOAD_SCHEMA": "NO",
    "CPL_VSIL_CURL_ALLOWED_FILENAME": "/vsicurl/none",
    "GDAL_HTTP_MAX_RETRY": "0",
}


def layer_names(place: Path) -> tuple[str, ...] | None:
    """Names of the layers, in their order in the file; ``None`` if one holds mixed kinds with heights, for
    which the library has no name.

    The other library's listing takes no allow-list of drivers, and fetches what a file names.
    """
    import pyogrio
    from pyogrio.errors import GeometryError

    pyogrio.set_gdal_config_options(NOTHING_REMOTE)
    try:
        return tuple(str(name) for name, _ in pyogrio.list_layers(place))
    except GeometryError:
        return None
