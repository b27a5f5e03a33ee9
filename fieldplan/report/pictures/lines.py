"""The ground and the route of a field as SVG paths, in one window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array, Leg, raised_within
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import Frame
from fieldplan.report.pictures.view import View

DRAWN = (
    "transfer",
    "turn",
    "turn backing",
    "transfer outside",
    "turn outside",
    "raised",
    "headland",
    "pass",
)
"""Classes of lines, those below first; legs that back up or lead outside have a look of their own."""
STYLE = """
.ground{fill:#fff;stroke:none}
.edge{fill:none;stroke:#000;stroke-width:.5}
.excluded{fill:url(#hatch);stroke:#000;stroke-width:.25}
.open{fill:none;stroke:#fff;stroke-width:.6;stroke-dasharray:.8 1.2}
.steep{fill:#000;fill-opacity:.07;stroke:none}
.over-grade{fill:none;stroke:#000;stroke-width:1.1;stroke-opacity:.45}
.guide{fill:none;stroke:#000;stroke-width:.5;stroke-dasharray:2 .6 .5 .6}
.drive{fill:none;stroke:#000;stroke-width:.2;stroke-dasharray:.3 .5}
.missed{fill:url(#missed);stroke:#000;stroke-width:.25}
.pass{fill:none;stroke:#0072b2;stroke-width:.2}
.headland{fill:none;stroke:#d55e00;stroke-width:.22;stroke-dasharray:1.6 .7}
.turn{fill:none;stroke:#666;stroke-width:.1}
.backing{stroke:#000;stroke-width:.12;stroke-dasharray:.9 .4}
.transfer{fill:none;stroke:#666;stroke-width:.12;stroke-dasharray:.4 .6}
.raised{fill:none;stroke:#0072b2;stroke-width:.3;stroke-dasharray:.6 .5}
.outside{stroke:#cc79a7;stroke-width:.6;stroke-dasharray:none}
.stop{fill:#f0e442;stroke:#000;stroke-width:.25}
.gate{fill:#009e73;stroke:#000;stroke-width:.25}
.start{fill:#000;stroke:#000;stroke-width:.5}
.leader{fill:none;stroke:#000;stroke-width:.15}
.dot{fill:#000}
.frame{fill:none;stroke:#000;stroke-width:.3}
.pale{fill:#fff;fill-opacity:.85}
text{font-family:sans-serif;fill:#000}
""".strip()
HATCH = (
    '<defs><pattern id="hatch" width="2" height="2" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="2" height="2" fill="#fff"/><path d="M0 0V2" stroke="#000" stroke-width=".3"/></pattern>'
    '<pattern id="missed" width="1.4" height="1.4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="1.4" height="1.4" fill="#fff"/><path d="M0 .7H1.4M.7 0V1.4" stroke="#000" stroke-width=".25"/></pattern></defs>'
)


def class_of(leg: Leg) -> str:
    """The class of a leg's line, one of `DRAWN`; empty where nothing is drawn, as at a stop."""
    kind = f"{leg.kind} {leg.shape}" if leg.shape in ("backing", "outside") else leg.kind
    return kind if kind in DRAWN else ""


def classes_of(legs: Sequence[Leg]) -> list[str]:
    """The class of the line of each leg of a whole route; where the drill is raised within a pass it has its own."""
    raised = raised_within(legs)
    kinds = [class_of(leg) for leg in legs]
    return ["raised" if up and kind == "transfer" else kind for kind, up in zip(kinds, raised, strict=True)]


def over_grade(field: FieldPlan) -> MultiLineString:
    """The stretches of passes that rise or fall more than a row may, where passes were to keep across the slope."""
    grades = field.hills.grades if field.hills else None
    asked = field.coverage.pattern == "contour"
    return grades.over_limit if asked and grades is not None else MultiLineString()


def ground_paths(field: FieldPlan, frame: Frame, view: View) -> Iterator[str]:
    """Outline, excluded ground, open edge and missed ground."""
    ground = frame.to_plane(field.field.ground)
    yield _area("ground", view.drawn(ground))
    for steep in field.hills.steep if field.hills else ():
        yield _area("steep", view.drawn(steep))
    for piece in field.field.excluded:
        yield _area("excluded", view.drawn(frame.to_plane(piece.ground)))
    yield _lines("edge", [view.drawn(shapely.boundary(ground))])
    yield _lines("open", [view.drawn(line) for line in field.coverage.open_edge.geoms])
    yield _lines("drive", [view.drawn(line) for line in field.coverage.drive_line.geoms])
    yield _lines("over-grade", [view.drawn(line) for line in over_grade(field).geoms])
    yield _lines("guide", [view.drawn(frame.to_plane(line)) for line in field.field.guides])
    yield _area("missed", view.drawn(field.coverage.audit.missed_ground))


def leg_paths(legs: Sequence[Leg], drawn: Sequence[bool], view: View) -> Iterator[str]:
    """What is drawn of a route, by kind of leg, a path each."""
    kinds = [kind if shown else "" for kind, shown in zip(classes_of(legs), drawn, strict=True)]
    for kind in DRAWN:
        lines = np.array(
            [leg.line for leg, own in zip(legs, kinds, strict=True) if own == kind], dtype=object
        )
        if len(lines):
            yield _lines(kind, [view.drawn(shapely.multilinestrings(list(lines)))])


def _area(kind: str, geometry: BaseGeometry) -> str:
    polygons = [part for part in shapely.get_parts(geometry).tolist() if part.geom_type == "Polygon"]
    rings = shapely.get_rings(np.array(polygons, dtype=object))
    d = "".join(_path(shapely.get_coordinates(ring)[:-1]) + "Z" for ring in rings)
    return f'<path class="{kind}" fill-rule="evenodd" d="{d}"/>' if d else ""


def _lines(kind: str, geometries: Sequence[BaseGeometry]) -> str:
    parts = [part for geometry in geometries for part in shapely.get_parts(geometry).tolist()]
    d = "".join(
        _path(shapely.get_coordinates(part))
        for part in parts
        if part.geom_type in ("LineString", "LinearRing")
    )
    return f'<path class="{kind}" d="{d}"/>' if d else ""


def _path(points: Array) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points.tolist())
