"""The map of a field for a screen, and its legs as data for the script that plays them and follows the drill."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from hashlib import sha256
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.facts import case_of
from fieldplan.model.coverage import Array, Leg
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.html.tags import text
from fieldplan.report.pictures import legend
from fieldplan.report.pictures.labels import Box, Room
from fieldplan.report.pictures.lines import DRAWN, classes_of, over_grade
from fieldplan.report.pictures.map_svg import seen_geometries
from fieldplan.report.pictures.marks import Marks
from fieldplan.report.pictures.placer import Placer, arrow_svg
from fieldplan.report.pictures.thinned import thinned
from fieldplan.report.pictures.view import View, views_of
from fieldplan.report.words.on_maps import load_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sentences import sentence

WIDTH, HEIGHT, EM = 360.0, 430.0, 12.0
"""Units of the drawing, which are pixels of a small phone."""
MARGIN, BAR = 14.0, 30.0
APART = 5.0
"""Lines closer than this are thinned until the map is brought closer."""
PER_M = 10
"""Coordinates are whole decimeters."""
_SMOOTH_M = 0.15
_AROUND_DEG = 0.01
CODES = "0123456789"
_STROKES = {
    'class="excluded"': "M1 3L3 0M3 3L5 0M5 3L7 0",
    'class="missed"': "M0 2L1.5 0M1 3L3 0M3 3L5 0M5 3L7 0M0 1L1.5 3M1 0L3 3M3 0L5 3M5 0L7 3",
}


class Route:
    """A field drawn for a screen.

    Parameters
    ----------
    field
        The field.
    index
        Its number on the page: ids must differ.
    q
        The reader's units.
    north_up
        Draw it beside a map that has north up: it is not turned, even where it would be larger.
    """

    def __init__(self, field: FieldPlan, index: int, q: Quantities, *, north_up: bool = False) -> None:
        self._field, self._index, self._q = field, index, q
        self._frame = frame_near(field.field.ground)
        self._ground = self._frame.to_plane(field.field.ground)
        self._legs = [timed.leg for timed in field.time.legs]
        self._classes = classes_of(self._legs)
        self._view, self._height = _view(field, self._frame, north_up=north_up)
        self._thin = thinned(field, self._view.k * field.coverage.drill_width_m, APART)
        room = Room(Box(2.0, 2.0, WIDTH - 2.0, self._height - BAR))
        self._north = (WIDTH - 2 * EM, self._height - 2 * EM)
        room.take(Box(self._north[0] - 2 * EM, self._north[1] - 2 * EM, WIDTH, self._height))
        self._marks = Marks(field, self._frame, Placer([self._view], room, EM), q).all(self._thin)
        west, south, _, _ = self._ground.bounds
        self._origin = np.floor(np.array([west, south]))

    def svg(self) -> str:
        """The map: ground and route in a group that zooms, north and scale beside it."""
        moves = "".join(mark.placed for mark in self._marks)
        return (
            f'<svg class="field" viewBox="0 0 {WIDTH:g} {self._height:g}" role="img" aria-labelledby="m{self._index}">'
            f'<title id="m{self._index}">Map of {text(parcel(self._field))}</title>'
            f"<defs>{self._pattern('hatch', 'M0 0V6')}{self._pattern('missed', 'M0 3H6M3 0V6')}</defs>"
            f'<g class="zoom"><g transform="{self._matrix()}">{"".join((*self._ground_paths(), *self._leg_paths()))}'
            '<path class="marked"/><path class="driven"/><path class="now"/></g>'
            f'{moves}<g class="here" hidden><circle class="about" r="1"/><circle class="spot" r="6"/></g></g>{self._fixed()}</svg>'
        )

    def caption(self) -> str:
        """The legend as HTML."""
        signs = "".join(
            f'<li><svg class="sign" viewBox="-.5 -.5 8 4" aria-hidden="true">{_hatched(entry.sign)}</svg> {text(entry.text)}</li>'
            for entry in legend.entries(self._field, self._thin, self._marks)
        )
        return f'<ul class="legend">{signs}</ul>'.replace(": in the enlarged part", ": shown closer up")

    def data(self) -> str:
        """The legs for the script, as JSON that is safe within HTML."""
        names = [_named(leg, kind, self._q) for leg, kind in zip(self._legs, self._classes, strict=True)]
        known = list(dict.fromkeys(names))
        index = {name: n for n, name in enumerate(known)}
        codes = "".join(self._codes())
        found: dict[str, Any] = {
            "codes": codes,
            "names": known,
            "what": [index[name] for name in names],
            "numbers": [leg.number for leg in self._legs],
            "sown": [int(leg.sown) for leg in self._legs],
            "headland": [int(leg.kind == "headland") for leg in self._legs],
            "dm": [round(leg.length_m * PER_M) for leg in self._legs],
            "ds": [round(timed.duration_s * 10) for timed in self._field.time.legs],
            "widthM": self._field.coverage.drill_width_m,
            "every": self._thin.every,
            "unitsPerM": round(self._view.k, 8),
            "boxes": [[box.box, box.load_kg_per_m2] for box in self._field.seed.boxes],
            "stops": self._stops(),
            "place": self._place(),
        }
        digest = sha256(json.dumps([found, self._field.field.field_id]).encode("utf-8")).hexdigest()
        found["id"] = digest[:16]
        return json.dumps(found, separators=(",", ":")).replace("<", "\\u003c")

    def _stops(self) -> list[list[Any]]:
        """Index of the leg, number and load of each stop."""
        at = [n for n, leg in enumerate(self._legs) if leg.kind == "refill"]
        return [
            [n, refill.stop, load_text(refill.load_kg, self._q)]
            for n, refill in zip(at, self._field.supply.refills, strict=True)
        ]

    def _codes(self) -> Iterator[str]:
        """The code of the path of each leg: a digit where it is drawn, a letter where it shows closer up."""
        for kind, drawn in zip(self._classes, self._thin.drawn, strict=True):
            nth = DRAWN.index(kind) if kind else -1
            yield "-" if nth < 0 else CODES[nth] if drawn else chr(ord("a") + nth)

    def _pattern(self, name: str, d: str) -> str:
        """Strokes for areas; the drawing is in decimeters there."""
        scale = PER_M / self._view.k
        return (
            f'<pattern id="{name}{self._index}" width="6" height="6" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45) scale({scale:.3f})"><path class="strokes" d="{d}"/></pattern>'
        )

    def _matrix(self) -> str:
        """From decimeters east and north of the origin to the drawing."""
        view, k = self._view, self._view.k / PER_M
        cos, sin = k * math.cos(view.turn_rad), k * math.sin(view.turn_rad)
        ((x, y),) = view.on_paper(self._origin[None, :]).tolist()
        return f"matrix({cos:.8f} {-sin:.8f} {-sin:.8f} {-cos:.8f} {x:.3f} {y:.3f})"

    def _ground_paths(self) -> Iterator[str]:
        yield f'<path class="ground" fill-rule="evenodd" d="{self._area(self._ground)}"/>'
        for steep in self._field.hills.steep if self._field.hills else ():
            if not steep.is_empty:
                yield f'<path class="steep" fill-rule="evenodd" d="{self._area(steep)}"/>'
        for piece in self._field.field.excluded:
            d = self._area(self._frame.to_plane(piece.ground))
            yield f'<path class="excluded" style="fill:url(#hatch{self._index})" fill-rule="evenodd" d="{d}"/>'
        if not self._field.coverage.open_edge.is_empty:
            d = "".join(self._line(line) for line in self._field.coverage.open_edge.geoms)
            yield f'<path class="open" d="{d}"/>'
        if not self._field.coverage.drive_line.is_empty:
            yield f'<path class="drive" d="{"".join(self._line(one) for one in self._field.coverage.drive_line.geoms)}"/>'
        steep_rows = over_grade(self._field)
        if not steep_rows.is_empty:
            yield f'<path class="over-grade" d="{"".join(self._line(line) for line in steep_rows.geoms)}"/>'
        if self._field.field.guides:
            d = "".join(self._line(self._frame.to_plane(line)) for line in self._field.field.guides)
            yield f'<path class="guide" d="{d}"/>'
        if self._field.coverage.audit.missed_ground.geoms:
            d = self._area(self._field.coverage.audit.missed_ground)
            yield f'<path class="missed" style="fill:url(#missed{self._index})" fill-rule="evenodd" d="{d}"/>'

    def _leg_paths(self) -> Iterator[str]:
        """A path for each class of legs that is drawn, and one for those that show when the map is closer."""
        by_code: dict[str, list[str]] = {}
        for leg, code in zip(self._legs, self._codes(), strict=True):
            if code != "-":
                by_code.setdefault(code, []).append(self._line(leg.line))
        for n, kind in enumerate(DRAWN):
            for code, more in ((chr(ord("a") + n), " more"), (CODES[n], "")):
                if code in by_code:
                    yield f'<path class="{kind}{more}" data-code="{code}" d="{"".join(by_code[code])}"/>'

    def _area(self, geometry: BaseGeometry) -> str:
        rings = shapely.get_rings(np.array(shapely.get_parts(geometry), dtype=object))
        return "".join(self._line(ring) + "z" for ring in rings)

    def _line(self, line: BaseGeometry) -> str:
        """A path in whole decimeters: a place, then steps."""
        short = shapely.simplify(line, _SMOOTH_M) if line.length > 1.0 else line
        points = np.rint((shapely.get_coordinates(short) - self._origin) * PER_M).astype(int)
        steps = np.diff(points, axis=0).ravel().tolist()
        x, y = points[0].tolist()
        return f"M{x} {y}l{_joined(steps)}" if steps else f"M{x} {y}h0"

    def _fixed(self) -> str:
        """North and a scale bar, whose length the script keeps true."""
        middle = self._ground.centroid
        turn = -math.degrees(self._view.turn_rad) - self._frame.convergence_deg(middle.x, middle.y)
        unit_m, word = (0.3048, "ft") if self._q.system == "us" else (1.0, "m")
        longest = WIDTH / 3 / self._view.k / unit_m
        power = 10 ** math.floor(math.log10(max(longest, 1.0)))
        length = next(n * power for n in (5, 2, 1) if n * power <= max(longest, 1.0))
        wide = length * unit_m * self._view.k
        x, y = self._north
        return (
            f'<g class="fix" transform="translate({x:g} {y:g})">{arrow_svg(turn, EM)}</g>'
            f'<g class="fix" transform="translate({MARGIN:g} {self._height - 8:g})"><path class="bar" d="M0 -5v5h{wide:.2f}v-5"/>'
            f'<text x="0" y="-9" font-size="{EM:g}">0 to {self._q.count(length)} {word}</text></g>'
        )

    def _place(self) -> dict[str, Any]:
        """How longitude and latitude, less those of the middle, give meters from the origin: six terms each."""
        west, south, east, north = self._field.field.ground.bounds
        lon, lat = (west + east) / 2, (south + north) / 2
        half = np.array([east - west, north - south]) / 2 + _AROUND_DEG
        u, v = (
            axis.ravel()
            for axis in np.meshgrid(np.linspace(-half[0], half[0], 7), np.linspace(-half[1], half[1], 7))
        )
        there = shapely.MultiPoint(np.column_stack([lon + u, lat + v]))
        plane = shapely.get_coordinates(self._frame.to_plane(there)) - self._origin
        terms = np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])
        fit = np.linalg.lstsq(terms, plane, rcond=None)[0]
        return {
            "lon": lon,
            "lat": lat,
            "east": fit[:, 0].round(3).tolist(),
            "north": fit[:, 1].round(3).tolist(),
        }


def _view(field: FieldPlan, frame: Frame, *, north_up: bool) -> tuple[View, float]:
    """The field as large as the drawing allows, and the height of the drawing that it needs."""
    seen = seen_geometries(field, frame)
    inner = (WIDTH - 2 * MARGIN, HEIGHT - 2 * MARGIN - BAR)
    (view,) = views_of(seen, *inner, strips=False, round_scale=False, north_up=north_up)
    drawn: Array = view.on_paper(shapely.get_coordinates(seen))
    tall = max(float(np.ptp(drawn[:, 1])), 90.0)
    (view,) = views_of(
        seen, inner[0], tall, left=MARGIN, top=MARGIN, strips=False, round_scale=False, north_up=north_up
    )
    return view, tall + 2 * MARGIN + BAR


def _joined(steps: Sequence[int]) -> str:
    """Whole numbers with as few characters between them as a path allows."""
    return "".join(f"{step}" if n == 0 or step < 0 else f" {step}" for n, step in enumerate(steps))


def _hatched(sign: str) -> str:
    """A sign of the legend, with the strokes of excluded and missed ground as they are seen on the map."""
    return sign + next(
        (f'<path class="strokes" d="{d}"/>' for kind, d in _STROKES.items() if kind in sign), ""
    )


def _named(leg: Leg, kind: str, q: Quantities) -> str:
    """What a leg is and, of a turn, its shape."""
    name = sentence(case_of("leg", "raised" if kind == "raised" else leg.kind), q)
    if not leg.shape:
        return name
    shape = case_of("leg-shape", leg.shape, reverse_m=leg.reverse_m)
    return f"{name} ({sentence(shape, q)})"
