"""A field's map as SVG, to a stated scale: outline, headland, passes in order, stops, gate, scale bar and
north arrow.

Drawn for paper first: legible in black and white by line and mark alone; color-blind people can tell the
colors apart too (M. Okabe and K. Ito, Color universal design, 2008).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape, quoteattr

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array, Leg
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.words.places import last_sown
from fieldplan.report.words.plain import plain
from fieldplan.units import FOOT_M

_FIELD_SCALES = (500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 6000, 7500)
_FARM_SCALES = (10_000, 12_500, 15_000, 20_000, 25_000, 40_000, 50_000, 75_000)
SCALES = (*_FIELD_SCALES, *_FARM_SCALES, 100_000, 250_000, 500_000, 1_000_000)
MARGIN_MM = 6.0
BAR_MM = 9.0
BAR_FEET = (50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10_000, 20_000, 50_000)
BAR_METERS = (10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000)
CLEAR_MM = 3.9
"""Stops closer together than this share a disc."""
MAX_NUMBERS = 40
"""With more pass numbers than this a map is hard to read: it shows every second, fifth, … pass."""
_NUMBER_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
_DRAWN = ("transfer", "turn", "turn backing", "transfer outside", "turn outside", "headland", "pass")
"""Classes of lines, those below first; legs that back up or lead outside have a look of their own."""
STYLE = """
.ground{fill:#fff;stroke:#000;stroke-width:.5}
.excluded{fill:url(#hatch);stroke:#000;stroke-width:.25}
.open{fill:none;stroke:#fff;stroke-width:.6;stroke-dasharray:.8 1.2}
.drive{fill:none;stroke:#000;stroke-width:.2;stroke-dasharray:.3 .5}
.missed{fill:#000;stroke:none}
.pass{fill:none;stroke:#0072b2;stroke-width:.16}
.headland{fill:none;stroke:#d55e00;stroke-width:.2;stroke-dasharray:1.6 .7}
.turn{fill:none;stroke:#666;stroke-width:.08}
.backing{stroke:#000;stroke-width:.12;stroke-dasharray:.9 .4}
.transfer{fill:none;stroke:#666;stroke-width:.12;stroke-dasharray:.4 .6}
.outside{stroke:#cc79a7;stroke-width:.6;stroke-dasharray:none}
.stop{fill:#f0e442;stroke:#000;stroke-width:.25}
.gate{fill:#009e73;stroke:#000;stroke-width:.25}
text{font-family:sans-serif;fill:#000}
""".strip()


def map_svg(
    field: FieldPlan,
    width_mm: float = 180.0,
    height_mm: float = 150.0,
    *,
    us: bool = True,
    legs: bool = False,
) -> str:
    """The map of a field within so much paper, at the largest round scale that fits.

    Parameters
    ----------
    field
        The field to draw.
    width_mm, height_mm
        The paper.
    us
        Scale bar in feet instead of meters.
    legs
        Give every leg a line of its own with its number (``data-leg``), for pages that play through them.

    Returns
    -------
    str
        SVG with one unit to the millimeter, north up but for the convergence of the field's plane.
    """
    frame = frame_near(field.field.ground)
    ground = frame.to_plane(field.field.ground)
    bounds = shapely.total_bounds(
        [
            ground,
            *([field.coverage.gate, *field.supply.stands[1:]] if field.is_drilled else []),
            *(leg.line for leg in field.supply.legs),
        ]
    )
    scale, place = _fitted(bounds, width_mm - 2 * MARGIN_MM, height_mm - 2 * MARGIN_MM - BAR_MM)
    draw = _Drawer(scale, place)
    title = f"{field.field.field_id} {field.field.name}".strip()
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm" viewBox="0 0 {width_mm:g} {height_mm:g}" '
        f'role="img" aria-label={quoteattr(plain(f"Map of {title}"))}>',
        f"<style>{STYLE}</style>",
        '<defs><pattern id="hatch" width="2" height="2" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<rect width="2" height="2" fill="#fff"/><path d="M0 0V2" stroke="#000" stroke-width=".3"/></pattern></defs>',
        f'<rect width="{width_mm:g}" height="{height_mm:g}" fill="#fff"/>',
        draw.area("ground", ground),
        *(draw.area("excluded", frame.to_plane(piece.ground)) for piece in field.field.excluded),
        *(
            f'<path class="open" d="{draw.path(shapely.get_coordinates(line), closed=False)}"/>'
            for line in field.coverage.open_edge.geoms
        ),
        *(
            f'<path class="drive" d="{draw.path(shapely.get_coordinates(line), closed=True)}"/>'
            for line in field.coverage.drive_line.geoms
        ),
        *(draw.area("missed", part) for part in field.coverage.audit.missed_ground.geoms),
        *_legs(field, draw, legs=legs),
        *_numbers(field, draw),
        *_marks(field, draw),
        *_bar(scale, width_mm, height_mm, us=us, figures=not legs),
        *_north(frame, ground, width_mm),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _fitted(bounds: Iterable[float], width_mm: float, height_mm: float) -> tuple[int, tuple[float, float]]:
    """The scale, and where the origin of the plane falls on the paper in mm."""
    west, south, east, north = (float(value) for value in bounds)
    minimum = max((east - west) * 1000 / width_mm, (north - south) * 1000 / height_mm, 1.0)
    scale = next((round_scale for round_scale in SCALES if round_scale >= minimum), math.ceil(minimum))
    k = 1000 / scale
    x = MARGIN_MM + (width_mm - (east - west) * k) / 2 - west * k
    y = MARGIN_MM + (height_mm - (north - south) * k) / 2 + north * k
    return scale, (x, y)


class _Drawer:
    """Writes plane geometries as SVG elements in mm of paper."""

    def __init__(self, scale: int, place: tuple[float, float]) -> None:
        self._k = 1000 / scale
        self._place = place

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        return self._place[0] + x_m * self._k, self._place[1] - y_m * self._k

    def _at_point(self, point: Array) -> tuple[float, float]:
        return self.at(*point)

    def path(self, points: Array, *, closed: bool) -> str:
        drawn = points[:-1] if closed else points  # a ring ends where it starts: "Z" draws that side
        return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in map(self._at_point, drawn)) + "Z" * closed

    def area(self, kind: str, geometry: BaseGeometry) -> str:
        rings = shapely.get_rings(shapely.get_parts(geometry))
        d = "".join(self.path(shapely.get_coordinates(ring), closed=True) for ring in rings)
        return f'<path class="{kind}" fill-rule="evenodd" d="{d}"/>'


def _legs(field: FieldPlan, draw: _Drawer, *, legs: bool) -> Iterator[str]:
    """The route by kind of leg, or leg by leg."""
    drawn: dict[str, list[str]] = {kind: [] for kind in _DRAWN}
    for number, timed in enumerate(field.time.legs, start=1):
        leg = timed.leg
        kind = f"{leg.kind} {leg.shape}" if leg.shape in ("backing", "outside") else leg.kind
        if kind not in drawn:
            if legs:
                x, y = draw.at(*leg.line.coords[0])
                drawn["turn"].append(f'<path class="turn" data-leg="{number}" d="M{x:.2f} {y:.2f}h.01"/>')
            continue
        d = draw.path(shapely.get_coordinates(leg.line), closed=False)
        drawn[kind].append(f'<path class="{kind}" data-leg="{number}" d="{d}"/>' if legs else d)
    for kind, paths in drawn.items():
        if paths:
            yield "\n".join(paths) if legs else f'<path class="{kind}" d="{"".join(paths)}"/>'


def _numbers(field: FieldPlan, draw: _Drawer) -> Iterator[str]:
    """The number of each pass in driving order, at its start; none over another number or a mark."""
    begun: dict[int, Leg] = {}
    for timed in field.time.legs:
        if timed.leg.kind == "pass":
            begun.setdefault(timed.leg.number, timed.leg)
    every = next((step for step in _NUMBER_STEPS if len(begun) / step <= MAX_NUMBERS), _NUMBER_STEPS[-1])
    taken = [draw.at(field.coverage.gate.x, field.coverage.gate.y)]
    taken += [
        draw.at(refill.sowing_stops_at.x, refill.sowing_stops_at.y) for refill in field.supply.refills
    ]
    before_stops = [last_sown(field, refill.leg) for refill in field.supply.refills]
    named = {last.number for last in before_stops if last.kind == "pass"}
    order = [*sorted(named), *(n for n in begun if (n == 1 or n % every == 0) and n not in named)]
    for number in order:
        x, y = draw.at(*begun[number].line.coords[0])
        if all(abs(x - other_x) > 4.0 or abs(y - other_y) > 2.4 for other_x, other_y in taken):
            taken.append((x, y))
            yield f'<text x="{x:.2f}" y="{y:.2f}" font-size="1.9" text-anchor="middle" paint-order="stroke" stroke="#fff" stroke-width=".5">{number}</text>'


def _marks(field: FieldPlan, draw: _Drawer) -> Iterator[str]:
    """The gate and further stands of seed as triangles, and the refill stops as discs where sowing stops, numbered if there is room."""
    if not field.is_drilled:
        return
    openings = [("gate", field.coverage.gate)]
    openings += [(f"seed stand {n}", stand) for n, stand in enumerate(field.supply.stands[1:], start=2)]
    for name, at in openings:
        x, y = draw.at(at.x, at.y)
        yield f'<path class="gate" d="M{x:.2f} {y - 2.2:.2f}l1.9 3.3h-3.8z"><title>{name}</title></path>'
    heaps: list[list[tuple[float, float, int]]] = []
    for refill in field.supply.refills:
        x, y = draw.at(refill.sowing_stops_at.x, refill.sowing_stops_at.y)
        heap = next((heap for heap in heaps if math.hypot(x - heap[0][0], y - heap[0][1]) < CLEAR_MM), None)
        if heap is None:
            heaps.append([(x, y, refill.stop)])
        else:
            heap.append((x, y, refill.stop))
    for first, *others in heaps:
        for x, y, stop in (*others, first):
            radius = 1.9 if stop == first[2] else 0.7
            yield f'<circle class="stop" cx="{x:.2f}" cy="{y:.2f}" r="{radius}"><title>refill stop {stop}</title></circle>'
        x, y, stop = first
        label = f"{stop} …" if others else f"{stop}"
        yield f'<text x="{x:.2f}" y="{y + 0.8:.2f}" font-size="{1.9 if others else 2.3}" font-weight="bold" text-anchor="middle">{label}</text>'


def _bar(scale: int, width_mm: float, height_mm: float, *, us: bool, figures: bool) -> Iterator[str]:
    """A scale bar of a round length, at most a third of the paper, and on paper the scale in figures."""
    unit_m, lengths, word = (FOOT_M, BAR_FEET, "ft") if us else (1.0, BAR_METERS, "m")
    longest = [length for length in lengths if length * unit_m * 1000 / scale <= width_mm / 3] or [
        lengths[0]
    ]
    length = longest[-1]
    mm = length * unit_m * 1000 / scale
    y = height_mm - MARGIN_MM
    yield f'<path d="M{MARGIN_MM:g} {y - 1.5:.2f}v1.5h{mm:.2f}v-1.5M{MARGIN_MM + mm / 2:.2f} {y:.2f}v-1" fill="none" stroke="#000" stroke-width=".35"/>'
    yield f'<text x="{MARGIN_MM:g}" y="{y - 2.3:.2f}" font-size="2.8">0</text>'
    yield f'<text x="{MARGIN_MM + mm:.2f}" y="{y - 2.3:.2f}" font-size="2.8" text-anchor="middle">{length:,} {word}</text>'
    if figures:
        yield f'<text x="{MARGIN_MM + mm + 6:.2f}" y="{y:.2f}" font-size="2.8">1 : {scale:,}</text>'


def _north(frame: Frame, ground: BaseGeometry, width_mm: float) -> Iterator[str]:
    """An arrow to true north, turned by the angle between true north and grid north here."""
    middle = ground.centroid
    turn = frame.convergence_deg(middle.x, middle.y)
    x, y = width_mm - MARGIN_MM - 2, MARGIN_MM + 6
    yield (
        f'<g transform="rotate({-turn:.2f} {x:.2f} {y:.2f})"><path d="M{x:.2f} {y - 5:.2f}l1.7 6-1.7-1.2-1.7 1.2z" fill="#000"/>'
        f'<text x="{x:.2f}" y="{y + 5:.2f}" font-size="3.4" font-weight="bold" text-anchor="middle">{escape("N")}</text></g>'
    )
