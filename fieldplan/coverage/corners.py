"""Corners of headland rounds as they are driven: where segments end, begin, and run on into each other.

No driver pulls a drill into a fenced corner: the tractor is in the way. What he does instead is chosen for all
corners of a field together (`corner_kinds`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely

from fieldplan.coverage.corner_kinds import (
    BACKED_BOTH,
    BACKED_IN,
    CURVED,
    LIFTED,
    RUN_OUT,
    Corners,
    curve_wedge_m2,
)
from fieldplan.coverage.curved import joined
from fieldplan.coverage.handling import PARALLEL, handling
from fieldplan.coverage.headland import SAME_DEG, bands_about
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import turns_between
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.corners import Bounds, at_corners, reached
from fieldplan.kernels.segments import Chains, cut_at_ends, poses_of
from fieldplan.kernels.words import tangent_arcs
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.chains import chains_of, lines_of
from fieldplan.plane.paths import Paths, drawing_step_m
from fieldplan.plane.ragged import firsts, lasts

_MIN_SEGMENT_M = 1.0
_STEP_M = 0.25
_REACHED_M = 0.1
"""Stretches of a line shorter than this on which the drill may stand may be passed over."""
_HAIR_M = 1e-5
"""Segments end so far inside the edge of where the drill may stand: on it, rounding decides whether a turn fits."""


def round_corners(
    rounds: Sequence[HeadlandRound], rig: Rig, room: InsideFence
) -> tuple[HeadlandRound, ...]:
    """Rounds whose segments begin and end where the drill can be lowered and lifted, and are one where it sows on
    around the corner between them.
    """
    if not rounds:
        return ()
    laid = chains_of(np.concatenate([one.segments.lines for one in rounds]))
    chains, of, short_m = reached(room.while_sowing().region, laid, _REACHED_M, _HAIR_M, _MIN_SEGMENT_M)
    if len(of) == 0:
        return ()
    ring = np.arange(len(rounds)).repeat([len(one.segments) for one in rounds])[of]
    following = _following(np.bincount(ring, minlength=len(rounds)))
    closed = np.array([one.segments.lines[0].is_closed for one in rounds])[ring]
    outermost = np.array([one.round == 1 for one in rounds])[ring]
    corners = _corners(chains, short_m, following, outermost, rig, room)
    choice = np.where(closed, RUN_OUT, corners.chosen(rig, room.ground.area))
    lines = _driven(chains, following, corners, choice, rig)
    kept = shapely.length(lines) > _MIN_SEGMENT_M
    bands = bands_about(lines[kept], rig.width_m)
    swaths, until = (
        Swaths(lines=lines[kept], grounds=bands),
        ring[kept].searchsorted(np.arange(len(rounds) + 1)),
    )
    return tuple(
        replace(one, segments=swaths[start:end])
        for one, (start, end) in zip(rounds, pairwise(until.tolist()), strict=True)
        if end > start
    )


def _following(count: IntArray) -> IntArray:
    """The segment after each on its ring, (n,), by how many each ring has."""
    following = np.arange(1, count.sum() + 1)
    some = count > 0
    following[lasts(count)[some]] = firsts(count)[some]
    return following


def _corners(
    chains: Chains,
    short_m: Array,
    following: IntArray,
    outermost: BoolArray,
    rig: Rig,
    room: InsideFence,
) -> Corners:
    """The corners between segments that follow each other."""
    enter, leave = poses_of(chains)
    enter = enter[following]
    bounds = Bounds(
        rig.sowing_radius_m,
        math.radians(rig.follows_bend_deg + SAME_DEG),
        _MIN_SEGMENT_M,
        _STEP_M,
        2 * rig.width_m,
    )
    sowing = room.while_sowing().region
    found = at_corners(chains, leave, enter, following, room.region, sowing, bounds, handling(rig))
    along_fence, beside_round = curve_wedge_m2(found.curve_rad, rig.sowing_radius_m, rig.width_m)
    return Corners(
        turn_rad=found.turn_rad,
        cut_end_m=found.cut_end_m,
        cut_begin_m=found.cut_begin_m,
        short_m=short_m,
        reach_m=found.reach_m,
        fits=found.fits,
        full_s=turns_between(leave, enter, rig, room).turn_s,
        curve_end_m=found.curve_end_m,
        curve_begin_m=found.curve_begin_m,
        curve_left_m2=np.where(found.followed, np.where(outermost, along_fence, beside_round), np.inf),
    )


def _driven(chains: Chains, following: IntArray, corners: Corners, choice: IntArray, rig: Rig) -> Lines:
    """The segments as they are sown between the corners before and after them, or on around them."""
    cut = _cut(chains, following, corners, choice)
    # nothing may be left of a short one that is cut at its other end, too
    some = np.diff(cut.first) > 0
    curved = ((choice == CURVED) & some & some[following]).nonzero()[0]
    lines = lines_of(cut)
    if not len(curved):
        return lines
    _, ends = poses(lines[curved])
    enter, _ = poses(lines[following[curved]])
    turns, parts = tangent_arcs(numbers(ends), numbers(enter), rig.sowing_radius_m, PARALLEL)
    parts[:, [0, 4]] = 0.0
    arcs = Paths(ends, rig.sowing_radius_m, turns, parts).lines(drawing_step_m(rig.sowing_radius_m))
    return joined(lines, following, dict(zip(curved.tolist(), arcs, strict=True)))


def _cut(chains: Chains, following: IntArray, corners: Corners, choice: IntArray) -> Chains:
    """The segments between the corners before and after them."""
    lifted, curved = choice == LIFTED, choice == CURVED
    backed_in, backs = choice == BACKED_IN, (choice == BACKED_IN) | (choice == BACKED_BOTH)
    end_m = np.where(curved, corners.curve_end_m, 0.0)
    end_m = np.where(lifted | backed_in, corners.cut_end_m, end_m)
    after_m = np.where(curved, corners.curve_begin_m, 0.0)
    after_m = np.where(lifted, corners.cut_begin_m, np.where(backs, -corners.reach_m, after_m))
    begin_m = np.empty(len(following))
    begin_m[following] = after_m
    return cut_at_ends(chains, begin_m, end_m)
