"""Zips that are the same bytes for the same content."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from io import BytesIO

_FIXED_TIME = (1980, 1, 1, 0, 0, 0)


def zip_of(name: str, content: bytes) -> bytes:
    """A zip that holds one file, with a fixed date.

    Parameters
    ----------
    name
        Path of the file in the zip.
    content
        Its bytes.
    """
    return zipped({name: content})


def zipped(contents: Mapping[str, bytes]) -> bytes:
    """A zip of files by their paths in it, with a fixed date."""
    made = BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents.items():
            archive.writestr(zipfile.ZipInfo(name, _FIXED_TIME), content, zipfile.ZIP_DEFLATED)
    return made.getvalue()
