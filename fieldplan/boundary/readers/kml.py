"""KML through pyogrio, every folder of it (a folder is a layer): the other reader at hand misreads spaced coordinates."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.errors import BoundaryError

_COORDINATES = re.compile(rb"<coordinates[^>]*>([^<]*)</coordinates>")
_IN_MEMORY = re.compile(r"pyogrio_[0-9a-f]{32}|None|")
"""What a document without a name gets for one."""
_FOUR_NUMBERS = re.compile(rb"(?:^|(?<=\s))[-\d.]+,[-\d.]+,[-\d.]+,[-\d.]+")
_OWN_ATTRIBUTES = ("timestamp", "begin", "end", "altitudeMode", "tessellate", "extrude", "visibility", "drawOrder", "icon")


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """A layer for each folder that holds placemarks."""
    del kind, folder, encoding
    import pyogrio

    content = path.read_bytes()
    for found in _COORDINATES.finditer(content):
        pair = _FOUR_NUMBERS.search(found[1])
        if pair:
            raise BoundaryError.of(
                "decimal-commas", f"{path}: coordinates are written with decimal commas ({pair[0].decode()}).",
                "export it with decimal points",
            )  # fmt: skip
    links = content.count(b"<NetworkLink")
    remarks = (
        ((("links-not-followed", f"{links} link(s) to other places stand in the file and are not followed."),)) if links else ()
    )
    crs, _ = declared_crs("EPSG:4326")
    # As bytes: neither the name of the file nor anything beside it can change what is opened.
    for number, (layer, _) in enumerate(pyogrio.list_layers(content)):
        meta, _, geometries, columns = pyogrio.raw.read(content, layer=number)
        features = tuple(_features(meta["fields"], geometries, columns))
        yield Layer(name=name if _IN_MEMORY.fullmatch(str(layer)) else str(layer), crs=crs, features=features, remarks=remarks)
        remarks = ()


def _features(names: Any, geometries: Any, columns: Any) -> Iterator[Feature]:
    kept = [(str(name), column) for name, column in zip(names, columns, strict=True) if name not in _OWN_ATTRIBUTES]
    read = shapely.from_wkb(geometries, on_invalid="ignore")
    broken = np.array([one is not None for one in geometries]) & shapely.is_missing(read)
    read[broken] = shapely.from_wkb(geometries[broken], on_invalid="fix")
    for i, geometry in enumerate(read):
        attributes = {name: column[i] for name, column in kept}
        lost = broken[i] and geometry is None
        yield Feature(attributes=attributes, geometry=geometry, ring_unclosed=bool(broken[i]) and not lost,
                      unreadable="its rings have too few points" if lost else "")  # fmt: skip
