"""Passes that are not straight: along curved sides, across a slope, in rounds alone."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely import MultiPolygon

from fieldplan.coverage.choice import MIN_CURVED_SAVES_FRAC, Choice
from fieldplan.coverage.contour import Contours
from fieldplan.coverage.driven import Driven, driven_over, driven_with
from fieldplan.coverage.guide import drawn_guide, sides_of
from fieldplan.coverage.laid import Laid
from fieldplan.coverage.layout import Layout, all_rounds, n_all_rounds, none_gone_by
from fieldplan.coverage.pieces import Way, along_sides_s, blocks_over
from fieldplan.coverage.rounds import corners_about_s
from fieldplan.model.coverage import Swaths

LIKELY_CURVED_FRAC = MIN_CURVED_SAVES_FRAC * 2 / 3
"""They are laid out where they would save this share if openers could follow all of their strips."""
FEW_ALL_ROUNDS, MAX_ALL_ROUNDS, MIN_ROUND_FRAC = 4, 250, 0.97
"""Rounds alone are tried where so few of them cover the field; also where there are more, if sowing and about the time of
all their corners are clearly less than what straight passes take, and on a field that fills so much of a circle of its outline's
length, but not where there are too many to lay out."""
LIKELY_ROUNDS_FRAC = 0.1
"""So much of the time rounds must save by that estimate."""


def other_patterns(choice: Choice) -> list[Choice]:
    """Passes along curved sides, and rounds only, where the pattern leaves that open and they may be better."""
    layout, pattern = choice.layout, choice.layout.site.working.pattern
    if pattern == "straight" or layout.site.along_wanted is not None or layout.site.working.sowings > 1:
        return []
    found = [] if layout.depths.gone_by.zones.size and pattern == "best" else _along_sides(choice)
    if pattern == "best" and _rounds_likely(choice):
        found.append(rounds_only(layout, choice.driven))
    return [each for each in found if each.driven.route]


def _along_sides(choice: Choice) -> list[Choice]:
    """The same ground with passes along curved sides, where an estimate says that they may be better."""
    layout, rig = none_gone_by(choice.layout), choice.layout.site.rig
    inner = layout.inner()
    if not any(sides_of(piece, rig) for piece in inner):
        return []
    straight_s = math.inf
    if layout.site.working.pattern == "best":
        straight_s = Laid(MultiPolygon(inner), choice.driven.sowings[0].blocks).weighed_s(rig)
        if straight_s - along_sides_s(inner, rig) < LIKELY_CURVED_FRAC * choice.driven.total_s:
            return []
    along = blocks_over(layout, inner, Way(along_sides=True, most_s=straight_s), None)
    if along.driven_s(rig) > straight_s or along.weighed_s(rig) > straight_s:
        return []
    driven = driven_over(layout, along.blocks)
    return [Choice(layout, driven, pattern="along edge", straight=choice.driven)]


def across_slope(layout: Layout, contours: Contours) -> Choice:
    """Passes along lines of equal height, or along drawn ones, as far as they keep to the limit; or straight ones across
    the slope, where those keep to the limit and are quicker.
    """
    inner = layout.inner()
    quickest = driven_with(layout, inner, Way())
    drawn = tuple(drawn_guide(line, layout.site.rig) for line in layout.site.guides)
    curved = Choice(
        layout,
        driven_with(layout, inner, Way(guides=drawn, contours=contours)),
        pattern="contour",
        straight=quickest,
    )
    across = contours.across(layout.around)
    if across is None:
        return curved
    straight = replace(curved, driven=driven_with(layout, inner, Way(along=across)))
    lines = Swaths.of(block.runs for block in straight.driven.sowings[0].blocks).lines
    if contours.keeps(lines).all() and straight.driven.total_s <= curved.driven.total_s:
        return straight
    return curved


def rounds_only(layout: Layout, straight: Driven | None) -> Choice:
    """The field driven in rounds alone, from its edge to its middle."""
    layout = all_rounds(layout)
    return Choice(layout, driven_with(layout, layout.inner(), Way()), pattern="rounds", straight=straight)


def _rounds_likely(choice: Choice) -> bool:
    """Whether rounds alone may be quickest: on round fields, where the middle is not far from the edge, and where straight
    passes take longer than rounds about do.
    """
    layout = choice.layout
    around, rig = layout.around, layout.site.rig
    if layout.site.working.headland_rounds is not None:
        return False
    is_round = 4 * math.pi * around.area / around.length**2 >= MIN_ROUND_FRAC
    # without holes, the deepest place is at least as far from the edge as the area over its length
    deep_m = max((part.area / part.length for part in around.geoms if not part.interiors), default=0.0)
    sown_s, corners_s = around.area / rig.width_m / rig.field_speed_m_per_s, corners_about_s(around, rig)
    spare_s = (1 - LIKELY_ROUNDS_FRAC) * choice.driven.drive_s - sown_s
    n_most = max(FEW_ALL_ROUNDS, int(spare_s / corners_s))
    if not is_round and deep_m > n_most * rig.width_m:
        return False
    n_all = n_all_rounds(layout)
    return n_all <= n_most or (is_round and n_all <= MAX_ALL_ROUNDS)
