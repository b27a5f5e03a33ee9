"""Written files as text that a person can review."""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import openpyxl
import pyogrio
from pypdf import PdfReader

MAX_ROWS = 8
"""Rows of a layer that are shown: the rest are like them."""
MAX_PAGES = 6
"""Pages of a PDF that are read: those of the first fields or renters, which the others are like."""
DIGITS = 7
"""Of a figure in SI: more of them depend on the libraries that measure."""


def _pdf(path: Path) -> str:
    pages = PdfReader(path).pages
    return "".join(
        f"--- page {i} of {len(pages)}\n{page.extract_text().rstrip()}\n"
        for i, page in enumerate(pages[:MAX_PAGES], 1)
    )


def _html(path: Path) -> str:
    text = re.sub(r"<(style|script)\b.*?</\1>", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = re.sub(r"</(?:td|th|dt)>", " | ", text)
    text = re.sub(
        r"<(?:/?(?:p|h\d|tr|li|ul|ol|div|table|dl|dd|section|header|nav|title|figure|figcaption|svg|option)|br)\b[^>]*>",
        "\n",
        text,
    )
    lines = (
        " ".join(line.split()).removesuffix(" |")
        for line in unescape(re.sub(r"<[^>]+>", " ", text)).splitlines()
    )
    return "".join(f"{line}\n" for line in lines if line)


def rounded(value: Any) -> Any:
    """Numbers of an object to so many digits as any machine finds alike."""
    if isinstance(value, float):
        return 0.0 if abs(value) < 1e-3 and abs(value) * 1e9 % 1 else float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    return [rounded(one) for one in value] if isinstance(value, list) else value


def json_text(text: str) -> str:
    """JSON, a line a member, short lists on one line."""
    spread = json.dumps(rounded(json.loads(text)), indent=1, ensure_ascii=False)
    return (
        re.sub(r"\[\s+([^\[\]{}]{1,100}?)\s+\]", lambda found: f"[{' '.join(found[1].split())}]", spread)
        + "\n"
    )


def _layers(path: Path) -> str:
    return "".join(_layer(path, name) for name, _ in pyogrio.list_layers(path))


def _layer(path: Path, name: str) -> str:
    frame = pyogrio.read_dataframe(path, layer=name, read_geometry=False)
    if name == "layer_styles":
        frame = frame[["f_table_name", "styleName"]] if "styleName" in frame else frame.iloc[:, :3]
    rows = [[_cell(one) for one in row] for row in frame.itertuples(index=False)]
    more = [f"… and {len(rows) - MAX_ROWS} more"] if len(rows) > MAX_ROWS else []
    lines = [
        f"--- {name}: {len(rows)} row(s)",
        " | ".join(frame.columns),
        *(" | ".join(row) for row in rows[:MAX_ROWS]),
        *more,
    ]
    return "\n".join(lines) + "\n"


def _cell(value: object) -> str:
    return str(rounded(float(value))) if isinstance(value, float) else str(value)


def _marks(path: Path) -> str:
    """Names, descriptions and data of a file of places; of names that only count on, the first."""
    lines: list[str] = []
    for one in ET.parse(path).iter():
        tag = one.tag.rsplit("}", 1)[-1]
        sentence = " ".join((one.text or "").split())
        if tag == "Data":
            sentence = f"{one.get('name')} = {''.join(one.itertext()).strip()}"
        if sentence and tag in (
            "name",
            "desc",
            "description",
            "Data",
            "cmt",
            "sym",
            "type",
            "text",
            "title",
        ):
            lines.append(f"{tag}: {sentence}")
    return "".join(f"{line}\n" for line in _less_alike(lines))


def _less_alike(lines: list[str]) -> Iterator[str]:
    last = ""
    for line in lines:
        alike = re.sub(r"\d+", "0", line)
        if alike != last:
            yield line
        last = alike


def _workbook(path: Path) -> str:
    return "".join(
        f"--- {sheet.title}\n"
        + "".join(
            " | ".join("" if cell is None else str(cell) for cell in row) + "\n"
            for row in sheet.iter_rows(values_only=True)
        )
        for sheet in openpyxl.load_workbook(path)
    )


def _start(path: Path) -> str:
    lines = path.read_text(encoding="utf-8-sig").splitlines()
    return "\n".join(lines[:40]) + (f"\n… and {len(lines) - 40} more\n" if len(lines) > 40 else "\n")


def _calendar(path: Path) -> str:
    return path.read_bytes().decode("utf-8").replace("\r\n ", "").replace("\r\n", "\n")


def _task_data(path: Path) -> str:
    """The device, products and values of a task; places left out."""
    with zipfile.ZipFile(path) as archive:
        root = ET.fromstring(archive.read("TASKDATA/TASKDATA.XML"))
    skipped = ("PNT", "LSG", "PLN", "TZN")
    lines = (
        f"{one.tag} {' '.join(f'{key}={value}' for key, value in one.attrib.items())}"
        for one in root.iter()
        if one.tag not in skipped
    )
    return "".join(f"{line}\n" for line in lines)


READERS: dict[str, Callable[[Path], str]] = {
    ".pdf": _pdf,
    ".html": _html,
    ".gpkg": _layers,
    ".kml": _marks,
    ".gpx": _marks,
    ".svg": _marks,
    ".xlsx": _workbook,
    ".csv": _start,
    ".geojson": _layers,
    ".ics": _calendar,
    ".zip": _task_data,
    ".toml": lambda path: path.read_text(encoding="utf-8"),
    ".txt": lambda path: path.read_text(encoding="utf-8"),
    ".json": lambda path: json_text(path.read_text(encoding="utf-8")),
}


def as_text(path: Path) -> str:
    """What a written file says."""
    return READERS[path.suffix](path)
