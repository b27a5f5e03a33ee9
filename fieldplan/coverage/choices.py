"""The choices that are weighed for one field: rounds, headings, cuts, curves and starts, each by its whole route."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon

from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.choice import Choice, best_of
from fieldplan.coverage.directions import directions_about
from fieldplan.coverage.drive_line import drive_lines
from fieldplan.coverage.driven import Driven, driven_with, main_heading
from fieldplan.coverage.guide import drawn_guide
from fieldplan.coverage.heading import LEAVING_FRAC, MAX_LEAVING_FRAC, quickest_headings
from fieldplan.coverage.layout import Layout, along_line, lay_out, none_gone_by, with_rounds
from fieldplan.coverage.patterns import across_slope, other_patterns, rounds_only
from fieldplan.coverage.pieces import Way
from fieldplan.coverage.site import Site
from fieldplan.coverage.visits import without_poor_visits
from fieldplan.model.coverage import Array

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
MAX_WHOLE_ROUTES, MAX_ROUTES_FEW_TURNS = 16, 8
"""Headings that are judged by the whole route, where an almost convex field has corners sown separately, and where it
has few turns."""
MIN_SOWING_FRAC = 0.2
"""A quick search looks for a straightened line only where less of the time is spent sowing."""
_SAME_COS = 1 - 1e-12
"""Headings whose cosine to each other is no smaller differ by rounding: those that are tried do by 0.1° at least."""
HEADING_STEP_DEG = 3.0
"""A thorough search plans the field at each of these headings by itself."""


@dataclass(frozen=True, slots=True)
class Quickest:
    """The best choice found for a field.

    Parameters
    ----------
    driven
        Its route as it is driven: without poor visits, its parts in the best order.
    headings_saved_s
        Time that a search by whole plans at all headings saves over the usual one; ``None`` if there was no such search.
    """

    choice: Choice
    driven: Driven
    headings_saved_s: float | None = None


def quickest(site: Site) -> Quickest:
    """The best choice of rounds, heading, cuts, curves and start for a field.

    A quick search compares next to nothing; the usual one compares what estimates call likely; a thorough one also plans
    the field at headings all round, each as if it had been asked for.

    Raises
    ------
    PlanError
        As `lay_out` raises it.
    """
    layout, working = lay_out(site), site.working
    usual = _finished(_weighed(layout))
    if working.search != "thorough" or working.heading_deg is not None or not _may_be_straight(layout):
        return usual
    best = usual
    for heading_deg in np.arange(0.0, 180.0, HEADING_STEP_DEG).tolist():
        headed = replace(site, working=replace(working, heading_deg=heading_deg))
        other = _finished(_weighed(lay_out(headed)))
        best = other if other.driven.better_than(best.driven) else best
    return replace(best, headings_saved_s=usual.driven.total_s - best.driven.total_s)


def _may_be_straight(layout: Layout) -> bool:
    """Whether the pattern leaves straight passes at any heading open."""
    site, pattern = layout.site, layout.site.working.pattern
    return pattern == "straight" or (pattern == "best" and not site.guides)


def _weighed(layout: Layout) -> list[Choice]:
    """The best choice of rounds, of cuts and of curves: routes in their plain order are compared, and those that are
    about as quick again in the order found for them. With one that is begun elsewhere, also the best that is not.
    """
    if layout.site.working.search == "quick":
        return [_quick_choice(layout)]
    choices = _choices(layout)
    plain = best_of(choices)
    # where a field is almost convex, headings are weighed by whole routes from one start
    elsewhere = None if plain.layout.almost_convex else plain.driven.begun_elsewhere(plain.layout)
    if elsewhere is not None:
        choices.append(replace(plain, driven=elsewhere))
    best = plain.in_quicker_order()
    most_s = (1 + max(CLOSE_FRAC, best.driven.saves_frac(plain.driven))) * plain.driven.total_s
    close = [choice for choice in choices if choice is not plain and choice.driven.total_s <= most_s]
    ordered = [best, *(choice.in_quicker_order() for choice in close)]
    likely = [best_of(ordered)]
    if likely[0].driven.begun_near is not None:
        likely.append(best_of([choice for choice in ordered if choice.driven.begun_near is None]))
    return [
        replace(one, driven=one.whole, whole=None) if one.whole is not None and not one.saved_s > 0 else one
        for one in likely
    ]


def _finished(likely: Sequence[Choice]) -> Quickest:
    """The choice whose route is best without poor visits, part by part in the best order."""
    each = []
    for choice in likely:
        fewer = without_poor_visits(choice.layout, choice.driven)
        # what leaving out saves may be less than what the best start does where all is visited
        ways = (fewer,) if fewer is choice.driven else (fewer, choice.driven)
        each += [Quickest(choice, driven.begun_best(choice.layout)) for driven in ways]
    best = each[0]
    for other in each[1:]:
        best = other if other.driven.better_than(best.driven) else best
    return best


def _choices(layout: Layout) -> list[Choice]:
    """The routes that are compared: those of the pattern asked for, or of every one."""
    layouts = [layout, *_along_lines(layout)]
    asked = [choice for each in layouts for choice in _as_asked(each)]
    if asked:
        return asked
    first = best_of([_in_one_piece(each) for each in layouts])
    layout = first.layout
    others = [with_rounds(layout, n_rounds) for n_rounds in _likely_rounds(layout, first.driven)]
    choices = [first, *map(_in_one_piece, others)]
    choices += _cut(best_of(choices))
    return choices + other_patterns(best_of(choices))


def _quick_choice(layout: Layout) -> Choice:
    """One route, in the order found for it: at the heading and with the rounds that estimates call the quickest."""
    choices = _as_asked(layout)
    if not choices:
        choices = [_in_one_piece(layout)]
        if choices[0].driven.sowing_frac < MIN_SOWING_FRAC:
            choices += map(_in_one_piece, _along_lines(layout))
    return best_of(choices).in_quicker_order()


def _along_lines(layout: Layout) -> Iterator[Layout]:
    """The field along each line that may be driven in place of an edge with jags."""
    for line in drive_lines(layout.site, layout.around):
        yield along_line(layout, line)


def _as_asked(layout: Layout) -> list[Choice]:
    """The route in rounds alone, across the slope or along guides, where the job asks for that; else none."""
    site, pattern = layout.site, layout.site.working.pattern
    if pattern == "rounds":
        return [rounds_only(layout, None)]
    if pattern == "contour" and site.contours is not None:
        return [across_slope(none_gone_by(layout), site.contours)]
    if site.guides and pattern in ("best", "guide"):
        way = Way(guides=tuple(drawn_guide(line, site.rig) for line in site.guides))
        layout = none_gone_by(layout)
        return [Choice(layout, driven_with(layout, layout.inner(), way), pattern="guide")]
    return []


def _in_one_piece(layout: Layout) -> Choice:
    """A layout with the quickest route found over its ground in one piece, in plain order."""
    inner = layout.inner()
    driven = driven_with(layout, inner, _straight_way(layout.site))
    if _heading_uncertain(layout, inner, driven):
        driven = _quickest_route(layout, inner[0], driven)
    return Choice(layout, driven)


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
    if working.search == "quick":
        return False
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
        for other in map(driven_along, _other_than(driven, headings)):
            more_seed_frac = max(0.0, other.sown_m / driven.sown_m - 1) if driven.sown_m else 0.0
            if other.saves_frac(driven) > min(LEAVING_FRAC + more_seed_frac / 2, MAX_LEAVING_FRAC):
                driven = other
        return driven

    driven = searched if in_order else driven
    n_most = MAX_WHOLE_ROUTES if len(driven.sowings[0].blocks) > 1 else MAX_ROUTES_FEW_TURNS
    driven = quickest(driven, quickest_headings(inner, rig, layout.surroundings, n_most))
    main = main_heading(layout.site, driven.sowings[0])
    return driven if main is None else quickest(driven, directions_about(main[None, :]))


def _other_than(driven: Driven, headings: Array) -> Array:
    """Headings, (n, 2), without that of a route with straight passes, which would be driven once more."""
    own = main_heading(driven.site, driven.sowings[0])
    return headings if own is None or driven.curved else headings[np.abs(headings @ own) < _SAME_COS]


def _cut(choice: Choice) -> list[Choice]:
    """The same layout with its ground cut into blocks where that is better; none if it is not."""
    layout, working = choice.layout, choice.layout.site.working
    if working.heading_deg is not None or working.max_blocks == 1:
        return []
    most = MAX_BLOCKS if working.max_blocks is None else working.max_blocks
    stages = cut_up(layout.inner(), layout.site.rig, most)
    for pieces in [*stages[-1:], *stages[:-1]][:TRIED_CUTS]:
        cut = Choice(layout, driven_with(layout, pieces, _straight_way(layout.site)), choice.driven)
        if cut.saved_s > 0 and cut.better_than(choice):
            return [cut]
    return []
