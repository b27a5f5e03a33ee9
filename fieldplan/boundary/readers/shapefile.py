"""Shapefiles: missing or damaged parts are reported, and the character set of the text is settled."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from fieldplan.boundary.guard import BOUNDARY_FILE, COMPANION
from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.boundary.readers.one_layer import read_layer
from fieldplan.boundary.readers.shapefile_parts import compared
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact
from fieldplan.files import content_of, opened

_PARTS = (".dbf", ".shx", ".prj", ".cpg")
_CODE_PAGE_AT = slice(29, 30)
_FALLBACK_ENCODING = "CP1252"


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a Shapefile, read from a copy so that an index can be rebuilt beside it."""
    place = folder / "read"
    place.mkdir()
    copy = place / "boundary.shp"
    shutil.copyfile(path, copy)
    for part in _beside(path):
        shutil.copyfile(part, copy.with_suffix(part.suffix.lower()))
    remarks = []
    if not copy.with_suffix(".dbf").exists():
        remarks.append(fact("shapefile-no-dbf"))
    if not copy.with_suffix(".shx").exists():
        remarks.append(fact("shapefile-no-shx"))
    encoding, remark = _encoding(copy.with_suffix(".dbf"), encoding)
    parts = compared(copy)
    options = {"encoding": encoding} if encoding else {}
    try:
        layer = _with_index(copy, name, options)
    except Exception:  # of classes that the library does not export
        if parts.losses:
            raise BoundaryError(parts.losses) from None
        raise
    if layer is not None:
        layer = layer if layer.crs else _with_newer_wkt(layer, copy.with_suffix(".prj"))
        layer = replace(layer, features=tuple(_as_stored(layer.features, parts.drawn)))
        yield replace(layer, remarks=(*remarks, *parts.remarks, *remark), losses=parts.losses)


def _with_newer_wkt(layer: Layer, prj: Path) -> Layer:
    """The layer with the reference system of a .prj in ISO 19162:2019 WKT, which the library ignores."""
    if not prj.exists():
        return layer
    crs, statement = declared_crs(content_of(prj, BOUNDARY_FILE).decode("utf-8", "replace"))
    return replace(layer, crs=crs, crs_statement=statement)


def _as_stored(features: Sequence[Feature], drawn: Sequence[bool]) -> Iterator[Feature]:
    """The features; unreadable where the record has a geometry that was not read."""
    for feature, has_geometry in zip(features, drawn or [False] * len(features), strict=True):
        gone = has_geometry and feature.geometry is None and not feature.unreadable
        yield replace(feature, unreadable=fact("unread/record")) if gone else feature


def _with_index(copy: Path, name: str, options: dict[str, str]) -> Layer | None:
    import fiona

    with fiona.Env(SHAPE_RESTORE_SHX="YES"):
        return read_layer(copy, "ESRI Shapefile", None, name, **options)


def _beside(path: Path) -> list[Path]:
    """The other parts of a Shapefile: same stem, if need be in another case; each can be opened."""
    stem = path.stem.lower()
    alike = [part for part in path.parent.iterdir() if part.stem.lower() == stem]
    beside = [part for part in alike if part.suffix.lower() in _PARTS]
    exact = [part for part in beside if part.stem == path.stem]
    for part in exact or beside:
        what = fact("called/shapefile-part", ending=part.suffix.lower())
        opened(part, replace(COMPANION, what=what)).close()
    return exact or beside


def _encoding(dbf: Path, asked: str | None) -> tuple[str | None, list[Fact]]:
    """The character set of the attributes: given, declared, UTF-8 if it fits, else a guess with a note."""
    if asked or not dbf.exists() or dbf.with_suffix(".cpg").exists():
        return asked, []
    content = content_of(dbf, BOUNDARY_FILE)
    if content[_CODE_PAGE_AT] != b"\x00":
        return None, []
    records = content[int.from_bytes(content[8:10], "little") :]
    if records.isascii():
        return None, []
    try:
        records.decode("utf-8")
    except UnicodeDecodeError:
        return _FALLBACK_ENCODING, [fact("encoding-guessed", encoding=_FALLBACK_ENCODING)]
    return "UTF-8", []
