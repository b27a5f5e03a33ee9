"""KML through pyogrio, every folder of it (a folder is a layer): the other reader at hand misreads spaced coordinates.

The document is written anew first: one encoding and namespace, one ring to each inner boundary, rings that stand alone
as lines. The library loses or misreads what is spelled otherwise.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import shapely

from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.boundary.markup import POINTERS, refuse_pointer
from fieldplan.boundary.readers.listing import layer_names
from fieldplan.errors import BoundaryError

_NAMESPACE = "http://www.opengis.net/kml/2.2"
_IN_MEMORY = re.compile(r"pyogrio_[0-9a-f]{32}|None|")
"""What a document without a name gets for one."""
_FOUR_NUMBERS = re.compile(r"(?:^|(?<=\s))[-\d.]+,[-\d.]+,[-\d.]+,[-\d.]+")
_OWN_ATTRIBUTES = ("timestamp", "begin", "end", "altitudeMode", "tessellate", "extrude", "visibility", "drawOrder", "icon")


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """A layer for each folder that holds placemarks."""
    del kind, folder, encoding
    import pyogrio

    root = ElementTree.parse(path).getroot()  # the guard has let through only documents without a document type
    _spell_plainly(root)
    _refuse_decimal_commas(root, path)
    links = sum(1 for _ in root.iter("NetworkLink"))
    remarks = (
        ((("links-not-followed", f"{links} link(s) to other places stand in the file and are not followed."),)) if links else ()
    )
    root.set("xmlns", _NAMESPACE)
    # As bytes: neither the name of the file nor anything beside it can change what is opened.
    content = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    if any(mark in content for mark in POINTERS):  # another encoding may have hidden it from the guard
        refuse_pointer(path)
    crs, _ = declared_crs("EPSG:4326")
    for number, layer in enumerate(layer_names(content)):
        meta, _, geometries, columns = pyogrio.raw.read(content, layer=number)
        if len(geometries):
            shown = name if _IN_MEMORY.fullmatch(layer) else layer
            yield Layer(name=shown, crs=crs, features=tuple(_features(meta["fields"], geometries, columns)), remarks=remarks)
            remarks = ()


def _spell_plainly(root: ElementTree.Element) -> None:
    """Take the namespace of the document off its elements, and mend how rings are held."""
    own = root.tag.rpartition("}")[0]
    for element in root.iter():
        space, _, local = element.tag.rpartition("}")
        if space == own:
            element.tag = local
    for parent in root.iter():
        for child in list(parent):
            if child.tag == "LinearRing" and parent.tag not in ("outerBoundaryIs", "innerBoundaryIs"):
                child.tag = "LineString"
            if child.tag == "innerBoundaryIs" and len(child) > 1:
                for ring in list(child)[1:]:
                    child.remove(ring)
                    ElementTree.SubElement(parent, "innerBoundaryIs").append(ring)


def _refuse_decimal_commas(root: ElementTree.Element, path: Path) -> None:
    for element in root.iter("coordinates"):
        pair = _FOUR_NUMBERS.search(element.text or "")
        if pair:
            raise BoundaryError.of("decimal-commas", f"{path}: coordinates are written with decimal commas ({pair[0][:60]}).",
                                   "export it with decimal points")  # fmt: skip


def _features(names: Any, geometries: Any, columns: Any) -> Iterator[Feature]:
    kept = [(str(name), column) for name, column in zip(names, columns, strict=True) if name not in _OWN_ATTRIBUTES]
    read = shapely.from_wkb(geometries, on_invalid="ignore")
    broken = np.array([one is not None for one in geometries], dtype=bool) & shapely.is_missing(read)
    read[broken] = shapely.from_wkb(geometries[broken], on_invalid="fix")
    for i, geometry in enumerate(read):
        attributes = {name: column[i] for name, column in kept}
        lost = broken[i] and geometry is None
        yield Feature(attributes=attributes, geometry=geometry, ring_unclosed=bool(broken[i]) and not lost,
                      unreadable="its rings have too few points" if lost else "")  # fmt: skip
