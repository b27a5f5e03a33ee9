"""What a person should know about how a field is covered."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.layout import THIN_M, Layout
from fieldplan.model.coverage import Coverage, Leg
from fieldplan.model.notes import Note
from fieldplan.plane.ragged import begins, ends

NOTABLE_MISSED_FRAC = 0.005
NOTABLE_SWING_M = 0.1
NOTABLE_EXTRA_S = 30.0
FAR_GATE_M = 200.0
_ABOUT_MIDDLE = np.arange(-4, 5, 2)
"""Points of a turn, counted from its middle."""


def notes_on(
    layout: Layout, coverage: Coverage, *, blocks_saved_s: float, plain_extra_s: float | None
) -> tuple[Note, ...]:
    """The notes on one field.

    Parameters
    ----------
    blocks_saved_s
        What cutting the field into blocks saves; 0 if it was not cut.
    plain_extra_s
        What the plain order costs against the order of least turning; ``None`` if it was not asked for.
    """
    found = (
        *_on_gate_given(layout),
        *_on_headland(layout, coverage),
        *_on_gate(coverage),
        *_on_obstacles(layout),
        *_on_audit(coverage),
        *_on_turns(coverage, may_back_up=layout.site.rig.reverse == "free"),
        *_on_choices(blocks_saved_s, plain_extra_s),
        *_on_thinning(layout),
    )
    return tuple(replace(note, field_id=layout.site.field_id) for note in found)


def _on_gate_given(layout: Layout) -> Iterator[Note]:
    if layout.site.gate is None:
        yield Note(code="gate-assumed")


def _on_headland(layout: Layout, coverage: Coverage) -> Iterator[Note]:
    n_rounds, n_wanted, n_parts = (
        coverage.headland_rounds,
        layout.site.rounds_wanted,
        len(coverage.ground.geoms),
    )
    if n_rounds < n_wanted:
        yield Note(code="rounds-fewer", values={"n_rounds": n_rounds, "n_wanted": n_wanted})
    if n_parts > 1:
        yield Note(code="parts-apart", values={"n_parts": n_parts})


def _on_gate(coverage: Coverage) -> Iterator[Note]:
    away_m = coverage.gate.distance(coverage.ground)
    if away_m > FAR_GATE_M:
        yield Note(code="gate-far", values={"away_m": away_m})


def _on_obstacles(layout: Layout) -> Iterator[Note]:
    if layout.n_driven_over:
        smallest_m2 = layout.site.working.smallest_obstacle_m2
        yield Note(
            code="obstacles-driven-over",
            values={"n_holes": layout.n_driven_over, "smallest_small_m2": smallest_m2},
        )


def _on_audit(coverage: Coverage) -> Iterator[Note]:
    audited = coverage.audit
    ground_m2 = audited.plantable_m2 * len(coverage.sowings)
    if audited.missed_m2 > NOTABLE_MISSED_FRAC * ground_m2:
        yield Note(code="ground-missed", values={"missed_frac": audited.missed_m2 / ground_m2})
    if audited.outside_m2 > NOTABLE_MISSED_FRAC * ground_m2:
        yield Note(code="sown-outside", values={"outside_frac": audited.outside_m2 / ground_m2})


def _on_turns(coverage: Coverage, *, may_back_up: bool) -> Iterator[Note]:
    """How far turns swing past the edge, and what would hold them."""
    between_m, corners_m = coverage.swing_between_m, coverage.swing_at_corners_m
    if between_m > NOTABLE_SWING_M:
        n_rounds = coverage.headland_rounds + math.ceil(between_m / coverage.drill_width_m)
        yield Note(code="turns-swing-out", values={"swing_m": between_m, "n_rounds": n_rounds})
    if corners_m > NOTABLE_SWING_M:
        yield Note(
            code="corners-swing-out",
            case="may-back-up" if may_back_up else "",
            values={"swing_m": corners_m},
        )


def _on_choices(blocks_saved_s: float, plain_extra_s: float | None) -> Iterator[Note]:
    if blocks_saved_s > 0:
        yield Note(code="blocks-cut", values={"saved_s": blocks_saved_s})
    if plain_extra_s is not None and plain_extra_s > NOTABLE_EXTRA_S:
        yield Note(code="order-plain", values={"extra_s": plain_extra_s})
    elif plain_extra_s is not None:
        yield Note(code="order-plain", case="no-longer")


def _on_thinning(layout: Layout) -> Iterator[Note]:
    if layout.thinned_m > THIN_M:
        yield Note(code="layout-thinned", values={"smoothed_m": layout.thinned_m})


def swings_out_m(ground: MultiPolygon, turns: Sequence[Leg]) -> tuple[float, float]:
    """How far turns between passes, and turns on the headland, leave the ground, seen at five points about
    the middle of each.

    On the practice parcels that is right to within a foot and a half on 99 of 100 fields.
    """
    points, of = shapely.get_coordinates(
        np.array([turn.line for turn in turns], dtype=object), return_index=True
    )
    first, last = begins(of).nonzero()[0], ends(of).nonzero()[0]
    seen = points[
        np.clip(((first + last) // 2)[:, None] + _ABOUT_MIDDLE, first[:, None], last[:, None]).ravel()
    ]
    shapely.prepare(ground)
    out = (~shapely.contains_xy(ground, seen[:, 0], seen[:, 1])).nonzero()[0]
    away_m = np.asarray(shapely.distance(shapely.points(seen[out]), shapely.boundary(ground)))
    between = np.array([turn.block > 0 for turn in turns], dtype=bool)[out // len(_ABOUT_MIDDLE)]
    return float(away_m[between].max(initial=0.0)), float(away_m[~between].max(initial=0.0))
