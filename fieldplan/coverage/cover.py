"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely import MultiPolygon, Polygon

from fieldplan.coverage.audit import audit
from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.contour import Contours
from fieldplan.coverage.directions import directions_about
from fieldplan.coverage.drive_line import drawn, drive_lines
from fieldplan.coverage.driven import Driven, driven_over, driven_with, main_heading
from fieldplan.coverage.guide import drawn_guide, sides_of
from fieldplan.coverage.heading import LEAVING_FRAC, MAX_LEAVING_FRAC, quickest_headings
from fieldplan.coverage.laid import Laid
from fieldplan.coverage.layout import (
    Layout,
    all_rounds,
    along_line,
    lay_out,
    n_all_rounds,
    none_gone_by,
    with_rounds,
)
from fieldplan.coverage.notes import notes_on, swings_out_m
from fieldplan.coverage.pieces import Way, along_sides_s, blocks_over
from fieldplan.coverage.route import route
from fieldplan.coverage.site import Site
from fieldplan.coverage.visits import without_poor_visits
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Coverage, Swaths
from fieldplan.model.field import PatternWord

MAX_BLOCKS = 8
TRIED_CUTS = 2
"""If all cuts together do not make the route quicker, the best cut alone is tried."""
MAX_TURNS_WEIGHED, LIKELY_FRAC, N_WEIGHED = 60, 0.01, 1
"""On fields of so few turns whole routes are compared, with those other numbers of rounds, so many at most, of which
an estimate says that they take no more than this share longer."""
NARROW_W, SLIM_W, MORE_ROUNDS = 5.0, 10.0, 2
"""How many rounds are best is hard to foresee where the mean width is less than so many drill widths: on a slim field,
one round is driven too, on a narrow one also so many more than foreseen."""
CLOSE_FRAC = 0.01
"""Routes that take at most this share longer in plain order, or as much as the order found for one of them saves, are
compared in the order found for them."""
MIN_CURVED_SAVES_FRAC = 0.03
"""Straight passes are easier to keep to: passes along a curve must save this share of the time, or its worth."""
LIKELY_CURVED_FRAC = MIN_CURVED_SAVES_FRAC * 2 / 3
"""They are laid out where they would save this share if openers could follow all of their strips."""
FEW_ALL_ROUNDS, MAX_ALL_ROUNDS, MIN_ROUND_FRAC = 4, 250, 0.97
"""Rounds alone are tried where so few of them cover the field; on a field that fills so much of a circle of its
outline's length, also where there are more, but not where there are too many to lay out."""
MAX_WHOLE_ROUTES, MAX_ROUTES_FEW_TURNS = 16, 8
"""Headings that are judged by the whole route, where an almost convex field has corners sown separately, and where it
has few turns."""


def cover(site: Site) -> Coverage:
    """The quickest coverage found for a field: headland, passes, route and audit.

    Headings are chosen by the time to drive the passes; where that is uncertain, and for cutting the field
    into blocks, whole routes are compared.

    Raises
    ------
    PlanError
        If the drill fits nowhere on the field, or the field has too many parts or holes.
    """
    best, driven = _finished(_weighed(lay_out(site)))
    layout, site = best.layout, best.layout.site
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
        pattern=_pattern_driven(best.pattern, driven),
        edge_tolerance_m=layout.line.away_m if layout.line else 0.0,
        swings_out_m=swings_out_m(layout.room, driven.legs),
        pockets=layout.pockets,
    )
    plain_extra_s = _plain_extra_s(layout, driven)
    return replace(
        coverage,
        notes=notes_on(
            layout,
            coverage,
            blocks_saved_s=best.saved_s,
            pattern_saves_s=best.straight.total_s - driven.total_s if best.straight else None,
            plain_extra_s=plain_extra_s,
        ),
    )


def _pattern_driven(pattern: PatternWord, driven: Driven) -> PatternWord:
    """How passes run, as driven: those over a corridor may follow its sides where others are straight."""
    guided = any(block.guide is not None for sowing in driven.sowings for block in sowing.blocks)
    return "along edge" if pattern == "straight" and guided else pattern


@dataclass(frozen=True, slots=True)
class _Choice:
    """A layout and a route over it.

    Parameters
    ----------
    whole
        The route over its ground in one piece, if it is cut into blocks.
    pattern, straight
        How its passes run; and the best straight ones that they were compared with, if they are others.
    """

    layout: Layout
    driven: Driven
    whole: Driven | None = None
    pattern: PatternWord = "straight"
    straight: Driven | None = None

    def better_than(self, other: _Choice) -> bool:
        """Whether the route is better, see `Driven.better_than`: one along a curve, by enough."""
        worth_s = (
            MIN_CURVED_SAVES_FRAC * other.driven.total_s
            if self.layout.site.working.pattern == "best"
            else 0.0
        )
        return self.driven.better_than(
            other.driven, worth_s * (int(self.driven.curved) - int(other.driven.curved))
        )

    def in_quicker_order(self) -> _Choice:
        """The same with the passes of its routes in the order found by the turns that fit."""
        whole = self.whole and self.whole.in_quicker_order(self.layout)
        return replace(self, driven=self.driven.in_quicker_order(self.layout), whole=whole)

    @property
    def saved_s(self) -> float:
        """The time that cutting the ground into blocks saves."""
        return self.whole.total_s - self.driven.total_s if self.whole else 0.0


def _weighed(layout: Layout) -> list[_Choice]:
    """The best choice of rounds, of cuts and of curves: routes in their plain order are compared, and those that are
    about as quick again in the order found for them. With one that is begun elsewhere, also the best that is not.
    """
    choices = _choices(layout)
    plain = _best(choices)
    # where a field is almost convex, headings are weighed by whole routes from one start
    elsewhere = None if plain.layout.almost_convex else plain.driven.begun_elsewhere(plain.layout)
    if elsewhere is not None:
        choices.append(replace(plain, driven=elsewhere))
    best = plain.in_quicker_order()
    most_s = (1 + max(CLOSE_FRAC, best.driven.saves_frac(plain.driven))) * plain.driven.total_s
    close = [choice for choice in choices if choice is not plain and choice.driven.total_s <= most_s]
    ordered = [best, *(choice.in_quicker_order() for choice in close)]
    likely = [_best(ordered)]
    if likely[0].driven.begun_near is not None:
        likely.append(_best([choice for choice in ordered if choice.driven.begun_near is None]))
    return [
        replace(one, driven=one.whole, whole=None) if one.whole is not None and not one.saved_s > 0 else one
        for one in likely
    ]


def _finished(likely: Sequence[_Choice]) -> tuple[_Choice, Driven]:
    """The choice whose route is best without poor visits, part by part in the best order, and that route."""
    best = likely[0]
    driven = without_poor_visits(best.layout, best.driven).begun_best(best.layout)
    for choice in likely[1:]:
        other = without_poor_visits(choice.layout, choice.driven).begun_best(choice.layout)
        best, driven = (choice, other) if other.better_than(driven) else (best, driven)
    return best, driven


def _choices(layout: Layout) -> list[_Choice]:
    """The routes that are compared: those of the pattern asked for, or of every one."""
    site, pattern = layout.site, layout.site.working.pattern
    layouts = [layout, *(along_line(layout, line) for line in drive_lines(site, layout.around))]
    if pattern == "rounds":
        return [_rounds_only(each, None) for each in layouts]
    if pattern == "contour" and site.contours is not None:
        return [_across_slope(none_gone_by(each), site.contours) for each in layouts]
    if site.guides and pattern in ("best", "guide"):
        way = Way(guides=tuple(drawn_guide(line, site.rig) for line in site.guides))
        layouts = [none_gone_by(each) for each in layouts]
        return [_Choice(each, driven_with(each, each.inner(), way), pattern="guide") for each in layouts]
    first = _best([_in_one_piece(each) for each in layouts])
    layout = first.layout
    others = [with_rounds(layout, n_rounds) for n_rounds in _likely_rounds(layout, first.driven)]
    choices = [first, *map(_in_one_piece, others)]
    choices += _cut(_best(choices))
    return choices + _other_patterns(_best(choices))


def _other_patterns(choice: _Choice) -> list[_Choice]:
    """Passes along curved sides, and rounds only, where the pattern leaves that open and they may be better."""
    layout, pattern = choice.layout, choice.layout.site.working.pattern
    if pattern == "straight" or layout.site.along_wanted is not None or layout.site.working.sowings > 1:
        return []
    found = [] if layout.depths.gone_by.zones.size and pattern == "best" else _along_sides(choice)
    if pattern == "best" and _rounds_likely(layout):
        found.append(_rounds_only(layout, choice.driven))
    return [each for each in found if each.driven.route]


def _along_sides(choice: _Choice) -> list[_Choice]:
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
    return [_Choice(layout, driven, pattern="along edge", straight=choice.driven)]


def _across_slope(layout: Layout, contours: Contours) -> _Choice:
    """Passes along lines of equal height, or those that somebody has drawn, as far as they keep to the limit; or straight ones across the slope, where those keep to the limit and are
    quicker.
    """
    inner = layout.inner()
    quickest = driven_with(layout, inner, Way())
    drawn = tuple(drawn_guide(line, layout.site.rig) for line in layout.site.guides)
    curved = _Choice(
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


def _rounds_only(layout: Layout, straight: Driven | None) -> _Choice:
    """The field driven in rounds alone, from its edge to its middle."""
    layout = all_rounds(layout)
    return _Choice(layout, driven_with(layout, layout.inner(), Way()), pattern="rounds", straight=straight)


def _rounds_likely(layout: Layout) -> bool:
    """Whether rounds alone may be quickest: on round fields, and where the middle is not far from the edge."""
    around, width_m = layout.around, layout.site.rig.width_m
    if layout.site.working.headland_rounds is not None:
        return False
    is_round = 4 * math.pi * around.area / around.length**2 >= MIN_ROUND_FRAC
    # without holes, the deepest place is at least as far from the edge as the area over its length
    deep_m = max((part.area / part.length for part in around.geoms if not part.interiors), default=0.0)
    if not is_round and deep_m > FEW_ALL_ROUNDS * width_m:
        return False
    n_all = n_all_rounds(layout)
    return n_all <= FEW_ALL_ROUNDS or (is_round and n_all <= MAX_ALL_ROUNDS)


def _best(choices: Sequence[_Choice]) -> _Choice:
    """The first that no other is better than."""
    best = choices[0]
    for choice in choices[1:]:
        best = choice if choice.better_than(best) else best
    return best


def _in_one_piece(layout: Layout) -> _Choice:
    """A layout with the quickest route found over its ground in one piece, in plain order."""
    inner = layout.inner()
    driven = driven_with(layout, inner, _straight_way(layout.site))
    if _heading_uncertain(layout, inner, driven):
        driven = _quickest_route(layout, inner[0], driven)
    return _Choice(layout, driven)


def _straight_way(site: Site) -> Way:
    """Straight passes at the heading asked for, or at any that the pattern leaves open."""
    pattern = site.working.pattern
    return Way(along=site.along_wanted, all_round=pattern != "along edge", may_bend=pattern != "straight")


def _likely_rounds(layout: Layout, driven: Driven) -> list[int]:
    """Other numbers of rounds that may be quicker; none on large fields, and where the number is given."""
    about_s, own = layout.depths.about_s, layout.n_rounds
    if not len(about_s):
        return []
    if layout.mean_width_w < NARROW_W:
        return sorted({1, own + MORE_ROUNDS} - {own})
    likely = {1} if layout.mean_width_w < SLIM_W else set()
    if driven.n_turns <= MAX_TURNS_WEIGHED:
        most_s = about_s[own] + LIKELY_FRAC * driven.drive_s
        others = [n for n in about_s.argsort(kind="stable").tolist() if n and n != own]
        likely |= {n for n in others[:N_WEIGHED] if about_s[n] <= most_s}
    return sorted(likely - {own})


def _heading_uncertain(layout: Layout, inner: Sequence[Polygon], driven: Driven) -> bool:
    """Whether an almost convex field has corners that are sown separately, or few turns.

    Corners can be far from where the passes end, and the choice of heading did not count the path to them. On a field
    of few turns it matters which of them fit where they lie.
    """
    working = layout.site.working
    open_choice = (
        working.heading_deg is None and working.pattern != "along edge" and layout.surroundings is not None
    )
    uncertain = len(driven.sowings[0].blocks) > 1 or driven.n_turns <= MAX_TURNS_WEIGHED
    return open_choice and len(inner) == 1 and layout.almost_convex and uncertain


def _quickest_route(layout: Layout, inner: Polygon, driven: Driven) -> Driven:
    """The quickest of these routes: this one, likely headings all round, and headings near the quickest."""
    rig = layout.site.rig
    searched = driven.in_quicker_order(layout)
    # where passes end at a slant, much depends on their order, and more at some headings than at others
    in_order = searched.saves_frac(driven) > CLOSE_FRAC

    def driven_along(along: Array) -> Driven:
        other = driven_with(layout, [inner], replace(_straight_way(layout.site), along=along))
        return other.in_quicker_order(layout) if in_order else other

    def quickest(driven: Driven, headings: Array) -> Driven:
        for other in map(driven_along, headings):
            more_seed_frac = max(0.0, other.sown_m / driven.sown_m - 1) if driven.sown_m else 0.0
            if other.saves_frac(driven) > min(LEAVING_FRAC + more_seed_frac / 2, MAX_LEAVING_FRAC):
                driven = other
        return driven

    driven = searched if in_order else driven
    n_most = MAX_WHOLE_ROUTES if len(driven.sowings[0].blocks) > 1 else MAX_ROUTES_FEW_TURNS
    driven = quickest(driven, quickest_headings(inner, rig, layout.surroundings, n_most))
    main = main_heading(layout.site, driven.sowings[0])
    return driven if main is None else quickest(driven, directions_about(main[None, :]))


def _cut(choice: _Choice) -> list[_Choice]:
    """The same layout with its ground cut into blocks where that is better; none if it is not."""
    layout, working = choice.layout, choice.layout.site.working
    if working.heading_deg is not None or working.max_blocks == 1:
        return []
    most = MAX_BLOCKS if working.max_blocks is None else working.max_blocks
    stages = cut_up(layout.inner(), layout.site.rig, most)
    for pieces in [*stages[-1:], *stages[:-1]][:TRIED_CUTS]:
        cut = _Choice(layout, driven_with(layout, pieces, _straight_way(layout.site)), choice.driven)
        if cut.saved_s > 0 and cut.better_than(choice):
            return [cut]
    return []


def _plain_extra_s(layout: Layout, driven: Driven) -> float | None:
    """Time that the plain order takes beyond the order with the least turning; ``None`` if not asked for."""
    if not layout.site.rig.plain_order or driven.route is None:
        return None
    free = replace(layout, site=replace(layout.site, rig=replace(layout.site.rig, plain_order=False)))
    begun = route(free, driven.sowings, free.site.rig, driven.route.begun_near, driven.route.order)
    quickest = replace(driven, route=begun).in_quicker_order(free)
    return driven.total_s - quickest.total_s
