"""XML files: their root element, and a refusal of what no boundary file needs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO
from xml.etree import ElementTree
from xml.parsers import expat

from fieldplan.errors import BoundaryError
from fieldplan.files import Purpose, opened

POINTERS = (b"OGRVRT", b"gdal_streamed_alg", b"OGRWFSDataSource", b"OGRCSWDataSource", b"OGRAPI")
"""Marks of virtual and remote formats, which a library may find anywhere in a file."""
MAX_ELEMENTS = 5_000_000
DEEPEST = 100
_CHUNK_BYTES = 1 << 20


def root_of(path: Path, purpose: Purpose) -> tuple[str, frozenset[str]]:
    """Local name of the root element and the namespaces it declares, once the whole document is checked.

    Raises
    ------
    BoundaryError
        If the document declares a document type (its entities may point to other files, or grow without
        end), has the mark of a format that points elsewhere, is not well-formed XML, or has more or deeper
        elements than any boundary needs.
    """
    root: list[str] = []
    namespaces: set[str] = set()
    elements = depth = 0

    def on_start(name: str, _attributes: dict[str, str]) -> None:
        nonlocal elements, depth
        if not root:
            root.append(name.rpartition(" ")[2])
        elements, depth = elements + 1, depth + 1
        if elements > MAX_ELEMENTS or depth > DEEPEST:
            raise BoundaryError.of(
                "file-too-large/elements", file=str(path), n_most=MAX_ELEMENTS, n_deep=DEEPEST
            )

    def on_end(_name: str) -> None:
        nonlocal depth
        depth -= 1

    def on_namespace(_prefix: str | None, address: str | None) -> None:
        if not root and address:
            namespaces.add(address)

    def on_doctype(*_: object) -> None:
        raise BoundaryError.of("file-refused/document-type", file=str(path))

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = on_start, on_end
    parser.StartNamespaceDeclHandler = on_namespace
    parser.StartDoctypeDeclHandler = on_doctype
    try:
        with opened(path, purpose) as stream:
            _past_blanks(stream)
            tail = b""
            while chunk := stream.read(_CHUNK_BYTES):
                if any(mark in tail + chunk for mark in POINTERS):
                    refuse_pointer(path)
                tail = chunk[-32:]
                parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except (expat.ExpatError, LookupError, ValueError) as problem:  # the latter two: an unknown encoding
        raise BoundaryError.of("file-unreadable/xml", file=str(path), reason=str(problem)) from None
    return root[0], frozenset(namespaces)


def tree_of(path: Path, purpose: Purpose) -> ElementTree.Element:
    """The root element of a document that the guard has accepted."""
    with opened(path, purpose) as stream:
        _past_blanks(stream)
        return ElementTree.parse(stream).getroot()


def _past_blanks(stream: BinaryIO) -> None:
    """Go to where a document begins: some programs write empty lines before it, which the standard forbids."""
    head = stream.read(_CHUNK_BYTES)
    stream.seek(len(head) - len(head.lstrip(b" \t\r\n")))


def local(element: ElementTree.Element) -> str:
    """The name of an element without its namespace.

    Examples
    --------
    >>> local(ElementTree.Element("{http://www.opengis.net/kml/2.2}Placemark"))
    'Placemark'
    """
    return str(element.tag).rpartition("}")[2]


def named(parent: ElementTree.Element, *names: str) -> Iterator[ElementTree.Element]:
    """The children of an element that have one of these names, in whatever namespace."""
    return (child for child in parent if local(child) in names)


def refuse_pointer(path: Path) -> None:
    """Raise the error for a file of a format that points to other files or addresses."""
    raise BoundaryError.of("file-refused/pointer", file=str(path))
