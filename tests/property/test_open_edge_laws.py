"""Laws of open edges on any simple field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon
from strategies import notched_fields, slowly, star_fields

from fieldplan.coverage.cover import cover
from fieldplan.coverage.edges import EdgeTerms, edges_of, room_m
from fieldplan.coverage.level_turns import NO_TURN_S
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, Leg
from fieldplan.model.job import WorkingTerms

SIDES: list[tuple[str, ...]] = [("north",), ("south", "east"), ()]
"""Open sides; none of them stands for an edge that is open all round."""


def _covered(
    field: MultiPolygon, sides: Sequence[str], rig: Rig, working: WorkingTerms
) -> tuple[Coverage, Coverage]:
    """The field with all edges fenced, and with some or all open."""
    terms = EdgeTerms(edge="fenced" if sides else "open", open_sides=tuple(sides))
    site = Site(field_id="f", ground=field, rig=rig, working=working)
    opened = edges_of(field, terms, 0.0).fenced(field, field, [], rig)
    return cover(site), cover(replace(site, fenced=opened))


def _between_passes(legs: Sequence[Leg]) -> list[Leg]:
    """Passes, and the turns from one to the next."""
    kinds = ["", *(leg.kind for leg in legs), ""]
    around = zip(kinds[:-2], legs, kinds[2:], strict=True)
    return [
        leg
        for before, leg, after in around
        if leg.kind == "pass" or (leg.kind == "turn" and before == after == "pass")
    ]


def _ranked_s(legs: Sequence[Leg], rig: Rig) -> float:
    """Time as turns are chosen by: backing counts for more, and what fits nowhere for most."""
    n_backing = sum(leg.shape == "backing" for leg in legs)
    n_outside = sum(leg.shape == "outside" for leg in legs)
    return route_s(legs, rig) + rig.reverse_saves_s * n_backing + NO_TURN_S * n_outside


@slowly(16)
@given(field=st.one_of(star_fields(), notched_fields()), sides=st.sampled_from(SIDES))
def test_opening_an_edge_costs_no_time_between_passes(
    field: MultiPolygon, sides: tuple[str, ...], rig: Rig, working: WorkingTerms
) -> None:
    """Within 0.1 % and 1 s, as turns are chosen by, with the same rounds, heading and blocks."""
    alike = replace(working, headland_rounds=2, heading_deg=0.0, max_blocks=1)
    fenced, opened = (_between_passes(one.legs) for one in _covered(field, sides, rig, alike))
    assert _ranked_s(opened, rig) <= 1.001 * _ranked_s(fenced, rig) + 1


@slowly(16)
@given(field=st.one_of(star_fields(), notched_fields()), sides=st.sampled_from(SIDES))
def test_turns_swing_out_over_open_edges_only(
    field: MultiPolygon, sides: tuple[str, ...], rig: Rig, working: WorkingTerms
) -> None:
    """Where the middle of the drill is outside, it is so over an open stretch and no farther than the room
    there; and it sows no more outside than where all is fenced, but for the ends of its swaths.
    """
    fenced, opened = _covered(field, sides, rig, replace(working, headland_rounds=1))
    terms = EdgeTerms(edge="fenced" if sides else "open", open_sides=sides)
    room = edges_of(field, terms, 0.0).fenced(field, field, [], rig)
    inside = shapely.buffer(room, 0.02)
    for leg in opened.legs:
        if leg.kind == "turn" and leg.shape != "outside":
            assert inside.covers(leg.line)
            assert leg.line.within(shapely.buffer(field, room_m(rig) * np.sqrt(2)))
    assert opened.audit.outside_m2 <= fenced.audit.outside_m2 + 0.002 * field.area


@slowly(8)
@given(field=star_fields())
def test_a_field_open_all_round_needs_few_rounds_and_less_time(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """Without a pond there is nothing to keep clear of: one round, and no turn has to back up for room."""
    whole = MultiPolygon([shapely.Polygon(field.geoms[0].exterior)])
    fenced, opened = _covered(whole, (), rig, working)
    assert opened.headland_rounds == 1
    assert route_s(opened.legs, rig) < route_s(fenced.legs, rig)
    assert opened.audit.missed_m2 / whole.area == pytest.approx(0, abs=0.006)
