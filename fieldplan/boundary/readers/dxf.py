"""DXF, read by fiona once `dxf_scan` has accepted the drawing.

The library skips what it does not know, does not notice what is missing, and draws every insert of every
block: a drawing of 300 bytes can ask for more lines than fit in memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from fieldplan.boundary.layer import Layer
from fieldplan.boundary.readers.curves import STRAIGHTENED
from fieldplan.boundary.readers.dxf_scan import scanned
from fieldplan.boundary.readers.dxf_splines import rewrite_splines
from fieldplan.boundary.readers.one_layer import read_layer, under_fixed_name
from fieldplan.errors import problem


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a drawing."""
    del encoding
    drawing = scanned(path)
    place = folder / "read" / "boundary.dxf"
    if drawing.splines:
        place.parent.mkdir(parents=True)
        rewrite_splines(path, place)
    else:
        under_fixed_name(path, place)
    layer = read_layer(place, "DXF", "entities", name)
    if layer is None:
        return
    if len(layer.features) < drawing.n_lines:
        loss = problem("features-lost/lines", n_held=drawing.n_lines, n_read=len(layer.features))
        layer = replace(layer, losses=(loss,))
    yield (
        replace(layer, remarks=(*layer.remarks, STRAIGHTENED)) if drawing.arcs or drawing.splines else layer
    )
