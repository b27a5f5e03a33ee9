"""The notes on how a field is covered: what was assumed, what is missed, what turns back up or lead outside."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point

from fieldplan.coverage.guide import drawn_guide
from fieldplan.coverage.layout import THIN_M, Layout
from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.rounds import MAX_ROUNDS
from fieldplan.coverage.terms import Rig
from fieldplan.facts import Value
from fieldplan.model.coverage import Array, Coverage, Leg
from fieldplan.model.notes import Note

NOTABLE_MISSED_FRAC = 0.005
"""Ground missed, or drilled outside the field, is noted above this share of the ground."""
NOTABLE_EXTRA_S = 30.0
FAR_GATE_M = 200.0
SMOOTHED_W = 0.5
"""That passes keep farther from a guide than this, in drill widths, is noted."""


def notes_on(
    layout: Layout,
    coverage: Coverage,
    *,
    blocks_saved_s: float,
    pattern_saves_s: float | None,
    plain_extra_s: float | None,
    headings_saved_s: float | None,
) -> tuple[Note, ...]:
    """The notes on one field, each with the field's id.

    Parameters
    ----------
    blocks_saved_s
        Time that cutting the field into blocks saves; 0 if it was not cut.
    pattern_saves_s
        Time that passes along a curve, or rounds alone, save over straight passes; ``None`` if those were not tried.
    plain_extra_s
        Time that the plain order takes beyond the order with the least turning; ``None`` if the plain order
        was not asked for.
    headings_saved_s
        Time that whole plans at all headings save over the usual search; ``None`` if they were not compared.
    """
    found = (
        *_on_gate_given(layout),
        *_on_headland(layout, coverage),
        *_on_gate(coverage),
        *_on_obstacles(layout, coverage),
        *_on_audit(layout, coverage),
        *_on_rounds(layout, coverage),
        *_on_turns(layout, coverage),
        *_on_choices(blocks_saved_s, plain_extra_s),
        *_on_search(layout, headings_saved_s),
        *_on_pattern(layout, coverage, pattern_saves_s),
        *_on_outline(layout),
    )
    return tuple(replace(note, field_id=layout.site.field_id) for note in found)


def _on_pattern(layout: Layout, coverage: Coverage, saves_s: float | None) -> Iterator[Note]:
    site, pattern = layout.site, coverage.pattern
    if site.working.pattern == "guide" and not site.guides:
        yield Note(code="guide-missing", warning=True)
    if site.working.pattern == "contour" and site.contours is None:
        yield Note(code="heights-missing", warning=True)
    saved = {"saved_s": saves_s} if saves_s is not None and saves_s > 0 else {}
    curved = [block for sowing in coverage.sowings for block in sowing.blocks if block.guide is not None]
    radius_m = min((block.least_radius_m for block in curved), default=math.inf)
    if pattern == "contour" and saves_s is not None and saves_s < -NOTABLE_EXTRA_S:
        case = "" if curved else "straight"
        yield Note(code="contour-cost", case=case, values={"extra_s": -saves_s})
    if pattern == "rounds":
        yield Note(code="rounds-alone", values={"n_rounds": coverage.headland_rounds, **saved})
    if math.isfinite(radius_m):
        values: dict[str, Value] = {
            "n_passes": sum(block.n_passes for block in curved),
            "radius_m": radius_m,
            "rate_frac": coverage.drill_width_m / 2 / radius_m,
        }
        yield Note(
            code="passes-curved",
            case=pattern if pattern in ("guide", "contour") else "along edge",
            values=values | saved,
        )
    if pattern == "guide":
        moved_m = max(drawn_guide(line, site.rig).moved_m for line in site.guides)
        if moved_m > SMOOTHED_W * site.rig.width_m:
            values = {"moved_m": moved_m, "pass_radius_m": site.rig.pass_radius_m}
            yield Note(code="guide-smoothed", values=values)
        if site.along_wanted is not None:
            yield Note(code="heading-unused")


def _on_gate_given(layout: Layout) -> Iterator[Note]:
    if layout.site.gate is None:
        yield Note(code="gate-assumed")


def _on_headland(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    n_rounds, n_wanted = coverage.headland_rounds, layout.n_rounds
    if n_rounds < n_wanted:
        yield Note(code="rounds-fewer", values={"n_rounds": n_rounds, "n_wanted": n_wanted})
    n_parts = len(coverage.ground.geoms)
    if n_parts > 1:
        yield Note(code="parts-apart", values={"n_parts": n_parts})


def _on_gate(coverage: Coverage) -> Iterator[Note]:
    away_m = coverage.gate.distance(coverage.ground)
    if away_m > FAR_GATE_M:
        yield Note(code="gate-far", values={"away_m": away_m})


def _on_obstacles(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    gone_by = layout.depths.gone_by
    if len(gone_by.zones):
        near = shapely.union_all(gone_by.ground_left(layout.site.rig))
        left_m2 = shapely.intersection(coverage.audit.missed_ground, near).area
        yield Note(
            code="obstacles-gone-by", values={"n_holes": len(gone_by.zones), "left_small_m2": left_m2}
        )
    if layout.n_driven_over:
        smallest_m2 = layout.site.working.smallest_obstacle_m2
        yield Note(
            code="obstacles-driven-over",
            values={"n_holes": layout.n_driven_over, "smallest_small_m2": smallest_m2},
        )


def _on_audit(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    audit = coverage.audit
    ground_m2 = audit.plantable_m2 * len(coverage.sowings)
    if audit.missed_m2 > NOTABLE_MISSED_FRAC * ground_m2:
        yield Note(code="ground-missed", values={"missed_frac": audit.missed_m2 / ground_m2})
    if not coverage.pockets.is_empty:
        left_m2 = shapely.intersection(audit.missed_ground, coverage.pockets).area
        values = {"n_pockets": len(coverage.pockets.geoms), "left_small_m2": left_m2}
        yield Note(code="pockets-left", values=values)
    if audit.outside_m2 > NOTABLE_MISSED_FRAC * ground_m2:
        yield Note(
            code="sown-outside",
            case="" if layout.site.lifted.is_empty else "crossed",
            values={"outside_frac": audit.outside_m2 / ground_m2},
        )


def _on_turns(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    """Turns that back up, and what nothing inside the edges could replace."""
    turns = [leg for leg in coverage.legs if leg.kind == "turn"]
    n_backing = sum(leg.shape == "backing" for leg in turns)
    if n_backing:
        n_rounds = _rounds_without_backing(layout.site.rig)
        yield Note(
            code="turns-backing",
            case="more-rounds" if n_rounds > coverage.headland_rounds else "",
            values={
                "n_backing": n_backing,
                "n_turns": len(turns),
                "reverse_m": sum(leg.reverse_m for leg in turns),
                "n_rounds": n_rounds,
            },
        )
    for kind in ("turn", "transfer"):
        legs = [leg for leg in coverage.legs if leg.kind == kind]
        n_tight = sum(leg.shape == "tight" for leg in legs)
        if n_tight:
            yield Note(code="turns-tight", case=kind, values={"n_tight": n_tight, f"n_{kind}s": len(legs)})
        n_outside = sum(leg.shape == "outside" for leg in legs)
        if n_outside:
            yield Note(
                code="route-outside",
                case=kind,
                warning=True,
                values={"n_outside": n_outside, "outside_m": coverage.swings_out_m},
            )


@lru_cache(maxsize=64)
def _rounds_without_backing(rig: Rig) -> int:
    """The headland rounds from which on the cheapest turn between passes is the one without edges."""
    free_s = min(level_turns_s(replace(rig, headland_m=math.inf)))
    own = (
        n
        for n in range(MAX_ROUNDS)
        if min(level_turns_s(replace(rig, headland_m=n * rig.width_m))) <= free_s + 0.01
    )
    return next(own, MAX_ROUNDS)


def _on_rounds(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    if layout.site.working.headland_rounds is None and coverage.pattern != "rounds":
        yield Note(code="rounds-weighed", values={"n_rounds": layout.n_rounds})


def _on_choices(blocks_saved_s: float, plain_extra_s: float | None) -> Iterator[Note]:
    if blocks_saved_s > 0:
        yield Note(code="blocks-cut", values={"saved_s": blocks_saved_s})
    if plain_extra_s is not None and plain_extra_s > NOTABLE_EXTRA_S:
        yield Note(code="order-plain", values={"extra_s": plain_extra_s})
    elif plain_extra_s is not None:
        yield Note(code="order-plain", case="no-longer")


def _on_search(layout: Layout, headings_saved_s: float | None) -> Iterator[Note]:
    if layout.site.working.search == "quick":
        yield Note(code="search-quick")
    if headings_saved_s is not None and headings_saved_s > NOTABLE_EXTRA_S:
        yield Note(code="search-thorough", values={"saved_s": headings_saved_s})
    elif headings_saved_s is not None:
        yield Note(code="search-thorough", case="no-better")


def _on_outline(layout: Layout) -> Iterator[Note]:
    if layout.thinned_m > THIN_M:
        yield Note(code="layout-thinned", values={"smoothed_m": layout.thinned_m})
    if layout.line is not None:
        yield Note(
            code="outline-jagged",
            case="steps" if layout.line.outside_m else "",
            values={"away_m": layout.line.away_m, "outside_m": layout.line.outside_m},
        )


def on_edges(field_id: str, open_m: float, edge_m: float) -> tuple[Note, ...]:
    """The note that turns may swing out over the outer edge, if any of it is open."""
    if not open_m:
        return ()
    return (
        Note(
            code="edge-open",
            case="part" if open_m < 0.999 * edge_m else "",
            field_id=field_id,
            values={"open_m": open_m, "edge_m": edge_m},
        ),
    )


def swings_out_m(room: InsideFence, legs: Sequence[Leg]) -> float:
    """How far an end of the drill reaches past a hard edge on legs that lead outside."""
    outside = [leg.line for leg in legs if leg.shape == "outside"]
    if not outside:
        return 0.0
    past_m, _ = _past_m(room.fenced, outside)
    return float(past_m.max()) + room.rig.width_m / 2


def first_shaped(coverage: Coverage, kind: str, shape: str) -> Point | None:
    """The middle of the first leg of a kind that is driven so; where it leads outside, the place where it is farthest
    out, but for the gate, which is an opening.
    """
    lines = (leg.line for leg in coverage.legs if leg.kind == kind and leg.shape == shape)
    line = next(lines, None)
    if line is None:
        return None
    if shape == "outside":
        past_m, xy = _past_m(coverage.fenced, [line])
        past_m[shapely.dwithin(shapely.points(xy), coverage.gate, 2 * coverage.drill_width_m)] = -np.inf
        return Point(xy[past_m.argmax()])
    return line.interpolate(0.5, normalized=True)


def _past_m(fenced: MultiPolygon, lines: Sequence[LineString]) -> tuple[Array, Array]:
    """How far points of lines, a meter apart, lie outside hard edges, negative inside, (n,), and the points."""
    xy = shapely.get_coordinates(shapely.segmentize(np.array(lines, dtype=object), 1.0))
    points = shapely.points(xy)
    from_edge_m = np.asarray(shapely.distance(points, shapely.boundary(fenced)))
    return np.where(shapely.intersects(fenced, points), -from_edge_m, from_edge_m), xy
