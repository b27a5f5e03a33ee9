"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

from dataclasses import replace

from fieldplan.coverage.audit import audit
from fieldplan.coverage.choices import quickest
from fieldplan.coverage.drive_line import drawn
from fieldplan.coverage.driven import Driven
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.notes import notes_on, swings_out_m
from fieldplan.coverage.route import route
from fieldplan.coverage.site import Site
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import PatternWord


def cover(site: Site) -> Coverage:
    """The quickest coverage found for a field: headland, passes, route and audit.

    Headings are chosen by the time to drive the passes; where that is uncertain, and for cutting the field
    into blocks, whole routes are compared.

    Raises
    ------
    PlanError
        If the drill fits nowhere on the field, or the field has too many parts or holes.
    """
    found = quickest(site)
    choice, driven, layout = found.choice, found.driven, found.choice.layout
    if driven.route is None:
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
        drive_line=drawn(layout.line),
        pattern=_pattern_driven(choice.pattern, driven),
        search=site.working.search,
        edge_tolerance_m=layout.line.away_m if layout.line else 0.0,
        swings_out_m=swings_out_m(layout.room, driven.legs),
        pockets=layout.pockets,
    )
    notes = notes_on(
        layout,
        coverage,
        blocks_saved_s=choice.saved_s,
        pattern_saves_s=choice.straight.total_s - driven.total_s if choice.straight else None,
        plain_extra_s=_plain_extra_s(layout, driven),
        headings_saved_s=found.headings_saved_s,
    )
    return replace(coverage, notes=notes)


def _pattern_driven(pattern: PatternWord, driven: Driven) -> PatternWord:
    """How passes run, as driven: those over a corridor may follow its sides where others are straight."""
    guided = any(block.guide is not None for sowing in driven.sowings for block in sowing.blocks)
    return "along edge" if pattern == "straight" and guided else pattern


def _plain_extra_s(layout: Layout, driven: Driven) -> float | None:
    """Time that the plain order takes beyond the order with the least turning; ``None`` if not asked for."""
    if not layout.site.rig.plain_order or driven.route is None:
        return None
    free = replace(layout, site=replace(layout.site, rig=replace(layout.site.rig, plain_order=False)))
    begun = route(free, driven.sowings, free.site.rig, driven.route.begun_near, driven.route.order)
    quickest = replace(driven, route=begun).in_quicker_order(free)
    return driven.total_s - quickest.total_s
