"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import Polygon

from fieldplan.coverage.audit import audit
from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.directions import directions_about
from fieldplan.coverage.driven import Driven, driven_with, main_heading
from fieldplan.coverage.heading import quickest_headings
from fieldplan.coverage.layout import Layout, lay_out, with_rounds
from fieldplan.coverage.notes import notes_on, swings_out_m
from fieldplan.coverage.route import route, route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.visits import without_poor_visits
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Coverage

MAX_BLOCKS = 8
TRIED_CUTS = 2
"""If all cuts together do not make the route quicker, the best cut alone is tried."""
MAX_TURNS_WEIGHED, LIKELY_FRAC, N_WEIGHED = 60, 0.01, 1
"""On fields of so few turns whole routes are compared, with those other numbers of rounds, so many at most, of which
an estimate says that they take no more than this share longer."""
NARROW_W, SLIM_W, MORE_ROUNDS = 5.0, 10.0, 2
"""How many rounds are best is hard to foresee where the mean width is less than so many drill widths: on a slim field,
one round is driven too, on a narrow one also so many more than foreseen."""
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
    driven, site = without_poor_visits(layout, driven).begun_best(layout), layout.site
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


def _weighed(layout: Layout) -> tuple[Layout, Driven, float]:
    """The layout, or one with another number of rounds whose route is better; that route, and what cuts save."""
    driven, saved_s = _planned(layout)
    best = layout, driven, saved_s
    for n_rounds in _likely_rounds(layout, driven):
        other = with_rounds(layout, n_rounds)
        driven, saved_s = _planned(other)
        if driven.better_than(best[1], layout.site):
            best = other, driven, saved_s
    return best


def _planned(layout: Layout) -> tuple[Driven, float]:
    """The quickest route found on a layout, and the time that cutting the ground into blocks saves."""
    inner = layout.inner()
    driven = driven_with(layout, inner, layout.site.along_wanted)
    if _heading_uncertain(layout, inner, driven):
        driven = _quickest_route(layout, inner[0], driven)
    return _cut_where_quicker(layout, inner, driven.in_quicker_order(layout))


def _likely_rounds(layout: Layout, driven: Driven) -> list[int]:
    """Other numbers of rounds that may be quicker; none on large fields, and where the number is given."""
    about_s, own = layout.depths.about_s, layout.n_rounds
    if not len(about_s):
        return []
    if layout.mean_width_w < NARROW_W:
        return sorted({1, own + MORE_ROUNDS} - {own})
    likely = {1} if layout.mean_width_w < SLIM_W else set()
    if driven.n_turns <= MAX_TURNS_WEIGHED:
        most_s = about_s[own] + LIKELY_FRAC * route_s(driven.legs, layout.site.rig)
        others = [n for n in about_s.argsort(kind="stable").tolist() if n and n != own]
        likely |= {n for n in others[:N_WEIGHED] if about_s[n] <= most_s}
    return sorted(likely - {own})


def _heading_uncertain(layout: Layout, inner: Sequence[Polygon], driven: Driven) -> bool:
    """Whether an almost convex field has corners that are sown separately.

    They can be far from where the passes end, and the choice of heading did not count the path to them.
    """
    open_choice = layout.site.working.heading_deg is None and layout.surroundings is not None
    return open_choice and len(inner) == 1 and len(driven.sowings[0].blocks) > 1 and layout.almost_convex


def _quickest_route(layout: Layout, inner: Polygon, driven: Driven) -> Driven:
    """The quickest of these routes: this one, likely headings all round, and headings near the quickest."""
    rig = layout.site.rig

    def quickest(driven: Driven, headings: Array) -> Driven:
        others = (driven_with(layout, [inner], along) for along in headings)
        return min([driven, *others], key=lambda other: other.total_s(layout.site))

    driven = quickest(driven, quickest_headings(inner, rig, layout.surroundings, MAX_WHOLE_ROUTES))
    main = main_heading(layout.site, driven.sowings[0])
    return driven if main is None else quickest(driven, directions_about(main[None, :]))


def _cut_where_quicker(layout: Layout, inner: Sequence[Polygon], driven: Driven) -> tuple[Driven, float]:
    """The route with the ground cut into blocks and the time saved, or the given route and 0."""
    working = layout.site.working
    if working.heading_deg is not None or working.max_blocks == 1:
        return driven, 0.0
    most = MAX_BLOCKS if working.max_blocks is None else working.max_blocks
    stages = cut_up(inner, layout.site.rig, most)
    for pieces in [*stages[-1:], *stages[:-1]][:TRIED_CUTS]:
        other = driven_with(layout, pieces, None).in_quicker_order(layout)
        saved_s = driven.total_s(layout.site) - other.total_s(layout.site)
        if saved_s > 0 and other.better_than(driven, layout.site):
            return other, saved_s
    return driven, 0.0


def _plain_extra_s(layout: Layout, driven: Driven) -> float | None:
    """Time that the plain order takes beyond the order with the least turning; ``None`` if not asked for."""
    if not layout.site.rig.plain_order:
        return None
    free = replace(layout, site=replace(layout.site, rig=replace(layout.site.rig, plain_order=False)))
    quickest = replace(driven, route=route(free, driven.sowings, free.site.rig)).in_quicker_order(free)
    return driven.total_s(layout.site) - quickest.total_s(layout.site)
