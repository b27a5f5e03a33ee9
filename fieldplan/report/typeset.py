"""PDF and PNG from templates and pictures; no other module calls the typesetter."""

from __future__ import annotations

import json
import re
import struct
import zlib
from importlib.resources import files
from typing import Any, Literal

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact

Paper = Literal["us-letter", "a4"]
_BREAKS = re.compile(r"(\S{16})(?=\S{8})")
_DOTS_PER_M = 5906
"""150 dots per inch."""
_AFTER_HEADER = 33
"""Where the second chunk of a PNG begins: after the signature and its header."""
_LAST_EMBEDDED = 0x052F
"""The last letter of the fonts that come along (Latin, Greek, Cyrillic); beyond it the system's fonts are used."""


def _typst() -> Any:
    try:
        import typst
    except ImportError:
        raise MissingExtra.named("sheets", fact("extra-for/pdf")) from None
    return typst


def compiled(template: str, data: dict[str, Any]) -> bytes:
    """A PDF from a template; texts go in as data, never as markup.

    Parameters
    ----------
    template
        Name of a file in ``report/paper``, without ".typ".
    data
        What the template reads: nested dicts and lists of texts.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    source = files("fieldplan.report.paper").joinpath(f"{template}.typ").read_bytes()
    text = json.dumps(_breakable(data), ensure_ascii=False)
    fonts = _typst().Fonts(
        include_system_fonts=any(_LAST_EMBEDDED < ord(c) < 0x2000 or ord(c) > 0x2E00 for c in text)
    )
    compiler = _typst().Compiler(source, font_paths=fonts, sys_inputs={"data": text})
    return compiler.compile(format="pdf")  # type: ignore[no-any-return]


def _breakable(data: Any) -> Any:
    """The data with places to break in words that would run off the paper; pictures are left as they are."""
    if isinstance(data, dict):
        return {key: value if key == "map" else _breakable(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_breakable(item) for item in data]
    return _BREAKS.sub("\\1\u200b", data) if isinstance(data, str) else data


def png_of(svg: str) -> bytes:
    """A picture as PNG marked as 150 dots per inch, so that it prints to its scale.

    Parameters
    ----------
    svg
        The picture as SVG, sized in mm.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    template = b'#set page(width: auto, height: auto, margin: 0mm)\n#image(bytes(json(bytes(sys.inputs.data)).map), format: "svg")'
    compiler = _typst().Compiler(
        template,
        font_paths=_typst().Fonts(include_system_fonts=False),
        sys_inputs={"data": json.dumps({"map": svg})},
    )
    png: bytes = compiler.compile(format="png", ppi=150.0)
    # a chunk of a PNG: length of its content, name and content, checksum
    size = b"pHYs" + struct.pack(">IIB", _DOTS_PER_M, _DOTS_PER_M, 1)
    chunk = struct.pack(">I", 9) + size + struct.pack(">I", zlib.crc32(size))
    return png[:_AFTER_HEADER] + chunk + png[_AFTER_HEADER:]
