"""A zip of one file that is the same bytes for the same content."""

from __future__ import annotations

import zipfile
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
    made = BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo(name, _FIXED_TIME), content, zipfile.ZIP_DEFLATED)
    return made.getvalue()
