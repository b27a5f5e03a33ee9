"""A field's map as SVG, to a stated scale: title, ground, route, marks, an enlarged part where lines are many, legend,
scale bar and north arrow.

Drawn for paper first: legible in black and white by line and mark alone; color-blind people can tell the
colors apart too (M. Okabe and K. Ito, Color universal design, 2008).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Leg
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.pictures import legend
from fieldplan.report.pictures.labels import Box, Room, text_box
from fieldplan.report.pictures.lines import HATCH, STYLE, ground_paths, leg_paths
from fieldplan.report.pictures.marks import Marks
from fieldplan.report.pictures.placer import Mark, Placer, arrow_svg
from fieldplan.report.pictures.thinned import Thinned, thinned
from fieldplan.report.pictures.view import View, views_of, window_at
from fieldplan.report.words.numbers import percent
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import FOOT_M

MARGIN_MM = 4.0
EM_MM, LEGEND_MM = 3.1, 2.6
"""The size of text at marks and in the legend."""
TITLE_MM, BAR_MM, LETTER_MM = 8.0, 8.0, 3.4
LETTER_ROOM_MM = 4.5
"""Paper at either end of a strip for the letter where it goes on."""
NORTH_MM = (6.0, 6.0)
"""Half the width and height that the arrow to north takes."""
APART_MM = 1.2
"""Lines of passes closer together than this are thinned."""
INSET_MM, LEAST_INSET_MM = (66.0, 44.0), 12.0
"""Size of the enlarged part, and how low it may be where the legend stands above it."""
_SIDES = (
    "up",
    "up and right",
    "to the right",
    "down and right",
    "down",
    "down and left",
    "to the left",
    "up and left",
)
"""Eighths of a turn clockwise from up, on paper."""
FORWARD = ("U", "bulb", "headland run")
"""Turns between passes that are driven forward."""
INSET_WIDTH_MM = 4.0
"""The width of the drill in the enlarged part."""
BAR_FEET = (20, 50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10_000, 20_000, 50_000)
BAR_METERS = (5, 10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000)


def map_svg(
    field: FieldPlan,
    q: Quantities,
    width_mm: float = 180.0,
    height_mm: float = 150.0,
    *,
    slope_frac: float | None = None,
) -> str:
    """The map of a field within so much paper: turned, and a long corridor cut into strips, to be drawn large.

    Parameters
    ----------
    field
        The field to draw.
    q
        The reader's units, for the scale bar and what stands at marks.
    width_mm, height_mm
        The paper.
    slope_frac
        The slope of the field, where it is given.

    Returns
    -------
    str
        SVG with one unit to the millimeter.
    """
    frame = frame_near(field.field.ground)
    ground = frame.to_plane(field.field.ground)
    seen = seen_geometries(field, frame)
    sheet = max(
        (_laid_out(field, seen, width_mm, height_mm, beside=beside) for beside in (False, True)),
        key=lambda sheet: sheet.fits * sheet.views[0].k,
    )
    views, thin, box = sheet.views, sheet.thin, sheet.window
    legs = [timed.leg for timed in field.time.legs]
    room = Room(Box(1.0, box.top - 1.0, box.right + 3.0, box.bottom + 1.0))
    letters = list(_letters(views, ground))
    room.take(*(text_box(x, y, letter, LETTER_MM, anchor) for x, y, letter, anchor in letters))
    north_at = _north_at(views, ground, box, room)
    room.take(_about(*north_at))
    marks = Marks(field, frame, Placer(views, room, EM_MM), q).all(thin)
    body = [
        *(
            part
            for view in views
            for part in (*ground_paths(field, frame, view), *leg_paths(legs, thin.drawn, view))
        ),
        *_cuts(letters),
        *(mark.placed for mark in marks),
        *_north(frame, ground, views[0], north_at),
        *_beside(field, frame, legs, marks, sheet, q),
    ]
    slope = "" if slope_frac is None else f"; slope {percent(slope_frac)}"
    return _whole(field, body, views, slope, (width_mm, height_mm), q)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """Where things stand on the paper.

    Parameters
    ----------
    views, thin
        The windows on the ground, and which legs are drawn in them.
    window
        The paper that they fill.
    legend
        The paper for scale bar and legend.
    inset
        The paper for the enlarged part: left, top, width, height; ``None`` without one.
    fits
        Whether legend and enlarged part find room.
    """

    views: tuple[View, ...]
    thin: Thinned
    window: Box
    legend: Box
    inset: tuple[float, float, float, float] | None
    fits: bool = True


def _laid_out(
    field: FieldPlan, seen: Sequence[BaseGeometry], width_mm: float, height_mm: float, *, beside: bool
) -> _Sheet:
    """The map with legend and enlarged part below it, or beside it."""
    listed = legend.entries(field, Thinned(every=1, drawn=()), _every_mark())
    left, top = MARGIN_MM + 1, MARGIN_MM + TITLE_MM
    right, low = width_mm - MARGIN_MM, height_mm - MARGIN_MM
    for enlarged in (False, True):
        inset = (right - INSET_MM[0], low - INSET_MM[1], *INSET_MM) if enlarged else None
        fits = True
        if beside:
            column = Box(right - INSET_MM[0], top, right, low)
            under = top + BAR_MM + legend.drawn(listed, 0, 0, INSET_MM[0], LEGEND_MM)[1] + 1.0
            high = min(INSET_MM[1], low - under)
            fits = high >= (LEAST_INSET_MM if enlarged else 0.0)
            if inset is not None:
                inset = (column.left, low - high, INSET_MM[0], high)
            window = Box(left, top, column.left - 3.0, low)
        else:
            wide = right - MARGIN_MM
            foot = legend.drawn(listed, 0, 0, wide, LEGEND_MM)[1] + BAR_MM
            foot = INSET_MM[1] + 2 if enlarged else foot
            column = Box(MARGIN_MM, low - foot + 2, right - (INSET_MM[0] + 4 if enlarged else 0.0), low)
            window = Box(left, top, right - 1, low - foot)
        views = views_of(
            seen,
            window.right - window.left,
            max(5.0, window.bottom - window.top),
            left=window.left,
            top=window.top,
            ends=LETTER_ROOM_MM,
        )
        thin = thinned(field, views[0].k * field.coverage.drill_width_m, APART_MM)
        if thin.every == 1:
            break
    return _Sheet(views=views, thin=thin, window=window, legend=column, inset=inset, fits=fits)


def seen_geometries(field: FieldPlan, frame: Frame) -> list[BaseGeometry]:
    """What a map must show: ground, gate, stands of seed, and the whole route."""
    ground = frame.to_plane(field.field.ground)
    openings = [field.coverage.gate, *field.supply.stands] if field.is_drilled else []
    return [ground, *openings, *(leg.line for leg in field.supply.legs)]


def _every_mark() -> list[Mark]:
    """A mark of each kind: the longest legend that a map can need."""
    return [Mark(x=0, y=0, svg="", kind=kind) for kind in ("start", "gate", "stop", "more")]


def _whole(
    field: FieldPlan,
    body: Sequence[str],
    views: Sequence[View],
    slope: str,
    paper: tuple[float, float],
    q: Quantities,
) -> str:
    width_mm, height_mm = paper
    names = dict.fromkeys(name for name in (field.field.field_id, field.field.name) if name)
    title = plain(f"Map of {' '.join(names)}")
    strips = f", in {len(views)} strips" if len(views) > 1 else ""
    scale = f"1 : {q.count(views[0].scale)}{strips}{slope}{_turned_text(views[0])}"
    size = min(4.2, (width_mm - 2 * MARGIN_MM - 42) / max(1.0, 0.68 * len(title)))
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm" viewBox="0 0 {width_mm:g} {height_mm:g}" '
            f'role="img" aria-label={quoteattr(title)}>',
            f"<title>{escape(title)}</title>",
            f"<style>{STYLE}</style>",
            HATCH,
            f'<rect width="{width_mm:g}" height="{height_mm:g}" fill="#fff"/>',
            f'<text x="{MARGIN_MM:g}" y="{MARGIN_MM + 3.6:g}" font-size="{size:.2f}" font-weight="bold">{escape(title)}</text>',
            f'<text x="{width_mm - MARGIN_MM:g}" y="{MARGIN_MM + 3.6:g}" font-size="3" text-anchor="end">{scale}</text>',
            *(part for part in body if part),
            "</svg>\n",
        )
    )


def _north_at(views: Sequence[View], ground: BaseGeometry, window: Box, room: Room) -> tuple[float, float]:
    """Where the arrow to north has the least ground under it: a corner of the window, or else any free place in it."""
    drawn = shapely.union_all([view.drawn(ground) for view in views])
    half_x, half_y = NORTH_MM
    left, right, top, low = (
        window.left + half_x,
        window.right - half_x,
        window.top + half_y,
        window.bottom - half_y,
    )
    across, down = np.linspace(right, left, 12).tolist(), np.linspace(top, low, 12).tolist()
    corners = [(right, top), (left, top), (right, low), (left, low)]
    places = [*corners, *((x, y) for y in down for x in across)]
    free = [place for place in places if room.is_free(_about(*place))] or corners
    covered = [round(drawn.intersection(shapely.box(*_about(*place))).area, 6) for place in free]
    return free[covered.index(min(covered))]


def _about(x: float, y: float) -> Box:
    """The paper that the arrow to north takes."""
    return Box(x - NORTH_MM[0], y - NORTH_MM[1], x + NORTH_MM[0], y + NORTH_MM[1])


def _north(frame: Frame, ground: BaseGeometry, view: View, at: tuple[float, float]) -> Iterator[str]:
    """An arrow to true north, turned as the ground is and by the angle between true north and grid north here."""
    middle = ground.centroid
    turn = -math.degrees(view.turn_rad) - frame.convergence_deg(middle.x, middle.y)
    yield f'<g transform="translate({at[0]:.2f} {at[1]:.2f})">{arrow_svg(turn, EM_MM)}</g>'


def _turned_text(view: View) -> str:
    """Where north is on a map that is turned, said with its scale."""
    eighth = round(-math.degrees(view.turn_rad) / 45.0) % len(_SIDES)
    return f"; north is {_SIDES[eighth]}" if eighth else ""


def _letters(views: Sequence[View], ground: BaseGeometry) -> Iterator[tuple[float, float, str, str]]:
    """Letters where one strip goes on in the next, beside its ends: place, letter, and which way it is anchored."""
    for letter, (view, following) in zip("ABCDEFGH", pairwise(views), strict=False):
        right, left = view.left + view.width, following.left
        yield right + 1.0, _cut_at(view, ground, right) + 0.35 * LETTER_MM, letter, "start"
        yield left - 1.0, _cut_at(following, ground, left) + 0.35 * LETTER_MM, letter, "end"


def _cut_at(view: View, ground: BaseGeometry, x: float) -> float:
    """How far down the paper a strip is cut, at one of its ends; the middle of the strip where no ground is cut."""
    cut = shapely.clip_by_rect(view.drawn(ground), x - 1.0, view.top, x + 1.0, view.top + view.height)
    return view.top + view.height / 2 if cut.is_empty else (cut.bounds[1] + cut.bounds[3]) / 2


def _cuts(letters: Sequence[tuple[float, float, str, str]]) -> Iterator[str]:
    for x, y, letter, anchor in letters:
        yield f'<text x="{x:.2f}" y="{y:.2f}" font-size="{LETTER_MM}" font-weight="bold" text-anchor="{anchor}">{letter}</text>'


def _beside(
    field: FieldPlan,
    frame: Frame,
    legs: Sequence[Leg],
    marks: Sequence[Mark],
    sheet: _Sheet,
    q: Quantities,
) -> Iterator[str]:
    """Scale bar and legend, and the enlarged part where passes are thinned."""
    view, place = sheet.views[0], sheet.legend
    if sheet.thin.every > 1 and sheet.inset is not None:
        yield from _inset(field, frame, legs, view, sheet.inset, q)
    wide = place.right - place.left
    yield from _bar(view, place.left, place.top + 5.5, wide, q)
    listed = legend.entries(field, sheet.thin, marks)
    yield from legend.drawn(listed, place.left, place.top + BAR_MM, wide, LEGEND_MM)[0]


def _inset(
    field: FieldPlan,
    frame: Frame,
    legs: Sequence[Leg],
    view: View,
    box: tuple[float, float, float, float],
    q: Quantities,
) -> Iterator[str]:
    """Where the first pass ends: its turn, the rounds beside it, and the passes that follow, enlarged."""
    at = _first_turn(legs)
    if at is None:
        return
    left, top, width, height = box
    near = window_at(at, view, field.coverage.drill_width_m * 1000 / INSET_WIDTH_MM, box)
    yield f'<rect x="{left:.2f}" y="{top:.2f}" width="{width:g}" height="{height:g}" fill="#fff"/>'
    yield from ground_paths(field, frame, near)
    yield from leg_paths(legs, [True] * len(legs), near)
    yield f'<rect class="frame" x="{left:.2f}" y="{top:.2f}" width="{width:g}" height="{height:g}"/>'
    across = q.length(field.coverage.drill_width_m * width / INSET_WIDTH_MM)
    text = f"enlarged: a turn between passes, {across} across"
    yield f'<rect x="{left + 0.3:.2f}" y="{top + height - 4:.2f}" width="{width - 0.6:g}" height="3.7" fill="#fff"/>'
    yield f'<text x="{left + 1.5:.2f}" y="{top + height - 1.2:.2f}" font-size="{LEGEND_MM:g}">{text}</text>'
    x, y = view.at(at)
    half_x, half_y = width * view.k / near.k / 2, height * view.k / near.k / 2
    yield f'<rect class="frame" x="{x - half_x:.2f}" y="{y - half_y:.2f}" width="{2 * half_x:.2f}" height="{2 * half_y:.2f}"/>'


def _first_turn(legs: Sequence[Leg]) -> shapely.Point | None:
    """Where the first pass ends that is followed by a turn into another: one forward if there is such, or any."""
    turns = [
        (turn.shape in FORWARD, leg)
        for leg, turn, following in zip(legs, legs[1:], legs[2:], strict=False)
        if leg.kind == "pass" and turn.kind == "turn" and following.kind == "pass"
    ]
    if turns:
        best = max(range(len(turns)), key=lambda i: (turns[i][0], -i))
        return shapely.Point(turns[best][1].line.coords[-1])
    last = next((leg for leg in legs if leg.sown), None)
    return None if last is None else shapely.Point(last.line.coords[-1])


def _bar(view: View, x: float, y: float, wide: float, q: Quantities) -> Iterator[str]:
    """A scale bar of a round length, at most half of the width."""
    unit_m, lengths, word = (FOOT_M, BAR_FEET, "ft") if q.system == "us" else (1.0, BAR_METERS, "m")
    length = next((n for n in reversed(lengths) if n * unit_m * view.k <= min(60.0, wide / 2)), lengths[0])
    mm = length * unit_m * view.k
    yield f'<path class="frame" d="M{x:g} {y - 1.5:.2f}v1.5h{mm:.2f}v-1.5M{x + mm / 2:.2f} {y:.2f}v-1"/>'
    yield f'<text x="{x:g}" y="{y - 2.1:.2f}" font-size="2.6">0</text>'
    yield f'<text x="{x + mm:.2f}" y="{y - 2.1:.2f}" font-size="2.6" text-anchor="middle">{q.count(length)} {word}</text>'
