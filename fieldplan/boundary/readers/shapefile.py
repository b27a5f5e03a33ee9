"""Shapefiles: missing or damaged parts are reported, and the character set of the text is settled."""

from __future__ import annotations

import codecs
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
        yield replace(
            layer, remarks=(*layer.remarks, *remarks, *parts.remarks, *remark), losses=parts.losses
        )


def _with_newer_wkt(layer: Layer, prj: Path) -> Layer:
    """The layer with the reference system of a .prj in ISO 19162:2019 WKT or in UTF-16, which the library ignores."""
    if not prj.exists():
        return layer
    content = content_of(prj, BOUNDARY_FILE)
    marked = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    crs, statement = declared_crs(content.decode("utf-16" if marked else "utf-8-sig", "replace"))
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
    """The character set of the attributes: given, declared if it fits, UTF-8 if that fits, else a guess with a note.

    A .cpg that names no set, or another than the text is in, is taken away: the library would leave such text out, or
    read it as it is not.
    """
    if asked or not dbf.exists():
        return asked, []
    content = content_of(dbf, BOUNDARY_FILE)
    records = content[int.from_bytes(content[8:10], "little") :]
    if records.isascii():
        return None, []
    cpg = dbf.with_suffix(".cpg")
    if cpg.exists():
        said = content_of(cpg, BOUNDARY_FILE).decode("utf-8-sig", "replace").strip("\0 \t\r\n")
        named = _character_set(said)
        if named and _fits(records, named):
            return named, []
        cpg.unlink()
        unfit = fact("encoding-unfit", said=said[:40], encoding=_FALLBACK_ENCODING)
    elif content[_CODE_PAGE_AT] != b"\x00":
        return None, []
    else:
        unfit = fact("encoding-guessed", encoding=_FALLBACK_ENCODING)
    return ("UTF-8", []) if _fits(records, "UTF-8") else (_FALLBACK_ENCODING, [unfit])


def _character_set(said: str) -> str | None:
    """The name here of what a .cpg says, such as "UTF-8", "1252", "ANSI 1252" or "88591"; ``None`` if it is none.

    Examples
    --------
    >>> _character_set("ANSI 1252"), _character_set("88591"), _character_set("65001"), _character_set("KLINGON")
    ('cp1252', 'iso8859-1', 'utf-8', None)
    """
    number = said.rpartition(" ")[2].upper().removeprefix("CP")
    names = [said]
    if number.isascii() and number.isdigit():
        names = [f"iso8859-{number[4:]}"] if number.startswith("8859") else [f"cp{number}", said]
    for name in names:
        try:
            return str(codecs.lookup("utf-8" if number == "65001" else name).name)
        except (LookupError, ValueError):
            continue
    return None


def _fits(records: bytes, encoding: str) -> bool:
    try:
        records.decode(encoding)
    except (UnicodeDecodeError, LookupError):  # or a code that is not of text
        return False
    return True
