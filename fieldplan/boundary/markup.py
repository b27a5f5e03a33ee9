"""XML files by their root element; a document type declaration is refused wherever it stands."""

from __future__ import annotations

from pathlib import Path
from xml.parsers import expat

from fieldplan.errors import BoundaryError

POINTERS = (b"OGRVRT", b"gdal_streamed_alg", b"OGRWFSDataSource", b"OGRCSWDataSource", b"OGRAPI")
"""Marks of virtual and remote formats. A library that tells formats by content may find them anywhere in a file."""
_CHUNK_BYTES = 1 << 20


def root_of(path: Path) -> tuple[str, frozenset[str]]:
    """Local name of the root element, and the namespaces it declares; the whole document is checked to be well formed.

    Raises
    ------
    BoundaryError
        If the document declares a document type (its entities may point at other files, or grow without end), if it
        bears the mark of a format that points elsewhere, or if it is not well-formed XML.
    """
    root: list[str] = []
    namespaces: set[str] = set()

    def on_start(name: str, _attributes: dict[str, str]) -> None:
        if not root:
            root.append(name.rpartition(" ")[2])

    def on_namespace(_prefix: str | None, address: str | None) -> None:
        if not root and address:
            namespaces.add(address)

    def on_doctype(*_: object) -> None:
        raise BoundaryError.of("file-refused", f"{path}: declares a document type, which is refused.",
                               "export it again without one")  # fmt: skip

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = on_start
    parser.StartNamespaceDeclHandler = on_namespace
    parser.StartDoctypeDeclHandler = on_doctype
    try:
        with path.open("rb") as stream:
            tail = b""
            while chunk := stream.read(_CHUNK_BYTES):
                if any(mark in tail + chunk for mark in POINTERS):
                    refuse_pointer(path)
                tail = chunk[-32:]
                parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except (expat.ExpatError, LookupError, ValueError) as problem:  # an encoding it does not know is the latter two
        raise BoundaryError.of(
            "file-unreadable", f"{path}: the XML is damaged or incomplete ({problem}).", "export it again"
        ) from None
    return root[0], frozenset(namespaces)


def refuse_pointer(path: Path) -> None:
    """Refuse a file of a format that points at other files or addresses."""
    raise BoundaryError.of("file-refused", f"{path}: points at other files or addresses, which is refused.",
                           "give the file that it points at")  # fmt: skip
