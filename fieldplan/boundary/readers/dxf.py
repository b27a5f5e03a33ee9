"""DXF through fiona, once a scan of our own has let the drawing through.

The library skips what it does not know, reads on over what is missing, and draws every insert of every
block: a drawing of 300 bytes can ask for more lines than a machine can hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from fieldplan.boundary.layer import Layer
from fieldplan.boundary.readers.curves import STRAIGHTENED
from fieldplan.boundary.readers.dxf_scan import scanned
from fieldplan.boundary.readers.dxf_splines import written_anew
from fieldplan.boundary.readers.one_layer import read_layer, under_our_name
from fieldplan.errors import problem


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a drawing."""
    del kind, encoding
    drawing = scanned(path)
    place = folder / "read" / "boundary.dxf"
    if drawing.splines:
        place.parent.mkdir(parents=True)
        written_anew(path, place)
    else:
        under_our_name(path, place)
    layer = read_layer(place, "DXF", "entities", name)
    if layer is None:
        return
    if len(layer.features) < drawing.n_lines:
        layer = replace(
            layer,
            losses=(problem("features-lost/lines", n_held=drawing.n_lines, n_read=len(layer.features)),),
        )
    yield replace(layer, remarks=(STRAIGHTENED,)) if drawing.arcs or drawing.splines else layer
