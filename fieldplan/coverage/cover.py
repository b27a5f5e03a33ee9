"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon

from fieldplan.coverage.audit import audit
from fieldplan.coverage.begin import begun_best
from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.directions import directions_about
from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.gate import SownLines, seed_s
from fieldplan.coverage.heading import best_swath_layout, quickest_headings
from fieldplan.coverage.layout import Layout, lay_out, with_rounds
from fieldplan.coverage.notes import notes_on, swings_out_m
from fieldplan.coverage.passes import MIN_PATCH_FRAC, bent_block, block_of, left_over_blocks
from fieldplan.coverage.route import route, route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import Swept, swept
from fieldplan.coverage.visits import BlockKey, visits_s, without
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC, missed_s
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Coverage, Leg, Sowing
from fieldplan.plane.offsets import polygons_of

MAX_BLOCKS = 8
TRIED_CUTS = 2
"""If all cuts together do not make the route quicker, the best cut alone is tried."""
MAX_TURNS_WEIGHED, LIKELY_FRAC, N_WEIGHED = 60, 0.01, 1
"""On fields of so few turns whole routes are compared, with those other numbers of rounds, so many at most, of which
an estimate says that they take no more than this share longer."""
MORE_ROUNDS = 2
"""On a narrow field, one round and so many more than foreseen are driven too."""
MAX_WHOLE_ROUTES = 16
"""Headings that are judged by the whole route, where an almost convex field has corners sown separately."""


def cover(site: Site) -> Coverage:
    """The quickest coverage found for a field: headland, passes, route and audit.

    Headings are chosen by the time to drive the passes; where that is uncertain, and for cutting the field
    into blocks, whole routes are compared.

    Raises
    ------
    PlanError
        If the drill fits nowhere on the field, or the field has too many parts or holes.
    """
    layout, driven, saved_s = _weighed(lay_out(site))
    driven, site = _without_poor_visits(layout, driven).begun_best(layout), layout.site
    if not driven.legs:
        raise PlanError.of(
            "field-too-narrow", about=f'field "{site.field_id}"', drill_width_m=site.rig.width_m
        )
    coverage = Coverage(
        drill_width_m=site.rig.width_m,
        headland_rounds=max(sowing.n_rounds for sowing in driven.sowings),
        ground=layout.around,
        sowings=driven.sowings,
        legs=driven.legs,
        gate=driven.gate,
        audit=audit(site.ground, layout.thinned, driven.sowings, driven.covered, site.rig.width_m),
        fenced=layout.room.fenced,
        swings_out_m=swings_out_m(layout.room, driven.legs),
    )
    plain_extra_s = _plain_extra_s(layout, driven)
    return replace(
        coverage, notes=notes_on(layout, coverage, blocks_saved_s=saved_s, plain_extra_s=plain_extra_s)
    )


@dataclass(frozen=True, slots=True)
class _Driven:
    """A route over a field, and the ground that each sowing covers."""

    sowings: tuple[Sowing, ...]
    covered: tuple[Swept, ...]
    legs: tuple[Leg, ...]
    gate: Point

    def total_s(self, site: Site) -> float:
        """Time of the route, and about that of stops and trips to the seed."""
        if not self.legs:
            return 0.0
        trips_s = seed_s(site, SownLines.of(self.legs), np.array([[self.gate.x, self.gate.y]]))
        return route_s(self.legs, site.rig) + float(trips_s[0])

    def begun_best(self, layout: Layout) -> _Driven:
        """The same from another corner where that is quicker with trips to the seed."""
        if not self.legs:
            return self
        legs, gate = begun_best(layout, self.sowings, (self.legs, self.gate))
        return replace(self, legs=legs, gate=gate)

    @property
    def missed_m2(self) -> float:
        """The ground that each sowing misses, summed."""
        return sum(float(each.missed.area) for each in self.covered)

    @property
    def sown_m(self) -> float:
        """Length of all sown lines."""
        return sum(leg.length_m for leg in self.legs if leg.sown)


def _weighed(layout: Layout) -> tuple[Layout, _Driven, float]:
    """The layout, or one with another number of rounds whose route is better; that route, and what cuts save."""
    driven, saved_s = _planned(layout)
    best = layout, driven, saved_s
    for n_rounds in _likely_rounds(layout, driven):
        other = with_rounds(layout, n_rounds)
        driven, saved_s = _planned(other)
        if _better(driven, best[1], layout.site):
            best = other, driven, saved_s
    return best


def _planned(layout: Layout) -> tuple[_Driven, float]:
    """The quickest route found on a layout, and the time that cutting the ground into blocks saves."""
    inner = layout.inner()
    driven = _driven(layout, inner, layout.site.along_wanted)
    if _heading_uncertain(layout, inner, driven):
        driven = _quickest_route(layout, inner[0], driven)
    return _cut_where_quicker(layout, inner, driven)


def _likely_rounds(layout: Layout, driven: _Driven) -> list[int]:
    """Other numbers of rounds that may be quicker; none on large fields, and where the number is given."""
    about_s, own = layout.depths.about_s, layout.n_rounds
    if not len(about_s):
        return []
    if layout.narrow:
        return sorted({1, own + MORE_ROUNDS} - {own})
    if sum(leg.kind == "turn" for leg in driven.legs) > MAX_TURNS_WEIGHED:
        return []
    most_s = about_s[own] + LIKELY_FRAC * route_s(driven.legs, layout.site.rig)
    likely = [
        n for n in about_s.argsort(kind="stable").tolist() if n not in (0, own) and about_s[n] <= most_s
    ]
    return likely[:N_WEIGHED]


def _better(other: _Driven, driven: _Driven, site: Site) -> bool:
    """Whether another route is better, weighed by time, by seed and by what is missed."""
    if not other.legs or not driven.legs:
        return bool(other.legs)
    seed_frac = SEED_AS_TIME_FRAC * (other.sown_m / driven.sown_m - 1)
    longer_s = other.total_s(site) - driven.total_s(site) * (1 - seed_frac)
    return longer_s + missed_s(other.missed_m2 - driven.missed_m2, site.rig) < 0


def _driven(layout: Layout, pieces: Sequence[Polygon], along: Array | None) -> _Driven:
    """The field driven with these pieces of its inner ground as blocks.

    Each further sowing is at right angles to the one before.
    """
    site = layout.site
    each = [_sowing(layout, pieces, along, layout.surroundings)]
    for _ in range(1, site.working.sowings):
        before = along if along is not None else _main_heading(site, each[0][0])
        along = None if before is None else _across(before)
        each.append(_sowing(layout, pieces, along, None))
    sowings, covered = zip(*each, strict=True)
    if not any(len(sowing.swaths()) for sowing in sowings):
        return _Driven(sowings, covered, (), Point())
    return _Driven(sowings, covered, *route(layout, sowings, site.rig))


def _sowing(
    layout: Layout, pieces: Sequence[Polygon], along: Array | None, surroundings: Surroundings | None
) -> tuple[Sowing, Swept]:
    """One sowing, and the ground that its swaths cover."""
    site, whole = layout.site, len(pieces) == 1
    all_round = whole and surroundings is not None and layout.almost_convex
    blocks = []
    for number, piece in enumerate(pieces, start=1):
        swath_layout = best_swath_layout(
            piece,
            site.rig,
            along,
            surroundings if whole else None,
            all_round=all_round,
            crossed=_crossed(piece, site),
        )
        block = block_of(number, piece, swath_layout, site, layout.room, layout.depths.gone_by)
        if along is None:
            block = bent_block(piece, block, site, layout.room)
        if len(block.runs):  # a thin piece inside the headland may have none
            blocks.append(block)
    covered = swept(site.ground, layout.rounds, layout.headland, blocks)
    more = left_over_blocks(
        len(pieces) + 1, layout.thinned, covered.missed, layout.given_up, site, layout.room
    )
    if more:
        blocks += more
        covered = swept(site.ground, layout.rounds, layout.headland, blocks)
    return Sowing(headland=layout.rounds, blocks=tuple(blocks)), covered


def _crossed(piece: Polygon, site: Site) -> MultiPolygon | None:
    """What of a piece is driven through without sowing it; ``None`` if there is nothing."""
    if site.lifted.is_empty:
        return None
    return polygons_of(shapely.intersection(piece, site.lifted))


def _heading_uncertain(layout: Layout, inner: Sequence[Polygon], driven: _Driven) -> bool:
    """Whether an almost convex field has corners that are sown separately.

    They can be far from where the passes end, and the choice of heading did not count the path to them.
    """
    open_choice = layout.site.working.heading_deg is None and layout.surroundings is not None
    return open_choice and len(inner) == 1 and len(driven.sowings[0].blocks) > 1 and layout.almost_convex


def _quickest_route(layout: Layout, inner: Polygon, driven: _Driven) -> _Driven:
    """The quickest of these routes: this one, likely headings all round, and headings near the quickest."""
    rig = layout.site.rig

    def quickest(driven: _Driven, headings: Array) -> _Driven:
        others = (_driven(layout, [inner], along) for along in headings)
        return min([driven, *others], key=lambda other: other.total_s(layout.site))

    driven = quickest(driven, quickest_headings(inner, rig, layout.surroundings, MAX_WHOLE_ROUTES))
    main = _main_heading(layout.site, driven.sowings[0])
    return driven if main is None else quickest(driven, directions_about(main[None, :]))


def _cut_where_quicker(layout: Layout, inner: Sequence[Polygon], driven: _Driven) -> tuple[_Driven, float]:
    """The route with the ground cut into blocks and the time saved, or the given route and 0."""
    working = layout.site.working
    if working.heading_deg is not None or working.max_blocks == 1:
        return driven, 0.0
    most = MAX_BLOCKS if working.max_blocks is None else working.max_blocks
    stages = cut_up(inner, layout.site.rig, most)
    for pieces in [*stages[-1:], *stages[:-1]][:TRIED_CUTS]:
        other = _driven(layout, pieces, None)
        saved_s = driven.total_s(layout.site) - other.total_s(layout.site)
        if saved_s > 0 and _better(other, driven, layout.site):
            return other, saved_s
    return driven, 0.0


def _without_poor_visits(layout: Layout, driven: _Driven) -> _Driven:
    """The route without blocks whose visit takes longer than their ground is worth, if it is better; what it
    misses stays within `MIN_PATCH_FRAC` of the ground.
    """
    poor = _poor_visits(layout.site, driven)
    for n_left_out in sorted({len(poor), len(poor) // 2, 1} if poor else (), reverse=True):
        if n_left_out == 0:
            break
        sowings = without(driven.sowings, set(poor[:n_left_out]))
        covered = tuple(
            swept(layout.site.ground, layout.rounds, layout.headland, sowing.blocks) for sowing in sowings
        )
        other = _Driven(sowings, covered, *route(layout, sowings, layout.site.rig))
        if _better(other, driven, layout.site):
            return other
    return driven


def _poor_visits(site: Site, driven: _Driven) -> list[BlockKey]:
    """Blocks that seem not worth their visit, those that lose most first."""
    rig, spare_m2 = site.rig, MIN_PATCH_FRAC * site.ground.area * len(driven.sowings) - driven.missed_m2
    m2 = {
        (nth, block.block): float(block.ground.area)
        for nth, sowing in enumerate(driven.sowings, start=1)
        for block in sowing.blocks
    }
    lost_s = {key: taken_s - missed_s(m2[key], rig) for key, taken_s in visits_s(driven.legs, rig).items()}
    poor = []
    for key in sorted(lost_s, key=lambda key: -lost_s[key]):
        if lost_s[key] > 0 and m2[key] < spare_m2:
            poor.append(key)
            spare_m2 -= m2[key]
    return poor


def _plain_extra_s(layout: Layout, driven: _Driven) -> float | None:
    """Time that the plain order takes beyond the order with the least turning; ``None`` if not asked for."""
    rig = layout.site.rig
    if not rig.plain_order:
        return None
    legs, _ = route(layout, driven.sowings, replace(rig, plain_order=False))
    return route_s(driven.legs, rig) - route_s(legs, rig)


def _main_heading(site: Site, sowing: Sowing) -> Array | None:
    """The heading of the block with the longest passes in all, as a unit vector; ``None`` without blocks."""
    block = max(sowing.blocks, key=lambda block: block.runs.length_m, default=None)
    return None if block is None else site.along(block.heading_deg)


def _across(along: Array) -> Array:
    """The unit vector at right angles to another."""
    return np.array([along[1], -along[0]])
