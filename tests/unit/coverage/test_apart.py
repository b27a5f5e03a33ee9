"""Parts of a field that no way as wide as the drill needs joins: how often the drill leaves them, and from where."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from fieldplan.coverage.apart import pockets_of
from fieldplan.coverage.cover import cover
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

LARGE, SMALL = box(0, 0, 200, 150), box(260, 40, 330, 110)
NECK = Polygon([(200, 79), (260, 79), (260, 81), (200, 81)])
"""Two meters wide and sixty long: a drill of three meters needs a little more."""
FIELDS = {
    "apart": MultiPolygon([LARGE, SMALL]),
    "joined by a neck": MultiPolygon([shapely.union_all([LARGE, NECK, SMALL])]),
}


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms, **changes: object) -> Coverage:
    drill, terms = replace(rig, width_m=3.048), replace(working, max_blocks=1)
    return cover(Site(field_id="f", ground=field, rig=drill, working=terms, **changes))  # type: ignore[arg-type]


def _parts(got: Coverage) -> list[str]:
    """On which part each stretch of sown lines begins, without repeats."""
    sown = [leg.line.coords[0] for leg in got.legs if leg.sown]
    return [part for part, _ in groupby("large" if x < 210 else "small" for x, _ in sown)]


@pytest.mark.parametrize("name", FIELDS)
def test_a_part_is_finished_before_the_drill_leaves_it(name: str, rig: Rig, working: WorkingTerms) -> None:
    """Once to the small part and once back: its headland and its passes are one visit."""
    got = _covered(FIELDS[name], rig, working)
    assert _parts(got).count("small") == 1
    assert sum(leg.shape == "outside" for leg in got.legs) == 2


@pytest.mark.parametrize("last", [False, True])
def test_headland_and_passes_keep_their_order_on_each_part(
    last: bool, rig: Rig, working: WorkingTerms
) -> None:
    """The headland first, or last, on the small part, too."""
    got = _covered(FIELDS["apart"], rig, replace(working, headland_first=not last))
    small = [leg.kind for leg in got.legs if leg.sown and leg.line.coords[0][0] > 210]
    kinds = [kind for kind, _ in groupby(small)]
    assert kinds == (["pass", "headland"] if last else ["headland", "pass"])


def test_no_gate_is_taken_on_a_part_from_which_the_drill_cannot_drive_to_the_rest(
    rig: Rig, working: WorkingTerms
) -> None:
    """Although from there the way in and out is the shortest: sowing begins on the small part."""
    got = _covered(FIELDS["apart"], rig, working)
    assert got.gate.x < 210


def test_only_in_the_neck_the_drill_leaves_where_it_may_be(rig: Rig, working: WorkingTerms) -> None:
    """On both sides of it the drill keeps its distance from the fence, a rounding of corners apart."""
    got = _covered(FIELDS["joined by a neck"], rig, working)
    out = [leg.line for leg in got.legs if leg.shape == "outside"]
    room = got.ground.buffer(-(3.048 / 2 - 0.5), join_style="mitre")
    opening = got.gate.buffer(2 * 3.048)
    beside = shapely.difference(shapely.union_all(out), shapely.union_all([NECK.buffer(2), opening]))
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(beside, 1.0)))
    assert len(points) > 20
    assert shapely.distance(points, room).max() < 0.1


@pytest.mark.parametrize(("side_m", "left"), [(5.0, True), (20.0, False)])
def test_a_pocket_is_left_and_named_where_no_way_leads_that_is_wide_enough(
    side_m: float, left: bool, rig: Rig, working: WorkingTerms
) -> None:
    """A square behind a neck two meters wide, beside 9 ha: 25 m² are not worth leaving the field for, 400 m² are."""
    neck, square = box(300, 149, 306, 151), box(306, 150 - side_m / 2, 306 + side_m, 150 + side_m / 2)
    field = MultiPolygon([shapely.union_all([box(0, 0, 300, 300), neck, square])])
    got = _covered(field, rig, working)
    assert any(leg.shape == "outside" for leg in got.legs) == (not left)
    assert any(leg.sown and leg.line.intersects(square) for leg in got.legs) == (not left)
    named = [note.values for note in got.notes if note.code == "pockets-left"]
    assert [values["n_pockets"] for values in named] == [1] * left
    assert all(0.8 * side_m**2 < values["left_small_m2"] < 1.3 * side_m**2 for values in named)


def test_a_pocket_at_which_the_gate_is_given_is_sown(rig: Rig, working: WorkingTerms) -> None:
    """The drill comes through the neck anyhow."""
    neck, square = box(300, 149, 306, 151), box(306, 147.5, 311, 152.5)
    field = MultiPolygon([shapely.union_all([box(0, 0, 300, 300), neck, square])])
    got = _covered(field, rig, working, gate=Point(311, 150))
    assert any(leg.sown and leg.line.intersects(square) for leg in got.legs)


def test_pockets_that_meet_in_a_waist_are_one_piece_of_ground(rig: Rig) -> None:
    """An hourglass half a meter wide in the middle: what is left of its halves would overlap there, grown again."""
    hourglass = Polygon([(310, 0), (316, 2.75), (322, 0), (322, 6), (316, 3.25), (310, 6)])
    field = MultiPolygon([box(0, 0, 300, 300), hourglass])
    room = InsideFence(field, replace(rig, width_m=3.048))
    assert len(room.clear.geoms) == 3
    pockets = pockets_of(room, None)
    assert pockets.is_valid
    assert pockets.area == pytest.approx(hourglass.area, rel=0.2)
