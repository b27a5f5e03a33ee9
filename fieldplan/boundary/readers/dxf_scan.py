"""A drawing's group codes, read one by one before any library opens it (DXF reference, public).

The scan counts what the drawing would have once every insert is drawn, and checks the counts that it
states, its sections and its end. Nothing is drawn here.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    LARGEST_TEXT_BYTES,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_vertices,
)
from fieldplan.boundary.readers.curves import EDGES_OF_CIRCLE
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact
from fieldplan.files import opened

MAX_CONTROL_POINTS = 2_000
MAX_DEGREE = 25
MAX_DEEP = 20
_SECTIONS = ("HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS", "THUMBNAILIMAGE", "ACDSDATA")
_LINES = {
    "LINE": (10, 20, 11, 21),
    "CIRCLE": (10, 20, 40),
    "ARC": (10, 20, 40, 50, 51),
    "ELLIPSE": (10, 20, 11, 21, 40),
}
"""Entities drawn as lines, and the group codes each must have."""
_DRAWN = (*_LINES, "LWPOLYLINE", "POLYLINE", "SPLINE")
_ARCS = ("CIRCLE", "ARC", "ELLIPSE")
_OTHER_NAMES = """
    3DFACE 3DSOLID ACAD_PROXY_ENTITY ACAD_TABLE ARC_DIMENSION ATTDEF ATTRIB BLOCK BODY DIMENSION ENDBLK
    EXTRUDEDSURFACE HATCH HELIX IMAGE INSERT LARGE_RADIAL_DIMENSION LEADER LIGHT LOFTEDSURFACE MESH
    MLEADER MLINE MPOLYGON MTEXT MULTILEADER OLE2FRAME OLEFRAME PLANESURFACE POINT RAY REGION
    REVOLVEDSURFACE RTEXT SECTION SECTIONENTITY SEQEND SHAPE SOLID SURFACE SWEPTSURFACE TABLE TEXT
    TOLERANCE TRACE UNDERLAY DGNUNDERLAY DWFUNDERLAY PDFUNDERLAY VERTEX VIEWPORT WIPEOUT XLINE
"""
_OTHERS = frozenset(_OTHER_NAMES.split())
"""Entities that are known and not drawn as lines."""
_NOT_INSERTING = ("VERTEX", "TEXT", "MTEXT", "ATTRIB", "ATTDEF", "HATCH")
"""Entities whose group code 2 does not name a block."""
_NUMBERS = (*range(10, 60), *range(210, 240))
EDGES_OF_SPAN = 256
"""Edges of a spline between two knots: 0.35° each on a quarter circle, which loses 6e-6 of its area."""

Pair = tuple[int, str]
"""A group code and its value."""


@dataclass(slots=True)
class _Group:
    """What the drawing itself, or one block, has: lines, vertices, and how often it inserts each block."""

    lines: int = 0
    vertices: int = 0
    inserts: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What a drawing has.

    Parameters
    ----------
    n_lines
        Lines and curves outside of blocks.
    arcs, splines
        Whether there are any, in blocks too.
    """

    n_lines: int
    arcs: bool
    splines: bool


class _Scan:
    """Counts the blocks and entities of one drawing."""

    def __init__(self) -> None:
        self.blocks: dict[str, _Group] = defaultdict(_Group)
        self.drawing = _Group()
        self.arcs = self.splines = False
        self._block = ""
        self._in_polyline = False

    def take(self, kind: str, pairs: list[Pair], line: int) -> None:
        """Count one entity of a block or of the drawing.

        Parameters
        ----------
        pairs
            Its group codes and values.
        line
            The line of the file where it begins, for errors.

        Raises
        ------
        BoundaryError
            If it is unknown, damaged, or draws more than is read.
        """
        if kind not in _DRAWN and kind not in _OTHERS and "_" not in kind:
            raise damaged(fact("drawing/no-entity", line=line, kind=kind[:40]))
        self._check_sequence(kind, line)
        first: dict[int, str] = {}
        for code, value in pairs:
            first.setdefault(code, value)
        if kind == "BLOCK":
            self._block = first.get(2, "").casefold()
            self.blocks[self._block] = _Group()
        elif kind == "ENDBLK":
            self._block = ""
        else:
            self._count(kind, pairs, first, line)

    def _check_sequence(self, kind: str, line: int) -> None:
        if self._in_polyline and kind not in ("VERTEX", "SEQEND"):
            raise damaged(fact("drawing/polyline-open", line=line))
        if kind == "VERTEX" and not self._in_polyline:
            raise damaged(fact("drawing/stray-vertex", line=line))
        self._in_polyline = kind in ("POLYLINE", "VERTEX")

    def _count(self, kind: str, pairs: list[Pair], first: dict[int, str], line: int) -> None:
        group = self.blocks[self._block] if self._block else self.drawing
        n_of = Counter(code for code, _ in pairs)
        lacking = [code for code in _LINES.get(kind, ()) if code not in n_of]
        if lacking or (kind == "LWPOLYLINE" and not n_of[10] == n_of[20] == _whole(first.get(90, ""))):
            raise damaged(fact("drawing/coordinates", line=line, kind=kind))
        if kind == "SPLINE" and (n_of[10] > MAX_CONTROL_POINTS or _whole(first.get(71, "3")) > MAX_DEGREE):
            raise BoundaryError.of(
                "drawing-too-large/spline", line=line, n_points=MAX_CONTROL_POINTS, n_degree=MAX_DEGREE
            )
        bulges = 0
        if kind in ("LWPOLYLINE", "VERTEX", "HATCH"):
            bulges = sum(code == 42 and float(value) != 0 for code, value in pairs)
        hatched_arcs = kind == "HATCH" and bool({(72, "2"), (72, "3")} & set(pairs))
        self.arcs |= kind in _ARCS or bulges > 0 or hatched_arcs
        self.splines |= kind == "SPLINE"
        group.lines += kind in _DRAWN
        spans = n_of[40] if kind == "SPLINE" else 0
        group.vertices += (
            EDGES_OF_SPAN * spans + n_of[10] + n_of[11] + EDGES_OF_CIRCLE * (bulges + (kind in _ARCS))
        )
        if group.vertices > MAX_FILE_VERTICES:
            refuse_vertices()
        if 2 in first and kind not in (*_DRAWN, *_NOT_INSERTING):
            group.inserts[first[2].casefold()] += _times(first) if kind == "INSERT" else 1

    def expanded(
        self, group: _Group, within: tuple[str, ...] = (), known: dict[str, tuple[int, int]] | None = None
    ) -> tuple[int, int]:
        """Entities and vertices of a group with all its inserts drawn.

        Parameters
        ----------
        within
            The blocks around it, outermost first.
        known
            Results for blocks counted already: each is counted once, however often it is inserted.

        Raises
        ------
        BoundaryError
            If a block is drawn inside itself, or blocks are nested too deep.
        """
        known = {} if known is None else known
        entities, vertices = group.lines, group.vertices
        for name, times in group.inserts.items():
            if name not in self.blocks:
                continue
            if name in within or len(within) > MAX_DEEP:
                raise BoundaryError.of("drawing-too-large/nested", block=name[:40], n_deep=MAX_DEEP)
            if name not in known:
                known[name] = self.expanded(self.blocks[name], (*within, name), known)
            entities += times * max(1, known[name][0])
            vertices += times * known[name][1]
        return entities, vertices


def scanned(path: Path) -> Drawing:
    """What a drawing has, once its counts, sections and end are found sound.

    Raises
    ------
    BoundaryError
        If it is cut short or damaged, or if its blocks would be drawn too often.
    """
    scan = _Scan()
    for section, kind, pairs, line in _entities(path):
        if section in ("BLOCKS", "ENTITIES"):
            scan.take(kind, pairs, line)
    entities, vertices = scan.expanded(scan.drawing)
    if entities > MAX_FEATURES or vertices > MAX_FILE_VERTICES:
        raise BoundaryError.of(
            "drawing-too-large",
            n_lines=entities,
            n_vertices=vertices,
            n_most_lines=MAX_FEATURES,
            n_most_vertices=MAX_FILE_VERTICES,
        )
    return Drawing(n_lines=scan.drawing.lines, arcs=scan.arcs, splines=scan.splines)


def _entities(path: Path) -> Iterator[tuple[str, str, list[Pair], int]]:
    """Section, kind, group codes and line of each entity; sections and the drawing must have an end."""
    section, kind, begun, last = "", "", 0, 0
    pairs: list[Pair] = []
    ended = False
    for code, value, line in pairs_of(path):
        last = line
        if ended:
            raise damaged(fact("drawing/goes-on", line=line))
        if code != 0:
            if kind == "SECTION" and code == 2 and not section:  # variables of the header have names too
                section = value.upper()
                if section not in _SECTIONS:
                    raise damaged(fact("drawing/no-section", line=line, given=value[:40]))
            elif code in _NUMBERS and section in ("BLOCKS", "ENTITIES") and not _is_number(value):
                raise damaged(fact("drawing/no-number", line=line, given=value[:40]))
            pairs.append((code, value))
            continue
        if kind and kind != "SECTION":
            yield section, kind, pairs, begun
        kind, pairs, begun = value.upper(), [], line
        if kind == "SECTION" and section:
            raise damaged(fact("drawing/section-in-section", line=line))
        if kind in ("ENDSEC", "EOF"):
            if kind == "EOF" and section:
                raise damaged(fact("drawing/section-open", line=line, section=section))
            ended, section, kind = kind == "EOF", "", ""
    if not ended:
        raise damaged(fact("drawing/cut-short", line=last))


def pairs_of(path: Path) -> Iterator[tuple[int, str, int]]:
    """Group code, value and line of every pair in a drawing."""
    with opened(path, replace(BOUNDARY_FILE, max_bytes=LARGEST_TEXT_BYTES)) as stream:
        number = 0
        for first in stream:
            number += 2
            text = first.decode("latin-1").strip().lstrip("\xef\xbb\xbf")
            value = stream.readline()
            if not text and not value:
                return
            if not text.lstrip("-").isdigit() or not value:
                raise damaged(fact("drawing/no-group-code", line=number - 1))
            yield int(text), value.decode("latin-1").strip(), number - 1


def _times(first: dict[int, str]) -> int:
    """How often an insert draws its block: columns (group code 70) times rows (71)."""
    return max(1, abs(_whole(first.get(70, "1")))) * max(1, abs(_whole(first.get(71, "1"))))


def _is_number(value: str) -> bool:
    try:
        return math.isfinite(float(value))
    except ValueError:
        return False


def _whole(value: str) -> int:
    try:
        return int(value)
    except ValueError:
        return -1


def damaged(why: Fact) -> BoundaryError:
    """The error for a damaged drawing; ``why`` is the part of the sentence that says what is wrong."""
    return BoundaryError.of("file-unreadable/drawing", why=why)
